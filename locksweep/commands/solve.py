"""The numbers of a job."""

from __future__ import annotations

from typing import Annotated

import typer

from locksweep.commands.arguments import JobFile
from locksweep.exit_codes import Exit

EXAMPLE = "locksweep solve my-car.toml --json > answer.json"


def run(
    job: JobFile,
    json: Annotated[
        bool, typer.Option("--json", help="print the record for programs instead of tables")
    ] = False,
) -> None:
    """Give the numbers before and after, what stops the wheel, and the parts it takes; no part is built.

    Marking aids are in the record for programs and in what is built, not in the tables.
    """
    from locksweep.console import answer_text, say
    from locksweep.job import load_job
    from locksweep.solved import json_text, solve_job

    solved = solve_job(load_job(job), aids=json)
    record = solved.record()
    say(json_text(record, ascii_only=True).rstrip("\n") if json else answer_text(record))
    if not solved.complete:
        raise typer.Exit(Exit.OUT_OF_REACH)
