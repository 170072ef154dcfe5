"""Write a starter job file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from locksweep.commands.arguments import FileUnits
from solver.errors import WriteError

EXAMPLE = "locksweep new my-car.toml --units in"


def run(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="job file to write")],
    units: Annotated[FileUnits, typer.Option(help="unit of a bare length in the file")] = FileUnits.MM,
) -> None:
    """Write a job file full of comments that tell how each point is measured."""
    from locksweep.console import say
    from locksweep.job.findings import printable
    from locksweep.job.starter import starter_text

    name, text = printable(str(file)), starter_text(units.value, printable(file.name))
    try:
        with file.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
    except FileExistsError as error:
        raise WriteError(f"{name} exists already and is left as it is; choose another name") from error
    except OSError as error:
        raise WriteError(f"{name}: can't be written: {error.strerror or error}") from error
    say(f"{name} is written. It describes a car that does not exist: replace every number by yours, then run")
    say(f"  locksweep check {name}")
