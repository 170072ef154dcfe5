"""From a job file to the folder of its clearance map."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from locksweep.body.load import LoadedBody, load_bodies
from locksweep.body.write import Written, earlier, inputs_of, write_answer
from locksweep.file_names import file_name
from locksweep.job import parse_job
from locksweep.job.quantities import BadValueError, parse_quantity
from locksweep.job.source import read_text
from solver.body.answer import Answer, Body, answer
from solver.body.band import errors_of
from solver.body.source import Surroundings
from solver.car import Changes, Job
from solver.errors import JobFileError
from solver.front_end import FrontEnd, assemble
from solver.solution import solve

Progress = Callable[[str], None]
WIDEST_GAP = 100.0
"""mm, as for the goal's clearance."""


def look_round(
    path: Path,
    out: Path,
    *,
    gap: str | None = None,
    confidence: float | None = None,
    as_measured: bool = False,
    sheet: str = "A4",
    progress: Progress = lambda _: None,
) -> Written:
    """Work a job's clearances out and write them; a folder that holds the same answer already is left as it is.

    gap: wanted, as a length in words; None for the goal's clearance
    confidence: share of cars, 0.5 to 0.999; None for the job's
    as_measured: the car without any change

    Raises:
        LocksweepError: the job, a scan or an option can't be used, or nothing can be written.
    """
    text = read_text(path)
    job = parse_job(text, str(path))
    wanted = job.goal.clearance if gap is None else gap_of(gap, job)
    job = with_confidence(job, confidence)
    options = (wanted, job.surroundings and job.surroundings.confidence, as_measured, sheet)
    inputs = inputs_of(text, job, path.parent, options)
    same, _ = earlier(out / file_name(job.name), inputs)
    if same is not None:
        record = json.loads((same / "clearance.json").read_text(encoding="utf-8"))
        return Written(same, tuple(sorted(one.name for one in same.iterdir())), True, record)
    progress("solving the front end")
    front_end = assemble(job.car, Changes()) if as_measured else solve(job).as_modified.front_end
    progress("reading what was measured and scanned")
    loaded = load_bodies(job, path.parent)
    found = clearances_of(front_end, loaded, job, wanted, progress=progress)
    return write_answer(
        found,
        loaded,
        job,
        out,
        condition="as measured" if as_measured else "as modified",
        inputs=inputs,
        sheet=sheet,
        progress=progress,
    )


def clearances_of(
    front_end: FrontEnd,
    loaded: list[LoadedBody],
    job: Job,
    gap: float,
    *,
    lines: bool = True,
    progress: Progress = lambda _: None,
) -> Answer:
    """Clearances of one front end; the same loaded bodies serve for any other, such as one with another tyre."""
    told = job.surroundings
    errors = errors_of(job) if told is not None and told.confidence > 0.5 else None
    bodies = [Body(one.surface, one.placement) for one in loaded]
    return answer(front_end, bodies, gap, told, errors=errors, lines=lines, progress=progress)


def gap_of(text: str, job: Job) -> float:
    """A gap given on the command line, in mm.

    Raises:
        JobFileError: it is no length, or not from 0 to 100 mm.
    """
    try:
        gap = parse_quantity(float(text) if _is_number(text) else text, "length", job.stock_units)
    except BadValueError as error:
        raise JobFileError(f"--gap {text}: found {error.found}; expected {error.expected}") from error
    if not 0.0 <= gap <= WIDEST_GAP:
        raise JobFileError(
            f"--gap {text}: found {gap:.4g} mm; expected a length from 0 mm to {WIDEST_GAP:.0f} mm"
        )
    return gap


def with_confidence(job: Job, confidence: float | None) -> Job:
    """The job with another confidence for its clearances, 0.5 to 0.999."""
    if confidence is None:
        return job
    return replace(job, surroundings=replace(job.surroundings or Surroundings(), confidence=confidence))


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
