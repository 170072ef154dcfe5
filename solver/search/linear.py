"""The linear program of one step of the search: the least effort by the slopes alone, within a trust region."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.vectors import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

LOCK_PRICE = 400.0
"""Effort that a degree of lock is worth, in millimetres of rack spacer: beyond what any degree costs to reach."""
RACK_PRICE = 0.02
"""Effort of a millimetre of rack used. Next to nothing: of two racks that do, the lesser one is taken."""
BROKEN_PRICE = 4000.0
"""Of a millimetre or degree by which a limit is broken: more than the lock that it would take to keep it."""
STUCK = 1e-6
"""Room, mm, below which an unknown stands at its bound."""
MOST_LOCK, MOST_LACKING = 90.0, 2e3
"""Lock that may be given up, degrees, and what a limit may lack."""


@dataclass(frozen=True, eq=False)
class Slopes:
    """Limits about a design, as straight lines: rows, the locks of both turns first, by unknowns.

    values: (rows,) what each leaves; slopes: (rows, unknowns)
    limit: (rows,) which limit each belongs to, in order, 0 and 1 being the locks: of a limit's rows the least counts
    count: of limits
    """

    values: Array
    slopes: Array
    limit: NDArray[np.intp]
    count: int

    def least(self, values: Array) -> Array:
        """What each limit leaves, (count,), from values (rows,)."""
        return np.asarray(np.minimum.reduceat(values, np.searchsorted(self.limit, np.arange(self.count))))


@dataclass(frozen=True, eq=False)
class Box:
    """The unknowns: the design's variables, then the rack displacement of each turn; mm.

    low, high: (unknowns,) bounds; efforts: (variables,) of a millimetre of each variable
    """

    low: Array
    high: Array
    efforts: Array

    def cost(self, unknowns: Array) -> float:
        """Effort of a design and of the rack that it uses."""
        k = len(self.efforts)
        return float(self.efforts @ np.abs(unknowns[:k])) + RACK_PRICE * float(unknowns[k:].sum())


@dataclass(frozen=True, eq=False)
class Step:
    """The best step (unknowns,), and what one unit of each limit (count,) and one mm of each bound costs; effort."""

    step: Array
    limits: Array
    low: Array
    high: Array


def best_step(at: Slopes, now: Array, box: Box, radius: float) -> Step:
    """The step from ``now`` that is best by the slopes alone, no longer than the radius in any unknown.

    A linear program in the step's parts up and down, the lock lost and what each other limit lacks. Its dual values
    are the prices: at the least effort its slope is a sum of the slopes of the limits that bind, with these as factors
    (Karush, Kuhn and Tucker).
    """
    n, k = len(now), len(box.efforts)
    up, down = np.minimum(box.high - now, radius), np.minimum(now - box.low, radius)
    # A change that is taken back costs less, not more, up to where it is none; beyond it costs again, which the next
    # step sees.
    design = now[:k]
    price_up = np.where(design >= 0, box.efforts, -box.efforts)
    price_down = np.where(design > 0, -box.efforts, box.efforts)
    up[:k] = np.where((design < 0) & (up[:k] > -design), -design, up[:k])
    down[:k] = np.where((design > 0) & (down[:k] > design), design, down[:k])
    top = np.maximum(np.concatenate([up, down]), 0.0)
    # Rows that no step within the radius can reach would only take time.
    reach = np.abs(at.slopes) @ np.maximum(top[:n], top[n:])
    used = np.flatnonzero((at.values < reach) | (at.limit < 2))
    limit = at.limit[used]
    rows = np.zeros((len(used), 2 * n + at.count - 1))
    rows[:, :n], rows[:, n : 2 * n] = -at.slopes[used], at.slopes[used]
    # Both locks lack together; each limit by itself, so that one that no design keeps doesn't let the others go.
    rows[np.arange(len(used)), 2 * n + np.maximum(limit - 1, 0)] = -1.0
    price = np.concatenate(
        [
            *(price_up, [RACK_PRICE] * 2, price_down, [-RACK_PRICE] * 2),
            *([LOCK_PRICE], [BROKEN_PRICE] * (at.count - 2)),
        ]
    )
    top = np.concatenate([top, [MOST_LOCK], np.full(at.count - 2, MOST_LACKING)])
    u, dual, reduced = _solved(price, rows, at.values[used], top)
    prices = np.bincount(limit, np.maximum(-dual, 0.0), minlength=at.count)
    # An unknown that stands at its bound can't move that way; what it would save if it could is the bound's price.
    stuck_up, stuck_down = top[:n] < STUCK, top[n : 2 * n] < STUCK
    return Step(
        step=u[:n] - u[n : 2 * n],
        limits=np.asarray(prices, float),
        low=np.where(stuck_down, np.maximum(-reduced[n : 2 * n], 0.0), 0.0),
        high=np.where(stuck_up, np.maximum(-reduced[:n], 0.0), 0.0),
    )


def _solved(price: Array, rows: Array, most: Array, top: Array) -> tuple[Array, Array, Array]:
    """The unknowns, each from 0 to its top, of least price · unknowns with rows · unknowns ≤ most; dual values of the
    rows and reduced costs of the unknowns. All zero where the program has no answer."""
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
    if program.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return np.zeros(columns), np.zeros(count), np.zeros(columns)
    solution = program.getSolution()
    return np.array(solution.col_value), np.array(solution.row_dual), np.array(solution.col_dual)
