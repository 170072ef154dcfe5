"""Two job files key by key: what differs, and one of them with some keys of the other."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

Path = tuple[str, ...]

MISSING = object()
"""Stands for a key that isn't there."""


class Named(dict[str, Any]):
    """Tables of which there may be several, such as keep-clear objects, by their names."""


@dataclass(frozen=True, eq=False)
class KeyChange:
    """One key, or one whole table that only one of the two files has.

    path: keys from the top, an item of several tables by its name; old, new: its value, `MISSING` where it isn't
    """

    path: Path
    old: Any
    new: Any

    @property
    def key(self) -> str:
        """As people write it: "changes.wheel.tyre", "keep_clear 'frame rail'.radius"."""
        text = ""
        for step in self.path:
            quoted = step.startswith(("'", "#"))
            text += f" {step}" if quoted else f".{step}" if text else step
        return text


def key_changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[KeyChange]:
    """What differs between the tables of two job files, in the order of the first, then of the second."""
    return list(_changes(_by_name(old), _by_name(new), ()))


def with_keys(
    tables: Mapping[str, Any], changes: Iterable[KeyChange], *, back: bool = False
) -> dict[str, Any]:
    """The tables with some keys changed to their new values, or back to the old ones."""
    named = copy.deepcopy(_by_name(tables))
    for change in changes:
        value = change.old if back else change.new
        parent = named
        for step in change.path[:-1]:
            parent = parent[step]
        if value is MISSING:
            del parent[change.path[-1]]
        else:
            parent[change.path[-1]] = copy.deepcopy(value)
    return {key: _in_order(value) for key, value in named.items()}


def grouped(changes: list[KeyChange], most: int) -> list[tuple[str, list[KeyChange]]]:
    """Changes each by itself, or by their tables where there are too many, or by top-level tables."""
    for depth in (None, -1, 1):
        groups: dict[str, list[KeyChange]] = {}
        for change in changes:
            path = change.path if depth is None else change.path[:depth] or change.path[:1]
            groups.setdefault(KeyChange(path, None, None).key, []).append(change)
        if len(groups) <= most:
            break
    return list(groups.items())


def value_text(value: Any) -> str:
    """A value as it stands in the file, or what stands for a table."""
    if value is MISSING:
        return "not there"
    if isinstance(value, dict):
        return "there"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "[" + ", ".join(map(value_text, value)) + "]"
    return " ".join(str(value).split())


def _changes(old: dict[str, Any], new: dict[str, Any], path: Path) -> Iterator[KeyChange]:
    for key in dict.fromkeys([*old, *new]):
        one, other = old.get(key, MISSING), new.get(key, MISSING)
        if isinstance(one, dict) and isinstance(other, dict) and type(one) is type(other):
            yield from _changes(one, other, (*path, key))
        elif isinstance(one, Named) and other is MISSING:
            yield from (KeyChange((*path, key, name), table, MISSING) for name, table in one.items())
        elif isinstance(other, Named) and one is MISSING:
            yield KeyChange((*path, key), MISSING, other)
        elif type(one) is not type(other) or one != other:
            yield KeyChange((*path, key), one, other)


def _by_name(value: Any) -> Any:
    if isinstance(value, dict):
        return type(value)({key: _by_name(item) for key, item in value.items()})
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        found = Named()
        for number, item in enumerate(value, 1):
            name = item.get("name")
            label = f"'{name}'" if isinstance(name, str) else f"#{number}"
            found[label if label not in found else f"{label} #{number}"] = _by_name(item)
        return found
    return value


def _in_order(value: Any) -> Any:
    if isinstance(value, Named):
        return [_in_order(item) for item in value.values()]
    if isinstance(value, dict):
        return {key: _in_order(item) for key, item in value.items()}
    return value
