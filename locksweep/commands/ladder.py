"""How far each kind of work gets."""

from __future__ import annotations

from typing import Annotated

import typer

from locksweep.commands.arguments import JobFile
from locksweep.exit_codes import Exit

EXAMPLE = "locksweep ladder my-car.toml"


def run(
    job: JobFile,
    json: Annotated[bool, typer.Option("--json", help="print the rungs as data instead of a table")] = False,
) -> None:
    """Show how far each kind of work gets, from the least to the most: lock, what ends it, and what has to be done."""
    from locksweep.console import say
    from locksweep.documents.ladder import ladder_record, ladder_text
    from locksweep.job import load_job
    from locksweep.solved import json_text
    from solver.search.ladder import ladder

    loaded = load_job(job)
    record = ladder_record(loaded, ladder(loaded))
    say(json_text(record, ascii_only=True).rstrip("\n") if json else ladder_text(record))
    if not any(rung["meets_goal"] for rung in record["rungs"]):
        raise typer.Exit(Exit.OUT_OF_REACH)
