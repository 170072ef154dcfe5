"""What is wrong with a job file: one finding for each place, all of them in one error."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from solver.errors import JobFileError

KeyPath = tuple[str | int, ...]
"""From the file's top down to one value: names of tables and keys, and positions in lists from 0."""

MOST_SHOWN = 60
"""Findings printed; a file with more has one cause, and the first ones tell it."""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, before it is known on which line it stands.

    path: of the key, list items numbered from 0; () for the file as a whole
    found: the value with its unit, as written
    """

    path: KeyPath
    found: str
    expected: str
    hint: str = ""
    example: str = ""
    line: int | None = None


@dataclass(frozen=True)
class Finding:
    """One thing that is wrong in a job file, with all that is needed to put it right.

    line: counted from 1; None where no line can be told
    key: such as car.left.ball_joint[2]; "" for the file as a whole
    found: the value with its unit, as written
    hint: what to do, or ""
    """

    file: str
    line: int | None
    key: str
    found: str
    expected: str
    example: str
    hint: str = ""

    def __str__(self) -> str:
        place = self.file if self.line is None else f"{self.file}, line {self.line}"
        rows = [f"{place}: {self.key}" if self.key else place]
        rows += [f"  found     {self.found}", f"  expected  {self.expected}"]
        if self.example:
            rows.append(f"  example   {self.example}")
        if self.hint:
            rows.append(f"  hint      {self.hint}")
        return "\n".join(rows)


class JobFindingsError(JobFileError):
    """A job file can't be used as it stands.

    findings: everything that is wrong with it, in the order of the file
    """

    def __init__(self, file: str, findings: Iterable[Finding]) -> None:
        self.file = file
        self.findings = list(findings)
        count = len(self.findings)
        heading = f"{file} can't be used: {count} {'thing' if count == 1 else 'things'} to put right."
        shown = [str(finding) for finding in self.findings[:MOST_SHOWN]]
        if count > MOST_SHOWN:
            shown.append(f"and {count - MOST_SHOWN} more.")
        super().__init__("\n\n".join([heading, *shown]))

    def __reduce__(self) -> tuple[type[JobFindingsError], tuple[str, list[Finding]]]:
        return (type(self), (self.file, self.findings))


def printable(text: str) -> str:
    """The text with whatever would move the cursor or can't be seen shown by its code."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def key_text(path: KeyPath) -> str:
    """A key path as written in messages: dots between keys, list items in brackets and numbered from 0."""
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step}]"
        else:
            shown = printable(step[:60])
            text += f".{shown}" if text else shown
    return text
