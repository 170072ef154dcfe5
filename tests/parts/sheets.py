"""Sheets of parts for tests, and what a DXF file says of its dimensions."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple, cast

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities.dimension import Dimension

from parts.catalogue import build
from parts.drawing.sheet import write_drawing
from parts.drawing.title_block import Issue
from parts.drawing.values import Units
from solver.families.base import PartDimensions
from tests.parts.drawn import Drawn, read

INCH = 25.4

ISSUE = Issue(
    name="test-part-left",
    title="part for a test",
    revision="C",
    quantity=2,
    material="S355",
    condition="hot-rolled",
    process="Cut from 5 mm plate and bent.",
    mass=1.2345,
    job="Some car, 50 degrees on 17s",
    caution="this part carries the car.",
    units="mm",
)


class Sheet(NamedTuple):
    """Both files of a sheet, read back."""

    dimensions: PartDimensions
    units: Units
    page: Drawn
    document: Drawing


def sheet(dimensions: PartDimensions, units: Units, folder: Path, **changes: Any) -> Sheet:
    """Draw a part and read the files by libraries that did not write them, or as a stranger would."""
    issue = dataclasses.replace(ISSUE, units=units, **changes)
    pdf, dxf = write_drawing(build(dimensions), dimensions, issue, folder)
    return Sheet(dimensions, units, read(pdf), ezdxf.readfile(dxf))


class Measured(NamedTuple):
    """A DIMENSION: what it measures in mm of the part, what its block shows, and its deviations, where it has some."""

    value: float
    shown: tuple[str, ...]
    deviations: tuple[float, float] | None


def measured(document: Drawing) -> Iterator[Measured]:
    """All dimensions of a sheet."""
    for entity in document.modelspace().query("DIMENSION"):
        dimension = cast("Dimension", entity)
        style = dimension.override()
        # In an inch job the factor turns millimetres into inches; in a detail it holds its scale as well.
        inches = bool(style.get("dimalt"))
        factor = style.get("dimlfac", 1.0) * (INCH if inches else 1.0)
        value = float(cast("float", dimension.get_measurement())) * factor
        shown = tuple(text.plain_text() for text in document.blocks[dimension.dxf.geometry].query("TEXT"))
        deviations = None
        if style.get("dimtol"):
            unit = INCH if inches else 1.0
            deviations = (style.get("dimtp") * unit, -style.get("dimtm") * unit)
        yield Measured(value, shown, deviations)
