"""What the tyre comes near: the clearance map of the body, and what to cut."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from locksweep.commands.arguments import JobFile, OutFolder

EXAMPLE = "locksweep clearance my-car.toml --gap '8 mm'"


class Sheet(StrEnum):
    """Sizes of paper that templates are printed on."""

    A4 = "A4"
    A3 = "A3"
    LETTER = "letter"


def run(
    job: JobFile,
    out: OutFolder = Path("output"),
    gap: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="wanted gap, instead of the goal's clearance")
    ] = None,
    confidence: Annotated[
        float | None,
        typer.Option(
            min=50.0,
            max=99.9,
            metavar="PERCENT",
            help="clearance that so many of 100 cars, measured alike, have at least; 50 is the plain value",
        ),
    ] = None,
    measured: Annotated[
        bool, typer.Option("--as-measured", help="the car as it stands, without any change")
    ] = False,
    sheet: Annotated[Sheet, typer.Option(help="paper that templates are printed on")] = Sheet.A4,
    json: Annotated[
        bool, typer.Option("--json", help="print the record for programs instead of tables")
    ] = False,
) -> None:
    """Sweep both tyres past the body: what they touch first, where, at which steer, and what to cut."""
    from locksweep.body.clearances import look_round
    from locksweep.body.summary import hardware_table, places_table, verdict
    from locksweep.console import aligned, progress, say, warn
    from locksweep.solved import json_text

    written = look_round(
        job,
        out,
        gap=gap,
        confidence=None if confidence is None else confidence / 100,
        as_measured=measured,
        sheet=sheet.value,
        progress=progress,
    )
    for remark in written.remarks:
        warn(remark)
    if json:
        say(json_text(written.record, ascii_only=True).rstrip("\n"))
        return
    record = written.record
    say("\n".join(verdict(record)))
    if record["places"]:
        say("\n".join(["", "Places, the worst first", *aligned(places_table(record, 8))]))
    table = [line for line in hardware_table(record) if line.startswith("|")]
    if table:
        say("\n".join(["", "Arm, tie rod, rim and the rest", *aligned(table)]))
    say()
    say(record["caution"])
    say()
    if written.unchanged:
        say(f"{written.folder}: nothing changed since this was written.")
    else:
        say(f"{written.folder}: {len(written.files)} files")
        for name in written.files:
            say(f"  {name}")
