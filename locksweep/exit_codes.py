"""Exit codes of the command line."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """Exit codes."""

    DONE = 0
    BAD_INPUT = 1
    USAGE = 2
    OUT_OF_REACH = 3
    NOT_WRITTEN = 4
    LIBRARY_MISSING = 5
    INTERRUPTED = 130


EXPLAINED = (
    "Exit codes: 0 done; 1 the job file or the geometry can't be used; 2 the command was not understood; "
    "3 the goal is out of reach or a part was refused; 4 files can't be written; 5 a system library is missing; "
    "130 interrupted, nothing half-written is left."
)
