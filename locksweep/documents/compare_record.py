"""Two states of a job compared, as plain data in mm; `locksweep/schemas/compare.schema.json` is its schema."""

from __future__ import annotations

import math
from typing import Any

from locksweep import __version__
from locksweep.compare.comparison import Comparison
from locksweep.compare.parts import PartChange
from locksweep.compare.reuse import USED_BEFORE, Reuse, moved_by
from locksweep.compare.versions import Version
from locksweep.compare.why import Cause, effects, existence
from locksweep.documents.numbers import length, rounded
from locksweep.documents.record import CAUTION
from solver.part import Part
from solver.strength.materials import material

FORMAT = "locksweep compare 1"


def compare_record(found: Comparison) -> dict[str, Any]:
    """All of it."""
    return {
        "format": FORMAT,
        "tool": {"name": "locksweep", "version": __version__},
        "caution": f"{CAUTION} A verdict on a part: {USED_BEFORE}.",
        "old": _side(found.old),
        "new": _side(found.new),
        "damage": list(found.damage),
        "keys": [_key(cause) for cause in found.causes],
        "parts": [_part(change, reuse, found) for change, reuse in found.parts],
    }


def _side(side: Version) -> dict[str, Any]:
    solution = side.solved.solution
    return {
        "source": str(side.source),
        "kind": "revision" if side.built else "job file",
        "revision": side.revision,
        "tool_version": side.tool,
        "job": side.solved.job.name,
        "units": side.solved.job.stock_units,
        "goal_met": solution.goal_met,
        "answer": solution.answer,
        "made_otherwise_now": list(side.strange),
    }


def _key(cause: Cause) -> dict[str, Any]:
    return {
        "key": cause.key,
        "old": cause.old,
        "new": cause.new,
        "same_meaning": cause.same,
        "alone": None if cause.alone is None else cause.alone.problem or None,
        "without": None if cause.without is None else cause.without.problem or None,
    }


def _part(change: PartChange, reuse: Reuse, found: Comparison) -> dict[str, Any]:
    old, new = change.before, change.after
    came_or_went = change.status in ("new", "no longer needed", "refused", "not told")
    strange = {*found.old.strange, *found.new.strange}
    return {
        "name": change.name,
        "family": change.family,
        "status": change.status,
        "old_revision": found.old.letters.get(change.name) if old else None,
        "new_revision": found.new.letters.get(change.name) if new else None,
        "changes": [_change(change, name, was, now, found) for name, was, now in change.changes],
        "keys": existence(change, found.causes) if came_or_went else [],
        "by_tool": change.name in strange and change.status != "unchanged",
        "old_size_mm": _size(old),
        "new_size_mm": _size(new),
        "old_mass_kg": _mass(old),
        "new_mass_kg": _mass(new),
        "moved_mm": None if old is None or new is None else length(moved_by(old, new)),
        "verdict": reuse.verdict,
        "reasons": list(reuse.reasons),
        "look_first": list(reuse.looks),
    }


def _change(change: PartChange, name: str, old: Any, new: Any, found: Comparison) -> dict[str, Any]:
    return {
        "name": name,
        "old": _plain(old),
        "new": _plain(new),
        "by": _by(old, new),
        "keys": [
            {"key": effect.key, "alone": _plain(effect.alone), "without": _plain(effect.without)}
            for effect in effects(change, name, found.causes)
        ],
    }


def _by(old: Any, new: Any) -> float | None:
    """Difference of two numbers; of as many corners or places the farthest that one moves; else nothing."""
    if isinstance(old, bool) or isinstance(new, bool):
        return None
    if isinstance(old, (int, float)) and isinstance(new, (int, float)):
        return length(new - old)
    if isinstance(old, tuple) and isinstance(new, tuple) and len(old) == len(new):
        pairs = list(zip(old, new, strict=True))
        if all(isinstance(a, tuple) and isinstance(b, tuple) and len(a) == len(b) == 2 for a, b in pairs):
            return length(max(math.dist(a, b) for a, b in pairs))
        if pairs and all(isinstance(a, float) and isinstance(b, float) for a, b in pairs):
            return length(max(abs(a - b) for a, b in pairs))
    return None


def _size(part: Part | None) -> list[float] | None:
    return None if part is None else [length(side) for side in part.dimensions.envelope]


def _mass(part: Part | None) -> float | None:
    if part is None:
        return None
    return rounded(part.dimensions.volume * material(part.material).density * 1e-9, 4)


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return length(value) if isinstance(value, float) else value
