"""A job file changed in place: values change, comments and layout stay, and it is written whole or not at all."""

from __future__ import annotations

import os
import tempfile
import tomllib
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from locksweep.job.findings import JobFindingsError, printable
from locksweep.job.load import parse_job
from locksweep.job.source import read_text
from solver.errors import WriteError

BOM = b"\xef\xbb\xbf"

KeyChanges = tuple[tuple[str, tuple[str, str]], ...]
"""Key, and its value before and after as text."""


@dataclass(frozen=True)
class JobUpdate:
    """A job file's new text, not written yet.

    changes: key, and its value before and after as text
    """

    path: Path
    before: bytes
    after: bytes
    changes: KeyChanges

    def write(self) -> None:
        """Put the new text in place of the old one, whole or not at all.

        Raises:
            WriteError: the file can't be written, or changed since it was read; it is left as it is
        """
        target = Path(os.path.realpath(self.path))
        name = printable(str(self.path))
        try:
            if target.read_bytes() != self.before:
                raise WriteError(f"{name} was changed meanwhile and is left as it is; run again")
            if not os.access(target, os.W_OK):
                raise WriteError(
                    f"{name} is write-protected and is left as it is; allow writing and run again"
                )
            _replace(target, self.after)
        except OSError as error:
            if isinstance(error, WriteError):
                raise
            reason = error.strerror or str(error)
            raise WriteError(f"{name}: can't be written: {reason}; it is left as it is") from error


def _replace(target: Path, content: bytes) -> None:
    # In the same folder, since only within one file system is a move all or nothing.
    handle, temporary = tempfile.mkstemp(prefix=f".{target.name[:100]}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(target.stat().st_mode & 0o7777)
        Path(temporary).replace(target)
    except BaseException:
        with suppress(OSError):
            Path(temporary).unlink()
        raise


def update_file(path: str | Path, change: Callable[[str], tuple[str, KeyChanges]]) -> JobUpdate:
    """The job file at a path with its text changed; nothing is written yet.

    change: from the text to the new one and what changed in it

    Raises:
        JobFindingsError: the file can't be read as text
        LocksweepError: from ``change``
    """
    file = Path(path)
    # Says what is wrong with a file that is none; the bytes are needed as well, since line ends and the mark of
    # UTF-8 have to come back as they were.
    read_text(file)
    before = file.read_bytes()
    after, changes = change(before.removeprefix(BOM).decode("utf-8"))
    mark = BOM if before.startswith(BOM) else b""
    return JobUpdate(file, before, mark + after.encode("utf-8"), changes)


def parsed_twice(text: str, name: str) -> tuple[dict[str, Any], Any]:
    """A job's tables as plain values, and as a document that keeps comments and layout.

    Raises:
        JobFindingsError, WriteError: it is no TOML
    """
    # Loaded here: nothing but changing a file needs it.
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        return tomllib.loads(text), tomlkit.parse(text)
    except (ValueError, RecursionError, TOMLKitError):
        # Both readers say less about it than our own.
        parse_job(text, name)
        raise WriteError(f"{printable(name)} can't be read as TOML; it is left as it is") from None


def shown(value: Any) -> str:
    """A value as it stands in a table of changes."""
    return "not there" if value is None else printable(str(value))[:60]


def kept_column(item: Any, width: int) -> None:
    """Keep the column of the comment behind an item whose text was ``width`` wide before it changed."""
    trivia = item.trivia
    if trivia.comment and "\n" not in item.as_string():
        space = len(trivia.comment_ws) + width - len(item.as_string())
        trivia.comment_ws = " " * max(space, 1)


def faults_of(text: str, name: str) -> set[str]:
    """Keys about which something is wrong."""
    try:
        parse_job(text, name)
    except JobFindingsError as error:
        return {finding.key for finding in error.findings}
    return set()


def refuse_new_faults(text: str, name: str, known: set[str], what: str) -> None:
    """Refuse a changed text with faults that it did not have before; ``what`` was put into it, in words.

    Raises:
        JobFindingsError: lists the new ones
    """
    try:
        parse_job(text, name)
    except JobFindingsError as error:
        # What was wrong before has nothing to do with the change.
        new = [finding for finding in error.findings if finding.key not in known]
        if new:
            raise JobFindingsError(f"{error.file}, with {what},", new) from None
