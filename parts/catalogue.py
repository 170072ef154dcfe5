"""The catalogue: a row for each part family, and the one way from dimensions to a checked solid."""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, cast

from solver.errors import SolidError
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.families.base import PartDimensions
from solver.families.bump_stop import BumpStopDimensions
from solver.families.closure_plate import ClosurePlateDimensions
from solver.families.drilling_gauge import DrillingGaugeDimensions
from solver.families.rack_spacer import RackSpacerDimensions
from solver.families.slot_template import SlotTemplateDimensions
from solver.families.weld_fixture import (
    FixtureBaseDimensions,
    FixtureStopDimensions,
    FixtureVeeDimensions,
)
from solver.families.wrap_template import WrapTemplateDimensions

if TYPE_CHECKING:
    from parts.drawing.content import Content
    from parts.drawing.layout.arrangement import Method
    from parts.drawing.values import Units
    from parts.kernel import cq

Colour = tuple[float, float, float]
"""Red, green and blue, 0 to 1, as a screen shows them (sRGB)."""


@dataclass(frozen=True)
class Family:
    """One row of the catalogue.

    dimensions: the family's dimension type; its `family` is the row's name
    module: where `solid(dimensions)` is, imported when a solid is wanted, as it brings the CAD kernel along; None for
        an aid that is only paper: its flat pattern is printed, and there is no solid
    colour: of the part in STEP files and pictures
    flat: a plate without bends: its section is its flat pattern
    """

    dimensions: type[PartDimensions]
    module: str | None
    colour: Colour
    flat: bool

    @property
    def name(self) -> str:
        """As in file names and on the command line."""
        return self.dimensions.family

    @property
    def paper(self) -> bool:
        """Whether it is only printed: it has a flat pattern and no solid."""
        return self.module is None

    def solid_function(self) -> Callable[[PartDimensions], cq.Solid]:
        """The family's pure function from dimensions to a solid that has not passed the gate yet.

        Raises:
            SolidError: the family is only paper.
        """
        function = importlib.import_module(self._solid_module()).solid
        return cast("Callable[[PartDimensions], cq.Solid]", function)

    def content_function(self) -> Callable[[cq.Solid, PartDimensions, Units, Method], Content]:
        """What is drawn of the family: by the file of the same name in ``parts/drawing/families/``, or ``any_part``."""
        module = f"parts.drawing.families.{self._solid_module().rpartition('.')[2]}"
        if importlib.util.find_spec(module) is None:
            module = "parts.drawing.families.any_part"
        function = importlib.import_module(module).content
        return cast("Callable[[cq.Solid, PartDimensions, Units, Method], Content]", function)

    def _solid_module(self) -> str:
        if self.module is None:
            raise SolidError(f"a {self.dimensions.title} is only printed, it has no solid")
        return self.module


ROWS = (
    Family(RackSpacerDimensions, "parts.rack_spacer", colour=(0.72, 0.53, 0.20), flat=True),
    Family(ArmSleeveDimensions, "parts.arm_sleeve", colour=(0.27, 0.45, 0.62), flat=False),
    Family(ClosurePlateDimensions, "parts.closure_plate", colour=(0.55, 0.58, 0.60), flat=False),
    Family(BumpStopDimensions, "parts.bump_stop", colour=(0.70, 0.27, 0.22), flat=False),
    Family(DrillingGaugeDimensions, "parts.drilling_gauge", colour=(0.36, 0.55, 0.38), flat=True),
    Family(WrapTemplateDimensions, None, colour=(0.94, 0.93, 0.88), flat=True),
    Family(FixtureBaseDimensions, "parts.fixture_base", colour=(0.44, 0.40, 0.52), flat=True),
    Family(FixtureVeeDimensions, "parts.fixture_vee", colour=(0.52, 0.48, 0.60), flat=True),
    Family(FixtureStopDimensions, "parts.fixture_stop", colour=(0.38, 0.34, 0.46), flat=True),
    Family(SlotTemplateDimensions, "parts.slot_template", colour=(0.42, 0.60, 0.60), flat=True),
)

CATALOGUE: dict[str, Family] = {row.name: row for row in ROWS}
"""Rows by family name, in the order in which parts are listed."""


def family_of(dimensions: PartDimensions) -> Family:
    """The row of a part's family.

    Raises:
        SolidError: the catalogue has no row for this dimension type.
    """
    row = CATALOGUE.get(dimensions.family)
    if row is None or not isinstance(dimensions, row.dimensions):
        raise SolidError(f"the catalogue of parts has no row for {type(dimensions).__name__}")
    return row


def build(dimensions: PartDimensions) -> cq.Solid:
    """The part's solid, in its own frame with the base at z = 0, mm; it has passed the gate.

    Raises:
        DimensionError: a dimension is out of its limits; the kernel was not asked.
        SolidError: the kernel refused the part or made something else of it.
        MissingLibraryError: the kernel can't be loaded on this machine.
    """
    dimensions.check()
    row = family_of(dimensions)
    solid_function = row.solid_function()

    # These bring the CAD kernel along.
    from parts.gate import check_expected, check_solid
    from parts.kernel import is_kernel_error

    try:
        check_expected(dimensions)
        solid = solid_function(dimensions)
        check_solid(solid, dimensions, flat=row.flat)
    except SolidError as error:
        raise SolidError(_refusal(dimensions, str(error))) from error
    except Exception as error:
        # The kernel's classes share no base; what it says through CadQuery is a ValueError or a RuntimeError.
        if not (is_kernel_error(error) or isinstance(error, (ValueError, RuntimeError))):
            raise
        said = f"the CAD kernel gave up with {type(error).__name__}: {error}".rstrip(": ")
        raise SolidError(_refusal(dimensions, said)) from error
    return solid


def _refusal(dimensions: PartDimensions, what: str) -> str:
    listed = ", ".join(f"{f.name} = {_short(getattr(dimensions, f.name))}" for f in fields(dimensions))
    return (
        f"{dimensions.title} can't be built: {what}. Dimensions in mm, all within their own limits: "
        f"{listed}. Change one of them slightly and build again"
    )


def _short(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, tuple):
        return "(" + ", ".join(map(_short, value)) + ")"
    return str(value)
