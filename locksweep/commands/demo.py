"""Make the parts of the demo jobs."""

from __future__ import annotations

from pathlib import Path

import typer

from locksweep.commands.arguments import OutFolder, StepSchema
from locksweep.exit_codes import Exit

EXAMPLE = "locksweep demo --out output"


def run(out: OutFolder = Path("output")) -> None:
    """Build the demo jobs that come with locksweep."""
    from locksweep.commands.build import build
    from locksweep.demo_jobs import demo_names, demo_path

    complete = [build(demo_path(name), out, (), StepSchema.AP242.value, False) for name in demo_names()]
    if not all(complete):
        raise typer.Exit(Exit.OUT_OF_REACH)
