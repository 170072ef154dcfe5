"""All flat parts of the last build on stock sheets."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from locksweep.commands.arguments import JobFile, OutFolder

EXAMPLE = "locksweep nest my-car.toml --sheet 1000x2000mm"


def run(
    job: JobFile,
    out: OutFolder = Path("output"),
    sheet: Annotated[
        str | None,
        typer.Option(
            metavar="SIZE",
            help="sheet as it is bought, such as '4 ft x 8 ft'; usual: 1000 x 2000 mm or 48 x 96 in",
        ),
    ] = None,
    gap: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH", help="between outlines; usual: a web's least width and two kerfs, or 5 mm"
        ),
    ] = None,
    margin: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="free along the sheet's edges; usual: 10 mm")
    ] = None,
    single_layer: Annotated[
        bool, typer.Option("--single-layer", help="outlines only, all on one layer")
    ] = False,
    names: Annotated[
        bool,
        typer.Option("--names", help="write the pieces' names on the marking layer, where they have room"),
    ] = False,
) -> None:
    """Lay out all flat parts of the last build, as often as they are wanted, on sheets of plate: DXF and a picture."""
    from locksweep.console import say, say_left
    from locksweep.nest.picture import facts, from_bar
    from locksweep.nest.write import nest_job

    found = nest_job(job, out, sheet=sheet, gap=gap, margin=margin, single_layer=single_layer, names=names)
    if found is None:
        say("This job has no part that is cut out of plate.")
        return
    say_left(found.left, "layout", "laid out", found.of)
    for name, each in found.sheets.items():
        count = len(each.placed)
        say(f"  {name}: {count} piece{'s' if count > 1 else ''}, {each.material}")
        for fact in facts(each, found.units):
            say(f"    {fact}")
    if found.machined:
        say(from_bar(found.machined))
    say("nest.pdf shows what lies where. Read caution.md before anything is ordered.")
