"""What the commands print: answers as tables, errors as one sentence, progress on what takes over a second."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from locksweep.documents.cutting import cutting_warnings
from locksweep.documents.record import units_of
from locksweep.documents.summary import changes_table, gains, limits_table, measures_table
from locksweep.documents.verdicts import least_margin
from locksweep.documents.wording import in_reader_units

if TYPE_CHECKING:
    from locksweep.after_build import Left

BETWEEN_CELLS = re.compile(r"(?<!\\)\|")
"""A bar that isn't escaped."""


def say(text: str = "") -> None:
    """To standard output; a character that the terminal doesn't know is replaced, not an error."""
    _write(sys.stdout, text)


def warn(text: str) -> None:
    """To standard error."""
    _write(sys.stderr, text)


def say_left(left: Left, what: str, done: str, built: Path) -> None:
    """Where something that is made of a build was left; ``what`` it is, what was ``done``, the build's folder."""
    for name in left.others:
        warn(f"{left.folder.parent / name}: another {what} of this revision, left as it is")
    if left.unchanged:
        say(f"{left.folder}: nothing changed since this was {done}.")
    else:
        say(f"{left.folder}: {done} from {built}")


def progress(step: str) -> None:
    """One line a step on standard error, so that output can be piped."""
    warn(f"  {step} …")


def answer_text(record: Mapping[str, Any]) -> str:
    """The whole answer to a job for the terminal."""
    record = in_reader_units(record)
    goal, turns = record["goal"], record["as_modified"]["turns"]
    lines = [f"{record['job']['name']}: {record['tyre']['size']}, {goal['lock_deg']:.1f}° of lock wanted", ""]
    if goal["met"]:
        lines.append(
            f"Goal met: {turns['left']['lock_deg']:.1f}° to the left, {turns['right']['lock_deg']:.1f}° to the right."
        )
    else:
        lines.append(f"Out of reach: {goal['answer']}.")
    for title, table in (
        ("Changes", changes_table(record)),
        ("Before and after", measures_table(record)),
        ("What stops the wheel, first one first", limits_table(record)),
    ):
        lines += ["", title, *aligned(table)]
    lines += [f"  {_plain(line)}" for line in gains(record)]
    lines += ["", *_parts(record)]
    return "\n".join([*lines, "", record["caution"]])


def _parts(record: Mapping[str, Any]) -> list[str]:
    units = units_of(record)
    lines = []
    if record["parts"]:
        rows = ["| part | quantity | material | size over all | least margin in the load cases |", "|"]
        for part in record["parts"]:
            least = (
                "carries nothing" if part["role"] in ("closes a hole", "marking aid") else least_margin(part)
            )
            if part["overridden"]:
                least += ", MADE BY OVERRIDE"
            scale, digits = (25.4, 2) if units == "in" else (1.0, 1)
            size = " × ".join(f"{side / scale:.{digits}f}" for side in part["envelope_mm"])
            rows.append(
                f"| {part['name']} | {part['quantity']} | {part['material']} | {size} {units} | {least} |"
            )
        lines += ["Parts", *aligned(rows)]
        for part in record["parts"]:
            lines += ["", f"{part['name']}, set by:", *(f"  - {reason}" for reason in part["reasons"])]
            lines += [f"  MADE BY OVERRIDE: {sentence}" for sentence in part["overridden"]]
            lines += [f"  MAY NOT BE CUT: {sentence}" for sentence in cutting_warnings(part)]
    for item in record["refused"]:
        lines += [
            "",
            f"Not made: {item['name']} ({item['limit']}): {item['reason']}. Instead: {item['nearest']}.",
        ]
    return lines


def aligned(table: list[str]) -> list[str]:
    """Markdown table lines as columns for a terminal."""
    cells = [
        [_plain(cell) for cell in BETWEEN_CELLS.split(line.strip().strip("|"))]
        for line in table
        if line and not line.startswith("| ---") and line != "|"
    ]
    widths = [max(len(row[i]) for row in cells if i < len(row)) for i in range(max(map(len, cells)))]
    texts = [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False)).rstrip()
        for row in cells
    ]
    return ["  " + texts[0], "  " + "-" * max(map(len, texts)), *("  " + text for text in texts[1:])]


def _plain(cell: str) -> str:
    return re.sub(r"\\(.)", r"\1", cell.strip().replace("**", ""))


def _write(stream: Any, text: str) -> None:
    if stream is None:  # Python has none where the shell closed it.
        return
    encoding = stream.encoding or "utf-8"
    try:
        stream.write(text.encode(encoding, "replace").decode(encoding) + "\n")
        stream.flush()
    except BrokenPipeError:
        # Whoever read it has had enough, which is no reason to leave a build unfinished.
        forget(stream)


def forget(stream: Any) -> None:
    """Let all that is still to be written to a stream go nowhere, so that Python doesn't complain at exit."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
