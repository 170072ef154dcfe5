"""From a solid to triangles, and what a printable mesh must be: closed, one body, right side out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from parts.kernel import BRep, BRepMesh, TopAbs, TopLoc, cq

Triangles = NDArray[np.float32]
"""(n, 3, 3): triangle, corner counter-clockwise from outside, x y z in mm; single precision, as in STL."""


def triangles(solid: cq.Solid, tolerance: float, angle: float) -> Triangles:
    """Mesh a copy of a solid, as `face_triangles` does, in single precision."""
    return np.concatenate([distinct(face) for face in face_triangles(solid, tolerance, angle)])


def face_triangles(solid: cq.Solid, tolerance: float, angle: float) -> list[NDArray[np.float64]]:
    """Mesh a copy of a solid, face by face, (n, 3, 3).

    tolerance: how far a triangle may stand off the surface, mm
    angle: how far two neighbours on a curved face may turn, rad

    Raises:
        ValueError: the kernel did not mesh every face.
    """
    # A mesh stays on its shape: a finer one from before would be used again, and this one would change
    # what is measured afterwards.
    shape = solid.copy(mesh=False)
    mesher = BRepMesh.BRepMesh_IncrementalMesh(shape.wrapped, tolerance, False, angle, False)
    if not mesher.IsDone() or mesher.GetStatusFlags() != 0:
        raise ValueError(f"the kernel's mesher stopped with status {mesher.GetStatusFlags()}")
    return [_face_triangles(face) for face in shape.Faces()]


def distinct(corners: NDArray[np.float64]) -> Triangles:
    """Corners in single precision, (n, 3, 3), without triangles that lose their area by it."""
    # Adding zero turns -0.0 into 0.0, so that equal corners have equal bytes.
    single = corners.astype(np.float32) + np.float32(0)
    a, b, c = np.moveaxis(single, 1, 0)
    # Slivers whose corners are one point in single precision have no area, and their neighbours meet.
    found: Triangles = single[(a != b).any(axis=1) & (b != c).any(axis=1) & (c != a).any(axis=1)]
    return found


def _face_triangles(face: cq.Face) -> NDArray[np.float64]:
    location = TopLoc.TopLoc_Location()
    mesh = BRep.BRep_Tool.Triangulation_s(face.wrapped, location)
    if mesh is None:
        raise ValueError("the kernel left a face without a mesh")
    nodes = [mesh.Node(i) for i in range(1, mesh.NbNodes() + 1)]
    if not location.IsIdentity():
        move = location.Transformation()
        nodes = [node.Transformed(move) for node in nodes]
    points = np.array([(p.X(), p.Y(), p.Z()) for p in nodes])
    corners = np.array([mesh.Triangle(i).Get() for i in range(1, mesh.NbTriangles() + 1)]) - 1
    if face.wrapped.Orientation() == TopAbs.TopAbs_Orientation.TopAbs_REVERSED:
        corners = corners[:, ::-1]
    found: NDArray[np.float64] = points[corners]
    return found


def volume(mesh: Triangles) -> float:
    """Volume in mm³, a tetrahedron to the origin per triangle; negative when inside out."""
    a, b, c = np.moveaxis(mesh.astype(np.float64), 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


def is_closed(mesh: Triangles) -> bool:
    """Whether each edge is walked exactly once in each direction."""
    return _is_closed(*_edges(mesh)[:2])


def body_count(mesh: Triangles) -> int:
    """Number of pieces that share no corner."""
    return _body_count(*_edges(mesh))


def closed_bodies(mesh: Triangles) -> int:
    """Number of pieces of a closed mesh; 0 when it isn't closed or holds nothing."""
    start, end, count = _edges(mesh)
    return _body_count(start, end, count) if len(mesh) and _is_closed(start, end) else 0


def _is_closed(start: NDArray[np.int64], end: NDArray[np.int64]) -> bool:
    forward = _codes(start, end)
    return len(np.unique(forward)) == len(forward) and np.array_equal(
        np.sort(forward), np.sort(_codes(end, start))
    )


def _body_count(start: NDArray[np.int64], end: NDArray[np.int64], count: int) -> int:
    label = np.arange(count)
    while True:
        # Each corner takes its neighbours' smallest label, then that label's own, until nothing changes.
        nearer = label.copy()
        np.minimum.at(nearer, start, label[end])
        np.minimum.at(nearer, end, label[start])
        nearer = nearer[nearer]
        if np.array_equal(nearer, label):
            return len(np.unique(label))
        label = nearer


def _edges(mesh: Triangles) -> tuple[NDArray[np.int64], NDArray[np.int64], int]:
    """Start and end corner of each directed edge, as numbers, and how many corners there are."""
    points, number = np.unique(mesh.reshape(-1, 3), axis=0, return_inverse=True)
    corners = number.reshape(-1, 3).astype(np.int64)
    return corners.ravel(), np.roll(corners, -1, axis=1).ravel(), len(points)


def _codes(start: NDArray[np.int64], end: NDArray[np.int64]) -> NDArray[np.int64]:
    return (start << 32) | end
