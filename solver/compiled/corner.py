"""One corner's pose in scalar code: the same equations in the same order as `solver.corner`.

A corner is a row of 38 numbers, see `packed` in `solver.compiled.poses`; what hangs on the arm angle alone is written
into a row of 17, so that it is worked out once for all rack displacements.
"""

from __future__ import annotations

import math

from solver.compiled.start import entry, inlined
from solver.vectors import Array

HUNG = 17
"""Of the hung knuckle: ball joint 0-2, steering axis 3-5, level rotation 6-14, damper length 15, 1 if it hangs 16."""


@inlined
def dot(a: Array, i: int, b: Array, j: int) -> float:
    """Scalar product of two vectors that begin at places of two rows."""
    return float(a[i] * b[j] + a[i + 1] * b[j + 1] + a[i + 2] * b[j + 2])


@inlined
def turned(level: Array, x: float, y: float, z: float) -> tuple[float, float, float]:
    """A vector of the knuckle in the hung knuckle."""
    return (
        level[6] * x + level[7] * y + level[8] * z,
        level[9] * x + level[10] * y + level[11] * z,
        level[12] * x + level[13] * y + level[14] * z,
    )


@inlined
def about(
    px: float, py: float, pz: float, c: Array, angle: float, x: float, y: float, z: float
) -> tuple[float, float, float]:
    """The point (x, y, z) turned about the arm's pivots, p, by an angle."""
    x, y, z = x - px, y - py, z - pz
    kx, ky, kz = c[3], c[4], c[5]
    cosine, sine = math.cos(angle), math.sin(angle)
    share = (kx * x + ky * y + kz * z) * (1 - cosine)
    return (
        px + x * cosine + (ky * z - kz * y) * sine + kx * share,
        py + y * cosine + (kz * x - kx * z) * sine + ky * share,
        pz + z * cosine + (kx * y - ky * x) * sine + kz * share,
    )


@inlined
def hang(c: Array, angle: float, h: Array) -> bool:
    """Fill the row ``h`` of the hung knuckle of corner ``c``; False where the strut is too short."""
    h[0], h[1], h[2] = about(c[0], c[1], c[2], c, angle, c[6], c[7], c[8])
    tx, ty, tz = c[9] - h[0], c[10] - h[1], c[11] - h[2]
    ox, oy, oz = c[21] - c[18], c[22] - c[19], c[23] - c[20]
    half = ox * c[24] + oy * c[25] + oz * c[26]
    to_top = tx * tx + ty * ty + tz * tz
    discriminant = half * half - (ox * ox + oy * oy + oz * oz) + to_top
    far = math.sqrt(to_top)
    kx, ky, kz = tx / far, ty / far, tz / far
    h[3], h[4], h[5] = kx, ky, kz
    if not discriminant >= 0:
        h[6:16] = math.nan
        h[16] = 0.0
        return False
    damper = -half + math.sqrt(discriminant)
    fx, fy, fz = ox + damper * c[24], oy + damper * c[25], oz + damper * c[26]
    size = math.sqrt(fx * fx + fy * fy + fz * fz)
    fx, fy, fz = fx / size, fy / size, fz / size
    # The least rotation that lays f on k.
    vx, vy, vz = fy * kz - fz * ky, fz * kx - fx * kz, fx * ky - fy * kx
    cosine = fx * kx + fy * ky + fz * kz
    share = 1 / (1 + cosine)
    h[6], h[7], h[8] = cosine + share * vx * vx, share * vx * vy - vz, share * vx * vz + vy
    h[9], h[10], h[11] = share * vy * vx + vz, cosine + share * vy * vy, share * vy * vz - vx
    h[12], h[13], h[14] = share * vz * vx - vy, share * vz * vy + vx, cosine + share * vz * vz
    h[15], h[16] = damper, 1.0
    return True


@inlined
def closes(c: Array, h: Array, ax: float, ay: float, az: float, rack: float) -> tuple[float, float, float]:
    """The tie rod's equation for the hung pickup arm a: closure, cosine and sine of the turn about the axis.

    Beyond ±1 in closure there is no turn, and the other two are NaN.
    """
    kx, ky, kz = h[3], h[4], h[5]
    ix = c[12] + rack * c[15] - h[0]
    iy = c[13] + rack * c[16] - h[1]
    iz = c[14] + rack * c[17] - h[2]
    along = (ax * kx + ay * ky + az * kz) * (ix * kx + iy * ky + iz * kz)
    a = ax * ix + ay * iy + az * iz - along
    b = (ky * az - kz * ay) * ix + (kz * ax - kx * az) * iy + (kx * ay - ky * ax) * iz
    reach = ax * ax + ay * ay + az * az + ix * ix + iy * iy + iz * iz
    amplitude = math.sqrt(a * a + b * b)
    closure = ((reach - c[36] * c[36]) / 2 - along) / amplitude
    if not abs(closure) <= 1.0:
        return closure, math.nan, math.nan
    other = c[37] * math.sqrt(1 - closure * closure)
    return closure, (a * closure - b * other) / amplitude, (b * closure + a * other) / amplitude


@entry
def fill_poses(
    corners: Array,
    each: int,
    angles: Array,
    racks: Array,
    first: int,
    last: int,
    reach: Array,
    vectors: Array,
    rotation: Array,
    scalars: Array,
) -> None:
    """Poses ``first`` to ``last`` of a flat batch in which every corner has ``each`` poses one after the other.

    vectors: (n, 9) ball joint, steering axis, inner joint; scalars: (2, n) damper length and closure
    """
    h = corners[0, :HUNG].copy()
    before, at = math.nan, -1
    for i in range(first, last):
        number = i // each
        c = corners[number]
        if number != at or angles[i] != before:
            hang(c, angles[i], h)
            ax, ay, az = turned(h, c[27] - c[18], c[28] - c[19], c[29] - c[20])
            before, at = angles[i], number
        closure, cosine, sine = closes(c, h, ax, ay, az, racks[i])
        for axis in range(3):
            vectors[i, axis], vectors[i, 3 + axis] = h[axis], h[3 + axis]
            vectors[i, 6 + axis] = c[12 + axis] + racks[i] * c[15 + axis]
        scalars[0, i], scalars[1, i] = h[15], closure
        reach[i] = 0 if abs(closure) <= 1.0 else (1 if h[16] > 0 else 2)
        kx, ky, kz = h[3], h[4], h[5]
        for column in range(3):
            x, y, z = h[6 + column], h[9 + column], h[12 + column]
            share = (kx * x + ky * y + kz * z) * (1 - cosine)
            rotation[i, column] = x * cosine + (ky * z - kz * y) * sine + kx * share
            rotation[i, 3 + column] = y * cosine + (kz * x - kx * z) * sine + ky * share
            rotation[i, 6 + column] = z * cosine + (kx * y - ky * x) * sine + kz * share
