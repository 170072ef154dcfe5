"""The pipeline of a build: job file, solution, parts, files, documents, manifest, one folder."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from locksweep.beside import beside
from locksweep.building.car_set import write_set
from locksweep.building.choice import chosen_parts
from locksweep.building.papers import inputs_of, note_of, write_documents, write_manifest
from locksweep.building.part_files import AS_USUAL, FileOptions, PartFiles
from locksweep.building.plates import held_against_the_tyre, is_plate
from locksweep.file_names import file_name
from locksweep.folder import whole_folder, write_text
from locksweep.job import parse_job
from locksweep.job.source import read_text
from locksweep.revisions import (
    PARTIAL,
    Built,
    builds_of,
    damaged_files,
    next_letter,
    partial_builds_of,
    revisions_for,
)
from locksweep.solved import Solved, solve_job
from solver.car import Job
from solver.errors import WriteError
from solver.part import Part, Refusal

if TYPE_CHECKING:
    from locksweep.report.meshes import Mesh
    from locksweep.work_order.facts import Reckoned

Progress = Callable[[str], None]


@dataclass(frozen=True)
class BuildResult:
    """What a build left behind.

    folder: the revision's folder; files: names in it; unchanged: nothing had to be built again
    kept: parts that kept their letter from an earlier revision
    damage: how earlier revisions differ from what was written, a sentence each
    no_pictures: why pictures that were asked for aren't there, a clause
    """

    folder: Path
    files: tuple[str, ...]
    solved: Solved
    unchanged: bool
    revisions: dict[str, str]
    kept: tuple[str, ...]
    damage: tuple[str, ...] = ()
    no_pictures: str = ""


def build_job(
    path: Path,
    out: Path,
    *,
    only: Iterable[str] = (),
    options: FileOptions = AS_USUAL,
    progress: Progress = lambda _: None,
) -> BuildResult | Solved:
    """Build a job into ``out``; the bare `Solved` comes back when the goal is out of reach or no part was made.

    only: names of parts or families; those alone are built, into a folder of their own

    Raises:
        LocksweepError: bad job file, geometry, material or part name, kernel or disk trouble.
    """
    text = read_text(path)
    job = parse_job(text, str(path))
    only = tuple(only)
    root = out / file_name(job.name)
    builds = builds_of(root)
    inputs = inputs_of(text, job, path.parent, options)
    if builds and builds[-1].inputs == inputs and not only:
        progress("solving the front end")
        return _unchanged(builds, solve_job(job), partial_builds_of(root))
    solved, ahead = _solved_while_loading(job, path.parent, progress)
    if ahead is None:
        return solved
    chosen = chosen_parts(solved, only)
    if not chosen:
        return solved
    # A part that was built alone has its letter as well: no two different parts may share one.
    history = [*builds, *partial_builds_of(root)]
    revisions = revisions_for(chosen, history)
    if only:
        target = _free(root, PARTIAL + "+".join(part.name for part in chosen))
    else:
        target = root / next_letter(builds[-1].revision if builds else "")
    try:
        with whole_folder(target) as folder:
            files = PartFiles(solved, folder, revisions, options, progress)
            revision = None if only else target.name
            refused = _write_parts(files, chosen, history, text, ahead, revision)
            made = tuple(part for part in chosen if part.name not in refused)
            solved = _without(solved, refused)
            revisions = {part.name: revisions[part.name] for part in made}
            if files.no_pictures:
                # Where they can be drawn one day, another build is to have them.
                inputs = inputs_of(text, job, path.parent, replace(options, pictures=False))
            write_manifest(files, made, inputs, target.name)
            names = tuple(sorted(child.name for child in folder.iterdir()))
    except _NothingMadeError:
        return solved
    kept = _kept(history, revisions)
    damage = _damage(history)
    return BuildResult(target, names, solved, False, revisions, kept, damage, files.no_pictures)


@dataclass(frozen=True)
class _Ahead:
    """What the papers say of a solved job whatever becomes of its parts.

    moving: of the report; reckoned: for the work order
    """

    moving: dict[str, Any]
    reckoned: Reckoned


def _solved_while_loading(job: Job, job_folder: Path, progress: Progress) -> tuple[Solved, _Ahead | None]:
    """Solve the job in one process while the other one loads the CAD kernel, which is much of a build's time.

    Where the goal is met, the first one goes on with what needs no part. What both processes of `_write_parts` need is
    loaded here, so that they share it.
    """
    progress("solving the front end and loading the CAD kernel")
    with beside(lambda: _solved_ahead(job, job_folder)) as answer:
        import parts.drawing.sheet
        import parts.mock_up  # noqa: F401
    return answer.value


def _solved_ahead(job: Job, job_folder: Path) -> tuple[Solved, _Ahead | None]:
    from locksweep.report.document import moving_document
    from locksweep.work_order.facts import reckoned

    solved = solve_job(job)
    if not solved.solution.goal_met:
        return solved, None
    return solved, _Ahead(moving_document(solved, job_folder), reckoned(solved))


class _NothingMadeError(Exception):
    """Every part was refused when its solid was seen."""


def _write_parts(
    files: PartFiles,
    chosen: tuple[Part, ...],
    history: list[Built],
    job_text: str,
    ahead: _Ahead,
    revision: str | None,
) -> dict[str, Refusal]:
    """Write everything but the manifest; what comes back are the parts that were refused when their solids were seen.

    Parts that an earlier build made from the same are taken over. Two processes share the others: this one makes the
    plates, which have to be looked at first, half of the marking aids, and the documents; the other one the rest, the
    drawings of all, the set as it sits on the car, and the report's light meshes.

    revision: of the whole set, None where parts are built alone
    """
    from locksweep.report.document import said_document, with_meshes
    from locksweep.report.page import REPORT, page_text

    new = tuple(part for part in chosen if not files.copy_unchanged(part, history))
    aids = tuple(part for part in new if part.role == "marking aid")
    here = (*(part for part in new if is_plate(part)), *aids[::2]) or new[::2]
    elsewhere = tuple(part for part in new if part not in here)

    def write_and_draw() -> tuple[dict[str, dict[str, Any]], dict[str, Mesh]]:
        # A copy of this process begins without solids.
        files.write_shapes(elsewhere)
        files.write_drawings(new)
        if revision:
            write_set(files, chosen, revision)
        return files.mock_ups, files.light_meshes(chosen)

    with beside(write_and_draw) as answer:
        # A plate that is the plate it was may have another tyre beside it.
        refused = held_against_the_tyre(files, chosen)
        made = tuple(part for part in chosen if part.name not in refused)
        if not made:
            raise _NothingMadeError
        with files.drawing_pictures(made):
            files.write_shapes(part for part in here if part.name not in refused)
        files.progress("writing the documents")
        solved = _without(files.solved, refused)
        letters = {part.name: files.revisions[part.name] for part in made}
        sheets = note_of(solved, letters)
        files.progress("drawing the sheets")
    mock_ups, meshes = answer.value
    files.mock_ups |= mock_ups
    files.remove(part for part in chosen if part.name in refused)
    if refused and revision:
        write_set(files, made, revision)
    names = {part.name: files.names(part) for part in made}
    record = solved.record(revisions=letters, files=names, mock_ups=files.mock_ups)
    write_documents(files, job_text, solved, record, sheets, ahead.reckoned)
    beside_it = {child.name for child in files.folder.iterdir()}
    report = with_meshes(said_document(record, beside_it) | ahead.moving, solved, meshes)
    write_text(files.folder / REPORT, page_text(report))
    return refused


def _kept(history: list[Built], revisions: dict[str, str]) -> tuple[str, ...]:
    """Parts that have the letter which an earlier build gave them."""
    earlier = {(name, letter) for built in history for name, (letter, _) in built.parts.items()}
    return tuple(sorted(name for name, letter in revisions.items() if (name, letter) in earlier))


def _free(root: Path, name: str) -> Path:
    """A folder for some parts alone: named by them, numbered where that name is taken."""
    target, number = root / name[:80], 2
    while target.exists():
        target, number = root / f"{name[:80]}-{number}", number + 1
    return target


def _unchanged(builds: list[Built], solved: Solved, alone: list[Built]) -> BuildResult:
    """What the last build of the set left behind, of a job that is as it was then."""
    last = builds[-1]
    broken = damaged_files(last)
    if broken:
        raise WriteError(
            f"{last.folder}: this job was built before, but the folder is not as it was written: {'; '.join(broken)}. "
            "Restore it, or move it away and build again"
        )
    names = tuple(sorted(child.name for child in last.folder.iterdir()))
    # A part that was refused when its solid was seen is not in the folder.
    revisions = {name: letter for name, (letter, _) in last.parts.items()}
    return BuildResult(
        last.folder, names, solved, True, revisions, tuple(sorted(revisions)), _damage([*builds, *alone])
    )


def _damage(history: list[Built]) -> tuple[str, ...]:
    """How earlier builds differ from what was written, a sentence each."""
    return tuple(f"{built.folder}: {words}" for built in history for words in damaged_files(built))


def _without(solved: Solved, refused: dict[str, Refusal]) -> Solved:
    if not refused:
        return solved
    parts = tuple(part for part in solved.parts if part.name not in refused)
    return replace(solved, parts=parts, refusals=(*solved.refusals, *refused.values()))
