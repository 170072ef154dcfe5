"""Small vector helpers over arrays whose last axis holds x, y, z."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from typing import TypeVar

    from numpy.typing import NDArray

    Number = TypeVar("Number", np.float64, np.intp)

    Array = NDArray[np.float64]
    Mask = NDArray[np.bool_]
    Index = NDArray[np.intp]
else:
    # The typing module of NumPy takes as long to import as a fifth of NumPy itself.
    Array = Mask = Index = np.ndarray


def dot(a: Array, b: Array) -> Array:
    """Scalar product along the last axis."""
    product: Array = np.vecdot(a, b)
    return product


def cross(a: Array, b: Array) -> Array:
    """Vector product along the last axis. Several times faster than ``numpy.cross`` on small arrays."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    x = ay * bz - az * by
    product = np.empty((*x.shape, 3))
    product[..., 0] = x
    product[..., 1] = az * bx - ax * bz
    product[..., 2] = ax * by - ay * bx
    return product


def length(a: Array) -> Array:
    """Euclidean length along the last axis."""
    return np.sqrt(dot(a, a))


def spread(a: Array, shape: tuple[int, ...]) -> Array:
    """Broadcast to a shape. Most arrays have it already, and to find that out is ten times faster than NumPy's way."""
    return a if a.shape == shape else np.broadcast_to(a, shape)


def unit(a: Array) -> Array:
    """Scaled to length 1 along the last axis."""
    return np.divide(a, length(a)[..., None])


def rotate(a: Array, axis: Array, angle: Array) -> Array:
    """``a`` turned about the unit vector ``axis`` by ``angle`` in radians (Rodrigues' formula)."""
    c, s = np.cos(angle)[..., None], np.sin(angle)[..., None]
    along = (dot(axis, a) * (1 - np.cos(angle)))[..., None]
    return np.asarray(a * c + cross(axis, a) * s + axis * along)


def rotation_between(start: Array, end: Array) -> Array:
    """The least rotation, shape (..., 3, 3), that takes unit vector ``start`` to unit vector ``end``.

    R = c I + [v]x + v vᵀ / (1 + c) with v = start × end, c = start · end; singular only where the two are
    opposite.
    """
    c = dot(start, end)
    return _rotation(cross(start, end), c, 1 / (1 + c))


def rotation_about(axis: Array, angle: Array) -> Array:
    """Rotations about unit vectors, shape (..., 3, 3): R = c I + s [k]x + (1 − c) k kᵀ (Rodrigues)."""
    c, s = np.cos(angle), np.sin(angle)
    # With v = s k the outer product needs (1 − c) / s² = 1 / (1 + c), which fails at half a turn only.
    return _rotation(axis * s[..., None], c, 1 / (1 + c))


def _rotation(v: Array, c: Array, share: Array) -> Array:
    """c I + [v]x + share v vᵀ."""
    matrix = (v * share[..., None])[..., :, None] * v[..., None, :]
    x, y, z = v[..., 0], v[..., 1], v[..., 2]
    for i in range(3):
        matrix[..., i, i] += c
    matrix[..., 0, 1] -= z
    matrix[..., 0, 2] += y
    matrix[..., 1, 0] += z
    matrix[..., 1, 2] -= x
    matrix[..., 2, 0] -= y
    matrix[..., 2, 1] += x
    return matrix


def apply(rotation: Array, a: Array) -> Array:
    """Matrices (..., 3, 3) times vectors (..., 3)."""
    product: Array = (rotation @ a[..., None])[..., 0]
    return product


def distinct(values: NDArray[Number]) -> NDArray[Number]:
    """The values (n,) in order, each once.

    As `numpy.unique`, which loads masked arrays on its way: a twentieth of what `locksweep solve` takes.
    """
    ordered = np.sort(values)
    first: Mask = np.ones(len(ordered), dtype=bool)
    first[1:] = ordered[1:] > ordered[:-1]
    return ordered[first]
