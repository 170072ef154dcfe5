"""Least squares from wherever it starts, and where to start when nobody has coordinates.

Source: Levenberg's and Marquardt's damped normal equations, as any book on numerical methods gives them.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from solver.survey.measurement import Network, outward
from solver.tables import rows
from solver.vectors import Array

MOST_STEPS = 50
SETTLED = 1e-7
"""mm; a step this short ends the search: a thousandth of what any instrument here could tell, a thousand times."""

NO_GAIN = 1e-9
"""Share of the sum of squares; a step that gains less ends the search: readings that contradict each other leave a
large sum, about which it would creep for long. A sum of sound readings is settled to far less than one by then."""

MOST_STARTS = 24
"""Starting places that are tried for points which nothing but tape lengths leads to."""

USUAL = 300.0
"""mm; how far a point may well lie from where it usually does. Weak enough to give way to any reading."""

FAR = 250.0
"""mm; how far the other starting places of a point lie from the first one."""


def fitted(network: Network, positions: Array) -> tuple[Array, float]:
    """Positions (n, 3) of least weighted squares near a start, and the sum of the squares.

    Where the measurements leave a direction open, it stays about where it started.
    """
    x = positions.copy()
    damping = 1e-4
    r = network.misclosures(x) / network.sigma
    cost = float(r @ r)
    for _ in range(MOST_STEPS):
        J = network.jacobian(x) / network.sigma[:, None]
        normal, gradient = J.T @ J, J.T @ r
        scale = max(float(normal.diagonal().max(initial=0.0)), 1e-12)
        while True:
            damped = normal + damping * scale * np.eye(len(normal))
            step = np.linalg.solve(damped, gradient).reshape(-1, 3)
            moved = network.misclosures(x + step) / network.sigma
            after = float(moved @ moved)
            if after <= cost:
                gained = cost - after
                x, r, cost = x + step, moved, after
                damping = max(damping / 10, 1e-11)
                break
            damping *= 10
            if damping > 1e8:
                return x, cost
        if float(abs(step).max(initial=0.0)) < SETTLED or gained < NO_GAIN * cost:
            break
    return x, cost


def first_guess(network: Network) -> Array:
    """Positions (n, 3) from the measurements that are linear in them and from where points usually lie.

    A weighted linear fit: what heights and distances tell is kept, the rest is filled in.
    """
    count = 3 * len(network.points)
    prior = _usual_positions(network)
    straight = network.only(network.direct)
    J = straight.jacobian(prior) / straight.sigma[:, None]
    seen = straight.misclosures(prior) / straight.sigma
    A = np.vstack([J, np.eye(count) / USUAL])
    b = np.concatenate([seen, np.zeros(count)])
    guess: Array = prior + np.linalg.lstsq(A, b, rcond=None)[0].reshape(-1, 3)
    return guess


def best_start(network: Network) -> Array:
    """Positions (n, 3) from which the fit is best: the first guess, or another for points known by tape alone.

    A point that only lengths and angles lead to may have been guessed on the wrong side of those it was measured
    from. It is tried eight ways round and on the other side of its neighbours, one point after the other.
    """
    best, least = fitted(network, first_guess(network))
    good = 4.0 * len(network.value)
    tries = MOST_STARTS
    for point in loose_points(network):
        for other in [mirrored(network, best, point), *_round_about(best, point)]:
            if least <= good or tries == 0:
                return best
            tries -= 1
            found, cost = fitted(network, other)
            if cost < least - 1e-6:
                best, least = found, cost
    return best


def loose_points(network: Network) -> list[int]:
    """Points that heights and distances from the lines on the floor alone don't fix."""
    straight = network.only(network.direct)
    J = straight.jacobian(np.zeros((len(network.points), 3)))
    _, values, axes = np.linalg.svd(J, full_matrices=True)
    rank = int((values > 1e-9).sum())
    open_part = (axes[rank:] ** 2).sum(axis=0).reshape(-1, 3).sum(axis=1)
    return [int(number) for number in np.flatnonzero(open_part > 1e-9)]


def mirrored(network: Network, positions: Array, point: int) -> Array:
    """The positions with one point on the other side of the plane through those that it was measured from."""
    ends = np.stack([network.origin, network.target], axis=1)[network.between]
    partners = np.unique(ends[(ends == point).any(axis=1)])
    partners = partners[partners != point]
    other = positions.copy()
    if len(partners) < 2:
        return other
    centre = positions[partners].mean(axis=0)
    # The least axis of the partners' spread is square to their plane; with two of them, any axis across will do.
    normal = np.linalg.svd(positions[partners] - centre, full_matrices=True)[2][2]
    other[point] -= 2 * ((positions[point] - centre) @ normal) * normal
    return other


def _round_about(positions: Array, point: int) -> list[Array]:
    """Eight starts with one point at the corners of a cube round its place."""
    starts = []
    for corner in np.ndindex(2, 2, 2):
        other = positions.copy()
        other[point] += FAR * (2.0 * np.array(corner) - 1.0)
        starts.append(other)
    return starts


def _usual_positions(network: Network) -> Array:
    """Where the points usually lie, (n, 3); helper points in the middle of those they were measured from."""
    usual = _usual_points()
    known = np.zeros(len(network.points), dtype=bool)
    positions = np.zeros((len(network.points), 3))
    for number, name in enumerate(network.points):
        side, _, own = name.rpartition(".")
        if own in usual and side in ("left", "right"):
            x, y, z = usual[own]
            positions[number] = (x, outward(name) * y, z)
            known[number] = True
    for number in map(int, np.flatnonzero(~known)):
        partners = np.concatenate(
            [
                network.target[network.between & (network.origin == number)],
                network.origin[network.between & (network.target == number)],
            ]
        )
        partners = partners[known[partners]]
        if len(partners):
            positions[number] = positions[partners].mean(axis=0)
        # Never quite on another point, from where a length would have no direction.
        positions[number] += np.array([11.0, 7.0, 13.0]) * (1 + number % 7)
    return positions


@cache
def _usual_points() -> dict[str, tuple[float, float, float]]:
    return {row["name"]: (float(row["x"]), float(row["y"]), float(row["z"])) for row in rows("usual_points")}
