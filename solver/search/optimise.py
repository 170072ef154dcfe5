"""The least effort that keeps every limit, by sequential quadratic programming on batched front ends.

The unknowns are the design's variables, the rack displacement used in each turn, which is where the wheel is to be
stopped, and the lock given up, which costs so much that none is given up where the goal is in reach. Where it is not,
the same search ends at the nearest goal that is.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from solver.search.design import Space
from solver.search.goals import Reserve, reserves_of
from solver.vectors import Array

LOCK_PRICE = 400.0
"""Effort that a degree of lock is worth, in millimetres of rack spacer: beyond what any degree costs to reach."""
RACK_PRICE = 0.02
"""Effort of a millimetre of rack used. Next to nothing: of two racks that do, the lesser one is taken."""
STEP = 0.01
"""Of the difference quotients, mm: the figures are smooth but for kinks where another point comes nearest."""
KEPT = 2e-3
"""What a limit may be broken by and still count as kept, mm or degrees."""
BROKEN_PRICE = 4000.0
"""Of a millimetre or degree by which a limit is broken: more than the lock that it would take to keep it."""
FARTHEST = 130.0
"""Rack displacement, mm, up to which a lock is looked for: no car's rack goes further, spacers included."""
NEAR = 0.3
"""Change of the unknowns, mm, below which the search ends: sizes are rounded to far coarser steps after it."""
FIRST_RADIUS = 40.0
"""Of the trust region, mm."""
WORTH = 0.1
"""Effort that a further step must save: a tenth of a millimetre of rack spacer."""
FORGIVEN = 0.1
"""What a step may break a limit by, mm or degrees, and still be taken: the next one mends it."""
STUCK = 1e-6
"""Room, mm, below which an unknown stands at its bound."""
MOST_STEPS = 60


@dataclass(frozen=True, eq=False)
class Found:
    """A design (k,) with the rack displacement in mm used in each turn (2,).

    short: lock given up, degrees; reserves: everything that the job asks but lock, at the design
    slopes: change of each reserve with each unknown, (reserves, k + 2); lock_slopes: (2, k + 2) of both locks
    """

    design: Array
    racks: Array
    short: float
    effort: float
    lock: list[Reserve]
    reserves: list[Reserve]
    slopes: Array
    lock_slopes: Array

    @property
    def broken(self) -> list[Reserve]:
        """Limits that even the best design breaks."""
        return [r for r in self.reserves if r.left[0] < -10 * KEPT]


@dataclass(eq=False)
class _Problem:
    """Evaluates unknowns (k + 2), with their slopes, each only once."""

    space: Space
    seen: dict[bytes, tuple[Array, Array, list[Reserve], list[Reserve]]] = field(default_factory=dict)

    def at(self, unknowns: Array) -> tuple[Array, Array, list[Reserve], list[Reserve]]:
        """Values (limits,), slopes (limits, k + 2), both locks first, and the reserves."""
        key = unknowns.tobytes()
        if key not in self.seen:
            k = len(self.space.variables)
            # The last difference moves both racks at once: a turn's figures depend on its own alone.
            table = np.repeat(unknowns[None, :], k + 2, axis=0)
            steps = np.full(k, STEP)
            steps[unknowns[:k] + STEP > self.space.high] = -STEP
            table[np.arange(1, k + 1), np.arange(k)] += steps
            table[k + 1, k:] += STEP
            lock, others = reserves_of(self.space, table[:, :k], table[:, k:])
            both = np.stack([r.left for r in (*lock, *others)])
            slopes = np.zeros((len(both), k + 2))
            slopes[:, :k] = (both[:, 1 : k + 1] - both[:, :1]) / steps
            for row, reserve in enumerate((*lock, *others)):
                if reserve.where.endswith("turn"):
                    turn = 0 if reserve.where.startswith("left") else 1
                    slopes[row, k + turn] = (both[row, k + 1] - both[row, 0]) / STEP
            self.seen[key] = both[:, 0], slopes, lock, others
        return self.seen[key]


def least_effort(space: Space, start: Array, worth: float = WORTH, near: float = NEAR) -> Found:
    """The design of least effort; ``start`` (k + 2) holds a design and the rack displacements to begin at, mm.

    worth: effort that a further step must save to be taken; near: change in mm below which no step is looked for

    Sequential linear programming in a trust region: figures are nearly straight lines over some centimetres of a
    change, and where they are not, or end at over-centre, the region shrinks.
    """
    k, problem = len(space.variables), _Problem(space)
    efforts = np.array([v.effort for v in space.variables])
    low, high = _bounds(space)

    def cost(z: Array) -> float:
        return float(efforts @ np.abs(z[:k])) + RACK_PRICE * float(z[k:].sum())

    def merit(z: Array, values: Array) -> float:
        short, broken = _lost(values + FORGIVEN)
        return cost(z) + LOCK_PRICE * short + BROKEN_PRICE * broken

    now = np.clip(start, low, high)
    values, slopes, _, _ = problem.at(now)
    radius = FIRST_RADIUS
    for _ in range(MOST_STEPS):
        step = _linear_step(values, slopes, now, low, high, efforts, radius)
        longest = float(np.abs(step).max())
        kept = max(_lost(values)[1] - KEPT, 0.0) == 0.0
        if longest < (near if kept else near / 10):
            break
        trial = np.clip(now + step, low, high)
        promised = merit(now, values) - merit(trial, values + slopes @ step)
        if kept and promised < worth:
            break
        there, slopes_there, _, _ = problem.at(trial)
        gained = merit(now, values) - merit(trial, there)
        if gained >= min(0.1 * promised, promised - FORGIVEN):
            now, values, slopes = trial, there, slopes_there
            radius = 2 * radius if gained > 0.7 * promised else radius
        else:
            radius = longest / 3
            if radius < (near if kept else near / 10):
                break
    values, slopes, lock, others = problem.at(now)
    return Found(
        design=now[:k],
        racks=now[k:],
        short=_lost(values)[0],
        effort=float(efforts @ np.abs(now[:k])),
        lock=lock,
        reserves=others,
        slopes=slopes[2:],
        lock_slopes=slopes[:2],
    )


def next_best(space: Space, found: Found, settled: int, size: float) -> Array:
    """Where the others are best, by the slopes alone, when one variable of a design goes to a size; (k − 1 + 2), mm.

    A start for the search without that variable.
    """
    values = np.array([r.left[0] for r in (*found.lock, *found.reserves)])
    slopes = np.concatenate([found.lock_slopes, found.slopes])
    values = values + slopes[:, settled] * (size - found.design[settled])
    now = np.delete(np.concatenate([found.design, found.racks]), settled)
    low, high = _bounds(space)
    efforts = np.delete(np.array([v.effort for v in space.variables]), settled)
    low, high = np.delete(low, settled), np.delete(high, settled)
    rest = np.delete(slopes, settled, axis=1)
    step = _linear_step(values, rest, now, low, high, efforts, FIRST_RADIUS)
    return np.clip(now + step, low, high)


def _bounds(space: Space) -> tuple[Array, Array]:
    """Of the unknowns, mm."""
    return np.array([*space.low, 1.0, 1.0]), np.array([*space.high, FARTHEST, FARTHEST])


def _lost(values: Array) -> tuple[float, float]:
    """Degrees of lock that are missing, and what the other limits lack, all together."""
    return max(-float(values[:2].min()), 0.0), float(np.maximum(-values[2:], 0.0).sum())


@dataclass(frozen=True, eq=False)
class _Linear:
    """The answer to a linear program: the step (k + 2), and what one unit of each limit and bound costs.

    limits: effort per unit, (limits,), both locks first; low, high: per mm of each unknown's bounds (k + 2)
    """

    step: Array
    limits: Array
    low: Array
    high: Array


def prices(space: Space, found: Found) -> tuple[Array, Array, Array]:
    """What one unit of each limit costs at a design, and one mm of each variable's bounds; effort, none negative.

    The linear program's dual values: at the least effort its slope is a sum of the slopes of the limits that bind,
    with these as factors (Karush, Kuhn and Tucker).
    """
    k = len(space.variables)
    low, high = _bounds(space)
    now = np.concatenate([found.design, found.racks])
    efforts = np.array([v.effort for v in space.variables])
    values = np.array([r.left[0] for r in (*found.lock, *found.reserves)])
    slopes = np.concatenate([found.lock_slopes, found.slopes])
    linear = _linear_program(values, slopes, now, low, high, efforts, FIRST_RADIUS)
    return linear.limits[2:], linear.low[:k], linear.high[:k]


def _linear_step(
    values: Array, slopes: Array, now: Array, low: Array, high: Array, efforts: Array, radius: float
) -> Array:
    """The step that is best by the slopes alone, no longer than the radius in any unknown."""
    return _linear_program(values, slopes, now, low, high, efforts, radius).step


def _linear_program(
    values: Array, slopes: Array, now: Array, low: Array, high: Array, efforts: Array, radius: float
) -> _Linear:
    """The best step by the slopes alone, as a linear program in the step's parts up and down, the lock lost and what
    the other limits lack."""
    n, k = len(now), len(efforts)
    up, down = np.minimum(high - now, radius), np.minimum(now - low, radius)
    # A change that is taken back costs less, not more, up to where it is none; beyond it costs again, which the next
    # step sees.
    at = np.append(now[:k], 0.0)[:k]
    price_up = np.where(at >= 0, efforts, -efforts)
    price_down = np.where(at > 0, -efforts, efforts)
    crossing = (at < 0) & (up[:k] > -at)
    up[:k] = np.where(crossing, -at, up[:k])
    crossing = (at > 0) & (down[:k] > at)
    down[:k] = np.where(crossing, at, down[:k])
    limits = len(values) - 2
    price = np.concatenate(
        [price_up, [RACK_PRICE] * 2, price_down, [-RACK_PRICE] * 2, [LOCK_PRICE], [BROKEN_PRICE] * limits]
    )
    rows = np.zeros((len(values), 2 * n + 1 + limits))
    rows[:, :n], rows[:, n : 2 * n] = -slopes, slopes
    rows[:2, 2 * n] = -1.0
    # Each limit lacks by itself, so that one that no design keeps doesn't let the others go.
    rows[2:, 2 * n + 1 :] = -np.eye(limits)
    top = np.maximum(np.concatenate([up, down, [90.0], np.full(limits, 2e3)]), 0.0)
    u, dual, reduced = _solved(price, rows, values, top)
    # An unknown that stands at its bound can't move that way; what it would save if it could is the bound's price.
    stuck_up, stuck_down = top[:n] < STUCK, top[n : 2 * n] < STUCK
    return _Linear(
        step=u[:n] - u[n : 2 * n],
        limits=np.maximum(-dual, 0.0),
        low=np.where(stuck_down, np.maximum(-reduced[n : 2 * n], 0.0), 0.0),
        high=np.where(stuck_up, np.maximum(-reduced[:n], 0.0), 0.0),
    )


def _solved(price: Array, rows: Array, most: Array, top: Array) -> tuple[Array, Array, Array]:
    """The unknowns, each from 0 to its top, of least price · unknowns with rows · unknowns ≤ most; dual values of the
    rows and reduced costs of the unknowns."""
    import highspy

    columns, count = len(price), len(rows)
    program = highspy.Highs()
    program.setOptionValue("output_flag", False)
    program.addVars(columns, np.zeros(columns), top)
    program.changeColsCost(columns, np.arange(columns, dtype=np.int32), price)
    where = np.tile(np.arange(columns, dtype=np.int32), count)
    starts = np.arange(0, columns * count, columns, dtype=np.int32)
    program.addRows(count, np.full(count, -highspy.kHighsInf), most, where.size, starts, where, rows.ravel())
    program.run()
    solution = program.getSolution()
    return np.array(solution.col_value), np.array(solution.row_dual), np.array(solution.col_dual)
