"""A build's folder appears whole or not at all, whatever comes between."""

from __future__ import annotations

import errno
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import locksweep.building.mock_up_files
import locksweep.building.papers
import locksweep.building.pipeline
import parts.dxf
import parts.step
import parts.stl
from locksweep.building import BuildResult, build_job
from locksweep.folder import UNFINISHED, whole_folder
from solver.errors import LocksweepError, SolidError, WriteError
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import (
    COMMAND,
    contents,
    edited,
    environment,
    everything_below,
    full_job,
    manifest_of,
    run,
    small_job,
    tiny_job,
    written,
)

POSIX = pytest.mark.skipif(os.name != "posix", reason="signals and mounts of POSIX systems")
WRITERS = {
    "the first STEP": (parts.step, "write_step"),
    "an STL": (locksweep.building.mock_up_files, "write_mesh"),
    "a DXF": (parts.dxf, "write_dxf"),
    "the documents": (locksweep.building.papers, "write_text"),
    "the manifest": (locksweep.building.pipeline, "write_manifest"),
}
FAILURES = {
    "a full disk": OSError(errno.ENOSPC, "No space left on device"),
    "a refused solid": SolidError("the kernel refused"),
    "an interrupt": KeyboardInterrupt(),
}


@pytest.mark.parametrize("failure", FAILURES)
@pytest.mark.parametrize("writer", WRITERS)
def test_failure_midway_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, writer: str, failure: str
) -> None:
    """Whichever writer fails and however, neither the folder nor anything unfinished is there afterwards."""

    def fail(*arguments: object, **options: object) -> None:
        raise FAILURES[failure]

    job = written(tmp_path, tiny_job())
    monkeypatch.setattr(*WRITERS[writer], fail)
    expected = KeyboardInterrupt if failure == "an interrupt" else LocksweepError
    with pytest.raises(expected) as caught:
        build_job(job, tmp_path / "deep" / "sets")
    if failure == "a full disk":
        assert "No space left on device" in str(caught.value)
        assert "nothing was left behind" in str(caught.value)
    assert ["job-file.toml"] == everything_below(tmp_path)


def test_failure_leaves_earlier_revisions_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When revision B fails, A is what it was and the next try gives B."""

    def fail(*arguments: object, **options: object) -> None:
        raise OSError(errno.EIO, "I/O error")

    build_job(written(tmp_path, tiny_job()), tmp_path / "sets")
    job = written(tmp_path, edited(tiny_job(), ("# rack_spacer = 8 ", "rack_spacer = 5 ")))
    before = everything_below(tmp_path), contents(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr(locksweep.building.mock_up_files, "write_mesh", fail)
        with pytest.raises(WriteError, match="I/O error"):
            build_job(job, tmp_path / "sets")
    assert before == (everything_below(tmp_path), contents(tmp_path))
    result = build_job(job, tmp_path / "sets")
    assert isinstance(result, BuildResult)
    assert "B" == result.folder.name


def test_folder_takes_its_name_only_at_the_end(tmp_path: Path) -> None:
    """Until everything is written the target isn't there and the work lies beside it under another name."""
    target = tmp_path / "set"
    with whole_folder(target) as work:
        (work / "file").write_text("text", encoding="utf-8")
        assert not target.exists()
        assert work.parent == tmp_path
        assert work.name.startswith(UNFINISHED)
    assert ["set", "set/file"] == everything_below(tmp_path)


@pytest.mark.skipif(os.name != "posix", reason="permission bits of POSIX systems")
def test_folder_is_as_open_as_any_new_one(tmp_path: Path) -> None:
    """Others may read it as they may read what mkdir makes."""
    (tmp_path / "plain").mkdir()
    with whole_folder(tmp_path / "set"):
        pass
    assert (tmp_path / "plain").stat().st_mode == (tmp_path / "set").stat().st_mode


@POSIX
def test_second_interrupt_does_not_stop_the_tidying(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C pressed again while the first one's leftovers are removed changes nothing."""
    job, remove = written(tmp_path, tiny_job()), shutil.rmtree

    def refuse(*arguments: object, **options: object) -> None:
        raise SolidError("refused")

    def interrupted_remove(*arguments: object, **options: object) -> None:
        os.kill(os.getpid(), signal.SIGINT)
        remove(*arguments, **options)

    monkeypatch.setattr(shutil, "rmtree", interrupted_remove)
    before = signal.getsignal(signal.SIGINT)
    monkeypatch.setattr(locksweep.building.mock_up_files, "write_mesh", refuse)
    with pytest.raises(SolidError):
        build_job(job, tmp_path / "deep" / "sets")
    assert ["job-file.toml"] == everything_below(tmp_path)
    assert before is signal.getsignal(signal.SIGINT)


@POSIX
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_signal_midway_leaves_nothing(tmp_path: Path, number: signal.Signals) -> None:
    """Ctrl-C or a request to end while parts are built: exit code 130, one message, nothing left."""
    job = written(tmp_path, full_job())
    process = subprocess.Popen(
        [*COMMAND, "build", str(job), "--out", "sets"],
        cwd=tmp_path,
        env=environment(PYTHONUNBUFFERED="1"),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    )
    assert process.stderr is not None
    begun = next((line for line in process.stderr if "building arm-sleeve" in line), None)
    assert begun
    # The rings' files are written by now, under the name of something unfinished.
    assert any(UNFINISHED in name and name.endswith(".step") for name in everything_below(tmp_path))
    process.send_signal(number)
    out, err = process.communicate()
    assert 130 == process.returncode
    assert "interrupted; nothing half-written is left behind" in err
    assert "Traceback" not in out + err
    assert ["job-file.toml"] == everything_below(tmp_path)


@pytest.fixture
def little_room(tmp_path: Path) -> Iterator[Path]:
    """A disk of 48 kB, a third of what the smallest build takes."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = shutil.which("mount")
    command = [mount or "mount", "-t", "tmpfs", "-o", "size=48k", "tmpfs", str(disk)]
    if not mount or subprocess.run(command, capture_output=True).returncode:
        pytest.skip("mounting a small disk is not allowed here")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)


@POSIX
def test_full_disk_leaves_nothing(tmp_path: Path, little_room: Path) -> None:
    """A disk that fills up during the build: exit code 4, the reason, and the disk is empty again."""
    job = written(tmp_path, tiny_job())
    done = run("build", job, "--out", little_room / "sets", cwd=tmp_path)
    assert 4 == done.code, done.told
    assert "No space left on device" in done.err
    assert "Traceback" not in done.told
    assert [] == everything_below(little_room)


@POSIX
def test_file_that_can_not_grow_leaves_nothing(tmp_path: Path) -> None:
    """Where the system lets no file grow past some bytes, the half-written one goes too."""
    job = written(tmp_path, tiny_job())
    code = (
        "import resource, sys; from locksweep.cli import main;"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000)); main()"
    )
    command = [sys.executable, "-B", "-c", code, "build", str(job), "--out", "sets"]
    done = subprocess.run(
        command, cwd=tmp_path, env=environment(), capture_output=True, text=True, encoding="utf-8"
    )
    assert 4 == done.returncode, done.stderr
    assert "rack-spacer-A.stl could not be written: File too large" in done.stderr
    assert "Traceback" not in done.stderr
    assert ["job-file.toml"] == everything_below(tmp_path)


@pytest.mark.skipif(
    os.name != "posix" or os.geteuid() == 0, reason="root, and Windows, write into read-only folders"
)
def test_read_only_folder_is_named(tmp_path: Path, locksweep: Command) -> None:
    """A folder that can't be written into is named, with what to do."""
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o555)
    done = locksweep("build", written(tmp_path, tiny_job()), "--out", closed)
    assert 4 == done.code
    assert "can't write here" in done.err
    assert "choose another --out" in done.err
    assert [] == everything_below(closed)


@pytest.mark.parametrize("out", ["taken", "taken/deeper"])
def test_file_in_place_of_the_folder_is_named(tmp_path: Path, locksweep: Command, out: str) -> None:
    """So is a file that lies where the folder, or one on the way to it, should be; it stays as it is."""
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    done = locksweep("build", written(tmp_path, tiny_job()), "--out", tmp_path / out)
    assert 4 == done.code
    assert "can't write here" in done.err
    assert "choose another --out" in done.err
    assert "mine" == (tmp_path / "taken").read_text(encoding="utf-8")
    assert ["job-file.toml", "taken"] == everything_below(tmp_path)


@POSIX
def test_name_that_no_system_takes_is_a_message(tmp_path: Path, locksweep: Command) -> None:
    """A folder name that is too long for the system ends in a message as well."""
    done = locksweep("build", written(tmp_path, tiny_job()), "--out", tmp_path / ("x" * 300))
    assert 4 == done.code
    assert "File name too long" in done.err


def test_other_build_in_between_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When another build takes the name meanwhile, its folder stays whole and ours says to run again."""
    job = written(tmp_path, tiny_job())
    write_mesh = parts.stl.write_mesh

    def meanwhile(*arguments: object, **options: object) -> None:
        monkeypatch.setattr(locksweep.building.mock_up_files, "write_mesh", write_mesh)
        build_job(job, tmp_path / "sets")
        write_mesh(*arguments, **options)

    monkeypatch.setattr(locksweep.building.mock_up_files, "write_mesh", meanwhile)
    with pytest.raises(WriteError, match="another build made it meanwhile; run again"):
        build_job(job, tmp_path / "sets")
    (root,) = (tmp_path / "sets").iterdir()
    assert ["A"] == [path.name for path in root.iterdir()]
    manifest_of(root / "A")
    again = build_job(job, tmp_path / "sets")
    assert isinstance(again, BuildResult)
    assert again.unchanged


def test_two_builds_at_once(tmp_path: Path) -> None:
    """Two processes on one job: one whole folder, no leftovers, and each says what became of it."""
    job = written(tmp_path, small_job())
    processes = [
        subprocess.Popen(
            [*COMMAND, "build", str(job), "--out", "sets"],
            cwd=tmp_path,
            env=environment(),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
        )
        for _ in range(2)
    ]
    told = [process.communicate()[0] for process in processes]
    for process, text in zip(processes, told, strict=True):
        assert process.returncode in (0, 4), text
        assert process.returncode == 0 or "another build made it meanwhile; run again" in text
        assert "Traceback" not in text
    assert 0 in [process.returncode for process in processes], told
    (root,) = (tmp_path / "sets").iterdir()
    assert ["A"] == [path.name for path in root.iterdir()]
    manifest_of(root / "A")
