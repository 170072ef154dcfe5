"""The pipeline of a build: job file, solution, parts, files, documents, manifest, one folder."""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from locksweep import __version__
from locksweep.beside import beside
from locksweep.documents.caution import PICTURES, SHEETS, caution_text
from locksweep.documents.summary import summary_text
from locksweep.documents.title_data import title_data
from locksweep.folder import sha256, whole_folder, write_text
from locksweep.job import parse_job
from locksweep.job.source import read_text
from locksweep.revisions import (
    MANIFEST,
    PARTIAL,
    Built,
    builds_of,
    damaged_files,
    identity,
    next_letter,
    partial_builds_of,
    revisions_for,
)
from locksweep.schemas import schema_text
from locksweep.solved import Solved, json_text, solve_job
from parts.catalogue import build as build_solid
from parts.catalogue import family_of
from parts.files import write_bytes
from solver.errors import LocksweepError, WriteError
from solver.families.closure_plate import ClosurePlateDimensions
from solver.part import Part, Refusal

if TYPE_CHECKING:
    from parts.kernel import cq

if TYPE_CHECKING:
    from parts.drawing.title_block import Issue

Progress = Callable[[str], None]

OVERRIDDEN = "STRENGTH CHECK OVERRIDDEN"
"""What every file of a part says that is made although a check falls short."""

RESERVED = re.compile(r"con|prn|aux|nul|(com|lpt)\d")
"""Names that Windows keeps for devices, whatever the folder."""


@dataclass(frozen=True)
class BuildResult:
    """What a build left behind.

    folder: the revision's folder; files: names in it; unchanged: nothing had to be built again
    kept: parts that kept their letter from an earlier revision
    damage: how earlier revisions differ from what was written, a sentence each
    """

    folder: Path
    files: tuple[str, ...]
    solved: Solved
    unchanged: bool
    revisions: dict[str, str]
    kept: tuple[str, ...]
    damage: tuple[str, ...] = ()


def build_job(
    path: Path,
    out: Path,
    *,
    only: Iterable[str] = (),
    schema: str = "AP242",
    single_layer: bool = False,
    progress: Progress = lambda _: None,
) -> BuildResult | Solved:
    """Build a job into ``out``; the bare `Solved` comes back when the goal is out of reach or no part was made.

    only: names of parts or families; those alone are built, into a folder of their own
    schema: of the STEP files, AP242, AP214 or AP203
    single_layer: all of a cutting file on one layer

    Raises:
        LocksweepError: bad job file, geometry, material or part name, kernel or disk trouble.
    """
    text = read_text(path)
    job = parse_job(text, str(path))
    progress("solving the front end")
    solved = solve_job(job)
    if not solved.solution.goal_met:
        return solved
    chosen = _chosen(solved, tuple(only))
    if not chosen:
        return solved
    root = out / file_name(job.name)
    builds = builds_of(root)
    # A part that was built alone has its letter as well: no two different parts may share one.
    history = [*builds, *partial_builds_of(root)]
    revisions = revisions_for(chosen, history)
    inputs = _inputs(text, schema, single_layer)
    damage = tuple(f"{built.folder}: {words}" for built in history for words in damaged_files(built))
    if only:
        target = _free(root, PARTIAL + "+".join(part.name for part in chosen))
    elif builds and builds[-1].inputs == inputs:
        return _unchanged(builds, solved, revisions, damage)
    else:
        target = root / next_letter(builds[-1].revision if builds else "")
    earlier = {
        name
        for built in history
        for name, (letter, _) in built.parts.items()
        if revisions.get(name) == letter
    }
    try:
        with whole_folder(target) as folder:
            progress("loading the CAD kernel")
            # Its import is nearly all of a build's time, so nothing before this line needs it; and both processes
            # share what is loaded before they part.
            import parts.kernel  # noqa: F401
            from parts.drawing.sheet import drawing_names, write_drawing

            issues = {part.name: _issue(solved, part, revisions[part.name]) for part in chosen}
            solids: dict[str, cq.Solid] = {}
            here = _written_here(chosen)
            elsewhere = tuple(part for part in chosen if part not in here)
            all_of_them, letters = chosen, revisions

            def write_and_draw() -> None:
                _write_shapes(elsewhere, solids, folder, letters, schema, single_layer, progress)
                for part in all_of_them:
                    # A copy of this process begins without solids.
                    solid = solids.get(part.name) or build_solid(part.dimensions)
                    write_drawing(solid, part.dimensions, issues[part.name], folder)

            with beside(write_and_draw):
                refused = _held_against_the_tyre(solved, here, solids, progress)
                solved = _without(solved, refused)
                chosen = tuple(part for part in chosen if part.name not in refused)
                if not chosen:
                    raise _NothingMadeError
                revisions = {part.name: revisions[part.name] for part in chosen}
                kept_here = tuple(part for part in here if part.name not in refused)
                _write_shapes(kept_here, solids, folder, revisions, schema, single_layer, progress)
                progress("writing the documents")
                files = {
                    part.name: (*_shape_names(part, revisions[part.name]), *drawing_names(issues[part.name]))
                    for part in chosen
                }
                record = solved.record(revisions=revisions, files=files)
                _write_documents(folder, text, solved, record)
                progress("drawing the sheets")
            for name in refused:
                for file in drawing_names(issues[name]):
                    (folder / file).unlink()
            _write_manifest(folder, chosen, revisions, inputs, target.name)
            names = tuple(sorted(child.name for child in folder.iterdir()))
    except _NothingMadeError:
        return solved
    kept = tuple(sorted(earlier - set(refused)))
    return BuildResult(target, names, solved, False, revisions, kept, damage)


class _NothingMadeError(Exception):
    """Every part was refused when its solid was seen."""


def file_name(name: str) -> str:
    """A job's name made safe for a folder on any system: letters, digits, dots and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    safe = re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-").lower()[:60].strip("-")
    digest = hashlib.sha256(name.encode()).hexdigest()[:8]
    # Names that lose all or much of what tells them apart keep a hash of the whole.
    telling = len(safe) >= len(name.strip()) * 0.6 and not RESERVED.fullmatch(safe)
    return safe if safe and telling else f"{safe or 'job'}-{digest}"


def _chosen(solved: Solved, only: tuple[str, ...]) -> tuple[Part, ...]:
    if not only:
        return solved.parts
    chosen = tuple(p for p in solved.parts if p.name in only or p.dimensions.family in only)
    known = {p.name for p in solved.parts} | {p.dimensions.family for p in solved.parts}
    unknown = [name for name in only if name not in known]
    if unknown:
        refused = {item.name: item.reason for item in solved.refusals}
        why = "; ".join(refused.get(name, "this job has no such part") for name in unknown)
        raise UnknownPartError(
            f"part {', '.join(unknown)}: {why}. This job's parts are {', '.join(sorted(known)) or 'none'}"
        )
    return chosen


class UnknownPartError(LocksweepError, KeyError):
    """A part was asked for by a name that the job doesn't have."""

    def __str__(self) -> str:
        return str(self.args[0])


def _free(root: Path, name: str) -> Path:
    """A folder for some parts alone: named by them, numbered where that name is taken."""
    target, number = root / name[:80], 2
    while target.exists():
        target, number = root / f"{name[:80]}-{number}", number + 1
    return target


def _inputs(text: str, schema: str, single_layer: bool) -> str:
    key = json.dumps([text, schema, single_layer, __version__])
    return hashlib.sha256(key.encode()).hexdigest()


def _unchanged(
    builds: list[Built], solved: Solved, revisions: dict[str, str], damage: tuple[str, ...]
) -> BuildResult:
    folder = builds[-1].folder
    broken = damaged_files(builds[-1])
    if broken:
        raise WriteError(
            f"{folder}: this job was built before, but the folder is not as it was written: {'; '.join(broken)}. "
            "Restore it, or move it away and build again"
        )
    names = tuple(sorted(child.name for child in folder.iterdir()))
    # A part that was refused when its solid was seen is not in the folder.
    revisions = {name: letter for name, letter in revisions.items() if name in builds[-1].parts}
    return BuildResult(folder, names, solved, True, revisions, tuple(sorted(revisions)), damage)


def _written_here(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """The parts whose files this process writes while another one writes those of the others and draws all of them.

    The plates, which it has to look at first; without any, every other part.
    """
    return tuple(part for part in parts if _is_plate(part)) or parts[::2]


def _is_plate(part: Part) -> bool:
    return isinstance(part.dimensions, ClosurePlateDimensions)


def _without(solved: Solved, refused: dict[str, Refusal]) -> Solved:
    if not refused:
        return solved
    parts = tuple(part for part in solved.parts if part.name not in refused)
    return replace(solved, parts=parts, refusals=(*solved.refusals, *refused.values()))


def _issue(solved: Solved, part: Part, letter: str) -> Issue:
    return title_data(part, letter, solved.job.name, solved.job.stock_units, _remark(part))


def _remark(part: Part) -> str:
    """What every file of a part says that was made although a check falls short."""
    return OVERRIDDEN if part.overridden else ""


def _held_against_the_tyre(
    solved: Solved, parts: tuple[Part, ...], solids: dict[str, cq.Solid], progress: Progress
) -> dict[str, Refusal]:
    """Build the closure plates into ``solids``, and say why one is refused whose solid is not what was meant.

    Before anything else is written, so that the rest of the set goes its way without it.
    """
    refusals: dict[str, Refusal] = {}
    plates = [part for part in parts if _is_plate(part)]
    if not plates:
        return refusals
    from locksweep.plate_check import refused, swept_tyres

    tyres = swept_tyres(solved.solution.as_modified.front_end)
    for part in plates:
        progress(f"building {part.name} and holding it against the swept tyre")
        solids[part.name] = build_solid(part.dimensions)
        found = refused(part, solids[part.name], tyres, solved.job.goal.clearance)
        if found:
            refusals[part.name] = found
    return refusals


def _write_shapes(
    parts: tuple[Part, ...],
    solids: dict[str, cq.Solid],
    folder: Path,
    revisions: dict[str, str],
    schema: str,
    single_layer: bool,
    progress: Progress,
) -> None:
    """Build the solids that are not yet in ``solids`` and write their files (`_shape_names`)."""
    from parts.dxf import write_dxf
    from parts.mock_up import mock_up
    from parts.step import write_step
    from parts.stl import write_stl

    for part in parts:
        if part.name not in solids:
            progress(f"building {part.name}")
            solids[part.name] = build_solid(part.dimensions)
        solid, letter = solids[part.name], revisions[part.name]
        stem = f"{part.name}-{letter}"
        colour = family_of(part.dimensions).colour
        remark = _remark(part)
        write_step(
            solid,
            folder / f"{stem}.step",
            name=part.name,
            revision=letter,
            colour=colour,
            originating_system=f"locksweep {__version__}",
            schema=schema,
            remark=remark,
        )
        write_stl(mock_up(solid).solid, folder / f"{stem}.stl", name=f"{stem} {remark}".rstrip())
        pattern = part.dimensions.flat_pattern()
        if pattern is not None:
            write_dxf(
                pattern,
                folder / f"{stem}.dxf",
                name=part.name,
                revision=letter,
                single_layer=single_layer,
                remark=remark,
            )


def _shape_names(part: Part, letter: str) -> tuple[str, ...]:
    """Names of the files with a part's shape; flat parts have one for cutting as well."""
    kinds = ("step", "stl") if part.dimensions.flat_pattern() is None else ("step", "stl", "dxf")
    return tuple(f"{part.name}-{letter}.{kind}" for kind in kinds)


def _write_documents(folder: Path, job_text: str, solved: Solved, record: dict[str, Any]) -> None:
    # What lays out sheets takes a tenth of a second to import, and most commands need none of it.
    from locksweep.note.write import note

    sheets = note(solved.context, solved.parts, record)
    write_text(folder / "job.toml", job_text)
    write_text(folder / "summary.md", summary_text(record))
    write_text(folder / "caution.md", caution_text(record, sheets.pages))
    write_text(folder / PICTURES, sheets.svg)
    write_bytes(folder / SHEETS, sheets.pdf)
    write_text(folder / "summary.json", json_text(record))
    write_text(folder / "summary.schema.json", schema_text("summary"))


def _write_manifest(
    folder: Path, parts: tuple[Part, ...], revisions: dict[str, str], inputs: str, revision: str
) -> None:
    manifest = {
        "format": "locksweep manifest 1",
        "tool": {"name": "locksweep", "version": __version__},
        "revision": revision,
        "inputs": inputs,
        "parts": {p.name: {"revision": revisions[p.name], "identity": identity(p)} for p in parts},
        "files": {child.name: sha256(child) for child in sorted(folder.iterdir())},
    }
    write_text(folder / MANIFEST, json_text(manifest))
