"""Arguments and options that several commands share."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class FileUnits(StrEnum):
    """Units of a job file."""

    MM = "mm"
    IN = "in"


class StepSchema(StrEnum):
    """Schemas of STEP files."""

    AP242 = "AP242"
    AP214 = "AP214"
    AP203 = "AP203"


JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="job file, see 'locksweep new'")]
OutFolder = Annotated[
    Path, typer.Option("--out", metavar="DIR", help="folder that the job's folder goes into")
]
