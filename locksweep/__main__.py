"""The process: `locksweep`, or `python -m locksweep`."""

from __future__ import annotations

import gc
from typing import NoReturn


def run() -> NoReturn:
    """Run the command line and end the process."""
    # A command ends within seconds and what it makes lives to its end: looking for garbage among the CAD kernel's
    # hundred thousands of objects would take a tenth of a build, and of the start as well.
    gc.disable()
    from locksweep.cli import command

    command()


if __name__ == "__main__":
    run()
