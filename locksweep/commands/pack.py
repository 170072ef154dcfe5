"""One archive for each kind of shop, from the last build."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from locksweep.commands.arguments import JobFile, OutFolder

EXAMPLE = "locksweep pack my-car.toml"


def run(
    job: JobFile,
    out: OutFolder = Path("output"),
    since: Annotated[
        str | None,
        typer.Option(metavar="LETTER", help="leave out what an earlier revision has as it is now"),
    ] = None,
) -> None:
    """Pack the last build for machining, cutting and printing: files, a list, and a request ready to send."""
    from locksweep.console import say, say_left
    from locksweep.pack.write import pack_job

    packed = pack_job(job, out, since)
    say_left(packed.left, "pack", "packed", packed.of)
    for shop, rows in packed.parts.items():
        say(f"  {shop}.zip: {', '.join(f'{row.part} ({row.quantity})' for row in rows)}")
    if packed.same:
        say(f"  left out, as they were in revision {since}: {', '.join(packed.same)}")
    if packed.own:
        say(f"  in none of them, to be printed by yourself from {packed.of}: {', '.join(packed.own)}")
    say("Each holds the files, parts-list.pdf, parts-list.csv, and request.txt to send along.")
    say("Read caution.md before anything is ordered.")
