"""The closed lines round the parts of a mesh where a value is under a level: the cut lines of the body."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.body.surface import Edges, Surface, edges_of
from solver.vectors import Array, length

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

CLOSE = 0.01
"""mm to which a place on the line has the level's value."""
ROUNDS = 12


@dataclass(frozen=True, eq=False)
class Loop:
    """A closed line on a mesh; its last point is joined to its first.

    points: (k, 3), mm
    on_edge: whether the way from each point to the next follows the mesh's own edge, where the surface ends, (k,)
    """

    points: Array
    on_edge: NDArray[np.bool_]

    @property
    def steps(self) -> Array:
        """Length of the way from each point to the next, mm."""
        return length(np.roll(self.points, -1, axis=0) - self.points)

    @property
    def length(self) -> float:
        """All round, mm."""
        return float(self.steps.sum())

    @property
    def edge_share(self) -> float:
        """Share of the line that follows the edge of the surface."""
        steps = self.steps
        whole = float(steps.sum())
        return float(steps[self.on_edge].sum()) / whole if whole > 0 else 0.0


def contour(
    surface: Surface, values: Array, level: float, value: Callable[[Array], Array] | None = None
) -> list[Loop]:
    """All lines, the longest first.

    value: of points (k, 3); places on the line are moved along their mesh edges until it is the level's to 0.01 mm.
        Without it the value is taken as linear along an edge.

    An edge whose ends lie on either side of the level has one place of the line, a triangle two such edges or none.
    Where the surface ends the line follows its edge; an edge with any odd number of triangles counts as one. So every
    place has an even number of ways and all lines close, on meshes of any kind.
    """
    above = np.where(values == level, 1e-12, values - level)
    pairs, sides, count = edges_of(surface.triangles)
    under = above < 0
    crossing = under[pairs[:, 0]] != under[pairs[:, 1]]
    places = _places(surface.points, above, pairs[crossing], level, value)
    # Places come first in the numbering of nodes, then the mesh's points.
    node = np.full(len(pairs), -1, np.int64)
    node[crossing] = np.arange(len(places))
    first_point = len(places)
    cut = crossing[sides]
    across = node[sides[cut.sum(axis=1) == 2]][cut[cut.sum(axis=1) == 2]].reshape(-1, 2)
    odd = count % 2 == 1
    inside = pairs[odd & under[pairs].all(axis=1)] + first_point
    partly = odd & crossing
    ends = pairs[partly]
    low = np.where(under[ends[:, 0]], ends[:, 0], ends[:, 1]) + first_point
    rim = np.concatenate([inside, np.stack([node[partly], low], axis=1)])
    ways = np.concatenate([across, rim])
    on_edge = np.concatenate([np.zeros(len(across), np.bool_), np.ones(len(rim), np.bool_)])
    nodes = np.vstack([places, surface.points])
    loops = [Loop(nodes[walk], on_edge[used]) for walk, used in _walks(ways)]
    return sorted(loops, key=lambda loop: -loop.length)


def rims(surface: Surface) -> list[NDArray[np.int64]]:
    """The closed edges at which a mesh ends: numbers of their points, in order."""
    pairs, _, count = edges_of(surface.triangles)
    return [np.array(nodes) for nodes, _ in _walks(pairs[count % 2 == 1])]


def _places(
    points: Array,
    above: Array,
    pairs: Edges,
    level: float,
    value: Callable[[Array], Array] | None,
) -> Array:
    """Where the value crosses the level on each edge: linear, then false position (Illinois) on the value itself."""
    start, end = points[pairs[:, 0]], points[pairs[:, 1]]
    low, high = np.zeros(len(pairs)), np.ones(len(pairs))
    f_low, f_high = above[pairs[:, 0]].copy(), above[pairs[:, 1]].copy()
    share = f_low / (f_low - f_high)
    if value is None or not len(pairs):
        return np.asarray(start + share[:, None] * (end - start))
    open_ones = np.arange(len(pairs))
    last_side = np.zeros(len(pairs))
    for _ in range(ROUNDS):
        i = open_ones
        found = value(start[i] + share[i, None] * (end[i] - start[i])) - level
        same = np.sign(found) == np.sign(f_low[i])
        low[i], f_low[i] = np.where(same, share[i], low[i]), np.where(same, found, f_low[i])
        high[i], f_high[i] = np.where(same, high[i], share[i]), np.where(same, f_high[i], found)
        # An end that stays twice counts for half, or it would stay for ever.
        f_high[i] *= np.where(same & (last_side[i] == 1), 0.5, 1.0)
        f_low[i] *= np.where(~same & (last_side[i] == -1), 0.5, 1.0)
        last_side[i] = np.where(same, 1, -1)
        left = np.abs(found) > CLOSE
        open_ones = i[left]
        if not len(open_ones):
            break
        i = open_ones
        share[i] = low[i] + (high[i] - low[i]) * f_low[i] / (f_low[i] - f_high[i])
    return np.asarray(start + share[:, None] * (end - start))


def _walks(ways: Edges) -> list[tuple[list[int], list[int]]]:
    """Closed walks that use each way once: their nodes, and the way from each node to the next."""
    at: dict[int, list[int]] = {}
    pairs = ways.tolist()
    for number, (a, b) in enumerate(pairs):
        at.setdefault(a, []).append(number)
        at.setdefault(b, []).append(number)
    used = [False] * len(pairs)
    walks = []
    for first in range(len(pairs)):
        if used[first]:
            continue
        start = here = pairs[first][0]
        way: int | None = first
        nodes, taken = [], []
        while way is not None:
            used[way] = True
            nodes.append(here)
            taken.append(way)
            a, b = pairs[way]
            here = b if here == a else a
            way = None if here == start else next((n for n in at[here] if not used[n]), None)
        walks.append((nodes, taken))
    return walks
