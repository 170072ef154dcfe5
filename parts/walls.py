"""How thin a part gets: rays from its faces straight in, to where they come out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from parts.flats import Array

SAMPLES = 1
"""Largest triangles of a face that a ray is sent from."""

LEAST_AREA = 1.0
"""mm², twice that of a triangle that is looked at: what is smaller is an edge or a corner of a wall, not its side."""


def thinnest(faces: Sequence[Array]) -> tuple[float, tuple[float, float, float]]:
    """The least thickness found in mm, and the middle of the wall there.

    faces: of a closed mesh, the triangles (n, 3, 3) of each face
    """
    sides = _sides(np.concatenate(faces))
    found: tuple[float, tuple[float, float, float]] = (np.inf, (0.0, 0.0, 0.0))
    for face in faces:
        doubled = np.cross(face[:, 1] - face[:, 0], face[:, 2] - face[:, 0])
        areas = np.linalg.norm(doubled, axis=1)
        for index in np.argsort(-np.round(areas, 6), kind="stable")[:SAMPLES]:
            if areas[index] < LEAST_AREA:
                continue
            start, way = face[index].mean(axis=0), -doubled[index] / areas[index]
            met = _crossings(start, way, *sides)
            met = met[met > 1e-3]
            if len(met) and round(met[0], 6) < found[0]:
                x, y, z = (start + way * met[0] / 2).tolist()
                found = (round(float(met[0]), 6), (x, y, z))
    return found


def crossings(start: Array, way: Array, triangles: Array) -> Array:
    """Where a ray meets triangles (n, 3, 3): distances from its start, mm, the nearest first."""
    return _crossings(start, way, *_sides(triangles))


def _sides(triangles: Array) -> tuple[Array, Array, Array]:
    """A corner of each triangle, and the two sides that start there."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    return a, b - a, c - a


def _crossings(start: Array, way: Array, a: Array, ab: Array, ac: Array) -> Array:
    """Möller and Trumbore's test."""
    across = way[[1, 2, 0]] * ac[:, [2, 0, 1]] - way[[2, 0, 1]] * ac[:, [1, 2, 0]]
    determinant = np.einsum("ij,ij->i", ab, across)
    with np.errstate(divide="ignore", invalid="ignore"):
        offset = start - a
        u = np.einsum("ij,ij->i", offset, across) / determinant
        other = offset[:, [1, 2, 0]] * ab[:, [2, 0, 1]] - offset[:, [2, 0, 1]] * ab[:, [1, 2, 0]]
        v = other @ way / determinant
        t = np.einsum("ij,ij->i", other, ac) / determinant
        met = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (t > -1e-9)
    return np.sort(t[met])
