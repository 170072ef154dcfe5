"""Make the parts of a job."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from locksweep.commands.arguments import JobFile, OutFolder, StepSchema
from locksweep.exit_codes import Exit

EXAMPLE = "locksweep build my-car.toml --out output --part rack-spacer"


def run(
    job: JobFile,
    out: OutFolder = Path("output"),
    part: Annotated[
        list[str] | None,
        typer.Option("--part", metavar="NAME", help="build this part or family alone; may be repeated"),
    ] = None,
    step: Annotated[StepSchema, typer.Option(help="schema of the STEP files")] = StepSchema.AP242,
    single_layer: Annotated[bool, typer.Option("--single-layer", help="DXF with all on one layer")] = False,
    pictures: Annotated[
        bool, typer.Option("--pictures", help="PNG of each part and of the set as well")
    ] = False,
) -> None:
    """Make the parts: STEP, DXF, drawings, mock-ups, assembly, summary, caution, report, manifest, in one folder."""
    if not build(job, out, tuple(part or ()), step.value, single_layer, pictures):
        raise typer.Exit(Exit.OUT_OF_REACH)


def build(
    job: Path, out: Path, only: tuple[str, ...], schema: str, single_layer: bool, pictures: bool = False
) -> bool:
    """Build one job and say what came of it; False when something of it could not be had."""
    from locksweep.building import BuildResult, build_job
    from locksweep.building.part_files import FileOptions
    from locksweep.console import answer_text, progress, say, warn
    from locksweep.documents.cutting import cutting_record, cutting_warnings
    from locksweep.documents.load_record import members_record
    from locksweep.documents.mock_ups import MOCK_UPS
    from locksweep.documents.verdicts import members_short

    options = FileOptions(schema=schema, single_layer=single_layer, pictures=pictures)
    result = build_job(job, out, only=only, options=options, progress=progress)
    if not isinstance(result, BuildResult):
        say(answer_text(result.record()))
        say("No part is needed." if result.complete else "No part was built.")
        return result.complete
    if result.unchanged:
        say(f"{result.folder}: nothing changed since this revision was built.")
    else:
        say(f"{result.folder}: {len(result.files)} files")
        for name in result.files:
            say(f"  {name}")
    if result.kept and not result.unchanged:
        say(f"unchanged since an earlier revision: {', '.join(result.kept)}")
    if result.no_pictures:
        warn(f"no pictures: {result.no_pictures}. All else is there.")
    for words in result.damage:
        warn(f"{words}: that earlier revision is not as it was written; it is left as it is")
    for part in result.solved.parts:
        for sentence in part.overridden:
            say(f"MADE BY OVERRIDE: {part.name}: {sentence}.")
        cutting = cutting_record(part, result.solved.job.part_choices.cutting)
        for sentence in cutting_warnings({"cutting": cutting}):
            say(f"MAY NOT BE CUT: {part.name}: {sentence}.")
    for short in members_short({"members": members_record(result.solved.context)}):
        say(f"not made here and falls short: {short}.")
    for refusal in result.solved.refusals:
        say(f"not made: {refusal.name} ({refusal.limit}): {refusal.reason}. Instead: {refusal.nearest}.")
    say("Read caution.md, or print caution.pdf, before anything is cut.")
    first = "Print the mock-ups and hold them against the car first; " if MOCK_UPS in result.files else ""
    say(f"{first}work-order.pdf says what follows, in which order.")
    return result.solved.complete
