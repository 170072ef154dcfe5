"""What of a solid is drawn: its sharp edges, and where its cylinders turn away from the eye."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from parts.kernel import BRepAdaptor, BRepTopAdaptor, TopAbs, cq, gp

Array = NDArray[np.float64]

Walk = Callable[[float], Array]
"""A curve in space: from 0 to 1 to a point, (3,)."""

SMOOTH = math.radians(1.0)
"""Faces that meet at less have no edge there."""
EDGE_ON = 1e-6
"""Of a face's normal along the line of sight, where the face is seen edge on."""
STEPS, HALVINGS = 48, 24
ON_LINE = 1e-6
"""mm."""


def edges_of(solid: cq.Shape, towards: tuple[float, float, float]) -> Iterator[tuple[bool, Walk]]:
    """Edges, and whether each is sharp: two faces meet at an angle, or a face turns away from the eye there."""
    eye = cq.Vector(*towards)
    faces: dict[int, list[cq.Face]] = {}
    edges: dict[int, cq.Edge] = {}
    for face in solid.Faces():
        for edge in face.Edges():
            faces.setdefault(edge.hashCode(), []).append(face)
            edges.setdefault(edge.hashCode(), edge)
    for key, edge in edges.items():
        # A cylinder's seam has its one face on both sides.
        if len(faces[key]) == 2:
            walk = _along(edge)
            one, other = (face.normalAt(cq.Vector(*walk(0.5))) for face in faces[key])
            yield one.getAngle(other) > SMOOTH or abs(one.dot(eye)) < EDGE_ON, walk


def outlines(solid: cq.Shape, towards: tuple[float, float, float]) -> Iterator[Walk]:
    """Where cylinders turn away from the eye: straight lines, as long as their face reaches."""
    eye = np.array(towards)
    for face in solid.Faces():
        if face.geomType() != "CYLINDER":
            continue
        surface = BRepAdaptor.BRepAdaptor_Surface(face.wrapped)
        cylinder = surface.Cylinder()
        place = cylinder.Position()
        x, y, z = (_vector(d) for d in (place.XDirection(), place.YDirection(), place.Direction()))
        if abs(float(eye @ z)) > 1 - 1e-9:
            continue
        origin, radius = _vector(place.Location()), cylinder.Radius()
        # The normal x cos u + y sin u is square to the line of sight.
        turned = math.atan2(-float(eye @ x), float(eye @ y))
        for u in (turned, turned + math.pi):
            radial = x * math.cos(u) + y * math.sin(u)
            across = y * math.cos(u) - x * math.sin(u)
            first = surface.FirstUParameter()
            at_u = first + (u - first) % (2 * math.pi)
            foot = origin + radius * radial
            for low, high in _on_face(face, at_u, foot, radial, across, z):
                yield _straight(foot + low * z, foot + high * z)


def _on_face(
    face: cq.Face, u: float, foot: Array, radial: Array, across: Array, z: Array
) -> Iterator[tuple[float, float]]:
    """From where to where along z a straight line of a cylinder lies on its face.

    u: the line's parameter; foot: a point of it; radial, across: directions from the axis and along the surface
    """
    crossings = []
    for edge in face.Edges():
        walk = _along(edge)
        # Beside the line; of points on the far side of the cylinder nothing is asked.
        steps = np.array([walk(i / STEPS) for i in range(STEPS + 1)]) - foot
        near, beside = steps @ radial > -1e-6 - np.abs(steps @ across), steps @ across
        for i in (0, STEPS):
            # A seam, or an edge that ends on it, lies on the line or meets it without crossing.
            if near[i] and abs(beside[i]) < ON_LINE:
                crossings.append(float(steps[i] @ z))
        for i in np.nonzero((beside[:-1] < 0) != (beside[1:] < 0))[0].tolist():
            if not near[i]:
                continue
            low, high = i / STEPS, (i + 1) / STEPS
            for _ in range(HALVINGS):
                middle = (low + high) / 2
                left = float((walk(middle) - foot) @ across) < 0
                low, high = (middle, high) if left == (beside[i] < 0) else (low, middle)
            crossings.append(float((walk(low) - foot) @ z))
    classifier = BRepTopAdaptor.BRepTopAdaptor_FClass2d(face.wrapped, 1e-6)
    crossings.sort()
    for low, high in itertools.pairwise(crossings):
        if high - low < 1e-6:
            continue
        state = classifier.Perform(gp.gp_Pnt2d(u, (low + high) / 2))
        if state != TopAbs.TopAbs_State.TopAbs_OUT:
            yield low, high


def _along(edge: cq.Edge) -> Walk:
    adaptor = BRepAdaptor.BRepAdaptor_Curve(edge.wrapped)
    first, last = adaptor.FirstParameter(), adaptor.LastParameter()

    def walk(share: float) -> Array:
        return _vector(adaptor.Value(first + (last - first) * share))

    return walk


def _straight(start: Array, end: Array) -> Walk:
    return lambda share: start + (end - start) * share


def _vector(of: Any) -> Array:
    return np.array((of.X(), of.Y(), of.Z()))
