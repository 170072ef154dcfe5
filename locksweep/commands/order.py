"""The work order of a job, to read before anything is built."""

from __future__ import annotations

import typer

from locksweep.commands.arguments import JobFile
from locksweep.exit_codes import Exit

EXAMPLE = "locksweep order my-car.toml > work-order.md"


def run(job: JobFile) -> None:
    """Print the work order in Markdown: what to buy, make and modify, in order, with hold points, set-up and gaps."""
    from locksweep.console import say
    from locksweep.job import load_job
    from locksweep.solved import solve_job
    from locksweep.work_order import work_order
    from locksweep.work_order.markdown import markdown_text

    solved = solve_job(load_job(job))
    say(markdown_text(work_order(solved, solved.record())).rstrip("\n"))
    if not solved.complete:
        raise typer.Exit(Exit.OUT_OF_REACH)
