"""How far what a builder sets or reads on the finished car may be off, as the points were measured.

The same cars as in `solver.uncertainty.assess`, but only put together and turned to their stops, not swept: a
hundredth of the work. A stop bracket is taken to be fixed where it ends the turn at the lock of the design, which is
how it is set; where the rack then stands is what varies.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from solver.car import Side
from solver.corner import over_centre_angle, pose_corner
from solver.measures import camber_angle, caster_angle, contact_centre, steer_angle
from solver.solution import Solution
from solver.uncertainty.bands import Band, Outcome, bands
from solver.uncertainty.normals import even_normals
from solver.uncertainty.size_check import checked
from solver.uncertainty.sources import Source, sources_of
from solver.uncertainty.variants import SIDES, Variants, variants_of
from solver.vectors import Array

SAMPLES = 1000
"""Enough for the ends of a band to a twentieth of its width."""

MOVED = frozenset({"left", "right", "rack", "change"})
"""What has a say in set-up values; what the tyre must stay clear of has none."""
HALVINGS = 20
"""Of a rack displacement that is looked for: to a ten-thousandth of a mm."""


class Read(NamedTuple):
    """One value in each of n cars, mm or rad; NaN where it can't be had."""

    kind: str
    name: str
    angle: bool
    values: Array


@dataclass(frozen=True)
class SetUp:
    """Bands of set-up values by name, such as "tie rod, left".

    over_centre_first: share of the cars whose linkage goes over centre before the stop, for each turn; they count as
        having no margin there, and not at all for what they have at the stop
    """

    bands: Mapping[str, Band]
    over_centre_first: Mapping[Side, float]


def set_up(
    solution: Solution,
    brackets: Collection[Side],
    sources: Sequence[Source] | None = None,
    samples: int = SAMPLES,
) -> SetUp:
    """Bands of tie rod, toe, camber, caster, track, and of rack, lock, outer wheel and over-centre margin.

    Those of a turn are at ride height with the wheel at its stop: rack from its middle to there, lock, and so on.
    brackets: turns that a stop bracket ends; any other ends at the rack's own stop

    Raises:
        GeometryError: an uncertainty is larger than the geometry allows; names the culprit.
    """
    job, design = solution.job, solution.as_modified.front_end
    every = checked(job.car, sources_of(job) if sources is None else sources)
    found = tuple(source for source in every if any(target[0] in MOVED for target, *_ in source.moves))
    locks = tuple(solution.as_modified.turn(side).lock if side in brackets else None for side in SIDES)
    normals = even_normals(samples, len(found))
    cars, alone = (variants_of(design, found, errors) for errors in (normals, np.zeros((1, len(found)))))
    known: dict[str, Band] = {}
    first: dict[Side, float] = {}
    known |= _bands(_standing(cars), _standing(alone), found, normals)
    for number, side in enumerate(SIDES):
        many, one = (_at_stop(each, number, locks[number]) for each in (cars, alone))
        known |= _bands(many[:-1], one[:-1], found, normals)
        margin = many[-1]
        over = cars.stack.sound & ~np.isfinite(margin.values)
        first[side] = float(over.mean())
        known |= _bands(
            [margin._replace(values=np.where(over, 0.0, margin.values))], one[-1:], found, normals
        )
    return SetUp(known, first)


def _bands(
    cars: list[Read], alone: list[Read], sources: tuple[Source, ...], normals: Array
) -> dict[str, Band]:
    """Over the cars that have all of the values; none where the design itself has not."""
    # What no error moves is one number for all cars.
    values = [np.broadcast_to(each.values, (len(normals),)) for each in cars]
    good = np.all(np.isfinite(values), axis=0)
    nominal = [float(np.ravel(each.values)[0]) for each in alone]
    if not good.any() or not np.all(np.isfinite(nominal)):
        return {}
    outcomes = [
        Outcome(each.kind, each.name, each.angle, design, shown[good], None)
        for each, shown, design in zip(cars, values, nominal, strict=True)
    ]
    return {band.name: band for band in bands(outcomes, sources, normals[good], int((~good).sum()))}


def _standing(cars: Variants) -> list[Read]:
    """What is read with the wheels straight at ride height."""
    stack = cars.stack
    found, contact = [], []
    for stacked in stack.sides:
        pose = pose_corner(stacked.corner, stacked.ride_angle, np.zeros(len(stack)))
        for kind, angle, values in (
            ("tie rod", False, stacked.corner.tie_rod),
            ("toe", True, stacked.toe),
            ("camber", True, camber_angle(pose)),
            ("caster", True, caster_angle(pose)),
        ):
            found.append(Read(kind, f"{kind}, {stacked.side}", angle, np.where(stack.sound, values, np.nan)))
        contact.append(contact_centre(pose, stack.loaded_radius)[..., 1])
    return [*found, Read("track", "track", False, np.where(stack.sound, contact[0] - contact[1], np.nan))]


def _at_stop(cars: Variants, inner: int, lock: float | None) -> list[Read]:
    """What is read with the wheels at the stop of a turn, the over-centre margin last."""
    stack, turn = cars.stack, SIDES[inner]
    sign = stack.left_sign if turn == "left" else -stack.left_sign
    own = stack.rack_stop + cars.stop_error[:, inner]
    rack = own if lock is None else _at_lock(cars, inner, sign, lock, own)
    poses = [pose_corner(each.corner, each.ride_angle, sign * rack) for each in stack.sides]
    there = stack.sound & poses[0].reachable & poses[1].reachable
    steer = [np.abs(steer_angle(pose)) for pose in poses]
    margin = np.minimum(*(over_centre_angle(pose) for pose in poses))
    return [
        Read(kind, f"{kind}, {turn} turn", kind != "rack", np.where(there, values, np.nan))
        for kind, values in (
            ("rack", rack),
            ("lock", steer[inner]),
            ("outer wheel", steer[1 - inner]),
            ("over-centre margin", margin),
        )
    ]


def _at_lock(cars: Variants, inner: int, sign: int, lock: float, own: Array) -> Array:
    """Rack displacement (n,) at which the inner wheel has the lock, or of the rack's own stop if that comes before."""
    low, high = np.zeros(len(cars)), own.copy()
    corner = cars.stack.sides[inner]
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        pose = pose_corner(corner.corner, corner.ride_angle, sign * middle)
        # Past over-centre there is no pose, and the lock was passed on the way there.
        short = pose.reachable & (np.abs(steer_angle(pose)) < lock)
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return high
