"""One side of a comparison: a built revision as its folder holds it, or a job file solved on the spot."""

from __future__ import annotations

import dataclasses
import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from locksweep import __version__
from locksweep.job import parse_job
from locksweep.job.source import read_text
from locksweep.revisions import FOLDER, MANIFEST, PARTIAL, Built, damaged_files, identity, read_build
from locksweep.solved import Solved, solve_job
from parts.catalogue import CATALOGUE
from solver.car import Vector
from solver.errors import JobFileError, WriteError
from solver.part import Part, Placement

NEEDED = ("job.toml", "summary.json")
"""Files of a revision that a comparison rests on."""


@dataclass(frozen=True, eq=False)
class Version:
    """A job in one state.

    source: path as given; tables: of its job file; solved: what this version of the tool makes of it
    parts: as built, or as solved where nothing is built
    revision, letters: of the folder and of each part; None and empty where nothing is built
    damage: how the folder differs from its manifest, in words
    tool: version that built it; strange: parts that this version of the tool would make otherwise
    scans: folder that scans of the job are found in
    """

    source: Path
    tables: Mapping[str, Any]
    solved: Solved
    parts: tuple[Part, ...]
    revision: str | None
    letters: Mapping[str, str]
    damage: tuple[str, ...]
    tool: str
    strange: tuple[str, ...]
    scans: Path

    @property
    def built(self) -> bool:
        """Whether it is a folder that a build left behind."""
        return self.revision is not None


def read_version(path: Path) -> Version:
    """A revision's folder, or a job file.

    Raises:
        JobFileError: it is neither; WriteError: a folder's manifest, job file or summary is not as it was written
        LocksweepError: the job can't be solved
    """
    if path.is_dir():
        return _folder(path)
    text = read_text(path)
    solved = solve_job(parse_job(text, str(path)))
    return Version(
        path, tomllib.loads(text), solved, solved.parts, None, {}, (), __version__, (), path.parent
    )


def _folder(path: Path) -> Version:
    if not (path / MANIFEST).exists():
        raise _no_revision(path)
    built = read_build(path)
    damage = damaged_files(built)
    broken = [words for words in damage if words.partition(" ")[0] in NEEDED]
    if broken:
        raise WriteError(
            f"{path}: {'; '.join(broken)}: what was built there can't be told any more. Restore it from a copy"
        )
    text = read_text(path / "job.toml")
    solved = solve_job(parse_job(text, str(path / "job.toml")))
    record = _record(path / "summary.json")
    now = {part.name: part for part in solved.parts}
    parts = tuple(_as_built(name, built, now.get(name), record, path) for name in built.parts)
    letters = {name: letter for name, (letter, _) in built.parts.items()}
    strange = tuple(part.name for part in parts if part is not now.get(part.name))
    # A copy of the folder may have any name.
    revision = str(_record(path / MANIFEST).get("revision", built.revision))
    tool = str(record["tool"]["version"])
    return Version(
        path, tomllib.loads(text), solved, parts, revision, letters, tuple(damage), tool, strange, path
    )


def _no_revision(path: Path) -> JobFileError:
    try:
        inside = sorted(
            child.name
            for child in path.iterdir()
            if child.is_dir() and (FOLDER.fullmatch(child.name) or child.name.startswith(PARTIAL))
        )
    except OSError:
        inside = []
    hint = f"name one of the revisions in it: {', '.join(inside)}" if inside else "name a revision's folder"
    return JobFileError(
        f"{path}: a folder without {MANIFEST}, so none that a build left behind; {hint}, or a job file"
    )


def _record(path: Path) -> dict[str, Any]:
    record: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return record


def _as_built(name: str, built: Built, now: Part | None, record: dict[str, Any], path: Path) -> Part:
    """The part as its folder's summary has it; the solved one itself where that is the same to the last digit."""
    if now is not None and identity(now) == built.parts[name][1]:
        return now
    try:
        (row,) = (item for item in record["parts"] if item["name"] == name)
        kind = CATALOGUE[row["family"]].dimensions
        given = {field.name: _tuples(row["dimensions"][field.name]) for field in dataclasses.fields(kind)}
        return Part(
            name=name,
            dimensions=kind(**given),
            quantity=row["quantity"],
            fits=row["fits"],
            material=row["material"],
            process=row["process"],
            reasons=tuple(row["reasons"]),
            role=row["role"],
            if_it_fails=row["if_it_fails"],
            qualified=tuple(row["qualified"]),
            notes=tuple(row["notes"]),
            placement=None if row["placement"] is None else _placement(row["placement"]),
            overridden=tuple(row["overridden"]),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise WriteError(
            f"{path / 'summary.json'}: part {name} can't be read ({error}); another version of locksweep built it"
        ) from error


def _placement(row: Mapping[str, Any]) -> Placement:
    def vector(key: str) -> Vector:
        x, y, z = map(float, row[key])
        return (x, y, z)

    return Placement(vector("origin_mm"), vector("x_axis"), vector("z_axis"))


def _tuples(value: Any) -> Any:
    return tuple(_tuples(item) for item in value) if isinstance(value, list) else value
