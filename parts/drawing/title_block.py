"""Frame, title block, caution and check bar."""

from __future__ import annotations

from dataclasses import dataclass

from parts.drawing.layout.arrangement import Method
from parts.drawing.layout.bodies import PITCH
from parts.drawing.paper import font
from parts.drawing.paper.ink import Ink
from parts.drawing.standards import Scale, SheetSize, general_angles, general_tolerances, letter_height
from parts.drawing.values import INCH, INCH_DIGITS, Units, deviation, number
from parts.drawing.views.curves import Box

WIDTH = 180.0
"""mm (ISO 7200, 4: the width of an A4 frame; from memory)."""
GRADE = "m"
ROW, FIRST_ROW, LAST_ROW = 7.8, 9.0, 11.6
"""Heights of rows, mm."""
STRIP = 7.0
"""Height of the strip with the check bar, mm."""
BAR = 50.0
PAD = 1.2
EDGES = (0.2, 0.5)
"""mm that edges are broken by unless a chamfer is drawn."""


@dataclass(frozen=True)
class Surface:
    """What the surface must be: a symbol of the table and the roughness Ra in µm; words where they say more."""

    symbol: str
    roughness: float
    words: str = ""

    def text(self, units: Units) -> str:
        """Beside the symbol. One µin is 0.0254 µm."""
        said = f"Ra {self.roughness:g} µm"
        if units == "in":
            # Preferred values, as in ASME B46.1, table 1 (from memory).
            preferred = (16, 32, 63, 125, 250, 500, 1000)
            inches = min(preferred, key=lambda value: abs(value - self.roughness / 0.0254))
            said += f" ({inches} µin)"
        return f"{said}, {self.words}" if self.words else said


@dataclass(frozen=True)
class Issue:
    """What the title block says of a part.

    name: of the part, its number; title: what it is called; revision: its letter
    process: how it is made, in a sentence; mass: of one, kg
    job: what it is made for; caution: one sentence; remark: above it, in capitals, where there is one
    """

    name: str
    title: str
    revision: str
    quantity: int
    material: str
    condition: str
    process: str
    mass: float
    job: str
    caution: str
    units: Units
    remark: str = ""


Cell = tuple[str, str, float, str]
"""Label, text, width in mm, and use of the lettering."""


def height_of(issue: Issue) -> float:
    """Of title block, caution and remark, mm."""
    return FIRST_ROW + 3 * ROW + LAST_ROW + _caution_height(issue) + (ROW if issue.remark else 0.0)


def draw_frame(ink: Ink, sheet: SheetSize) -> None:
    """The edge of the sheet is not drawn: a plotter may clip it."""
    inner = frame_of(sheet)
    corners = [
        (inner.left, inner.bottom),
        (inner.right, inner.bottom),
        (inner.right, inner.top),
        (inner.left, inner.top),
    ]
    ink.polyline("FRAME", corners, closed=True)


def frame_of(sheet: SheetSize) -> Box:
    """The frame, mm."""
    return Box(sheet.left, sheet.bottom, sheet.width - sheet.right, sheet.height - sheet.top)


def draw_title_block(
    ink: Ink, sheet: SheetSize, issue: Issue, scale: Scale, method: Method, surface: Surface
) -> None:
    """In the lower right corner of the frame."""
    frame = frame_of(sheet)
    left, y = frame.right - WIDTH, frame.bottom
    units = issue.units
    bottom_up: list[tuple[float, tuple[Cell, ...]]] = [
        (
            LAST_ROW,
            (("General tolerances", f"{length_words(units)}\n{angle_words(units)}", WIDTH, "text"),),
        ),
        (
            ROW,
            (
                ("Edges (ISO 13715)", edge_words(units), 66.0, "text"),
                ("Surface", " " * 7 + surface.text(units), 72.0, "text"),
                ("Dimensions in", "mm" if units == "mm" else "inch, [mm] beneath", 42.0, "text"),
            ),
        ),
        (
            ROW,
            (
                ("Job", font.printable(issue.job), 98.0, "text"),
                ("Scale", scale.name, 20.0, "text"),
                ("Sheet", f"{sheet.name}, 1 of 1", 24.0, "text"),
                ("Projection (ISO 5456-2)", "", 38.0, "text"),
            ),
        ),
        (
            ROW,
            (
                ("Material", issue.material, 50.0, "text"),
                ("Condition", issue.condition, 74.0, "text"),
                ("Quantity", str(issue.quantity), 20.0, "text"),
                ("Mass of one", mass_words(issue.mass, units), 36.0, "text"),
            ),
        ),
        (
            FIRST_ROW,
            (
                ("Part number", issue.name, 80.0, "part"),
                ("Title", issue.title, 76.0, "part"),
                ("Revision", issue.revision, 24.0, "part"),
            ),
        ),
    ]
    for height, cells in bottom_up:
        x = left
        for label, text, width, use in cells:
            _cell(ink, Box(x, y, x + width, y + height), label, text, use)
            if label == "Surface":
                ink.symbol(surface.symbol, (x + 4.0, y + 1.3), height=1.5)
            elif label.startswith("Projection"):
                ink.symbol(f"{method}_angle", (x + 9.0, y + 2.7), height=1.9)
                ink.text(f"{method} angle", (x + 18.0, y + 1.5), letter_height("text"))
            x += width
        y += height
    tall = _caution_height(issue)
    _lines(ink, Box(left, y, left + WIDTH, y + tall), _caution_lines(issue))
    y += tall
    if issue.remark:
        box = Box(left, y, left + WIDTH, y + ROW)
        _outline(ink, box, "FRAME")
        lines, size = font.fitted(issue.remark, letter_height("part"), 1.8, WIDTH - 2 * PAD, 1)
        ink.text(lines[0], ((box.left + box.right) / 2, y + (ROW - size) / 2), size, align="centre")
        y += ROW
    _check_bar(ink, left, y, units)


def length_words(units: Units) -> str:
    """The ranges of the general tolerance that a part here can fall into."""
    # Neighbours with the same tolerance are one range.
    ends = {plus_minus: up_to for _, up_to, plus_minus in general_tolerances(GRADE) if up_to <= 1000}
    said = []
    for plus_minus, up_to in ends.items():
        allowed = number(plus_minus, units) if units == "mm" else deviation(plus_minus, units).lstrip("+")
        said.append(f"to {_limit(up_to, units)} ±{allowed}")
    return f"ISO 2768-{GRADE}, lengths in {'mm' if units == 'mm' else 'inch'}: " + ", ".join(said)


def angle_words(units: Units) -> str:
    """The ranges of the general tolerance for angles."""
    said = []
    for _, up_to, minutes in general_angles(GRADE):
        allowed = f"{minutes / 60:g}°" if minutes >= 60 else f"{minutes:g}′"
        said.append(f"to {_limit(up_to, units)} ±{allowed}" if up_to < 1000 else f"over ±{allowed}")
    return "angles by the shorter leg: " + ", ".join(said)


def _limit(value: float, units: Units) -> str:
    if units == "mm":
        return number(value, units)
    return f"{value / INCH:.2f}" if value < 10 * INCH else f"{value / INCH:.1f}"


def edge_words(units: Units) -> str:
    """Broken edges."""
    low, high = EDGES
    if units == "mm":
        return f"broken {low} to {high} mm, no burrs"
    return f"broken {low / INCH:.{INCH_DIGITS}f} to {high / INCH:.{INCH_DIGITS}f} in, no burrs"


def mass_words(mass: float, units: Units) -> str:
    """In kg, with pounds before it in an inch job."""
    metric = f"{mass:.3f} kg" if mass < 10 else f"{mass:.2f} kg"
    return metric if units == "mm" else f"{mass / 0.45359237:.2f} lb [{metric}]"


def _cell(ink: Ink, box: Box, label: str, text: str, use: str) -> None:
    _outline(ink, box, "TABLE")
    small = letter_height("small") * 0.9
    ink.text(label, (box.left + PAD, box.top - 0.9 - small), small)
    parts = text.split("\n")
    for row, part in enumerate(parts):
        # Blanks at the front keep room for a symbol.
        indent = font.width(" " * (len(part) - len(part.lstrip(" "))), letter_height(use))
        lines, size = font.fitted(part, letter_height(use), 1.8, box.width - 2 * PAD - indent, 1)
        base = box.bottom + 1.5 + (len(parts) - 1 - row) * PITCH * letter_height(use)
        ink.text(lines[0], (box.left + PAD + indent, base), size)


def _caution_lines(issue: Issue) -> list[str]:
    return font.wrapped(f"CAUTION: {issue.caution}", letter_height("text"), WIDTH - 2 * PAD - 4.0)


def _caution_height(issue: Issue) -> float:
    return len(_caution_lines(issue)) * 4.2 + 2.4


def _lines(ink: Ink, box: Box, lines: list[str]) -> None:
    _outline(ink, box, "SYMBOL")
    height = letter_height("text")
    y = box.top - 1.2
    for line in lines:
        y -= 4.2
        ink.text(line, (box.left + PAD + 2.0, y + (4.2 - height) / 2), height)


def _outline(ink: Ink, box: Box, layer: str) -> None:
    corners = [(box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top)]
    ink.polyline(layer, corners, closed=True)


def _check_bar(ink: Ink, left: float, y: float, units: Units) -> None:
    """A line of known length, to see on paper whether the printer kept the scale."""
    x, middle = left + 4.0, y + STRIP / 2
    ink.line("SYMBOL", (x, middle), (x + BAR, middle))
    for i in range(6):
        tall = 2.0 if i in (0, 5) else 1.0
        ink.line("SYMBOL", (x + 10 * i, middle), (x + 10 * i, middle + tall))
    inches = "" if units == "mm" else f" ({BAR / INCH:.3f} in)"
    text = f"check bar: {BAR:.0f} mm{inches} on paper when printed at full size"
    lines, size = font.fitted(text, letter_height("text"), 1.8, WIDTH - BAR - 12.0, 1)
    ink.text(lines[0], (x + BAR + 3.0, middle - size / 2 + 0.3), size)
