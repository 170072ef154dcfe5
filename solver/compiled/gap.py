"""The gap from a round bar to the tyre's solid in scalar code: what `solver.tyre` and `solver.clearance` define.

A tyre is a row of four numbers: half of its width, the middle and half of the height of its half section, and the
shoulder radius. How far a point is from the solid depends on two numbers alone, how far along the axis and how far
from it: on a straight bar the first is linear and the second's square is quadratic in the place on the bar.
"""

from __future__ import annotations

import math

from solver.compiled.start import inlined
from solver.vectors import Array

PITCH = 24.0
"""Between first samples along a bar, mm; as in `solver.tyre.nearest_point_distance`."""
CLOSE = 0.5
"""To which the place of the least distance along a bar is found, mm; the distance itself is far closer."""
LEAST_STEP = 2.0
"""mm; where a bar would have to be looked at in smaller steps to tell that it is far enough, it is searched."""
GOLDEN = 0.6180339887498949


@inlined
def from_tyre(tyre: Array, along: float, square: float) -> float:
    """Signed distance from a point so far along the wheel's axis and, squared, off it; negative inside."""
    radial = math.sqrt(max(square, 0.0))
    half, middle, high, shoulder = float(tyre[0]), float(tyre[1]), float(tyre[2]), float(tyre[3])
    rounding = shoulder if radial > middle else 0.0
    u = abs(along) - half + rounding
    v = abs(radial - middle) - high + rounding
    if u > 0 and v > 0:
        return math.sqrt(u * u + v * v) - rounding
    return max(u, v) - rounding


@inlined
def from_bar(
    tyre: Array,
    cx: float,
    cy: float,
    cz: float,
    sx: float,
    sy: float,
    sz: float,
    bar: Array,
    guess: float,
    enough: float,
) -> tuple[float, float]:
    """Least distance from the tyre about the centre c with the axis s to a bar's middle line, and where along it.

    Where nothing of it is nearer than ``enough``, that is returned, and a negative place.

    bar: a row of its start, its unit direction and its length; guess: a place that may be near, mm from the start

    A distance changes by no more than the point moves. So round a sample nothing is nearer than ``enough`` within as
    much as the sample is farther; and in the search, as much can be left out as it is farther than the least so far.
    """
    ox, oy, oz = bar[0] - cx, bar[1] - cy, bar[2] - cz
    span = bar[6]
    a0 = ox * sx + oy * sy + oz * sz
    a1 = bar[3] * sx + bar[4] * sy + bar[5] * sz
    q0 = ox * ox + oy * oy + oz * oz - a0 * a0
    q1 = ox * bar[3] + oy * bar[4] + oz * bar[5] - a0 * a1
    q2 = 1 - a1 * a1
    t1 = span
    while True:
        f1 = from_tyre(tyre, a0 + a1 * t1, q0 + t1 * (2 * q1 + t1 * q2))
        if f1 < enough + LEAST_STEP:
            break
        if t1 <= 0.0:
            return enough, -1.0
        t1 = max(t1 - (f1 - enough), 0.0)
    at = guess
    best = from_tyre(tyre, a0 + a1 * at, q0 + at * (2 * q1 + at * q2))
    pitch = span / (int(span / PITCH) + 1)
    # The last three samples; before the bar's start and past its end the distance is taken as larger.
    t0, f0, t1, f1 = 0.0, math.inf, 0.0, from_tyre(tyre, a0, q0)
    if f1 < best:
        best, at = f1, 0.0
    ended = False
    while not ended:
        if t1 >= span:
            ended, t2, f2 = True, span, math.inf
        else:
            t2 = min(t1 + max(pitch, f1 - best), span)
            f2 = from_tyre(tyre, a0 + a1 * t2, q0 + t2 * (2 * q1 + t2 * q2))
            if f2 < best:
                best, at = f2, t2
        if f1 <= f0 and f1 <= f2:
            # Towards its neighbours it may be lower by as much as the way to where those would be lower again.
            low, high = max(t0, t1 - pitch), min(t2, t1 + pitch)
            if f1 - max(t1 - low, high - t1) < best:
                least, place = _least(tyre, a0, a1, q0, q1, q2, low, t1, high, f1)
                if least < best:
                    best, at = least, place
        t0, f0, t1, f1 = t1, f1, t2, f2
    return best, at


@inlined
def _least(
    tyre: Array,
    a0: float,
    a1: float,
    q0: float,
    q1: float,
    q2: float,
    low: float,
    at: float,
    high: float,
    best: float,
) -> tuple[float, float]:
    """Least distance on the part of a bar from ``low`` to ``high``, where it has one minimum, and where it is.

    Golden section from a place between them, where the distance is ``best``, lower than at both.
    """
    while high - low > CLOSE:
        # The larger of the two sides is divided; at an end of the bar there is only one.
        left = at - low > high - at
        t = at - (1 - GOLDEN) * (at - low) if left else at + (1 - GOLDEN) * (high - at)
        f = from_tyre(tyre, a0 + a1 * t, q0 + t * (2 * q1 + t * q2))
        if f < best:
            if left:
                high = at
            else:
                low = at
            at, best = t, f
        elif left:
            low = t
        else:
            high = t
    return best, at


@inlined
def outwards(
    tyre: Array,
    cx: float,
    cy: float,
    cz: float,
    sx: float,
    sy: float,
    sz: float,
    x: float,
    y: float,
    z: float,
) -> tuple[float, float, float]:
    """Unit vector in which the distance from the tyre grows fastest at a point."""
    x, y, z = x - cx, y - cy, z - cz
    along = x * sx + y * sy + z * sz
    rx, ry, rz = x - along * sx, y - along * sy, z - along * sz
    radial = math.sqrt(rx * rx + ry * ry + rz * rz)
    if radial < 1e-9:
        return (sx, sy, sz) if along > 0 else (-sx, -sy, -sz)
    rounding = tyre[3] if radial > tyre[1] else 0.0
    u = abs(along) - tyre[0] + rounding
    v = abs(radial - tyre[1]) - tyre[2] + rounding
    if u > 0 or v > 0:
        u, v = max(u, 0.0), max(v, 0.0)
    else:
        u, v = (1.0, 0.0) if u > v else (0.0, 1.0)
    size = math.sqrt(u * u + v * v)
    u = u / size if along > 0 else -u / size
    v = v / size / radial if radial > tyre[1] else -v / size / radial
    return u * sx + v * rx, u * sy + v * ry, u * sz + v * rz


@inlined
def not_under(
    tyre: Array,
    cx: float,
    cy: float,
    cz: float,
    sx: float,
    sy: float,
    sz: float,
    bar: Array,
    nx: float,
    ny: float,
    nz: float,
) -> float:
    """A bound that the distance from a bar is not under: how far two planes square to n can be put between them.

    Any unit vector n gives one; that of the nearest place in a pose not far away gives one that is hardly lower than
    the distance. The tyre's side of it is its support function: centre, half width and radius along n, each less the
    shoulder radius, and that.
    """
    along = min(nx * bar[3] + ny * bar[4] + nz * bar[5], 0.0) * bar[6]
    nearest = nx * bar[0] + ny * bar[1] + nz * bar[2] + along
    tilt = abs(nx * sx + ny * sy + nz * sz)
    radius = tyre[1] + tyre[2] - tyre[3]
    width = (tyre[0] - tyre[3]) * tilt
    middle = nx * cx + ny * cy + nz * cz
    return float(nearest - middle - width - radius * math.sqrt(max(1 - tilt * tilt, 0.0)) - tyre[3])
