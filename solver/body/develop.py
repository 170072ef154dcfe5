"""A first layout of a mesh changed until its triangles keep their shape as well as they can.

Liu, Zhang, Xu, Gotsman and Gortler, "A local/global approach to mesh parameterization" (2008): each triangle's flat
shape is turned, as a rigid piece, to fit the layout best; then the layout is solved that fits all turned pieces best;
and again. Sheet that is bent in one direction only comes out without stretch.
"""

from __future__ import annotations

import numpy as np

from solver.body.surface import Surface, Triangles
from solver.vectors import Array, dot, length

ROUNDS = 80
SETTLED = 1e-3
"""mm, that no point moves any more in a round."""


def developed(surface: Surface, flat: Array, facing: Array) -> Array:
    """The layout (n, 2) that the steps settle in.

    flat: first layout; facing: +1 or −1 for each triangle, +1 where its corners run anticlockwise in the layout
    """
    triangles = surface.triangles
    shapes = _shapes(surface, facing)
    weights = _weights(shapes)
    inverse = np.linalg.inv(_laplacian(triangles, weights, len(surface.points)))
    for _ in range(ROUNDS):
        wanted = np.zeros_like(flat)
        turns = _turns(shapes, weights, flat[triangles])
        for k in range(3):
            following = (k + 1) % 3
            step = np.einsum("tab,tb->ta", turns, shapes[:, k] - shapes[:, following])
            step *= weights[:, k, None]
            np.add.at(wanted, triangles[:, k], step)
            np.add.at(wanted, triangles[:, following], -step)
        new = turned_onto(inverse @ wanted, flat)
        moved = float(np.abs(new - flat).max())
        flat = new
        if moved < SETTLED:
            break
    return flat


def turned_onto(flat: Array, onto: Array) -> Array:
    """A layout turned and shifted to fit another of the same points best, by least squares."""
    a, b = flat - flat.mean(axis=0), onto - onto.mean(axis=0)
    cosine = float((a * b).sum())
    sine = float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum())
    turn = np.array([[cosine, sine], [-sine, cosine]]) / max(float(np.hypot(cosine, sine)), 1e-12)
    return np.asarray(a @ turn + onto.mean(axis=0))


def _laplacian(triangles: Triangles, weights: Array, count: int) -> Array:
    """Weights of the edges as a matrix; its first point is held, as a layout may be shifted at will."""
    matrix = np.zeros((count, count))
    for k in range(3):
        i, j, w = triangles[:, k], triangles[:, (k + 1) % 3], weights[:, k]
        np.add.at(matrix, (i, i), w)
        np.add.at(matrix, (j, j), w)
        np.add.at(matrix, (i, j), -w)
        np.add.at(matrix, (j, i), -w)
    matrix[0, 0] += 1.0
    return matrix


def _shapes(surface: Surface, facing: Array) -> Array:
    """Each triangle in a plane of its own, (t, 3, 2), anticlockwise where it faces up."""
    a, b, c = (surface.points[surface.triangles[:, i]] for i in range(3))
    span = length(b - a)
    along = dot(c - a, b - a) / span
    aside = np.sqrt(np.maximum(dot(c - a, c - a) - along**2, 0.0))
    shapes = np.zeros((len(span), 3, 2))
    shapes[:, 1, 0], shapes[:, 2, 0], shapes[:, 2, 1] = span, along, facing * aside
    return shapes


def _weights(shapes: Array) -> Array:
    """Cotangent of the angle against each edge, (t, 3), edge k from corner k to the next.

    Not under a trace: an obtuse angle's is negative, and the matrix would no longer have an inverse for sure.
    """
    found = []
    for k in range(3):
        u, v = shapes[:, k] - shapes[:, (k + 2) % 3], shapes[:, (k + 1) % 3] - shapes[:, (k + 2) % 3]
        across = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
        found.append((u * v).sum(axis=1) / np.maximum(across, 1e-9))
    return np.asarray(np.clip(np.stack(found, axis=1), 1e-2, 1e2))


def _turns(shapes: Array, weights: Array, corners: Array) -> Array:
    """The turn (t, 2, 2) of each shape that fits its corners in the layout best, by least squares."""
    cosine, sine = np.zeros(len(shapes)), np.zeros(len(shapes))
    for k in range(3):
        x, y = shapes[:, k] - shapes[:, (k + 1) % 3], corners[:, k] - corners[:, (k + 1) % 3]
        cosine += weights[:, k] * (x * y).sum(axis=1)
        sine += weights[:, k] * (x[:, 0] * y[:, 1] - x[:, 1] * y[:, 0])
    size = np.maximum(np.hypot(cosine, sine), 1e-12)
    cosine, sine = cosine / size, sine / size
    return np.stack([np.stack([cosine, -sine], 1), np.stack([sine, cosine], 1)], axis=1)
