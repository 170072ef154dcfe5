"""From tape readings to points."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from locksweep.commands.arguments import FileUnits

EXAMPLE = "locksweep measure my-sheet.toml --job my-car.toml"


def run(
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
    from locksweep.survey import read_sheet
    from locksweep.survey.blank import write_blank
    from locksweep.survey.into_job import update_job
    from locksweep.survey.report import changes_table, report_text, what_is_wrong
    from solver.survey import adjust

    if (sheet is None) == (blank is None) or (blank is not None and job is not None):
        raise typer.BadParameter("expected a SHEET, with --job JOB or without, or --blank OUT alone")
    if blank is not None:
        for file in write_blank(blank, units.value):
            say(f"{file} is written.")
        return
    assert sheet is not None
    read = read_sheet(sheet)
    survey = adjust(read.measurements)
    say(report_text(read, survey))
    wrong = what_is_wrong(read, survey)
    if wrong:
        raise wrong
    if job is not None:
        update = update_job(job, dict(zip(survey.points, survey.positions.tolist(), strict=True)))
        say()
        if not update.changes:
            say(f"{job} has these points already and is left as it is.")
            return
        say("\n".join(["Into the job file", *aligned(changes_table(update.changes))]))
        update.write()
        say(f"{job}: {len(update.changes)} points are written; nothing else was changed.")
