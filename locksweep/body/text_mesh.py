"""Meshes written as text, PLY and STL, line by line: read whole they would take up to seventeen times their size."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import BinaryIO

import numpy as np

from locksweep.body.ply import BadHeaderError, Element, Header
from solver.body.surface import NO_TRIANGLES, Triangles
from solver.vectors import Array


def read_text_stl(file: BinaryIO, most: int) -> tuple[Array, Triangles]:
    """Points, three for each triangle, and triangles.

    Raises:
        ValueError: a corner is no three numbers, or corners make no whole triangles.
    """
    corners = (line for line in file if line.lstrip()[:6].lower() == b"vertex")
    some = itertools.islice(corners, 3 * most + 3)
    points = np.loadtxt(some, usecols=(1, 2, 3), ndmin=2, encoding="latin-1")
    if not len(points) or len(points) % 3:
        raise ValueError(f"{len(points)} corners make no whole triangles")
    return points, np.arange(len(points)).reshape(-1, 3)


def read_text_ply(file: BinaryIO, header: Header) -> tuple[Array, Triangles]:
    """Points and triangles; a face with more than three corners is split about its first.

    Raises:
        ValueError: a line is not what the header announces.
    """
    file.seek(header.length)
    points, triangles = np.empty((0, 3)), NO_TRIANGLES
    for element in header.elements:
        if element.name == "vertex":
            points = _points(file, element)
        elif element.name == "face" and element.count:
            triangles = _faces(file, element)
        else:
            _skip(file, element.count)
    return points, triangles


def _points(file: BinaryIO, element: Element) -> Array:
    names = [listed.name for listed in element.properties]
    if any(axis not in names for axis in "xyz") or any(p.count_code for p in element.properties):
        raise BadHeaderError("its points have no plain x, y and z")
    columns = [names.index(axis) for axis in "xyz"]
    lines = _lines(file, element.count)
    return np.loadtxt(lines, usecols=columns, ndmin=2, encoding="latin-1").reshape(-1, 3)


def _faces(file: BinaryIO, element: Element) -> Triangles:
    if not element.properties[0].count_code:
        raise BadHeaderError("its faces do not begin with a list of corners")
    start = file.tell()
    try:
        rows = np.loadtxt(
            _lines(file, element.count), usecols=(0, 1, 2, 3), ndmin=2, dtype=np.int64, encoding="latin-1"
        )
        if (rows[:, 0] == 3).all():
            return rows[:, 1:]
    except ValueError:
        pass
    # Some have another number of corners.
    file.seek(start)
    found = []
    for line in _lines(file, element.count):
        count, *corners = [int(word) for word in line.split()]
        if len(corners) < count:
            raise ValueError("a face has fewer corners than it says")
        found += [(corners[0], corners[k], corners[k + 1]) for k in range(1, count - 1)]
    return np.array(found, np.int64).reshape(-1, 3)


def _lines(file: BinaryIO, count: int) -> Iterator[bytes]:
    for number in range(count):
        line = file.readline()
        if not line.strip():
            raise ValueError(f"it ends after {number:,} of {count:,} lines")
        yield line


def _skip(file: BinaryIO, count: int) -> None:
    for _ in _lines(file, count):
        pass
