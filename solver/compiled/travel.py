"""Arm angles for wheel travels in scalar code: what `solver.assembling.arm_angles` does with arrays."""

from __future__ import annotations

import math

import numpy as np

from solver.compiled.corner import HUNG, closes, hang, turned
from solver.compiled.start import entry, inlined
from solver.vectors import Array

MOST_STEPS = 20
CLOSE = 1e-10
"""rad; the secant's last step is far smaller than the one before."""


@inlined
def _contact_height(c: Array, h: Array, angle: float, radius: float) -> float:
    """Height of the lowest point of a thin disc, rack centred; mm, NaN where there is no pose."""
    if not hang(c, angle, h):
        return math.nan
    ax, ay, az = turned(h, c[27] - c[18], c[28] - c[19], c[29] - c[20])
    _, cosine, sine = closes(c, h, ax, ay, az, 0.0)
    kx, ky, kz = h[3], h[4], h[5]
    ox, oy, oz = turned(h, c[30] - c[18], c[31] - c[19], c[32] - c[20])
    share = (kx * ox + ky * oy + kz * oz) * (1 - cosine)
    centre = h[2] + oz * cosine + (kx * oy - ky * ox) * sine + kz * share
    sx, sy, sz = turned(h, c[33], c[34], c[35])
    share = (kx * sx + ky * sy + kz * sz) * (1 - cosine)
    tilt = sz * cosine + (kx * sy - ky * sx) * sine + kz * share
    # The part of straight down that lies in the wheel's plane, (−z + s s·z), has the height −√(1 − s_z²).
    return float(centre - radius * math.sqrt(1 - tilt * tilt))


@entry
def fill_angles(
    corners: Array,
    ride: Array,
    radius: float,
    ground: Array,
    travels: Array,
    most: float,
    first: int,
    last: int,
    angles: Array,
) -> None:
    """Arm angles (n, m) of corners ``first`` to ``last`` for wheel travels (m,); NaN beyond ``most`` or without one."""
    h = np.empty(HUNG)
    for i in range(first, last):
        c = corners[i]
        # How far the ball joint rises for an angle, from its distance to the pivots' axis.
        x, y, z = c[6] - c[0], c[7] - c[1], c[8] - c[2]
        lx, ly, lz = c[4] * z - c[5] * y, c[5] * x - c[3] * z, c[3] * y - c[4] * x
        lift = math.sqrt(lx * lx + ly * ly + lz * lz)
        for j in range(len(travels)):
            level = ground[i] + travels[j]
            a, b = ride[i], ride[i] + (travels[j] if abs(travels[j]) >= 1.0 else 1.0) / lift
            fa = _contact_height(c, h, a, radius) - level
            settled = False
            for _ in range(MOST_STEPS):
                fb = _contact_height(c, h, b, radius) - level
                if fb == 0:
                    settled = True
                    break
                move = fb * (b - a) / (fb - fa)
                a, fa, b = b, fb, b - move
                if abs(move) < CLOSE:
                    settled = True
                    break
                if not math.isfinite(b):
                    break
            angles[i, j] = b if settled and abs(b) < most else math.nan
