"""The command line as its users meet it: help, exit codes, messages, pipes and odd terminals."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from locksweep import __version__
from locksweep.cli import COMMANDS
from locksweep.demo_jobs import demo_path
from locksweep.job.starter import starter_text
from locksweep.schemas import schema_text
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import (
    COMMAND,
    HEAVY,
    contents,
    edited,
    environment,
    everything_below,
    full_job,
    run,
    tiny_job,
    written,
)

NAMES = sorted(COMMANDS)
LOADED = (
    "import sys\nfrom locksweep.cli import main\n"
    "for line in sys.argv.pop(1).split(';'):\n"
    "    sys.argv[1:] = line.split()\n"
    "    try: main()\n"
    "    except SystemExit as left: assert not left.code, left.code\n"
    "print(*sorted({name.partition('.')[0] for name in sys.modules}), file=sys.stderr)"
)


def loaded_by(*lines: str, cwd: Path) -> set[str]:
    """Top-level packages that a process has loaded after these commands."""
    command = [sys.executable, "-c", LOADED, ";".join(lines)]
    done = subprocess.run(
        command, cwd=cwd, env=environment(), check=True, capture_output=True, text=True, encoding="utf-8"
    )
    return set(done.stderr.splitlines()[-1].split())


def test_commands_are_known() -> None:
    """The commands that the tests below go through are all that there are."""
    known = [
        "build",
        "check",
        "clearance",
        "compare",
        "demo",
        "ladder",
        "loads",
        "measure",
        "nest",
        "new",
        "order",
        "pack",
        "render",
        "retyre",
        "solve",
        "sure",
    ]
    assert known == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_help_has_an_example(locksweep: Command, name: str) -> None:
    """Every command's help ends well and shows a call of that command."""
    done = locksweep(name, "--help")
    assert 0 == done.code
    assert f"Example: locksweep {name}" in done.out
    assert "" == done.err


def test_help_tells_the_exit_codes(locksweep: Command) -> None:
    """The help of the whole names every command and every exit code."""
    done = locksweep("--help")
    assert 0 == done.code
    told = " ".join(done.out.split())
    assert all(re.search(rf"\b{name}\b", told) for name in NAMES)
    for words in (
        "0 done",
        "1 the job file",
        "2 the command",
        "3 the goal",
        "4 files",
        "5 a system",
        "130 inter",
    ):
        assert words in told, words


@pytest.mark.parametrize(
    "arguments", [("demolish",), ("solve",), ("solve", "a", "b"), ("build", "a", "--fast")]
)
def test_what_is_not_understood(locksweep: Command, arguments: tuple[str, ...]) -> None:
    """An unknown command or option, or one too many: exit code 2 and a usage line."""
    done = locksweep(*arguments)
    assert 2 == done.code
    assert "Usage: " in done.err


def test_help_loads_nothing_heavy(tmp_path: Path) -> None:
    """Help of the whole and of every command loads neither the CAD kernel nor anything else that is slow."""
    found = loaded_by("--help", *(f"{name} --help" for name in NAMES), cwd=tmp_path)
    assert "locksweep" in found
    assert set() == found & {*HEAVY, "numpy"}


def test_solve_loads_nothing_heavy(tmp_path: Path) -> None:
    """So do the numbers of a job in plain units, as tables and for programs."""
    job = written(tmp_path, full_job())
    assert " " not in str(job)
    found = loaded_by(f"solve {job}", f"solve --json {job}", cwd=tmp_path)
    assert "numpy" in found
    assert set() == found & set(HEAVY)


def test_json_passes_the_schema(locksweep: Command, tmp_path: Path) -> None:
    """What solve --json prints is one JSON document by the published schema, and plain ASCII for any pipe."""
    schema = json.loads(schema_text("summary"))
    for lock, code in ((50, 0), (75, 3)):
        job = written(tmp_path, edited(full_job(), ("lock = 50 ", f"lock = {lock} ")))
        done = locksweep("solve", job, "--json")
        assert code == done.code
        assert done.out.isascii()
        record = json.loads(done.out)
        Draft202012Validator(schema).validate(record)
        assert float(lock) == record["goal"]["lock_deg"]


@pytest.mark.parametrize("units", ["mm", "in"])
def test_new_file_works_as_it_stands(tmp_path: Path, locksweep: Command, units: str) -> None:
    """What new writes passes check, solve and build, and check says that its values are the example's."""
    job = tmp_path / "my-car.toml"
    done = locksweep("new", job, "--units", units)
    assert 0 == done.code, done.told
    assert f"locksweep check {job}" in done.out
    assert starter_text(units, "my-car.toml") == job.read_text(encoding="utf-8")
    done = locksweep("check", job)
    assert 0 == done.code, done.told
    assert "values still are the starter's own" in done.out
    assert 0 == locksweep("solve", job).code
    done = locksweep("build", job, "--out", tmp_path / "sets")
    assert 0 == done.code, done.told
    assert (tmp_path / "sets" / "my-car" / "A" / "manifest.json").is_file()


def test_new_leaves_what_is_there(tmp_path: Path, locksweep: Command) -> None:
    """A file or folder of that name is never written over."""
    (tmp_path / "mine.toml").write_text("mine", encoding="utf-8")
    (tmp_path / "folder.toml").mkdir()
    for name in ("mine.toml", "folder.toml", "no folder/mine.toml"):
        before = everything_below(tmp_path), contents(tmp_path)
        done = locksweep("new", tmp_path / name)
        assert 4 == done.code
        assert str(tmp_path / name) in done.err
        assert before == (everything_below(tmp_path), contents(tmp_path))


@pytest.mark.skipif(sys.platform != "linux", reason="file names that are no UTF-8, or hold a line end")
@pytest.mark.parametrize("name", [b"my\ncar = 1\n.toml", b"\xff.toml"])
def test_new_with_a_hostile_file_name(tmp_path: Path, name: bytes) -> None:
    """A line end or a stray byte in the file's name gets neither into the file nor into a traceback."""
    path = os.path.join(os.fsencode(tmp_path), name)  # noqa: PTH118 - a path of bytes
    for code in (0, 4):
        done = subprocess.run([*COMMAND, "new", path], cwd=tmp_path, env=environment(), capture_output=True)
        assert code == done.returncode, done.stderr
        assert b"Traceback" not in done.stderr
    (file,) = tmp_path.iterdir()
    assert 0 == subprocess.run([*COMMAND, "check", path], env=environment(), capture_output=True).returncode
    assert file.read_text(encoding="utf-8").startswith("# A job file for locksweep")


@pytest.mark.parametrize(
    ("mutation", "key"),
    [
        (("wheelbase = 2480", "wheelbase = 3480"), "car.wheelbase"),
        (("left = 310", "left = 130"), "car.corner_masses"),
        (("pickup = [-108, 650, 178]", "pickup = [-108, 590, 178]"), "car.left.pickup"),
        (("strut_top = [-38, 530, 705]", "strut_top = [-38, 630, 705]"), "car.left.strut_top"),
    ],
)
def test_check_finds_what_was_mis_measured(
    locksweep: Command, job_file: Callable[[str], Path], mutation: tuple[str, str], key: str
) -> None:
    """A value that no such car has is reported by its key, and the file is still a job."""
    done = locksweep("check", job_file(edited(full_job(), mutation)))
    assert 0 == done.code
    assert f"looks mis-measured: {key}" in done.out


def test_check_says_when_all_is_well(locksweep: Command) -> None:
    """A demo job's numbers look like measurements of a car."""
    for name in ("alder-coupe", "birch-coupe"):
        done = locksweep("check", demo_path(name))
        assert 0 == done.code
        assert "every key is in order" in done.out
        assert "looks mis-measured:" not in done.out


@pytest.mark.parametrize("command", ["check", "solve", "build"])
def test_faulty_file_is_told_whole(
    tmp_path: Path, locksweep: Command, job_file: Callable[[str], Path], command: str
) -> None:
    """Every command reports all faults of a file at once, with key and line, and writes nothing."""
    faults = (
        ("wheelbase = 2480", "wheelbase = 2480\nwheel_base = 1"),
        ("lock = 50 ", 'lock = "50 mm" '),
        ("travel_per_turn = 44 ", "travel_per_turn = -44 "),
    )
    done = locksweep(command, job_file(edited(full_job(), *faults)))
    assert 1 == done.code
    assert "3 things to put right" in done.err
    for key in ("goal.lock", "car.wheel_base", "rack.travel_per_turn"):
        assert re.search(rf"line \d+: {key}\n", done.err), key
    assert ["job-file.toml"] == everything_below(tmp_path)


@pytest.mark.parametrize("command", ["check", "solve", "build"])
def test_no_job_file_at_all(tmp_path: Path, locksweep: Command, command: str) -> None:
    """No such file, a folder, bytes that are no text: exit code 1 and one message that says which."""
    (tmp_path / "folder").mkdir()
    (tmp_path / "picture.toml").write_bytes(bytes(range(256)) * 40)
    (tmp_path / "empty.toml").write_bytes(b"")
    before = everything_below(tmp_path)
    for name, words in (
        ("missing.toml", "no such file"),
        ("folder", "a folder"),
        ("picture.toml", "no UTF-8 text"),
        ("empty.toml", "can't be used"),
    ):
        done = locksweep(command, tmp_path / name)
        assert 1 == done.code, name
        assert words in done.err, name
        assert name in done.err, name
    assert before == everything_below(tmp_path)


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX systems")
@pytest.mark.parametrize("options", [("solve",), ("solve", "--json"), ("check",), ("build", "--out", "sets")])
def test_reader_that_leaves_early(tmp_path: Path, options: tuple[str, ...]) -> None:
    """Piped into something that reads nothing, a command does its work and complains of nothing."""
    job = written(tmp_path, tiny_job())
    reading, writing = os.pipe()
    os.close(reading)
    command = [*COMMAND, options[0], str(job), *options[1:]]
    done = subprocess.run(
        command, cwd=tmp_path, env=environment(), stdout=writing, stderr=subprocess.PIPE, text=True
    )
    os.close(writing)
    assert 0 == done.returncode, done.stderr
    assert "Traceback" not in done.stderr
    assert "Broken" not in done.stderr
    assert (options[0] == "build") == (tmp_path / "sets").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device that is always full is a thing of Linux")
def test_output_onto_a_full_disk(tmp_path: Path) -> None:
    """A table that can't be written is one message and exit code 4."""
    with Path("/dev/full").open("w") as full:
        command = [*COMMAND, "solve", str(written(tmp_path, tiny_job()))]
        done = subprocess.run(command, env=environment(), stdout=full, stderr=subprocess.PIPE, text=True)
    assert 4 == done.returncode
    assert "No space left on device\n" == done.stderr


@pytest.mark.parametrize("command", ["solve", "check", "build"])
def test_terminal_without_letters(tmp_path: Path, command: str) -> None:
    """On a terminal that knows ASCII alone other characters are replaced, and nothing breaks."""
    text = edited(
        tiny_job(), ('name = "Alder coupe, 50 degrees on 17s"', 'name = "\u05d0\u05d1\u05d2 größer"')
    )
    job = written(tmp_path, text)
    done = run(command, job, cwd=tmp_path, PYTHONIOENCODING="ascii", PYTHONUTF8="0", LC_ALL="C")
    assert 0 == done.code, done.told
    assert done.told.isascii()
    assert "Traceback" not in done.told


def named(name: str) -> str:
    """A tiny job of that name."""
    return edited(tiny_job(), ('name = "Alder coupe, 50 degrees on 17s"', f"name = {json.dumps(name)}"))


@pytest.mark.parametrize(
    "name",
    [
        "../x",
        "/etc/passwd",
        "CON",
        "a" * 60,
        "\u05d0\u05d1\u05d2",
        "a|b`c`",
        "<script>alert(1)</script>",
        "![x](y)",
        "# **x**",
        "a\\|b",
        ".",
        "{}",
        "%s",
    ],
)
def test_hostile_job_name(tmp_path: Path, locksweep: Command, name: str) -> None:
    """The folder stays below the one asked for, and the name reads in the documents as it was written."""
    job, out = written(tmp_path, named(name)), tmp_path / "sets"
    done = locksweep("build", job, "--out", out)
    assert 0 == done.code, done.told
    (root,) = out.iterdir()
    assert re.fullmatch(r"[a-z0-9][a-z0-9-]{0,79}", root.name)
    assert ["job-file.toml", "sets"] == sorted(path.name for path in tmp_path.iterdir())
    for document, prefix in (("summary.md", "# "), ("caution.md", "# Load paths and cautions: ")):
        first = (root / "A" / document).read_text(encoding="utf-8").splitlines()[0].removeprefix(prefix)
        assert name == re.sub(r"\\(.)", r"\1", first)
        assert not re.search(r"(?<!\\)(\\\\)*[`*_<>\[\]|#]", first), first
    record = json.loads((root / "A" / "summary.json").read_text(encoding="utf-8"))
    assert name == record["job"]["name"]


@pytest.mark.parametrize("name", ["", " ", "a" * 61, "a\nb", "\u202eabc", "\x1b[2J", "a\x00b"])
def test_name_that_is_none(locksweep: Command, job_file: Callable[[str], Path], name: str) -> None:
    """Too long, empty, or with characters that can't be seen: refused, and printed so that they can be."""
    done = locksweep("solve", job_file(named(name)))
    assert 1 == done.code
    assert "job.name" in done.err
    assert "at most 60 characters" in done.err
    assert not {"\x1b", "\u202e", "\x00"} & set(done.told)


def test_bar_in_a_name_keeps_the_columns(locksweep: Command, job_file: Callable[[str], Path]) -> None:
    """What the tyre touches may be called anything: the tables keep their columns and show the name."""
    text = edited(full_job(), ('name = "frame rail"', r"name = 'rail | \ *old*'"))
    done = locksweep("solve", job_file(text))
    (line,) = (line for line in done.out.splitlines() if line.startswith("  left") and "rail" in line)
    assert ["left", r"tyre on rail | \ *old*", "left wheel"] == re.split(r"\s{2,}", line.strip())[:3]
    assert line.rstrip().endswith("bump")


def test_missing_system_library_is_one_sentence(tmp_path: Path) -> None:
    """Where the CAD kernel can't be loaded: exit code 5, the package to install, nothing left."""
    fake = tmp_path / "fake" / "OCP"
    fake.mkdir(parents=True)
    (fake / "__init__.py").write_text(
        "raise ImportError('libGL.so.1: cannot open shared object file: No such file or directory')\n",
        encoding="ascii",
    )
    job = written(tmp_path, tiny_job())
    paths = os.pathsep.join((str(tmp_path / "fake"), environment()["PYTHONPATH"]))
    done = run("build", job, "--out", "sets", cwd=tmp_path, PYTHONPATH=paths, PYTHONDONTWRITEBYTECODE="1")
    assert 5 == done.code, done.told
    (sentence,) = (line for line in done.err.splitlines() if not line.endswith("…"))
    assert sentence.startswith("The CAD kernel needs the system library libGL.so.1, which is missing")
    assert "apt-get install libgl1" in sentence
    assert "" == done.out
    assert not (tmp_path / "sets").exists()


def test_progress_does_not_go_into_the_output(tmp_path: Path, locksweep: Command) -> None:
    """Steps are told on standard error, what came of it on standard output."""
    done = locksweep("build", written(tmp_path, tiny_job()), "--out", tmp_path / "sets")
    assert 0 == done.code
    assert "building rack-spacer" in done.err
    assert "building" not in done.out
    assert "rack-spacer-A.step" in done.out
    assert "Read caution.md, or print caution.pdf, before anything is cut" in done.out


def test_version(locksweep: Command) -> None:
    """The version is that of the package."""
    assert f"locksweep {__version__}\n" == locksweep("--version").out
