"""The least effort that keeps every limit, by sequential linear programming on batched front ends.

The unknowns are the design's variables, the rack displacement used in each turn, which is where the wheel is to be
stopped, and the lock given up, which costs so much that none is given up where the goal is in reach. Where it is not,
the same search ends at the nearest goal that is.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from solver.search.design import Space
from solver.search.goals import Asked, Reserve, reserves_of
from solver.search.linear import BROKEN_PRICE, LOCK_PRICE, Box, Slopes, best_step
from solver.search.outcome import Outcome
from solver.vectors import Array

if TYPE_CHECKING:
    from collections.abc import Mapping

STEP = 0.01
"""Of the difference quotients, mm: the figures are smooth but for kinks where another point comes nearest."""
KEPT = 2e-3
"""What a limit may be broken by and still count as kept, mm or degrees."""
COUNTS = 0.01
"""What a goal or a limit must be missed by to be told as missed, mm or degrees."""
FORGIVEN = 0.1
"""What a step may break a limit by, mm or degrees, and still be taken: the next one mends it."""
FARTHEST = 130.0
"""Rack displacement, mm, up to which a lock is looked for: no car's rack goes further, spacers included."""
NEAR = 0.3
"""Change of the unknowns, mm, below which the search ends: sizes are rounded to far coarser steps after it."""
FIRST_RADIUS = 40.0
"""Of the trust region, mm."""
SHRINK = 1.5
"""What the region shrinks by where a step did worse than promised."""
CLIFF = 5.0
"""What a limit may have fallen by below its slope, mm or degrees, and still have bent: beyond, over-centre was met."""
WORTH = 0.1
"""Effort that a further step must save: a tenth of a millimetre of rack spacer."""
WORTH_SHARE = 1e-4
"""The same as a share of what a design costs, where lock given up or limits broken make that much."""
MENDED = 1e-3
"""Change of the unknowns, mm, that is made all the same to mend what a step has broken by a little."""
PATIENCE = 12
"""Steps without a better design after which the search ends. Each better one is so by some worth, so all do."""


@dataclass(frozen=True, eq=False)
class Found:
    """A design (k,) with the rack displacement in mm used in each turn (2,).

    short: lock given up, degrees; effort: of the changes, what it takes to begin them apart
    cost: effort with the prices of lock given up and of limits broken: the lower the better
    lock, reserves: what the job asks, both locks and everything else, at the design; at: all of it with its slopes
    outcome: of a stack whose first design this is
    """

    design: Array
    racks: Array
    short: float
    effort: float
    cost: float
    lock: list[Reserve]
    reserves: list[Reserve]
    at: Slopes
    outcome: Outcome

    @property
    def unknowns(self) -> Array:
        """Design and racks (k + 2,)."""
        return np.concatenate([self.design, self.racks])

    @property
    def given_up(self) -> float:
        """Degrees of lock that the goal is out of reach by; 0 where less is missing than counts."""
        return self.short if self.short > COUNTS else 0.0

    @property
    def broken(self) -> list[Reserve]:
        """Limits that even the best design breaks."""
        return [r for r in self.reserves if r.left[0] < -COUNTS]

    @property
    def slopes(self) -> Array:
        """Change of each reserve with each unknown, lock apart, (reserves, k + 2): that of its least part."""
        order = np.lexsort((self.at.values, self.at.limit))
        first = np.searchsorted(self.at.limit[order], np.arange(2, self.at.count))
        return self.at.slopes[order[first]]

    @property
    def lock_slopes(self) -> Array:
        """Change of both locks with each unknown, (2, k + 2)."""
        return self.at.slopes[:2]


@dataclass(eq=False)
class _Problem:
    """Evaluates unknowns (k + 2), with their slopes, each only once."""

    space: Space
    seen: dict[bytes, tuple[Slopes, Asked]] = field(default_factory=dict)

    def knows(self, unknowns: Array) -> bool:
        """Whether they were evaluated before."""
        return unknowns.tobytes() in self.seen

    def at(self, unknowns: Array) -> tuple[Slopes, Asked]:
        """Values with their slopes, and what they are of."""
        key = unknowns.tobytes()
        if key not in self.seen:
            k = len(self.space.variables)
            # The last difference moves both racks at once: a turn's figures depend on its own alone.
            table = np.repeat(unknowns[None, :], k + 2, axis=0)
            steps = np.full(k, STEP)
            steps[unknowns[:k] + STEP > self.space.high] = -STEP
            table[np.arange(1, k + 1), np.arange(k)] += steps
            table[k + 1, k:] += STEP
            asked = reserves_of(self.space, table[:, :k], table[:, k:], alike=True)
            reserves = (*asked.lock, *asked.others)
            both = np.concatenate([r.parts for r in reserves])
            limit = np.repeat(np.arange(len(reserves)), [len(r.parts) for r in reserves])
            slopes = np.zeros((len(both), k + 2))
            slopes[:, :k] = (both[:, 1 : k + 1] - both[:, :1]) / steps
            by_rack = (both[:, k + 1] - both[:, 0]) / STEP
            for turn, word in enumerate(("left turn", "right turn")):
                own = np.array([r.where == word for r in reserves])[limit]
                slopes[own, k + turn] = by_rack[own]
            self.seen[key] = Slopes(both[:, 0], slopes, limit, len(reserves)), asked
        return self.seen[key]


def least_effort(space: Space, start: Array, worth: float = WORTH, near: float = NEAR) -> Found:
    """The design of least effort; ``start`` (k + 2) holds a design and the rack displacements to begin at, mm.

    worth: effort that a further step must save to be taken; near: change in mm below which no step is looked for

    Sequential linear programming in a trust region: figures are nearly straight lines over some centimetres of a
    change, and where they are not, or end at over-centre, the region shrinks. How far they bent away below their
    slopes on a step that failed is allowed for in the next one.
    """
    problem, box = _Problem(space), box_of(space)

    def merit(z: Array, at: Slopes, values: Array, forgiven: float = FORGIVEN) -> float:
        return _merit(box, z, at, values, forgiven)

    now = np.clip(start, box.low, box.high)
    at = problem.at(now)[0]
    best, least = now, merit(now, at, at.values, KEPT)
    radius, bend = FIRST_RADIUS, np.zeros(len(at.values))
    since = 0
    while since < PATIENCE:
        bent = Slopes(at.values + bend * radius**2, at.slopes, at.limit, at.count)
        step = best_step(bent, now, box, radius).step
        longest, mending = float(np.abs(step).max()), near <= NEAR and _to_mend(at)
        least_step = MENDED if mending else near / 10
        trial = np.clip(now + step, box.low, box.high)
        foreseen = at.values + at.slopes @ step
        promised = merit(now, at, at.values) - merit(trial, at, foreseen + bend * longest**2)
        worth_it = max(worth, WORTH_SHARE * least)
        if longest < least_step or (promised < worth_it and not mending) or problem.knows(trial):
            break
        there, since = problem.at(trial)[0], since + 1
        gained = merit(now, at, at.values) - merit(trial, there, there.values)
        if gained >= min(0.1 * promised, promised - FORGIVEN):
            now, at = trial, there
            if (strict := merit(now, at, at.values, KEPT)) < least - worth_it:
                best, least, since = now, strict, 0
            radius = 2 * radius if gained > 0.7 * promised else radius
            bend = np.zeros(len(at.values))
        else:
            off = np.minimum(there.values - foreseen, 0.0)
            bend = np.where(off > -CLIFF, off, 0.0) / longest**2
            radius = longest / SHRINK
            if radius < (least_step if mending else near):
                break
    return _found(problem, box, best)


def evaluated(space: Space, unknowns: Array) -> Found:
    """A design (k) with its racks (2) as if it had been found."""
    return _found(_Problem(space), box_of(space), unknowns)


def _found(problem: _Problem, box: Box, unknowns: Array) -> Found:
    k = len(box.efforts)
    at, asked = problem.at(unknowns)
    return Found(
        design=unknowns[:k],
        racks=unknowns[k:],
        short=_short(at.values),
        effort=float(box.efforts @ np.abs(unknowns[:k])),
        cost=_merit(box, unknowns, at, at.values, KEPT),
        lock=asked.lock,
        reserves=asked.others,
        at=at,
        outcome=asked.outcome,
    )


def without(space: Space, found: Found, sizes: Mapping[str, float]) -> tuple[Space, Found]:
    """The designs in which some variables have the sizes that a design gives them, and that design among them."""
    gone = [i for i, v in enumerate(space.variables) if v.name in sizes]
    at = replace(found.at, slopes=np.delete(found.at.slopes, gone, axis=1))
    return space.settled(sizes), replace(found, design=np.delete(found.design, gone), at=at)


def next_best(space: Space, found: Found, sizes: Mapping[str, float]) -> tuple[Space, Array, float]:
    """The designs in which some variables have a size in mm, where the others are best then by the slopes alone, and
    what that design would cost; a start for the search."""
    settled = [i for i, v in enumerate(space.variables) if v.name in sizes]
    moves = [sizes[space.variables[i].name] - found.design[i] for i in settled]
    values = found.at.values + found.at.slopes[:, settled] @ np.array(moves)
    rest, at = space.settled(sizes), found.at
    box, now = box_of(rest), np.delete(found.unknowns, settled)
    there = Slopes(values, np.delete(at.slopes, settled, axis=1), at.limit, at.count)
    step = best_step(there, now, box, FIRST_RADIUS).step
    start = np.clip(now + step, box.low, box.high)
    return rest, start, _merit(box, start, there, values + there.slopes @ step, KEPT)


def prices(space: Space, found: Found) -> tuple[Array, Array, Array]:
    """What one unit of each limit costs at a design, lock apart, and one mm of each variable's bounds; effort, none
    negative (`solver.search.linear`)."""
    k = len(space.variables)
    linear = best_step(found.at, found.unknowns, box_of(space), FIRST_RADIUS)
    return linear.limits[2:], linear.low[:k], linear.high[:k]


def box_of(space: Space) -> Box:
    """The unknowns of a space."""
    low, high = np.array([*space.low, 1.0, 1.0]), np.array([*space.high, FARTHEST, FARTHEST])
    return Box(low, high, space.efforts)


def _merit(box: Box, unknowns: Array, at: Slopes, values: Array, forgiven: float) -> float:
    """Effort of unknowns, with the prices of lock given up and of limits broken by more than is forgiven."""
    left = at.least(values) + forgiven
    lacking = float(np.maximum(-left[2:], 0.0).sum())
    return box.cost(unknowns) + LOCK_PRICE * _short(left) + BROKEN_PRICE * lacking


def _short(values: Array) -> float:
    """Degrees of lock that are missing."""
    return max(-float(values[:2].min()), 0.0)


def _to_mend(at: Slopes) -> bool:
    """Whether something is broken by so little that a step may have done it and the next one can mend it."""
    lacking = -at.least(at.values)
    return bool(np.any((lacking > KEPT) & (lacking < 2 * FORGIVEN)))
