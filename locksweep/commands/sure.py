"""How sure the numbers of a job are."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from locksweep.commands.arguments import JobFile
from locksweep.exit_codes import Exit

EXAMPLE = "locksweep sure my-car.toml"


def run(
    job: JobFile,
    samples: Annotated[
        int,
        typer.Option("--samples", min=100, max=200_000, help="cars that the measurements allow to look at"),
    ] = 10_000,
    sheet: Annotated[
        Path | None,
        typer.Option(
            "--sheet", metavar="SHEET", help="measuring sheet that the job's points were found from"
        ),
    ] = None,
    json: Annotated[
        bool, typer.Option("--json", help="print the record for programs instead of tables")
    ] = False,
) -> None:
    """Tell how far the answer may be off as the points were measured, and what to measure again."""
    from locksweep.console import aligned, progress, say
    from locksweep.documents.sureness import record_of
    from locksweep.documents.sureness_text import text_of
    from locksweep.job import load_job
    from locksweep.solved import json_text
    from solver.compiled.poses import compiled_before
    from solver.solution import solve
    from solver.uncertainty import assess

    loaded = load_job(job)
    sources = None
    if sheet is not None:
        from locksweep.survey import read_sheet
        from locksweep.survey.report import what_is_wrong
        from solver.survey import adjust
        from solver.uncertainty.surveyed import sources_from

        read = read_sheet(sheet)
        survey = adjust(read.measurements)
        wrong = what_is_wrong(read, survey)
        if wrong:
            raise wrong
        sources = sources_from(loaded, survey)
    solution = solve(loaded)
    if not compiled_before():
        progress("compiling the lock sweep, once on this machine")
    record = record_of(loaded, assess(solution, samples, sources))
    say(json_text(record, ascii_only=True).rstrip("\n") if json else text_of(record, aligned))
    if not solution.goal_met:
        raise typer.Exit(Exit.OUT_OF_REACH)
