"""Mock-ups: a part made ready for a 3D printer, for trying its fit and nothing else, as every piece says."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from parts import lettering
from parts.catalogue import family_of
from parts.engraving import Cylinder, Layouts, engraved
from parts.flats import Array
from parts.kernel import BRepAdaptor, TopAbs, cq
from parts.mesh import Triangles, face_triangles
from parts.solid_mesh import Body, body_of, corners_of
from parts.splitting import Parted, parted
from parts.standing import laid, standing, turned_to_fit
from parts.stl import ANGLE, TOLERANCE
from parts.tag import tagged
from parts.walls import thinnest
from solver.errors import SolidError
from solver.families.base import PartDimensions
from solver.printing import Printing

MOST_PIECES = 40
"""Of one part; a bed that takes more cuts than that is no bed for it, and what is left is larger than the bed."""

LEAST_RADIUS = 8.0
"""mm; round what is slimmer, a bend for one, nobody would read words."""

ENDLESS = (math.inf, math.inf, math.inf)
"""A bed that nothing is cut for."""

LEVEL = 1e-3
"""mm up to which a corner lies on the bed."""


class _NoRoomError(SolidError):
    """A piece can't carry its words."""


@dataclass(frozen=True, eq=False)
class Piece:
    """One body to print.

    name: such as "1 of 2" or "pin 4 mm", "" for a part in one piece
    triangles: as it lies on the bed, mm; volume: of the body, mm³
    lettered: how the words are on it: "sunk" or "tag", "" on pins and straps
    stands: whether it lies on a flat side; fits: whether it is no larger than the bed; count: how many of it
    """

    name: str
    triangles: Triangles
    volume: float
    lettered: str
    stands: bool
    fits: bool
    count: int = 1

    @property
    def size(self) -> tuple[float, float, float]:
        """Length, width and height as it lies, mm."""
        x, y, z = self.triangles.reshape(-1, 3).max(axis=0).tolist()
        return (x, y, z)


@dataclass(frozen=True, eq=False)
class MockUp:
    """A part to print.

    number: part number with revision; pieces: those of the part first, then pins and straps
    clearance: that holes and mating faces have more than the part, each side, mm
    wall: the least thickness found, mm, right to the mesh's tolerance; where: its middle in the part's own frame
    thin: it is under what prints
    """

    number: str
    pieces: tuple[Piece, ...]
    clearance: float
    wall: float
    where: tuple[float, float, float]
    thin: bool


def mock_up(
    dimensions: PartDimensions, number: str, printing: Printing, solid: cq.Solid | None = None
) -> MockUp:
    """Build a part for printing: with clearance, in pieces that fit the bed, lettered, flat side down.

    number: part number with revision, such as "rack-spacer-A"
    solid: of the part itself, if there is one already: it will do where nothing takes clearance

    Raises:
        SolidError: the kernel refuses the part, or makes something else of it.
    """
    printed = dimensions.for_printing(printing.clearance)
    if solid is None or printed != dimensions:
        solid = family_of(printed).solid_function()(printed)
    faces = face_triangles(solid, TOLERANCE, ANGLE)
    body = body_of(np.concatenate(faces))
    # Held against the closed form, which knows the clearance and shares nothing with kernel or mesh.
    if not abs(body.volume() - printed.volume) <= TOLERANCE * body.surface_area():
        raise SolidError(f"the mock-up of {number} has {body.volume():.1f} mm³, not {printed.volume:.1f} mm³")
    wall, where = thinnest(faces)
    try:
        pieces = _pieces(body, solid, printed, number, printing, printing.bed)
    except _NoRoomError:
        # So many cuts leave splinters that nothing can be written on.
        pieces = _pieces(body, solid, printed, number, printing, ENDLESS)
    thin = wall < printing.least_wall - TOLERANCE
    return MockUp(number, tuple(pieces), printing.clearance, wall, where, thin)


def _pieces(
    body: Body,
    solid: cq.Solid,
    printed: PartDimensions,
    number: str,
    printing: Printing,
    bed: tuple[float, float, float],
) -> list[Piece]:
    """Those of the part with their words, then pins and straps.

    bed: that it is cut for

    Raises:
        SolidError: a piece has no room for the words.
    """
    bodies, joiners = _in_pieces(body, printed.halved_across, replace(printing, bed=bed))
    cylinders = _cylinders(solid)
    pieces = []
    for index, (each, rotation) in enumerate(bodies, 1):
        name = "" if len(bodies) == 1 else f"{index} of {len(bodies)}"
        layouts = lettering.layouts(f"{number} {name}".strip())
        lettered, words = engraved(each, layouts, cylinders, printed.mates, -rotation[2]), "sunk"
        if lettered is None:
            lettered, words = _tagged(each, rotation, layouts, printing), "tag"
        if lettered is None:
            # Sunk words change no fit, and a piece that says nothing is not to be had.
            lettered, words = engraved(each, layouts, cylinders), "sunk"
        if lettered is None:
            raise _NoRoomError(f"the mock-up of {number} has no room for the words {lettering.WARNING}")
        pieces.append(_piece(name, lettered, words, rotation, printing))
    names = [name for name, _ in joiners]
    for name, each in dict(joiners).items():
        pieces.append(replace(_piece(name, each, "", np.eye(3), printing), count=names.count(name)))
    return pieces


def _cylinders(solid: cq.Solid) -> list[Cylinder]:
    """The outer round sides, each once."""
    found: dict[tuple[float, ...], Cylinder] = {}
    for face in solid.Faces():
        inside = face.wrapped.Orientation() == TopAbs.TopAbs_Orientation.TopAbs_REVERSED
        if face.geomType() != "CYLINDER" or inside:
            continue
        surface = BRepAdaptor.BRepAdaptor_Surface(face.wrapped).Cylinder()
        frame, radius = surface.Position(), float(surface.Radius())
        if radius < LEAST_RADIUS:
            continue
        origin, z = (np.array((p.X(), p.Y(), p.Z())) for p in (frame.Location(), frame.Direction()))
        # Words along it read upwards, whichever way the kernel has the axis point.
        z = z * (1.0 if tuple(np.round(z[::-1], 6)) > (0.0, 0.0, 0.0) else -1.0)
        x = np.array([getattr(frame.XDirection(), axis)() for axis in "XYZ"])
        key = (*np.round(origin - (origin @ z) * z, 4), *np.round(z, 4), round(radius, 4))
        found.setdefault(key, Cylinder(origin, x, np.cross(z, x), z, radius))
    return [found[key] for key in sorted(found)]


def _in_pieces(
    body: Body, halved_across: tuple[float, float, float] | None, printing: Printing
) -> tuple[list[tuple[Body, Array]], list[tuple[str, Body]]]:
    """Bodies that each fit the bed, with the rotation that stands them on it, and what joins them."""
    waiting = [body]
    done: list[tuple[Body, Array]] = []
    joiners: list[tuple[str, Body]] = []
    if halved_across is not None:
        normal = np.array(halved_across)
        cut = parted(body, _middle(corners_of(body)), normal, normal, printing.clearance)
        waiting, joiners = list(cut.bodies), list(cut.joiners)
    while waiting:
        each = waiting.pop(0)
        corners = corners_of(each)
        rotation, _ = standing(corners)
        if turned_to_fit(corners, rotation, printing.bed)[1] or len(done) + len(waiting) >= MOST_PIECES:
            done.append((each, rotation))
            continue
        cut = _cut_across(each, corners, rotation, printing)
        waiting = [*cut.bodies, *waiting]
        joiners += cut.joiners
    return done, joiners


def _middle(corners: Array) -> Array:
    points = corners.reshape(-1, 3)
    found: Array = (points.min(axis=0) + points.max(axis=0)) / 2
    return found


def _cut_across(body: Body, corners: Array, rotation: Array, printing: Printing) -> Parted:
    """Across the side that is too long by most."""
    points = corners.reshape(-1, 3) @ rotation.T
    axis = int(np.argmax(np.ptp(points, axis=0) / np.array(printing.bed)))
    middle = rotation.T @ _middle(points)
    return parted(body, middle, rotation[axis], rotation[2], printing.clearance)


def _tagged(body: Body, rotation: Array, layouts: Layouts, printing: Printing) -> Body | None:
    """With the tag that has the fewest lines of those with which it fits the bed; None where none can be joined."""
    found = body
    for lines in layouts[1:] or layouts:
        try:
            found = tagged(body, rotation, lines)
        except SolidError:
            return None
        if turned_to_fit(corners_of(found), rotation, printing.bed)[1]:
            break
    return found


def _piece(name: str, body: Body, lettered: str, rotation: Array, printing: Printing) -> Piece:
    corners = corners_of(body)
    turned, fits = turned_to_fit(corners, rotation, printing.bed)
    triangles = laid(corners, turned)
    return Piece(name, triangles, body.volume(), lettered, _stands(triangles), fits)


def _stands(triangles: Triangles) -> bool:
    """Whether some of it lies flat on the bed: as much as carries a print, a tenth of what is over it."""
    down = (triangles[..., 2] < LEVEL).all(axis=1)
    a, b, c = np.moveaxis(triangles[..., :2].astype(np.float64), 1, 0)
    doubled = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    return bool(-doubled[down].sum() > 0.1 * np.maximum(doubled, 0).sum())
