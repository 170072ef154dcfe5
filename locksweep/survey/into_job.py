"""Surveyed points written into a job file: values change, comments and layout stay."""

from __future__ import annotations

import os
import tempfile
import tomllib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from locksweep.job.findings import JobFindingsError, printable
from locksweep.job.load import parse_job, units_of
from locksweep.job.source import read_text
from locksweep.job.units import INCH, FileUnits
from locksweep.survey.points import CORNER_POINTS, SIDES
from solver.errors import WriteError

BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True)
class JobUpdate:
    """A job file's new text, not written yet.

    changes: key, and its value before and after as text
    """

    path: Path
    before: bytes
    after: bytes
    changes: tuple[tuple[str, tuple[str, str]], ...]

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


def update_job(path: str | Path, points: Mapping[str, Sequence[float]]) -> JobUpdate:
    """The job file at a path with new points; nothing is written yet.

    Args:
        points: positions in mm by name; those of [car.left] and [car.right] are taken, others are left out

    Raises:
        JobFindingsError: the file is no job file, or the new points would make something in it wrong
        WriteError: the file is laid out in a way that can't be changed without disturbing it
    """
    file = Path(path)
    # Says what is wrong with a file that is none; the bytes are needed as well, since line ends and the mark of
    # UTF-8 have to come back as they were.
    read_text(file)
    before = file.read_bytes()
    after, changes = updated_text(before.removeprefix(BOM).decode("utf-8"), points, str(path))
    mark = BOM if before.startswith(BOM) else b""
    return JobUpdate(file, before, mark + after.encode("utf-8"), changes)


def updated_text(
    text: str, points: Mapping[str, Sequence[float]], name: str = "job file"
) -> tuple[str, tuple[tuple[str, tuple[str, str]], ...]]:
    """A job file's text with new points, mm, and what changed.

    Raises:
        JobFindingsError, WriteError: see ``update_job``
    """
    # Loaded here: nothing but this needs it.
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    faults = _faults(text, name)
    try:
        expected: dict[str, Any] = tomllib.loads(text)
        document: Any = tomlkit.parse(text)
    except (ValueError, RecursionError, TOMLKitError):
        # Both readers say less about it than our own.
        parse_job(text, name)
        raise WriteError(f"{printable(name)} can't be read as TOML; it is left as it is") from None
    units = units_of(expected)
    changes: list[tuple[str, tuple[str, str]]] = []
    made: list[str] = []
    try:
        for point in _in_order(points):
            side, _, key = point.partition(".")
            new = [_rounded(value, units) for value in points[point]]
            old = expected.setdefault("car", {}).setdefault(side, {}).get(key)
            if old != new:
                changes.append((f"car.{point}", (_shown(old), _shown(new))))
                expected["car"][side][key] = new
                if side not in document["car"]:
                    document["car"][side] = tomlkit.table()
                    made.append(side)
                _set(document["car"][side], key, new)
        for side in made:
            document["car"][side].add(tomlkit.nl())
        changed = tomlkit.dumps(document)
        good = tomllib.loads(changed) == expected
    except (TOMLKitError, ValueError, TypeError, AttributeError, KeyError, RecursionError):
        good = False
    if not good:
        raise WriteError(
            f"{printable(name)}: its tables [car.left] and [car.right] are laid out in a way that can't be changed "
            "without disturbing the file; it is left as it is. Copy the points by hand."
        )
    _refuse_new_faults(changed, name, faults)
    return changed, tuple(changes)


def _in_order(points: Mapping[str, Sequence[float]]) -> list[str]:
    names = [f"{side}.{key}" for side in SIDES for key in CORNER_POINTS]
    return [name for name in names if name in points]


def _rounded(value: float, units: FileUnits) -> float | int:
    """To what a tape can tell: a tenth of a millimetre, five thousandths of an inch."""
    number = round(float(value) / INCH / 0.005) * 0.005 if units == "in" else float(value)
    number = round(number, 3 if units == "in" else 1) + 0.0
    return int(number) if number.is_integer() else number


def _shown(value: Any) -> str:
    return "not there" if value is None else printable(str(value))[:60]


def _set(table: Any, key: str, new: list[float | int]) -> None:
    """Change the numbers of a point; what stands between and after them stays, and so does a comment's column."""
    import tomlkit
    from tomlkit.items import Array

    point = table.get(key)
    if not (isinstance(point, Array) and len(point) == 3):
        array = tomlkit.array()
        array.extend(new)
        table[key] = array
        return
    width = len(point.as_string())
    for index, value in enumerate(new):
        point[index] = value
    trivia = point.trivia
    if trivia.comment and "\n" not in point.as_string():
        space = len(trivia.comment_ws) + width - len(point.as_string())
        trivia.comment_ws = " " * max(space, 1)


def _faults(text: str, name: str) -> set[str]:
    """Keys about which something is wrong."""
    try:
        parse_job(text, name)
    except JobFindingsError as error:
        return {finding.key for finding in error.findings}
    return set()


def _refuse_new_faults(text: str, name: str, known: set[str]) -> None:
    try:
        parse_job(text, name)
    except JobFindingsError as error:
        # What was wrong before is none of the survey's business.
        new = [finding for finding in error.findings if finding.key not in known]
        if new:
            raise JobFindingsError(f"{error.file}, with the measured points,", new) from None
