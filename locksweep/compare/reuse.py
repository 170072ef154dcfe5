"""Whether a part that was made already can stand in for the one that is wanted now: conservative, in words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from locksweep.compare.parts import PartChange
from solver.families.base import MAKEABLE
from solver.families.closure_plate import ClosurePlateDimensions
from solver.part import Part
from solver.sizing.plate_stays import PlateCheck
from solver.strength.materials import material

Verdict = Literal[
    "can be used", "can be reworked", "must be made anew", "is not needed", "is new", "not told"
]

USED_BEFORE = (
    "this holds for a part that is as it was made: one that was hit, bent, heated, or welded in and cut out again "
    "is another one"
)


@dataclass(frozen=True)
class Reuse:
    """A verdict with its reasons; ``looks`` is what has to be looked at or done first."""

    verdict: Verdict
    reasons: tuple[str, ...]
    looks: tuple[str, ...] = ()


def reuse_of(change: PartChange, plate: PlateCheck | None = None) -> Reuse:
    """What becomes of the old part.

    plate: how a closure plate stands against the new sweep, where that is known
    """
    old, new = change.before, change.after
    if old is None:
        return Reuse("is new", ("there is no old one",))
    if new is None:
        if change.status == "no longer needed":
            return Reuse("is not needed", ("the new job has no such part",))
        return Reuse("not told", (change.reason,))
    reasons, looks = _short(old, new), list(_looks(old, new))
    if plate is not None and plate.stays and _same_sheet(old, new):
        kept = f"it keeps the wanted {plate.wanted:.1f} mm from the swept tyre where it sits"
        return Reuse("can be used", (kept,))
    if reasons:
        return Reuse("must be made anew", tuple(reasons))
    how = _rework(old, new)
    if how:
        return Reuse("can be reworked", tuple(how), tuple(looks))
    larger = _larger(old, new)
    if not change.changes:
        return Reuse("can be used", ("it is the same part",), tuple(looks))
    return Reuse(
        "can be used", (*larger, *_ample(old, new)) or ("no difference that could be made",), tuple(looks)
    )


def _same_sheet(old: Part, new: Part) -> bool:
    """Whether an old closure plate is of the sheet that is wanted, or a thicker one."""
    one, other = old.dimensions, new.dimensions
    if not isinstance(one, ClosurePlateDimensions) or not isinstance(other, ClosurePlateDimensions):
        return False
    thick = one.thickness > other.thickness - MAKEABLE
    return thick and _as_strong(old.material, new.material) and not new.overridden


def _short(old: Part, new: Part) -> list[str]:
    """Why the old part can't stand in for the new one."""
    if type(old.dimensions) is not type(new.dimensions):
        return [f"{old.dimensions.title} then, {new.dimensions.title} now"]
    found = [
        _other(name, getattr(old.dimensions, name), getattr(new.dimensions, name))
        for name in old.dimensions.in_the_way(new.dimensions)
    ]
    if not _as_strong(old.material, new.material):
        found.append(f"{old.material} is not at least as strong in everything as {new.material}")
    if new.overridden:
        found.append(
            f"on the new job it falls short and is made by override alone: {'; '.join(new.overridden)}"
        )
    return found


def _other(name: str, old: object, new: object) -> str:
    if isinstance(old, tuple):
        return f"{_words(name)}: not the same"
    return f"{_words(name)} {_size(old)}, {_size(new)} is wanted"


def _as_strong(old: str, new: str) -> bool:
    """Whether a material can stand in for another: as strong in yield, ultimate and beside a weld, and as stiff."""
    one, other = material(old), material(new)
    return one.name == other.name or (
        one.yield_strength >= other.yield_strength
        and one.ultimate >= other.ultimate
        and one.welded_yield >= other.welded_yield
        and one.modulus >= other.modulus
    )


def _ample(old: Part, new: Part) -> list[str]:
    if old.material == new.material:
        return []
    return [f"{old.material} is at least as strong as {new.material}, beside a weld as well"]


def _larger(old: Part, new: Part) -> list[str]:
    return [
        f"{_other(name, getattr(old.dimensions, name), getattr(new.dimensions, name))}: {why}"
        for name, why in old.dimensions.larger_than(new.dimensions)
    ]


def _rework(old: Part, new: Part) -> list[str]:
    return [
        f"{_words(name)} {_size(getattr(old.dimensions, name))} down to {_size(getattr(new.dimensions, name))}: {how}"
        for name, how in old.dimensions.reduced_to(new.dimensions)
    ]


def _looks(old: Part, new: Part) -> list[str]:
    found = []
    if new.quantity > old.quantity:
        more = new.quantity - old.quantity
        found.append(f"{more} more of it {'is' if more == 1 else 'are'} needed")
    if old.overridden and not new.overridden:
        found.append(
            "its files and marking say that a strength check was overridden, which the new job does not need"
        )
    shift = moved_by(old, new)
    if shift > 0.5:
        found.append(f"it sits {shift:.1f} mm from where it sat, or turned: mark its place anew")
    elif old.notes != new.notes:
        found.append("its notes on fitting are not those of before: read them anew")
    return found


def moved_by(old: Part, new: Part) -> float:
    """How far a part's place on the car has moved, mm; turned counts as moved by what 100 mm of it would."""
    one, other = old.placement, new.placement
    if one is None or other is None:
        return 0.0
    pairs = [
        (one.origin, other.origin, 1.0),
        (one.x_axis, other.x_axis, 100.0),
        (one.z_axis, other.z_axis, 100.0),
    ]
    return max(scale * math.dist(u, v) for u, v, scale in pairs)


def _words(name: str) -> str:
    return name.replace("_", " ")


def _size(value: object) -> str:
    return f"{value:.2f} mm" if isinstance(value, float) else str(value)
