"""The new tyre kept in the job file: values of [changes.wheel] change, comments and layout stay."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from locksweep.job.editing import (
    JobUpdate,
    KeyChanges,
    faults_of,
    kept_column,
    parsed_twice,
    refuse_new_faults,
    shown,
    update_file,
)
from locksweep.job.findings import printable
from locksweep.job.lines import key_lines
from locksweep.job.load import parse_job
from locksweep.retyre.wheel import MEASURED, OPTIONS, NewWheel
from solver.car import Job
from solver.errors import JobFileError, WriteError
from solver.tyre_change import usual_rim, wheel_of

TABLE = ("changes", "wheel")


def entries_of(job: Job, new: NewWheel) -> dict[str, Any]:
    """What [changes.wheel] gets: a value by key, None for a measured size of the old tyre that has to go."""
    old, wheel = wheel_of(job), new.wheel
    keys = [
        key for key in ("tyre", "rim_width", "offset", *MEASURED) if getattr(wheel, key) != getattr(old, key)
    ]
    return {key: new.as_written.get(key) for key in keys}


def update_job(path: str | Path, job: Job, new: NewWheel) -> JobUpdate:
    """The job file at a path with the new tyre in it; nothing is written yet.

    Raises:
        JobFileError: the rim is not known, or the new tyre would make something in the file wrong
        WriteError: the file is laid out in a way that can't be changed without disturbing it
    """
    if new.assumed:
        missing = [f"{OPTIONS[key][0]}" for key in new.assumed]
        size = new.wheel.tyre
        raise JobFileError(
            f"--write: the rim of {size} is not known, and what was taken in its place is no measure to keep: "
            f"{' and '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing. For example: locksweep retyre "
            f"{printable(str(path))} {size} --rim-width '{usual_rim(size) / 25.4:g} in' --offset "
            f"'{new.wheel.offset:g} mm' --write"
        )
    return update_file(path, lambda text: updated_text(text, job, new, str(path)))


def updated_text(text: str, job: Job, new: NewWheel, name: str = "job file") -> tuple[str, KeyChanges]:
    """A job file's text with the new tyre, and what changed.

    Raises:
        JobFindingsError, WriteError: see ``update_job``
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    faults = faults_of(text, name)
    expected, document = parsed_twice(text, name)
    old = dict((expected.get("changes") or {}).get("wheel") or {})
    entries = {key: value for key, value in entries_of(job, new).items() if old.get(key) != value}
    try:
        _expect(expected, entries)
        # A key that is not there yet goes behind the table's last one: a table may end in pages of comments.
        there = {key: value for key, value in entries.items() if key in old}
        _set(document, there)
        changed = _inserted(
            tomlkit.dumps(document), {key: entries[key] for key in entries if key not in there}
        )
        good = _reads_as(changed, expected)
        if not good:
            _set(document, entries)
            changed = tomlkit.dumps(document)
            good = _reads_as(changed, expected)
    except (TOMLKitError, ValueError, TypeError, AttributeError, KeyError, RecursionError):
        good = False
    if not good:
        raise WriteError(
            f"{printable(name)}: its table [changes.wheel] is laid out in a way that can't be changed without "
            "disturbing the file; it is left as it is. Write the new tyre by hand."
        )
    refuse_new_faults(changed, name, faults, "the new tyre")
    if wheel_of(parse_job(changed, name)) != new.wheel:
        raise WriteError(
            f"{printable(name)}: with the new tyre written into it, it would not describe the wheel that was looked "
            "at; it is left as it is. Write the new tyre by hand."
        )
    changes = [
        (f"changes.wheel.{key}", (shown(old.get(key)), _becomes(value))) for key, value in entries.items()
    ]
    return changed, tuple(changes)


def _becomes(value: Any) -> str:
    return "taken out: it was the old tyre's" if value is None else shown(value)


def _expect(tables: dict[str, Any], entries: Mapping[str, Any]) -> None:
    if not entries:
        return
    wheel = tables.setdefault("changes", {}).setdefault("wheel", {})
    for key, value in entries.items():
        if value is None:
            del wheel[key]
        else:
            wheel[key] = value


def _reads_as(text: str, expected: dict[str, Any]) -> bool:
    try:
        return tomllib.loads(text) == expected
    except tomllib.TOMLDecodeError:
        return False


def _inserted(text: str, entries: Mapping[str, Any]) -> str:
    """The text with keys on lines of their own behind the last one of [changes.wheel], where that has lines."""
    import tomlkit

    places = [
        (line, path[-1]) for path, line in key_lines(text).items() if path[:2] == TABLE and len(path) == 3
    ]
    if not entries or not places:
        return text
    number, last_key = max(places)
    lines = text.split("\n")
    last = lines[number - 1]
    # Indentation, and the names before the key where the table is written with dots.
    before = re.match(rf"[\w.\s]*?(?={last_key}\b)", last)
    end = "\r" if last.endswith("\r") else ""
    new = [
        f"{before[0] if before else ''}{key} = {tomlkit.item(value).as_string()}{end}"
        for key, value in entries.items()
    ]
    return "\n".join([*lines[:number], *new, *lines[number:]])


def _set(document: Any, entries: Mapping[str, Any]) -> None:
    import tomlkit

    if not entries:
        return
    if "changes" not in document:
        document["changes"] = tomlkit.table(is_super_table=True)
    changes = document["changes"]
    made = "wheel" not in changes
    if made:
        changes["wheel"] = tomlkit.table()
    wheel = changes["wheel"]
    for key, value in entries.items():
        if value is None:
            wheel.pop(key, None)
        elif key in wheel and wheel[key] == value:
            continue
        elif key in wheel:
            width = len(wheel[key].as_string())
            wheel[key] = value
            kept_column(wheel[key], width)
        else:
            wheel[key] = value
    if made:
        wheel.add(tomlkit.nl())


def how_to_keep(path: str, job: Job, new: NewWheel) -> str:
    """What to do, or to write by hand, so that the job runs on the new tyre."""
    size = new.wheel.tyre
    if wheel_of(job) == new.wheel:
        return f"{printable(path)} has this tyre already."
    if new.assumed:
        missing = " and ".join(OPTIONS[key][0] for key in new.assumed)
        return f"Nothing was written. To keep {size} in {printable(path)}, give {missing}, and --write."
    lines = [
        f"Nothing was written. To keep {size} in {printable(path)}, call this again with --write, or write there, "
        "under [changes.wheel]:"
    ]
    for key, value in entries_of(job, new).items():
        if value is None:
            lines.append(f"  (no {key}: it was the old tyre's)")
        else:
            lines.append(f"  {key} = " + (f'"{value}"' if isinstance(value, str) else f"{value:g}"))
    return "\n".join(lines)
