"""What each part carries."""

from __future__ import annotations

from pathlib import Path
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
    pdf: Annotated[
        Path | None,
        typer.Option(
            "--pdf", metavar="FILE", help="write the caution note for print as well, a sheet a part"
        ),
    ] = None,
) -> None:
    """Give the loads from the ground to every member, and what strength is left in each part; no part is built."""
    from locksweep.console import say, warn
    from locksweep.documents.loads import loads_json, loads_text
    from locksweep.job import load_job
    from locksweep.solved import json_text, solve_job

    # A job file named by mistake must not be written over.
    if pdf is not None and pdf.suffix.lower() != ".pdf":
        raise typer.BadParameter(f"expected a name that ends in .pdf, not {pdf.name}", param_hint="--pdf")
    solved = solve_job(load_job(job))
    record = solved.record()
    say(json_text(loads_json(record), ascii_only=True).rstrip("\n") if json else loads_text(record))
    if pdf is not None:
        from locksweep.note.write import note
        from parts.files import write_bytes

        write_bytes(pdf, note(solved.context, solved.parts, record).pdf)
        warn(f"{pdf} is written.")
    if not solved.complete:
        raise typer.Exit(Exit.OUT_OF_REACH)
