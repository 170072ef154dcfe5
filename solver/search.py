"""First sizing: the thinnest rack spacer and the shortest arm extension that reach the goal.

Sizes are tried as they can be bought, so nothing has to be rounded afterwards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from solver.car import Car, Changes, Goal, Job, Side
from solver.clearance import gap, obstacles
from solver.corner import over_centre_angle
from solver.front_end import FrontEnd, assemble
from solver.limits import TURNS, inner_lock, rack_sign, sweep
from solver.measures import contact_centre, steer_angle
from solver.stock import plate_label, plate_thicknesses, step
from solver.vectors import Array

STOP_BEFORE_RACK = 1.0
"""Where a stop bracket is fitted it is met this much rack travel, mm, before the rack's own stop, so that the
bracket takes the hit."""
STOP_RESERVE = math.radians(3.5)
"""Lock beyond the goal up to which clearance is sought where a stop bracket is fitted: a pad that holds over the
whole suspension travel stops the wheel that much earlier at some of it."""
SEARCH_REACH = 130.0
"""Rack displacement, mm, up to which a lock is looked for: no car's rack goes further, spacers included."""
SEARCH_POINTS = 5
SEARCH_START = 0.6
"""Share of the rack travel from which the search looks for contacts: the tyre comes nearest towards the lock. The
full sweep that follows looks at all of it."""
SEARCH_TRAVELS = 3


@dataclass(frozen=True)
class Sized:
    """Result of the first sizing.

    changes: the builder's changes with spacer and extension filled in
    spacer_reason, extension_reason: what set them
    """

    changes: Changes
    front_end: FrontEnd
    spacer_reason: str
    extension_reason: str


def size_changes(job: Job) -> Sized:
    """Spacer and extension for the goal; the best that can be had where the goal is out of reach.

    Raises:
        GeometryError, TyreSizeError: the car can't be assembled.
    """
    extension, extension_reason = _size_extension(job)
    changes = replace(job.fixed, arm_extension=extension)
    changes, spacer_reason = _size_spacer(job, changes)
    return Sized(changes, assemble(job.car, changes), spacer_reason, extension_reason)


def extended(job: Job, sized: Sized) -> Sized | None:
    """The same with one step more of arm extension, spacer sized again; None when the job allows no more."""
    extension = sized.changes.arm_extension + step(job.stock_units)
    if extension > job.goal.max_arm_extension + 1e-9:
        return None
    changes, spacer_reason = _size_spacer(job, replace(job.fixed, arm_extension=extension))
    reason = (
        f"one step more than {sized.changes.arm_extension:.1f} mm, with which the full sweep finds the tyre too near "
        "before the wanted lock"
    )
    return Sized(changes, assemble(job.car, changes), spacer_reason, reason)


def usable_stop(front_end: FrontEnd) -> float:
    """Rack displacement in mm up to which the rack may be used: its stop, less the room for a stop bracket."""
    return front_end.rack_stop - (STOP_BEFORE_RACK if front_end.car.stop_mounts else 0.0)


def thickest_spacer(car: Car) -> float:
    """Spacer thickness in mm that leaves one stud diameter of thread engaged."""
    return car.rack.stud_engaged - car.rack.stud_diameter


def track(front_end: FrontEnd) -> float:
    """Distance between the contact centres at ride height, rack centred; mm."""
    radius = front_end.loaded_radius
    left, right = front_end.at_ride_height(np.zeros(1))
    return float(contact_centre(left, radius)[0, 1] - contact_centre(right, radius)[0, 1])


def racks_for_lock(front_end: FrontEnd, lock: float) -> dict[Side, float]:
    """Rack displacement in mm, positive, that gives the inner wheel its lock at ride height, for each turn.

    Infinite where no displacement does.
    """
    displacement = np.linspace(0.0, SEARCH_REACH, 131)
    found: dict[Side, float] = {}
    for turn in TURNS:
        inner = front_end.inner_wheel(turn, displacement)
        steer = np.where(inner.reachable, np.abs(np.nan_to_num(steer_angle(inner))), np.nan)
        reached = np.flatnonzero(np.nan_to_num(steer, nan=-1.0) >= lock)
        if not reached.size or reached[0] == 0:
            found[turn] = math.inf if not reached.size else 0.0
            continue
        last = int(reached[0])
        found[turn] = float(np.interp(lock, steer[last - 1 : last + 1], displacement[last - 1 : last + 1]))
    return found


def _spacers(job: Job) -> list[float]:
    """Spacer thicknesses in mm that can be had, 0 for none among them, thinnest first."""
    limit = thickest_spacer(job.car)
    return [0.0, *(t for t in plate_thicknesses(job.stock_units) if t <= limit + 1e-9)]


def lock_at_margin(front_end: FrontEnd, goal: Goal) -> float:
    """The lesser lock of both turns, rad, at which the inner wheel is down to its over-centre margin at ride height."""
    displacement = np.linspace(0.0, SEARCH_REACH, 131)
    found = []
    for turn in TURNS:
        inner = front_end.inner_wheel(turn, displacement)
        angle = np.where(inner.reachable, np.nan_to_num(over_centre_angle(inner)), 0.0)
        inside = np.flatnonzero(np.minimum.accumulate(angle) >= goal.over_centre_margin)
        last = inside[-1] if inside.size else 0
        found.append(float(abs(steer_angle(inner)[last])))
    return min(found)


def _size_spacer(job: Job, changes: Changes) -> tuple[Changes, str]:
    car, goal = job.car, job.goal
    if job.spacer_given:
        return changes, "thickness given in the job file"
    choices = _spacers(job)
    wanted = math.degrees(goal.lock)
    low, high = 0, len(choices)
    needed = target = math.inf
    while low < high:
        middle = (low + high) // 2
        front_end = assemble(car, replace(changes, rack_spacer=choices[middle]))
        # Where over-centre comes before the wanted lock, more rack than takes the wheel there is of no use.
        lock = min(goal.lock, lock_at_margin(front_end, goal))
        rack = max(racks_for_lock(front_end, lock).values())
        if rack <= usable_stop(front_end):
            high, needed, target = middle, rack, lock
        else:
            low = middle + 1
    if low == len(choices):
        sized = replace(changes, rack_spacer=choices[-1])
        front_end = assemble(car, sized)
        reached = min(inner_lock(front_end, turn, usable_stop(front_end)) for turn in TURNS)
        return sized, (
            f"the thickest plate that leaves one stud diameter of thread; it gives {math.degrees(reached):.1f}° "
            f"of lock where {wanted:.1f}° is wanted"
        )
    sized = replace(changes, rack_spacer=choices[low])
    if target < goal.lock:
        return sized, (
            f"the over-centre margin comes first at {math.degrees(target):.1f}°, at {needed:.1f} mm of rack travel; "
            "more travel would not help"
        )
    if low == 0:
        return sized, f"none needed: the rack's own travel gives {wanted:.1f}° of lock"
    return sized, (
        f"{wanted:.1f}° of lock needs {needed:.1f} mm of usable rack travel; "
        f"{plate_label(choices[low])} is the thinnest plate on the shelf that gives it"
    )


def _size_extension(job: Job) -> tuple[float, str]:
    if job.extension_given:
        return job.fixed.arm_extension, "extension given in the job file"
    goal, pitch = job.goal, step(job.stock_units)
    count = int(goal.max_arm_extension / pitch + 1e-9)
    short = _shortage(job, 0.0)
    if short.amount <= 0:
        return 0.0, "none needed: clearance and track are met with the measured arms"
    most = _shortage(job, count * pitch) if count else short
    if most.amount > 0:
        return count * pitch, f"the most the job allows, which leaves {most.words}"
    low, high = 0, count
    while high - low > 1:
        # Clearance grows nearly in proportion to the extension, so interpolation beats halving.
        share = short.amount / (short.amount - most.amount)
        middle = min(max(math.ceil(low + share * (high - low)), low + 1), high - 1)
        now = _shortage(job, middle * pitch)
        if now.amount <= 0:
            high, most = middle, now
        else:
            low, short = middle, now
    return high * pitch, f"the shortest that suffices; {low * pitch:.1f} mm leaves {short.words}"


@dataclass(frozen=True)
class _Shortage:
    """What is short of clearance or track, mm; not positive when both are met."""

    amount: float
    words: str


def _shortage(job: Job, extension: float) -> _Shortage:
    goal = job.goal
    front_end = assemble(job.car, replace(job.fixed, arm_extension=extension))
    racks = racks_for_lock(front_end, goal.lock + (STOP_RESERVE if job.car.stop_mounts else 0.0))
    most = front_end.rack_stop + (0.0 if job.spacer_given else _spacers(job)[-1])
    swept = sweep(
        front_end, {t: min(racks[t], most) for t in TURNS}, SEARCH_POINTS, SEARCH_TRAVELS, SEARCH_START
    )
    tyre = front_end.tyre.grown()
    least, nearest = math.inf, ""
    for assembly in front_end.sides:
        for obstacle in obstacles(front_end, assembly):
            if obstacle.fixed_to != "knuckle":
                found = float(np.nanmin(gap(tyre, obstacle, swept.pose(assembly.side))))
                least, nearest = min((least, nearest), (found, obstacle.name))
    found_short = _Shortage(
        goal.clearance - least,
        f"{least:.1f} mm between tyre and {nearest} where {goal.clearance:.1f} mm is wanted",
    )
    if goal.track is not None and (have := track(front_end)) < goal.track:
        narrow = _Shortage(goal.track - have, f"a track of {have:.0f} mm where {goal.track:.0f} mm is wanted")
        return max(found_short, narrow, key=lambda x: x.amount)
    return found_short


def displacement(front_end: FrontEnd, turn: Side, rack: float) -> Array:
    """A rack displacement from the centre as a signed array of one, for the pose functions."""
    return np.array([rack_sign(front_end, turn) * rack])
