"""What each part carries."""

from __future__ import annotations

from typing import Annotated

import typer

from locksweep.commands.arguments import JobFile
from locksweep.exit_codes import Exit

EXAMPLE = "locksweep loads my-car.toml"


def run(
    job: JobFile,
    json: Annotated[
        bool, typer.Option("--json", help="print the loads for programs instead of tables")
    ] = False,
) -> None:
    """Give the loads from the ground to every member, and what strength is left in each part; no part is built."""
    from locksweep.console import say
    from locksweep.documents.loads import loads_json, loads_text
    from locksweep.job import load_job
    from locksweep.solved import json_text, solve_job

    solved = solve_job(load_job(job))
    record = solved.record()
    say(json_text(loads_json(record), ascii_only=True).rstrip("\n") if json else loads_text(record))
    if not solved.complete:
        raise typer.Exit(Exit.OUT_OF_REACH)
