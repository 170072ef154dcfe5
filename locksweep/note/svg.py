"""Pictures as SVG: black on white, text as text."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from locksweep.note.shapes import Drawing, Line, Shape

TITLE = 3.4
HEAD, BETWEEN = 7.0, 4.0
"""Above each picture for its title, and between two, mm."""


def stacked(pictures: Sequence[tuple[str, Drawing]]) -> str:
    """All pictures one below the other, each under its title, as one file."""
    width = max(drawing.width for _, drawing in pictures)
    height = sum(drawing.height + HEAD + BETWEEN for _, drawing in pictures)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_number(width)}mm" height="{_number(height)}mm" '
        f'viewBox="0 0 {_number(width)} {_number(height)}" font-family="DejaVu Sans, Verdana, sans-serif">',
        '<rect width="100%" height="100%" fill="white"/>',
    ]
    top = 0.0
    for title, drawing in pictures:
        lines.append(
            f'<text x="0" y="{_number(top + HEAD - 2.2)}" font-size="{TITLE}">{escape(title)}</text>'
        )
        lines += [_shape(shape, top + HEAD + drawing.height) for shape in drawing.shapes]
        top += drawing.height + HEAD + BETWEEN
    return "\n".join([*lines, "</svg>", ""])


def _shape(shape: Shape, foot: float) -> str:
    """One element; ``foot`` is where the picture's lower edge lies, for SVG counts downwards."""
    if not isinstance(shape, Line):
        weight = ' font-weight="bold"' if shape.bold else ""
        anchor = "" if shape.anchor == "start" else f' text-anchor="{shape.anchor}"'
        x, y = _number(shape.x), _number(foot - shape.y)
        return f'<text x="{x}" y="{y}" font-size="{shape.size}"{anchor}{weight}>{escape(shape.text)}</text>'
    points = " ".join(f"{_number(x)},{_number(foot - y)}" for x, y in shape.points.tolist())
    kind = "polygon" if shape.closed else "polyline"
    fill = "none" if shape.fill is None else _grey(shape.fill)
    style = f'fill="{fill}"'
    if shape.width:
        style += f' stroke="{_grey(shape.grey)}" stroke-width="{_number(shape.width)}"'
    if shape.dash:
        style += f' stroke-dasharray="{" ".join(map(_number, shape.dash))}"'
    return f'<{kind} points="{points}" {style}/>'


def _grey(grey: float) -> str:
    level = round(255 * grey)
    return f"#{level:02x}{level:02x}{level:02x}"


def _number(value: float) -> str:
    return f"{round(float(value), 2) + 0.0:g}"
