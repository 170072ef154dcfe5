"""Why parts changed: the job solved again with one changed key at a time, from the old file on and from the new back.

A dimension is said to be moved by a key when the key alone moves it off its old value, or when it is not what it is
in the new job without that key.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from locksweep.compare.keys import KeyChange, grouped, key_changes, value_text, with_keys
from locksweep.compare.parts import PartChange
from locksweep.compare.versions import Version
from locksweep.job import parse_job
from locksweep.solved import solve_job
from solver.car import Job
from solver.errors import LocksweepError
from solver.families.base import alike
from solver.part import Part

MOST_KEYS = 16
"""That are looked at one by one, two solutions each; more are taken together, table by table."""
EXACT = 2e-4
"""mm by which a dimension read back from a record may differ from the one that was written."""

Parts = Mapping[str, Part]
Progress = Callable[[str], None]


@dataclass(frozen=True)
class Trial:
    """A job with some keys of another.

    parts: by name; problem: why there are none, "" where there are
    """

    parts: Parts = field(default_factory=dict)
    problem: str = ""


@dataclass(frozen=True, eq=False)
class Cause:
    """One changed key, or one table of them.

    key, old, new: as in the files; same: it means the same in both, such as a length in another unit
    alone: the old job with it; without: the new job without it; None where these are the two jobs themselves
    """

    key: str
    old: str
    new: str
    same: bool
    alone: Trial | None = None
    without: Trial | None = None


@dataclass(frozen=True)
class Effect:
    """What one key does to one value of a part.

    key: as of `Cause`; alone: the value in the old job with this key changed; without: in the new job without it;
    None where there is no such part or no such job
    """

    key: str
    alone: Any
    without: Any


def causes(old: Version, new: Version, progress: Progress = lambda _: None) -> list[Cause]:
    """What differs between two job files, with what each of it does by itself.

    Raises:
        LocksweepError: never for a key by itself: where a job can't be solved with it, its cause says so
    """
    groups = grouped(key_changes(old.tables, new.tables), MOST_KEYS)
    found = []
    changing = [group for group in groups if not _means_the_same(old, group[1])]
    for key, changes in groups:
        was, now = (_value(changes, side) for side in ("old", "new"))
        if (key, changes) not in changing:
            found.append(Cause(key, was, now, same=True))
        elif len(changing) == 1:
            found.append(Cause(key, was, now, same=False))
        else:
            progress(f"solving with {key} alone changed")
            alone = _tried(with_keys(old.tables, changes))
            without = _tried(with_keys(new.tables, changes, back=True))
            found.append(Cause(key, was, now, False, alone, without))
    return found


def effects(change: PartChange, name: str, found: Iterable[Cause]) -> list[Effect]:
    """Keys that move one value of a part, the telling ones first."""
    moved = []
    for cause in found:
        if cause.same:
            continue
        if cause.alone is None or cause.without is None:
            moved.append(Effect(cause.key, _value_of(change.after, name), _value_of(change.before, name)))
            continue
        alone = _value_of(cause.alone.parts.get(change.name), name)
        without = _value_of(cause.without.parts.get(change.name), name)
        moves = alone is not None and not alike(name, alone, _value_of(change.before, name), EXACT)
        needed = without is not None and not alike(name, without, _value_of(change.after, name), EXACT)
        if moves or needed:
            moved.append(Effect(cause.key, alone, without))
    return moved


def existence(change: PartChange, found: Sequence[Cause]) -> list[str]:
    """Keys because of which a part is there now and was not before, or the other way round."""
    there = change.after is not None
    keys = []
    for cause in found:
        if cause.same:
            continue
        if cause.alone is None or cause.without is None:
            keys.append(cause.key)
            continue
        alone = not cause.alone.problem and (change.name in cause.alone.parts) == there
        without = not cause.without.problem and (change.name in cause.without.parts) != there
        if alone or without:
            keys.append(cause.key)
    return keys


def _means_the_same(old: Version, changes: Sequence[KeyChange]) -> bool:
    try:
        return _job(with_keys(old.tables, changes)) == old.solved.job
    except LocksweepError:
        return False


def _tried(tables: Mapping[str, Any]) -> Trial:
    try:
        solved = solve_job(_job(tables))
    except LocksweepError as error:
        return Trial(problem=" ".join(str(error).split())[:300])
    if not solved.solution.goal_met:
        return Trial(problem=f"the goal is out of reach: {solved.solution.answer}")
    return Trial({part.name: part for part in solved.parts})


def _job(tables: Mapping[str, Any]) -> Job:
    # Loaded here: nothing but changing a file needs it.
    import tomlkit

    return parse_job(tomlkit.dumps(dict(tables)), "the job with one key changed")


def _value(changes: Sequence[KeyChange], side: str) -> str:
    if len(changes) == 1:
        return value_text(getattr(changes[0], side))
    return f"{len(changes)} keys"


def _value_of(part: Part | None, name: str) -> Any:
    if part is None:
        return None
    return getattr(part, name) if hasattr(part, name) else getattr(part.dimensions, name, None)
