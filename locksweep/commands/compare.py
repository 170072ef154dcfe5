"""What changed between two revisions or two job files, why, and what becomes of the parts that there are."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from locksweep.exit_codes import Exit

EXAMPLE = "locksweep compare output/my-car/A my-car.toml --picture changes.svg"

Side = "a revision's folder as a build left it, or a job file"


def run(
    old: Annotated[Path, typer.Argument(metavar="A", help=Side)],
    new: Annotated[Path, typer.Argument(metavar="B", help="another one")],
    picture: Annotated[
        Path | None,
        typer.Option(
            "--picture", metavar="FILE.svg", help="draw changed outlines, old and new over one another"
        ),
    ] = None,
    json: Annotated[
        bool, typer.Option("--json", help="print the record for programs instead of tables")
    ] = False,
) -> None:
    """Show for each part what changed, by how much, which key of the job moved it, and if the old one can be used."""
    from locksweep.compare.comparison import compare
    from locksweep.compare.overlay import overlay_svg
    from locksweep.console import progress, say, warn
    from locksweep.documents.compare import compare_text
    from locksweep.documents.compare_record import compare_record
    from locksweep.folder import write_new
    from locksweep.solved import json_text

    found = compare(old, new, progress)
    record = compare_record(found)
    say(json_text(record, ascii_only=True).rstrip("\n") if json else compare_text(record))
    tell = warn if json else say
    if picture is not None:
        drawn = overlay_svg([change for change, _ in found.parts])
        tell("")
        if drawn is None:
            tell("No outline changed, so no picture was drawn.")
        elif write_new(picture, drawn.encode("utf-8")):
            tell(f"{picture}: old and new outlines over one another")
        else:
            tell(f"{picture}: is there already, the same to the last byte")
    for words in found.damage:
        warn(f"{words}: the folder is not as it was written")
    if found.damage:
        raise typer.Exit(Exit.NOT_WRITTEN)
    if not found.complete:
        raise typer.Exit(Exit.OUT_OF_REACH)
