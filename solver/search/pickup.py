"""How far a tie-rod pickup may be moved on its knuckle: by the metal round it, or by the region given."""

from __future__ import annotations

from solver.car import Freedom, PickupWork, VariableName
from solver.errors import GeometryError
from solver.tables import rows


def pickup_freedoms(work: PickupWork) -> tuple[Freedom, ...]:
    """Bounds of the pickup's new centre from the old one.

    A drilled hole keeps its edge distance to every side (`data/edge_distances.csv`) and its height.

    Raises:
        GeometryError: the metal is too narrow for the hole anywhere.
    """
    moves: tuple[tuple[VariableName, tuple[float, float]], ...]
    if work.way == "weld":
        moves = (("pickup_forward", work.forward), ("pickup_outward", work.outward), ("pickup_up", work.up))
        return tuple(Freedom(name, *bounds) for name, bounds in moves if bounds[0] < bounds[1])
    edge = edge_share() * work.hole
    found = []
    moves = (("pickup_forward", work.forward), ("pickup_outward", work.outward))
    for name, (low, high) in moves:
        word = name.removeprefix("pickup_")
        if low + edge > high - edge + 1e-9:
            raise GeometryError(
                f"[may_change] pickup: a {work.hole:.1f} mm hole needs {edge:.1f} mm of metal from its centre to every "
                f"edge, but metal_{word} is {high - low:.1f} mm from edge to edge where {2 * edge:.1f} mm are needed; "
                'it can\'t be drilled anew there: leave the pickup where it is or take way = "weld"'
            )
        found.append(Freedom(name, low + edge, high - edge))
    return tuple(found)


def edge_share() -> float:
    """Least distance from a drilled hole's centre to an edge, over the hole's diameter."""
    return next(float(row["share"]) for row in rows("edge_distances") if row["hole"] == "drilled")
