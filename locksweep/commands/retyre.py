"""Another tyre: what it changes, before anything is built."""

from __future__ import annotations

from typing import Annotated

import typer

from locksweep.commands.arguments import JobFile
from locksweep.exit_codes import Exit

EXAMPLE = "locksweep retyre my-car.toml 265/35R18 --rim-width '9.5 in' --offset '22 mm'"


def _length(help_text: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(metavar="LENGTH", help=help_text)
    return option


def run(
    job: JobFile,
    size: Annotated[str, typer.Argument(metavar="SIZE", help="of the new tyre, such as 265/35R18")],
    rim_width: Annotated[
        str | None, _length("of the rim it goes on; left out, the job's, or the size's measuring rim")
    ] = None,
    offset: Annotated[
        str | None, _length("of that rim, positive with its mounting face further out; left out, as before")
    ] = None,
    diameter: Annotated[str | None, _length("outside diameter as measured, instead of the size's")] = None,
    section_width: Annotated[str | None, _length("section width as measured on that rim")] = None,
    loaded_radius: Annotated[str | None, _length("wheel centre to ground as measured")] = None,
    gap: Annotated[str | None, _length("wanted gap, instead of the goal's clearance")] = None,
    confidence: Annotated[
        float | None,
        typer.Option(
            min=50.0,
            max=99.9,
            metavar="PERCENT",
            help="clearance that so many of 100 cars, measured alike, have at least; 50 is the plain value",
        ),
    ] = None,
    write: Annotated[bool, typer.Option("--write", help="keep the new tyre in the job file")] = False,
    json: Annotated[
        bool, typer.Option("--json", help="print the record for programs instead of tables")
    ] = False,
) -> None:
    """Show what another tyre changes: lock, clearances, what to cut, and whether the plates and parts can stay."""
    from locksweep.console import aligned, progress, say, warn
    from locksweep.documents.retyre import retyre_text
    from locksweep.documents.retyre_record import retyre_record
    from locksweep.retyre.change import change_tyre
    from locksweep.retyre.into_job import how_to_keep, update_job
    from locksweep.solved import json_text
    from locksweep.survey.report import changes_table

    given = {
        "rim_width": rim_width,
        "offset": offset,
        "outside_diameter": diameter,
        "section_width": section_width,
        "loaded_radius": loaded_radius,
    }
    found = change_tyre(
        job,
        size,
        given,
        gap=gap,
        confidence=None if confidence is None else confidence / 100,
        progress=progress,
    )
    record = retyre_record(found)
    # What can't be written is said before pages of tables hide it.
    update = update_job(job, found.job, found.wheel) if write else None
    say(json_text(record, ascii_only=True).rstrip("\n") if json else retyre_text(record))
    tell = warn if json else say
    tell("")
    if update is None:
        tell(how_to_keep(str(job), found.job, found.wheel))
    elif not update.changes:
        tell(f"{job} has this tyre already and is left as it is.")
    else:
        update.write()
        tell("\n".join(["Into the job file", *aligned(changes_table(update.changes))]))
        tell(f"{job}: the new tyre is written; nothing else was changed.")
    if not found.complete:
        raise typer.Exit(Exit.OUT_OF_REACH)
