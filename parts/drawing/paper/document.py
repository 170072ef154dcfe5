"""The DXF document of a sheet: layers, lines, lettering and the style of dimensions."""

from __future__ import annotations

from typing import Any

from ezdxf import filemanagement
from ezdxf.document import Drawing

from parts.drawing.paper.ink import ARROW, NARROWED, STYLE
from parts.drawing.standards import letter_height, line_styles
from parts.drawing.values import INCH, INCH_DIGITS, METRIC_DIGITS, Units
from parts.dxf import DECIMAL, METRIC, MILLIMETRES, fixed_meta_data

DIMENSION_STYLE = "SHEET"
FONT, FAMILY = "arial.ttf", "Arial"
"""A DXF file can't bring its font along: this one, or a twin of the same widths, is on every desktop."""
EXTENSION_GAP, EXTENSION_BEYOND, TEXT_GAP = 0.8, 1.5, 1.0
"""mm: before and behind an extension line, and between text and its dimension line (ISO 129-1, from memory)."""
NO_TRAILING_ZEROS = 8
"""Value of the DXF variable DIMZIN."""


def new_document(units: Units, factor: float, properties: dict[str, str]) -> Drawing:
    """An empty sheet in millimetres.

    factor: mm on paper for a mm of the part; properties: kept as custom properties of the drawing
    """
    with fixed_meta_data():
        document = filemanagement.new("R2010")
    header = document.header
    header["$INSUNITS"], header["$MEASUREMENT"], header["$LUNITS"] = MILLIMETRES, METRIC, DECIMAL
    header["$LTSCALE"] = header["$DIMSCALE"] = 1 / factor
    for tag, value in properties.items():
        header.custom_vars.append(tag, value)
    style = document.styles.add(STYLE, font=FONT, dxfattribs={"width": NARROWED})
    style.set_extended_font_data(FAMILY)
    for line in line_styles().values():
        attributes: dict[str, Any] = {"color": line.colour, "lineweight": round(line.width * 100)}
        if line.pattern:
            signed = [size if i % 2 == 0 else -size for i, size in enumerate(line.pattern)]
            name = f"SHEET_{line.layer}"
            document.linetypes.add(name, [sum(line.pattern), *signed])
            attributes["linetype"] = name
        document.layers.add(line.layer, **attributes)
    _dimension_style(document, units, factor)
    return document


def _dimension_style(document: Drawing, units: Units, factor: float) -> None:
    style = document.dimstyles.new(DIMENSION_STYLE)
    values: dict[str, Any] = {
        "dimscale": 1 / factor,
        "dimtxsty": STYLE,
        "dimtxt": letter_height("text"),
        "dimasz": ARROW,
        "dimexo": EXTENSION_GAP,
        "dimexe": EXTENSION_BEYOND,
        "dimgap": TEXT_GAP,
        "dimtad": 1,
        "dimtih": 0,
        "dimtoh": 0,
        "dimblk": "",
        "dimdec": METRIC_DIGITS,
        "dimzin": NO_TRAILING_ZEROS,
        "dimtzin": NO_TRAILING_ZEROS,
        "dimtfac": letter_height("small") / letter_height("text"),
        "dimdsep": ord("."),
    }
    if units == "in":
        # The file is in millimetres all the same: inches come first, millimetres beneath as the alternate unit.
        values |= {
            "dimlfac": 1 / INCH,
            "dimdec": INCH_DIGITS,
            "dimtdec": INCH_DIGITS,
            "dimzin": 0,
            "dimalt": 1,
            "dimaltf": INCH,
            "dimaltd": METRIC_DIGITS,
            "dimaltz": NO_TRAILING_ZEROS,
        }
    style.update_dxf_attribs(values)
