"""Whole lock sweeps of many front ends in scalar code: what `solver.uncertainty.sweep` does with arrays."""

from __future__ import annotations

import math

import numpy as np

from solver.compiled.corner import HUNG, about, closes, hang, turned
from solver.compiled.gap import from_bar, not_under, outwards
from solver.compiled.start import entry, inlined
from solver.vectors import Array

HALVINGS = 30
"""Of a rack displacement that is looked for: to 10⁻⁷ mm."""


@inlined
def _steer(c: Array, h: Array, rack: float) -> float:
    """Size of a wheel's steer angle, rad; NaN where the pose does not exist. ``h``: its hung knuckle."""
    ax, ay, az = turned(h, c[27] - c[18], c[28] - c[19], c[29] - c[20])
    _, cosine, sine = closes(c, h, ax, ay, az, rack)
    sx, sy, sz = turned(h, c[33], c[34], c[35])
    kx, ky, kz = h[3], h[4], h[5]
    share = (kx * sx + ky * sy + kz * sz) * (1 - cosine)
    x = sx * cosine + (ky * sz - kz * sy) * sine + kx * share
    y = sy * cosine + (kz * sx - kx * sz) * sine + ky * share
    return abs(math.atan2(-x, y))


@inlined
def _rack_for(c: Array, h: Array, sign: float, lock: float, stop: float) -> float:
    """Rack displacement that turns a wheel by ``lock``, or at which over-centre or the stop keeps it from that."""
    if _steer(c, h, sign * stop) < lock:
        return stop
    low, high = 0.0, stop
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if _steer(c, h, sign * middle) < lock:
            low = middle
        else:
            high = middle
    return low


@inlined
def _lock_at(c: Array, h: Array, sign: float, rack: float) -> float:
    """Steer at a displacement; where over-centre comes before it, what the wheel has just short of that."""
    steer = _steer(c, h, sign * rack)
    if not math.isnan(steer):
        return steer
    low, high, best = 0.0, rack, 0.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        steer = _steer(c, h, sign * middle)
        if math.isnan(steer):
            high = middle
        else:
            low, best = middle, steer
    return best


@inlined
def _crossing(before: float, after: float, value: float, beyond: float, threshold: float) -> float:
    """Where a value falls below a threshold between two displacements, taken as linear."""
    if not value >= threshold:
        return before
    if value == math.inf:
        return before
    return before + (value - threshold) / (value - beyond) * (after - before)


@entry
def sweep_all(
    corners: Array,
    angles: Array,
    ride: int,
    left_sign: float,
    stops: Array,
    ends: Array,
    wanted: Array,
    margin_wanted: float,
    gap_wanted: float,
    gap_most: float,
    tyre: Array,
    bars: Array,
    radii: Array,
    in_arm: Array,
    inner_grid: Array,
    outer_grid: Array,
    first: int,
    last: int,
    lock: Array,
    limit: Array,
    margin: Array,
    gaps: Array,
) -> None:
    """Sweeps ``first`` to ``last`` of n front ends; left turn and left wheel are number 0, right ones 1.

    corners: (2, n, 38); angles: (2, n, m) of the arms, ``ride`` that at ride height
    stops: (n, 2) rack displacement at which each turn is stopped; ends: (n, 2) at which the teeth end
    wanted: (2,) lock up to which gaps count, rad
    bars: (2, n, k, 6) ends; radii: (2, n, k); in_arm: (2, k) whether the arm carries a bar, else the body does
    inner_grid, outer_grid: shares of the way to the wanted lock, and from there to the stop
    lock: (n, 2); limit: (n, 2) 0 stop, 1 teeth, 2 margin, 3 + side · k + bar
    margin: (n, 2) least of either wheel up to the stop
    gaps: (n, 2, k) least ones up to the wanted lock in both turns, ``gap_most`` where none is less
    """
    inside, count = len(inner_grid), len(inner_grid) + len(outer_grid)
    travels, bar_count = angles.shape[2], bars.shape[2]
    h, h_ride = np.empty(HUNG), np.empty(HUNG)
    racks = np.empty((2, count))
    bar = np.empty((bar_count, 7))
    # By bar: in which direction it was seen last from the tyre, and the gap at the displacement before.
    facing, places = np.zeros((2, bar_count, 3)), np.zeros(bar_count)
    beyond = np.empty(bar_count)
    met = np.empty(2)
    for v in range(first, last):
        for turn in range(2):
            sign = left_sign if turn == 0 else -left_sign
            hang(corners[turn, v], angles[turn, v, ride], h_ride)
            stop = stops[v, turn]
            up_to = _rack_for(corners[turn, v], h_ride, sign, wanted[turn], stop)
            for j in range(inside):
                racks[turn, j] = inner_grid[j] * up_to
            for j in range(inside, count):
                racks[turn, j] = up_to + outer_grid[j - inside] * (stop - up_to)
            met[turn], limit[v, turn] = stop, 0
            if ends[v, turn] < stop:
                met[turn], limit[v, turn] = ends[v, turn], 1
            margin[v, turn] = math.inf
        gaps[v] = gap_most
        for side in range(2):
            c = corners[side, v]
            for m in range(travels):
                angle = angles[side, v, m]
                hang(c, angle, h)
                ax, ay, az = turned(h, c[27] - c[18], c[28] - c[19], c[29] - c[20])
                ox, oy, oz = turned(h, c[30] - c[18], c[31] - c[19], c[32] - c[20])
                px, py, pz = turned(h, c[33], c[34], c[35])
                kx, ky, kz = h[3], h[4], h[5]
                for k in range(bar_count):
                    b = bars[side, v, k]
                    if in_arm[side, k]:
                        x, y, z = about(c[0], c[1], c[2], c, angle, b[0], b[1], b[2])
                        ex, ey, ez = about(c[0], c[1], c[2], c, angle, b[3], b[4], b[5])
                    else:
                        x, y, z, ex, ey, ez = b[0], b[1], b[2], b[3], b[4], b[5]
                    ex, ey, ez = ex - x, ey - y, ez - z
                    span = math.sqrt(ex * ex + ey * ey + ez * ez)
                    over = 1 / span if span > 0 else 0.0
                    bar[k, 0], bar[k, 1], bar[k, 2] = x, y, z
                    bar[k, 3], bar[k, 4], bar[k, 5], bar[k, 6] = ex * over, ey * over, ez * over, span
                    places[k] = min(places[k], span)
                for turn in range(2):
                    sign = left_sign if turn == 0 else -left_sign
                    beyond[:] = math.inf
                    margin_beyond = math.inf
                    # From the lock inwards: the tyre is nearest there, and what is farther can then be left out.
                    for j in range(count - 1, -1, -1):
                        rack = racks[turn, j]
                        after = racks[turn, j + 1] if j + 1 < count else rack
                        _, cosine, sine = closes(c, h, ax, ay, az, sign * rack)
                        if math.isnan(cosine):
                            margin[v, turn] = 0.0
                            if margin_wanted > 0:
                                _meet(met, limit, v, turn, rack, 2)
                            margin_beyond = 0.0
                            beyond[:] = math.inf
                            continue
                        share = (kx * ax + ky * ay + kz * az) * (1 - cosine)
                        ux = ax * cosine + (ky * az - kz * ay) * sine + kx * share
                        uy = ay * cosine + (kz * ax - kx * az) * sine + ky * share
                        uz = az * cosine + (kx * ay - ky * ax) * sine + kz * share
                        qx = c[12] + sign * rack * c[15] - h[0] - ux
                        qy = c[13] + sign * rack * c[16] - h[1] - uy
                        qz = c[14] + sign * rack * c[17] - h[2] - uz
                        up = kx * ux + ky * uy + kz * uz
                        across = kx * qx + ky * qy + kz * qz
                        lever = kx * (uy * qz - uz * qy) + ky * (uz * qx - ux * qz) + kz * (ux * qy - uy * qx)
                        along = ux * qx + uy * qy + uz * qz - up * across
                        now = math.atan2(abs(lever), abs(along))
                        margin[v, turn] = min(margin[v, turn], now)
                        if now < margin_wanted:
                            if j == 0:
                                _meet(met, limit, v, turn, 0.0, 2)
                        elif margin_beyond < margin_wanted:
                            _meet(
                                met,
                                limit,
                                v,
                                turn,
                                _crossing(rack, after, now, margin_beyond, margin_wanted),
                                2,
                            )
                        margin_beyond = now
                        share = (kx * ox + ky * oy + kz * oz) * (1 - cosine)
                        cx = h[0] + ox * cosine + (ky * oz - kz * oy) * sine + kx * share
                        cy = h[1] + oy * cosine + (kz * ox - kx * oz) * sine + ky * share
                        cz = h[2] + oz * cosine + (kx * oy - ky * ox) * sine + kz * share
                        share = (kx * px + ky * py + kz * pz) * (1 - cosine)
                        sx = px * cosine + (ky * pz - kz * py) * sine + kx * share
                        sy = py * cosine + (kz * px - kx * pz) * sine + ky * share
                        sz = pz * cosine + (kx * py - ky * px) * sine + kz * share
                        for k in range(bar_count):
                            radius = radii[side, v, k]
                            least = gaps[v, side, k]
                            enough = gap_wanted if j >= inside else max(gap_wanted, least)
                            nx, ny, nz = facing[side, k, 0], facing[side, k, 1], facing[side, k, 2]
                            bound = not_under(tyre, cx, cy, cz, sx, sy, sz, bar[k], nx, ny, nz) - radius
                            # Where the wanted gap is passed its place is interpolated: both gaps are needed.
                            if bound > enough and beyond[k] >= gap_wanted:
                                beyond[k] = math.inf
                                continue
                            if beyond[k] < gap_wanted:
                                enough = math.inf
                            gap, place = from_bar(
                                tyre, cx, cy, cz, sx, sy, sz, bar[k], places[k], enough + radius
                            )
                            gap -= radius
                            if place < 0:
                                beyond[k] = math.inf
                                continue
                            places[k] = place
                            x = bar[k, 0] + place * bar[k, 3]
                            y = bar[k, 1] + place * bar[k, 4]
                            z = bar[k, 2] + place * bar[k, 5]
                            nx, ny, nz = outwards(tyre, cx, cy, cz, sx, sy, sz, x, y, z)
                            facing[side, k, 0], facing[side, k, 1], facing[side, k, 2] = nx, ny, nz
                            if j < inside:
                                gaps[v, side, k] = min(least, gap)
                            if gap < gap_wanted:
                                if j == 0:
                                    _meet(met, limit, v, turn, 0.0, 3 + side * bar_count + k)
                            elif beyond[k] < gap_wanted:
                                passed = _crossing(rack, after, gap, beyond[k], gap_wanted)
                                _meet(met, limit, v, turn, passed, 3 + side * bar_count + k)
                            beyond[k] = gap
        for turn in range(2):
            sign = left_sign if turn == 0 else -left_sign
            hang(corners[turn, v], angles[turn, v, ride], h_ride)
            lock[v, turn] = _lock_at(corners[turn, v], h_ride, sign, met[turn])


@inlined
def _meet(met: Array, limit: Array, v: int, turn: int, rack: float, number: int) -> None:
    """Take a displacement down if it is the least one so far."""
    if rack < met[turn]:
        met[turn] = rack
        limit[v, turn] = number
