"""A part as a viewer sees it: its faces and true edges, turned to show the most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from solver.families.base import PartDimensions

TURN, LEAN, TURN_OF_PLATE, LEAN_OF_PLATE, TURN_OF_LONG = -38.0, 30.0, 17.0, 56.0, -20.0
"""Degrees: each part is turned about its upright and then leant towards the viewer, a plate further."""
STANDS_OFF, TURNS = 1e-4, 0.04
"""How far a triangle may stand off its surface, of the part's length, and two of them turn against each other, rad."""

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Asked:
    """A part that a picture is wanted of.

    name: of the part; file: of its own picture; copies: how many the set holds
    """

    name: str
    file: str
    dimensions: PartDimensions
    copies: int

    @property
    def label(self) -> str:
        """The name in words."""
        words = self.name.replace("-", " ")
        for side in (" left", " right"):
            words = words.replace(side, f",{side}")
        return words


@dataclass(frozen=True, eq=False)
class Seen:
    """One part as it is seen: points in mm, x to the right, y up, z towards the viewer, lower left corner at 0.

    triangles: (n, 3, 3); edges: polylines of shape (m, 3)
    """

    label: str
    family: str
    colour: tuple[float, float, float]
    triangles: Numbers
    edges: list[Numbers]
    width: float
    height: float
    copies: int


def seen(part: Asked) -> Seen:
    """Build a part's solid and look at it."""
    from parts.catalogue import build, family_of
    from parts.mesh import triangles

    solid = build(part.dimensions)
    view = _view(part.dimensions.envelope)
    corners = triangles(solid, STANDS_OFF * max(part.dimensions.envelope), TURNS).astype(float) @ view.T
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    return Seen(
        label=part.label,
        family=part.dimensions.family,
        colour=family_of(part.dimensions).colour,
        triangles=corners - low,
        edges=[points @ view.T - low for points in _true_edges(solid)],
        width=float(high[0] - low[0]),
        height=float(high[1] - low[1]),
        copies=part.copies,
    )


def _view(envelope: tuple[float, float, float]) -> Numbers:
    """Rotation from the part's frame to the viewer's; what stands tallest is laid down."""
    turn, lean, lay = np.radians(TURN), np.radians(LEAN), np.eye(3)
    if envelope[2] < 0.2 * max(envelope):
        turn, lean = np.radians(TURN_OF_PLATE), np.radians(LEAN_OF_PLATE)
    elif envelope[2] == max(envelope) > 2 * min(envelope):
        turn, lay = np.radians(TURN_OF_LONG), np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])
    about_z = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    upright = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
    towards = np.array([[1, 0, 0], [0, np.cos(lean), -np.sin(lean)], [0, np.sin(lean), np.cos(lean)]])
    view: Numbers = towards @ upright @ about_z @ lay
    return view


def _true_edges(solid: Any) -> list[Numbers]:
    """Edges of the solid as polylines; the seams of round faces are none."""
    from parts.kernel import BRep

    tool = BRep.BRep_Tool
    edges = {}
    seams = set()
    for face in solid.Faces():
        for edge in face.Edges():
            edges[edge.hashCode()] = edge
            if tool.IsClosed_s(edge.wrapped, face.wrapped):
                seams.add(edge.hashCode())
    found = []
    for key, edge in edges.items():
        if key not in seams and not tool.Degenerated_s(edge.wrapped):
            count = 2 if edge.geomType() == "LINE" else 97
            found.append(np.array([p.toTuple() for p in edge.positions(np.linspace(0, 1, count).tolist())]))
    return found
