"""The gate that each solid must pass before anything is written from it.

The kernel's own verdict is True for an empty result, for a part in two pieces, for a hole that missed
and for a bore larger than its ring. So each solid is also counted, and held against volume and envelope
in closed form, neither of which comes from the kernel.
"""

from __future__ import annotations

import math

from parts import measure
from parts.kernel import cq
from solver.errors import SolidError
from solver.families.base import PartDimensions

VOLUME_TOLERANCE = 1e-7
"""Share of the volume. The finer integration agrees with closed forms to 1e-10; a bore that is wrong by
a micrometre already shows as 1e-6 or so."""

BOX_TOLERANCE = 1e-5
"""mm. The box is exact to rounding on planes and to the kernel's 1e-7 mm per edge on curved faces."""

AREA_TOLERANCE = 1e-7
"""Share of the area of a plane section, for the same reason as the volume's."""


def one_solid(shape: cq.Shape) -> cq.Solid:
    """The one solid that a boolean operation left.

    Raises:
        SolidError: none or several are left.
    """
    solids = shape.Solids()
    if len(solids) != 1:
        raise SolidError(f"the result is {len(solids)} solids, it must be exactly 1")
    return solids[0]


def check_expected(dimensions: PartDimensions) -> None:
    """Refuse what the kernel can hang on or call valid: volume and envelope must be finite and above 0.

    Raises:
        SolidError: names the quantity and its value.
    """
    quantities = {"volume in mm³": dimensions.volume}
    quantities |= dict(
        zip(("x size in mm", "y size in mm", "z size in mm"), dimensions.envelope, strict=True)
    )
    for name, value in quantities.items():
        if not (math.isfinite(value) and value > 0):
            raise SolidError(f"the expected {name} is {value}, it must be finite and above 0")


def check_solid(solid: cq.Shape, dimensions: PartDimensions, *, flat: bool = False) -> None:
    """Let a solid pass or say what is wrong with it.

    flat: the part is a plate without bends, so its middle section must have the area of its flat pattern

    Raises:
        SolidError: names the quantity, what it is, what it should be, and the limit.
    """
    check_expected(dimensions)
    one_solid(solid)
    if not solid.isValid():
        raise SolidError("the kernel calls the result invalid: faces that do not close or that cross")
    _compare("volume", measure.volume(solid), dimensions.volume, "mm³", VOLUME_TOLERANCE * dimensions.volume)
    bounds = measure.box(solid)
    for axis, size, expected in zip("xyz", bounds.size, dimensions.envelope, strict=True):
        _compare(f"{axis} size", size, expected, "mm", BOX_TOLERANCE)
    _compare("height of the base", bounds.low[2], 0.0, "mm", BOX_TOLERANCE)
    pattern = dimensions.flat_pattern() if flat else None
    if pattern is not None:
        section = _section_area(solid, bounds, pattern.thickness / 2)
        _compare("section area", section, pattern.area, "mm²", AREA_TOLERANCE * pattern.area)


def _section_area(solid: cq.Shape, bounds: measure.Box, height: float) -> float:
    """Area in mm² of the square cut at a height."""
    (x0, y0, _), (x1, y1, _) = bounds.low, bounds.high
    middle = cq.Vector((x0 + x1) / 2, (y0 + y1) / 2, height)
    sheet = cq.Face.makePlane(1.2 * (y1 - y0), 1.2 * (x1 - x0), middle, cq.Vector(0, 0, 1))
    return sum(measure.area(face) for face in sheet.intersect(solid).Faces())


def _compare(name: str, value: float, expected: float, unit: str, tolerance: float) -> None:
    # The comparison must fail on NaN, so it asks for what is right and not for what is wrong.
    if not abs(value - expected) <= tolerance:
        raise SolidError(
            f"the {name} is {value:.9g} {unit}, "
            f"it must be {expected:.9g} {unit} within {tolerance:.2g} {unit}"
        )
