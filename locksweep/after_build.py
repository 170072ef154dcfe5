"""What is made of the last build of a job, in a folder of its own that stands beside the revision's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from locksweep import __version__
from locksweep.folder import sha256, whole_folder, write_text
from locksweep.job.findings import printable
from locksweep.revisions import MANIFEST, Built, builds_of, damaged_files
from locksweep.solved import json_text
from parts.files import write_bytes
from solver.errors import JobFileError, WriteError


@dataclass(frozen=True)
class Left:
    """Where it was left.

    unchanged: these very files were there already; others: names of folders of this revision that hold something else
    and were left as they are
    """

    folder: Path
    unchanged: bool
    others: tuple[str, ...]


def last_build(out: Path, job: str, path: Path, text: str) -> Built:
    """The last revision of this very job file, as it was written; ``text`` is the file's, ``job`` its folder's name.

    Raises:
        JobFileError: it was never built, or is not what was built last
        WriteError: the revision is not as it was written
    """
    builds = builds_of(out / job)
    name = printable(str(path))
    first = f"locksweep build {name} --out {printable(str(out))}"
    if not builds:
        raise JobFileError(f"{name}: was not built into {out / job}; run: {first}")
    built = builds[-1]
    expect_unharmed(built)
    if (built.folder / "job.toml").read_bytes() != text.encode("utf-8"):
        raise JobFileError(f"{name}: is not what revision {built.revision} was built from; run: {first}")
    return built


def expect_unharmed(built: Built) -> None:
    """Refuse a revision that is not as it was written.

    Raises:
        WriteError: names what was changed.
    """
    damage = damaged_files(built)
    if damage:
        raise WriteError(
            f"{built.folder}: not as it was written: {'; '.join(damage)}. Restore it, or move it "
            "away and build again"
        )


def leave(built: Built, stem: str, files: Mapping[str, bytes], kind: str, **more: str | None) -> Left:
    """Write files and their manifest into a folder named ``stem``, numbered where something else has that name.

    kind: of the manifest, such as "pack"; more: what the manifest says besides

    Raises:
        WriteError: they can't be written
    """
    target = built.folder.parent / stem
    others: list[str] = []
    while target.exists():
        if _holds(target, files):
            return Left(target, True, tuple(others))
        others.append(target.name)
        target = target.with_name(f"{stem}-{len(others) + 1}")
    with whole_folder(target) as folder:
        for name, data in files.items():
            write_bytes(folder / name, data)
        manifest = {
            "format": f"locksweep {kind} manifest 1",
            "tool": {"name": "locksweep", "version": __version__},
            "revision": built.revision,
            "of": sha256(built.folder / MANIFEST),
            **more,
            "files": {name: sha256(folder / name) for name in sorted(files)},
        }
        write_text(folder / MANIFEST, json_text(manifest))
    return Left(target, False, tuple(others))


def _holds(folder: Path, files: Mapping[str, bytes]) -> bool:
    """Whether a folder holds these files and no others of their kinds."""
    kinds = {Path(name).suffix for name in files}
    try:
        there = {child.name for child in folder.iterdir() if child.suffix in kinds}
        return there == files.keys() and all(
            (folder / name).read_bytes() == data for name, data in files.items()
        )
    except OSError:
        return False
