"""From what pydantic found to problems in the words of the job file."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError

from locksweep.job.fields import Field, Later
from locksweep.job.findings import KeyPath, Problem, printable
from locksweep.job.quantities import BadValueError, written
from locksweep.job.schema import FileTable
from locksweep.job.source import is_unreadable
from locksweep.job.units import FileUnits


def problems_of(error: ValidationError, units: FileUnits, put_aside: bool) -> Iterator[Problem]:
    """One problem for each place that pydantic found fault with.

    put_aside: whether there are values that stand for lines reported before, which are left out
    """
    for detail in error.errors(include_url=False):
        path: KeyPath = tuple(detail["loc"])
        value = detail["input"]
        cause = detail.get("ctx", {}).get("error")
        if put_aside and is_unreadable(value):
            continue
        if isinstance(cause, BadValueError):
            yield from _value_problems(path, cause)
        elif detail["type"] == "missing":
            yield _missing(path, units)
        elif detail["type"] == "extra_forbidden":
            yield _unknown(path)
        else:
            yield _no_table(path, value)


def _value_problems(path: KeyPath, cause: BadValueError) -> Iterator[Problem]:
    if not cause.parts:
        yield Problem(path, cause.found, cause.expected, cause.hint)
    for step, part in cause.parts:
        yield from _value_problems((*path, step), part)


def _missing(path: KeyPath, units: FileUnits) -> Problem:
    kind = _kind(path)
    if isinstance(kind, Field):
        try:
            kind.read(None, units)
        except BadValueError as error:
            return Problem(path, "no such key", error.expected)
    return Problem(path, "no such table", f"the table {_header(path)}")


def _unknown(path: KeyPath) -> Problem:
    key, table = str(path[-1]), path[:-1]
    known = list(table_keys(table))
    close = difflib.get_close_matches(key.lower(), known, 1, cutoff=0.6)
    hint = f'did you mean "{close[0]}"?' if close else ""
    if key in _homes():
        hint = f"{hint} {key} belongs to {_homes()[key]}".lstrip()
    expected = f"in {_header(table)} one of {', '.join(known)}" if table else f"one of {', '.join(known)}"
    return Problem(path, f'the key "{printable(key[:60])}", which is not known', expected, hint)


def _no_table(path: KeyPath, value: Any) -> Problem:
    header = _header(path)
    hint = (
        "write its header in double brackets" if header.startswith("[[") and isinstance(value, dict) else ""
    )
    return Problem(path, written(value), f"the table {header}", hint)


def _header(path: KeyPath) -> str:
    """The header under which the table at a path stands."""
    name = ".".join(step for step in path if isinstance(step, str))
    kind = _kind(tuple(step for step in path if isinstance(step, str)))
    return f"[[{name}]]" if get_origin(kind) is list else f"[{name}]"


def _kind(path: KeyPath) -> Any:
    """What the schema has at a path: a Field, a model, list[model], or None."""
    kind: Any = FileTable
    for step in path:
        if isinstance(step, int):
            kind = get_args(kind)[0] if get_origin(kind) is list else None
        elif isinstance(kind, type) and issubclass(kind, BaseModel):
            kind = _fields(kind).get(step)
        else:
            return None
    return kind


def table_keys(path: KeyPath) -> dict[str, Any]:
    """What the schema has under each key of the table at a path; nothing if there is no table."""
    kind = _kind(path)
    return _fields(kind) if isinstance(kind, type) and issubclass(kind, BaseModel) else {}


@cache
def _fields(model: type[BaseModel]) -> dict[str, Any]:
    """By the key as written in the file."""
    fields = {}
    for name, info in model.model_fields.items():
        kind = next((item for item in info.metadata if isinstance(item, Field)), info.annotation)
        if isinstance(kind, UnionType) or get_origin(kind) not in (None, list):
            kind = _inside_optional(kind)
        if isinstance(kind, Later):
            kind = kind.kind()
        fields[info.alias or name] = kind
    return fields


def _inside_optional(kind: Any) -> Any:
    inside = next(item for item in get_args(kind) if item is not type(None))
    return next((item for item in get_args(inside) if isinstance(item, Field)), inside)


@cache
def _homes() -> dict[str, str]:
    """Which table each key belongs to, for keys written in a wrong one."""
    homes: dict[str, str] = {}
    tables: list[KeyPath] = [()]
    while tables:
        table = tables.pop()
        for key, kind in table_keys(table).items():
            path = (*table, key)
            inner = get_args(kind)[0] if get_origin(kind) is list else kind
            if isinstance(inner, type) and issubclass(inner, BaseModel):
                tables.append((*path, 0) if get_origin(kind) is list else path)
            if table:
                homes[key] = _header(table)
    return homes
