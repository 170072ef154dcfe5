"""The command line. Exit codes: 0 done, 1 bad input, 2 not understood, 3 out of reach or a part refused,
4 nothing could be written, 5 a system library is missing, 130 interrupted."""

from __future__ import annotations

import gc
import os
import signal
import sys
from enum import IntEnum, StrEnum
from pathlib import Path
from types import FrameType
from typing import Annotated, NoReturn

import typer

from locksweep import __version__
from solver.errors import LocksweepError, MissingLibraryError, WriteError


class Exit(IntEnum):
    """Exit codes."""

    DONE = 0
    BAD_INPUT = 1
    USAGE = 2
    OUT_OF_REACH = 3
    NOT_WRITTEN = 4
    LIBRARY_MISSING = 5
    INTERRUPTED = 130


class FileUnits(StrEnum):
    """Units of a job file."""

    MM = "mm"
    IN = "in"


class StepSchema(StrEnum):
    """Schemas of STEP files."""

    AP242 = "AP242"
    AP214 = "AP214"
    AP203 = "AP203"


app = typer.Typer(
    name="locksweep",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="From a measured strut-type front end to quotable parts for more steering lock.",
    epilog="Exit codes: 0 done; 1 the job file or the geometry can't be used; 2 the command was not understood; "
    "3 the goal is out of reach or a part was refused; 4 files can't be written; 5 a system library is missing; "
    "130 interrupted, nothing half-written is left.",
)

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="job file, see 'locksweep new'")]
OutFolder = Annotated[
    Path, typer.Option("--out", metavar="DIR", help="folder that the job's folder goes into")
]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"locksweep {__version__}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="print the version and stop")
    ] = False,
) -> None:
    """From a measured strut-type front end to quotable parts for more steering lock."""


@app.command(epilog="Example: locksweep new my-car.toml --units in")
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="job file to write")],
    units: Annotated[FileUnits, typer.Option(help="unit of a bare length in the file")] = FileUnits.MM,
) -> None:
    """Write a job file full of comments that tell how each point is measured."""
    from locksweep.console import say
    from locksweep.job.findings import printable
    from locksweep.job.starter import starter_text

    name, text = printable(str(file)), starter_text(units.value, printable(file.name))
    try:
        with file.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
    except FileExistsError as error:
        raise WriteError(f"{name} exists already and is left as it is; choose another name") from error
    except OSError as error:
        raise WriteError(f"{name}: can't be written: {error.strerror or error}") from error
    say(f"{name} is written. It describes a car that does not exist: replace every number by yours, then run")
    say(f"  locksweep check {name}")


@app.command(epilog="Example: locksweep check my-car.toml")
def check(job: JobFile) -> None:
    """Validate a job file and report what looks mis-measured."""
    from locksweep.console import say
    from locksweep.job import parse_job
    from locksweep.job.source import read_text
    from locksweep.job.starter import example_values
    from solver.plausibility import suspicions

    text = read_text(job)
    parsed = parse_job(text, str(job))
    found = suspicions(parsed)
    for item in found:
        say(f"looks mis-measured: {item.what}: {item.found}; expected {item.expected}. {item.advice}")
    examples = example_values(text)
    if examples:
        say(f"{len(examples)} values still are the starter's own. Measure them on your car:")
        for value in examples:
            say(f"  line {value.line}: {value.key} = {value.value}")
    if not found and not examples:
        say(f"{job}: every key is in order and nothing looks mis-measured.")
    elif not found:
        say(f"{job}: every key is in order; nothing else looks mis-measured.")
    else:
        say(f"{job}: every key is in order; {len(found)} to measure again.")


@app.command(epilog="Example: locksweep solve my-car.toml --json > answer.json")
def solve(
    job: JobFile,
    json: Annotated[
        bool, typer.Option("--json", help="print the record for programs instead of tables")
    ] = False,
) -> None:
    """Give the numbers before and after, what stops the wheel, and the parts it takes; no part is built."""
    from locksweep.console import answer_text, say
    from locksweep.job import load_job
    from locksweep.solved import json_text, solve_job

    solved = solve_job(load_job(job))
    record = solved.record()
    say(json_text(record, ascii_only=True).rstrip("\n") if json else answer_text(record))
    if not solved.complete:
        raise typer.Exit(Exit.OUT_OF_REACH)


@app.command(epilog="Example: locksweep build my-car.toml --out output --part rack-spacer")
def build(
    job: JobFile,
    out: OutFolder = Path("output"),
    part: Annotated[
        list[str] | None,
        typer.Option("--part", metavar="NAME", help="build this part or family alone; may be repeated"),
    ] = None,
    step: Annotated[StepSchema, typer.Option(help="schema of the STEP files")] = StepSchema.AP242,
    single_layer: Annotated[bool, typer.Option("--single-layer", help="DXF with all on one layer")] = False,
) -> None:
    """Make the parts: STEP, DXF, STL mock-ups, summary, caution note and manifest, in one folder."""
    if not _build(job, out, tuple(part or ()), step.value, single_layer):
        raise typer.Exit(Exit.OUT_OF_REACH)


@app.command(epilog="Example: locksweep demo --out output")
def demo(out: OutFolder = Path("output")) -> None:
    """Build the demo jobs that come with locksweep."""
    from locksweep.demo_jobs import demo_names, demo_path

    complete = [_build(demo_path(name), out, (), StepSchema.AP242.value, False) for name in demo_names()]
    if not all(complete):
        raise typer.Exit(Exit.OUT_OF_REACH)


@app.command(epilog="Example: locksweep measure my-sheet.toml --job my-car.toml")
def measure(
    sheet: Annotated[
        Path | None, typer.Argument(metavar="SHEET", help="measuring sheet that was filled in, TOML or CSV")
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="write the points into this job file")
    ] = None,
    blank: Annotated[
        Path | None,
        typer.Option("--blank", metavar="OUT", help="write a blank sheet, and beside it one to print"),
    ] = None,
    units: Annotated[FileUnits, typer.Option(help="unit of a bare length in a blank sheet")] = FileUnits.MM,
) -> None:
    """Turn tape, plumb line and gauge readings into points, and name the reading that does not fit."""
    from locksweep.console import aligned, say

    if (sheet is None) == (blank is None) or (blank is not None and job is not None):
        raise typer.BadParameter("expected a SHEET, with --job JOB or without, or --blank OUT alone")
    if blank is not None:
        from locksweep.survey.blank import write_blank

        for file in write_blank(blank, units.value):
            say(f"{file} is written.")
        return
    from locksweep.survey import read_sheet
    from locksweep.survey.report import changes_table, report_text, what_is_wrong
    from solver.survey import adjust

    assert sheet is not None
    read = read_sheet(sheet)
    survey = adjust(read.measurements)
    say(report_text(read, survey))
    wrong = what_is_wrong(read, survey)
    if wrong:
        raise wrong
    if job is not None:
        from locksweep.survey.into_job import update_job

        update = update_job(job, dict(zip(survey.points, survey.positions.tolist(), strict=True)))
        say()
        if not update.changes:
            say(f"{job} has these points already and is left as it is.")
            return
        say("\n".join(["Into the job file", *aligned(changes_table(update.changes))]))
        update.write()
        say(f"{job}: {len(update.changes)} points are written; nothing else was changed.")


def _build(job: Path, out: Path, only: tuple[str, ...], schema: str, single_layer: bool) -> bool:
    """Build one job and say what came of it; False when something of it could not be had."""
    from locksweep.build import BuildResult, build_job
    from locksweep.console import answer_text, progress, say

    result = build_job(job, out, only=only, schema=schema, single_layer=single_layer, progress=progress)
    if not isinstance(result, BuildResult):
        say(answer_text(result.record()))
        say("No part is needed." if result.complete else "No part was built.")
        return result.complete
    if result.unchanged:
        say(f"{result.folder}: nothing changed since this revision was built.")
    else:
        say(f"{result.folder}: {len(result.files)} files")
        for name in result.files:
            say(f"  {name}")
    if result.kept and not result.unchanged:
        say(f"unchanged since an earlier revision: {', '.join(result.kept)}")
    for refusal in result.solved.refusals:
        say(f"not made: {refusal.name} ({refusal.limit}): {refusal.reason}. Instead: {refusal.nearest}.")
    say("Read caution.md before anything is cut. Print the mock-ups and hold them against the car first.")
    return result.solved.complete


class _InterruptedError(BaseException):
    """Raised by Ctrl-C or a request to end; not an Exception, so that nothing on the way out takes it for one."""


def _interrupt(number: int, frame: FrameType | None) -> None:
    raise _InterruptedError


def _end(code: Exit, message: str) -> NoReturn:
    # Here and not above, as it brings NumPy along, which a call for help can do without.
    from locksweep.console import warn

    warn(message)
    sys.exit(code)


def main() -> None:
    """Run the command line; what goes wrong ends in one message and an exit code, never in a traceback."""
    # A command ends within seconds and what it makes lives to its end: looking for garbage among the CAD kernel's
    # hundred thousands of objects would take a tenth of a build.
    gc.disable()
    # No pydantic plugin is wanted, and looking for some costs a tenth of the start.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _interrupt)
    try:
        app()
    except _InterruptedError:
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, signal.SIG_IGN)
        _end(Exit.INTERRUPTED, "interrupted; nothing half-written is left behind")
    except MissingLibraryError as error:
        _end(Exit.LIBRARY_MISSING, str(error))
    except WriteError as error:
        _end(Exit.NOT_WRITTEN, str(error))
    except LocksweepError as error:
        _end(Exit.BAD_INPUT, str(error))
    except OSError as error:
        # What nobody foresaw, such as output that goes to a full disk.
        from locksweep.console import forget

        place = f"{error.filename}: " if error.filename else ""
        forget(sys.stdout)
        _end(Exit.NOT_WRITTEN, f"{place}{error.strerror or error}")
