"""The catalogue's rows, its refusals, and what it must not import."""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import solver.families
from parts.catalogue import CATALOGUE, Family, build, family_of
from parts.kernel import cq
from solver.errors import DimensionError, SolidError
from solver.families.base import PartDimensions
from solver.families.rack_spacer import RackSpacerDimensions
from tests.parts.examples import EXAMPLES, PAPER_EXAMPLES, RING

ALL = EXAMPLES | PAPER_EXAMPLES
LENGTHS = [
    (name, field.name)
    for name, dimensions in ALL.items()
    for field in fields(dimensions)
    if field.type in ("float", "int")
]

MAY_BE_ZERO_OR_LESS = {
    "inside_corner_radius",
    "bolt_hole_diameter",
    "bolt_pitch",
    "plug_diameter",
    "drain_x",
    "drain_y",
    "mount_x",
    "arm_corner_radius",
    "cut_rise",
    "sleeve_valley",
    "sleeve_tongue",
    "sleeve_width",
    "opening_diameter",
    "play",
    "apex",
}
"""Places and features that may be left out. Each has limits of its own, tested with its family."""


def test_no_cad_on_import(checkout: Path) -> None:
    """Importing the catalogue leaves the CAD kernel out."""
    code = "import sys, parts.catalogue; sys.exit(bool({'cadquery', 'OCP'} & set(sys.modules)))"
    assert 0 == subprocess.run([sys.executable, "-c", code], cwd=checkout, check=False).returncode


def test_every_family_has_a_row() -> None:
    """Each dimension type has one row, under its own name, with a solid function for just that type."""
    types = set()
    for module in pkgutil.iter_modules(solver.families.__path__, "solver.families."):
        for _, found in inspect.getmembers(importlib.import_module(module.name), inspect.isclass):
            if issubclass(found, PartDimensions) and found is not PartDimensions:
                types.add(found)
    assert types == {row.dimensions for row in CATALOGUE.values()}
    for name, row in CATALOGUE.items():
        assert name == row.name == row.dimensions.family
        if row.paper:
            with pytest.raises(SolidError, match="only printed, it has no solid"):
                row.solid_function()
            continue
        (parameter,) = inspect.signature(row.solid_function()).parameters.values()
        assert row.dimensions.__name__ == parameter.annotation


def test_colours_differ() -> None:
    """Parts can be told apart by colour, and each colour is one."""
    colours = [row.colour for row in CATALOGUE.values()]
    assert len(colours) == len(set(colours))
    assert all(0 <= channel <= 1 for colour in colours for channel in colour)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize(("name", "field"), LENGTHS)
def test_not_finite_is_refused(name: str, field: str, value: float) -> None:
    """NaN and infinity are refused by name before the kernel, which can hang on them, is asked."""
    with pytest.raises(DimensionError, match=f"{field} is {value}, it must be a finite number"):
        build(replace(ALL[name], **{field: value}))


@pytest.mark.parametrize("value", [True, "5", None])
@pytest.mark.parametrize(("name", "field"), LENGTHS)
def test_no_number_is_refused(name: str, field: str, value: Any) -> None:
    """True is not 1 mm, and text is not a number of millimetres."""
    with pytest.raises(DimensionError, match=f"{field} is {value!r}, it must be a number"):
        build(replace(ALL[name], **{field: value}))


@pytest.mark.parametrize("value", [0, -1, -1e6])
@pytest.mark.parametrize(("name", "field"), [row for row in LENGTHS if row[1] not in MAY_BE_ZERO_OR_LESS])
def test_zero_and_negative_are_refused(name: str, field: str, value: float) -> None:
    """A size of zero or less is refused for every dimension that is a size."""
    with pytest.raises(DimensionError, match="can't be made"):
        build(replace(ALL[name], **{field: value}))


def test_unknown_family() -> None:
    """A dimension type without a row is named."""

    class StrangerDimensions(RackSpacerDimensions):
        family = "stranger"

    with pytest.raises(SolidError, match="no row for StrangerDimensions"):
        family_of(StrangerDimensions(30.0, 10.0, 6.0, 1.0))


def _refused_by_kernel(_: PartDimensions) -> cq.Solid:
    box = cq.Workplane().box(10, 10, 10)
    return box.edges().fillet(5.0).val()


def _refused_by_cadquery(_: PartDimensions) -> cq.Solid:
    return cq.Workplane().box(10, 10, 10).edges("%CIRCLE").fillet(1.0).val()


def _two_rings(_: PartDimensions) -> cq.Shape:
    ring = cq.Solid.makeCylinder(15, 6)
    return cq.Compound.makeCompound([ring, ring.moved(cq.Location((100, 0, 0)))])


def _without_bore(_: PartDimensions) -> cq.Solid:
    return cq.Solid.makeCylinder(15, 6)


@pytest.mark.parametrize(
    ("solid", "message"),
    [
        (_refused_by_kernel, "the CAD kernel gave up with StdFail_NotDone"),
        (_refused_by_cadquery, "the CAD kernel gave up with ValueError: "),
        (_two_rings, "the result is 2 solids, it must be exactly 1"),
        (_without_bore, r"the volume is 4241\.15008 mm³, it must be 3644\.24748 mm³ within"),
    ],
)
def test_refusal_names_part_dimensions_and_limit(
    monkeypatch: pytest.MonkeyPatch, solid: Any, message: str
) -> None:
    """What the kernel throws or gets wrong comes out as one error that names part, reason and dimensions."""
    monkeypatch.setitem(sys.modules, "parts.broken", SimpleNamespace(solid=solid))
    monkeypatch.setitem(
        CATALOGUE, "rack-spacer", Family(RackSpacerDimensions, "parts.broken", (0, 0, 0), True)
    )
    with pytest.raises(SolidError, match=message) as caught:
        build(RING)
    assert str(caught.value).startswith("rack spacer can't be built: ")
    assert "outside_diameter = 30, bore_diameter = 10, thickness = 6, chamfer = 1" in str(caught.value)


def test_mistakes_of_our_own_are_not_blamed_on_the_kernel(monkeypatch: pytest.MonkeyPatch) -> None:
    """An attribute that does not exist stays an AttributeError."""
    monkeypatch.setitem(sys.modules, "parts.broken", SimpleNamespace(solid=lambda d: d.no_such_dimension))
    monkeypatch.setitem(
        CATALOGUE, "rack-spacer", Family(RackSpacerDimensions, "parts.broken", (0, 0, 0), True)
    )
    with pytest.raises(AttributeError, match="no_such_dimension"):
        build(RING)
