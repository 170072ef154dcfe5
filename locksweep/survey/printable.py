"""The measuring sheet on paper: one A4 page, SVG, with a sketch of every point and room for the numbers.

Lengths in mm on the page. The sketches are drawn to one scale from where the points usually lie.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from locksweep.job.units import FileUnits
from locksweep.survey.points import ACROSS_THE_CAR, CORNER_POINTS, LENGTHS, TRACK
from solver.tables import rows

WIDTH, HEIGHT = 210.0, 297.0
MARGIN = 12.0
SCALE = 0.068
"""Page over car."""

ROW = 5.8
TYRE_RADIUS, TYRE_WIDTH = 300.0, 200.0

_Place = tuple[float, float]
_LABELS: dict[str, dict[int, _Place]] = {
    "front": {
        1: (-4, 5),
        2: (-5, 0),
        3: (3.5, 4.5),
        4: (-4, -1),
        5: (-5, 0),
        6: (-4, -5),
        7: (-4, -4.5),
        8: (4.5, 0),
    },
    "side": {
        1: (-4, 3.5),
        2: (4, 4.5),
        3: (-2.5, 5),
        4: (-4.5, 0),
        5: (-4.5, -1.5),
        6: (2, 5.5),
        7: (4.5, -3.5),
        8: (4.5, 1),
    },
    "top": {
        1: (4.5, 0),
        2: (4.5, 2),
        3: (-2.5, -5),
        4: (3.5, -3.5),
        5: (-1.5, 5),
        6: (4.5, 2),
        7: (-3, 5),
        8: (-5, 0),
    },
}
"""Where a point's number stands from the point, on the page: chosen by eye, so that no two collide."""

_STYLE = (
    "text{font-family:Helvetica,Arial,sans-serif;font-size:3px;fill:#000}"
    ".big{font-size:5.5px;font-weight:bold}.bold{font-weight:bold}.small{font-size:2.5px}"
    "path,line,rect,circle{fill:none;stroke:#000;stroke-width:.25}"
    ".thick{stroke-width:.7}.tyre{stroke:#999;stroke-width:.5}.floor{stroke-width:.5}"
    ".axis{stroke:#555;stroke-dasharray:3 1 .6 1}.lead{stroke:#777;stroke-width:.15}.point{fill:#000;stroke:none}"
    ".label{fill:#fff}"
)


def printed_sheet(units: FileUnits = "mm") -> str:
    """Text of the page, SVG, A4 upright; it needs no other file."""
    body = "\n".join(_page(units))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}mm" height="{HEIGHT:g}mm" '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}">\n<title>Measuring sheet for a strut front end</title>\n'
        f"<style>{_STYLE}</style>\n"
        f'<rect x="0" y="0" width="{WIDTH:g}" height="{HEIGHT:g}" style="fill:#fff;stroke:none"/>\n{body}\n</svg>\n'
    )


def _page(units: FileUnits) -> Iterator[str]:
    yield _text(MARGIN, 18, "Measuring sheet: strut front end", "big")
    yield _text(WIDTH - MARGIN, 18, "car ________________  date ____________", "", "end")
    for number, line in enumerate(_BEFORE):
        yield _text(MARGIN, 24 + 4 * number, line, "bold" if number == 0 else "")
    yield from _sketches(44)
    yield from _points_table(117, units)
    yield from _lengths_table(186, units)


_BEFORE = (
    "Never put any part of yourself under a car that stands on a jack.",
    "Level concrete, rear wheels chocked, axle stands or ramps; rock the car before you lie down.",
    "Best on its wheels, on boards of equal height; wheels straight ahead, rack in its middle.",
    "Measure to the centre of a ball or bush: to both of its faces, and halve. Read twice and write both.",
)


def _usual() -> dict[str, tuple[float, float, float]]:
    return {row["name"]: (float(row["x"]), float(row["y"]), float(row["z"])) for row in rows("usual_points")}


def _sketches(top: float) -> Iterator[str]:
    floor = top + 66
    # Each view: which coordinates go right and up, and where on the page the car's origin comes to lie.
    yield from _view("front", "from the front", (1, 1), (2, 1), (MARGIN + 1, floor), top)
    yield from _view("side", "left side, from outside", (0, -1), (2, 1), (MARGIN + 94, floor), top)
    yield from _view("top", "left side, from above", (1, -1), (0, 1), (WIDTH - MARGIN - 1, top + 40), top)


def _view(
    view: str, title: str, right: tuple[int, int], up: tuple[int, int], origin: _Place, top: float
) -> Iterator[str]:
    def at(point: Sequence[float]) -> _Place:
        return (
            origin[0] + SCALE * right[1] * point[right[0]],
            origin[1] - SCALE * up[1] * point[up[0]],
        )

    points = _usual()
    x, y, z = points["wheel_centre"]
    half = TYRE_WIDTH / 2
    if view == "side":
        centre = at((x, y, z))
        yield f'<circle class="tyre" cx="{centre[0]:.2f}" cy="{centre[1]:.2f}" r="{SCALE * TYRE_RADIUS:.2f}"/>'
        yield _line(at((-420, 0, 0)), at((420, 0, 0)), "floor")
        yield _line(at((0, 0, 0)), at((0, 0, 760)), "axis")
    elif view == "front":
        yield _box(at((x, y - half, z - TYRE_RADIUS)), at((x, y + half, z + TYRE_RADIUS)))
        yield _line(at((0, -30, 0)), at((0, 900, 0)), "floor")
        yield _line(at((0, 0, 0)), at((0, 0, 760)), "axis")
    else:
        yield _box(at((x - TYRE_RADIUS, y - half, z)), at((x + TYRE_RADIUS, y + half, z)))
        yield _line(at((0, 900, 0)), at((0, -30, 0)), "axis")
        yield _line(at((-360, 0, 0)), at((420, 0, 0)), "axis")
    for one, other, kind in (
        ("arm_front_pivot", "ball_joint", "thick"),
        ("arm_rear_pivot", "ball_joint", "thick"),
        ("damper_point", "strut_top", "thick"),
        ("inner_joint", "pickup", "thick"),
        ("ball_joint", "pickup", ""),
        ("ball_joint", "damper_point", ""),
    ):
        yield _line(at(points[one]), at(points[other]), kind)
    for number, name in enumerate(CORNER_POINTS, start=1):
        place, shift = at(points[name]), _LABELS[view][number]
        label = (place[0] + shift[0], place[1] + shift[1])
        yield _line(place, label, "lead")
        yield f'<circle class="point" cx="{place[0]:.2f}" cy="{place[1]:.2f}" r=".8"/>'
        yield f'<circle class="label" cx="{label[0]:.2f}" cy="{label[1]:.2f}" r="1.9"/>'
        yield _text(label[0], label[1] + 1.05, str(number), "", "middle")
    middle = {"front": MARGIN + 31, "side": MARGIN + 94, "top": WIDTH - MARGIN - 31}[view]
    yield _text(middle, top + 3, title, "bold", "middle")
    if view == "top":
        yield _text(middle, top + 8, "front of the car ↑", "small", "middle")
        yield _text(middle, top + 70, "dash-dotted: both lines on the floor", "small", "middle")
    elif view == "side":
        yield _text(middle - 16, top + 8, "← front of the car", "small", "middle")
        yield _text(middle, top + 70, "floor; dash-dotted: wheel-centre line", "small", "middle")
    else:
        yield _text(middle, top + 70, "floor; dash-dotted: centre line", "small", "middle")


_POINT_COLUMNS = (
    MARGIN,
    MARGIN + 6,
    MARGIN + 96,
    MARGIN + 111,
    MARGIN + 126,
    MARGIN + 141,
    MARGIN + 156,
    MARGIN + 171,
    WIDTH - MARGIN,
)


def _points_table(top: float, units: FileUnits) -> Iterator[str]:
    yield _text(
        MARGIN,
        top + 2,
        f"1. Heights, and 4. plumb marks on the floor after the car is rolled away ({units})",
        "bold",
    )
    heads = (("height", 2), ("ahead (− behind)", 4), ("across (no minus)", 6))
    for title, column in heads:
        yield _text((_POINT_COLUMNS[column] + _POINT_COLUMNS[column + 2]) / 2, top + 7, title, "", "middle")
    for column in range(2, 8):
        side = "left" if column % 2 == 0 else "right"
        yield _text(
            (_POINT_COLUMNS[column] + _POINT_COLUMNS[column + 1]) / 2, top + 11, side, "small", "middle"
        )
    first = top + 12.5
    for number, (name, what) in enumerate(CORNER_POINTS.items(), start=1):
        base = first + number * ROW - 2
        yield _text(_POINT_COLUMNS[0] + 2, base, str(number), "bold")
        yield _text(_POINT_COLUMNS[1] + 1, base - 1.3, name, "bold small")
        yield _text(_POINT_COLUMNS[1] + 1, base + 1.2, what, "small")
        if name == "wheel_centre":
            for column in (4, 5):
                middle = (_POINT_COLUMNS[column] + _POINT_COLUMNS[column + 1]) / 2
                yield _text(middle, base, "0", "", "middle")
    yield from _grid(_POINT_COLUMNS, first, len(CORNER_POINTS))


def _lengths_table(top: float, units: FileUnits) -> Iterator[str]:
    numbers = {name: number for number, name in enumerate(CORNER_POINTS, start=1)}
    yield _text(MARGIN, top + 2, f"2. Lengths from point to point on one side ({units})", "bold")
    one_side = (MARGIN, MARGIN + 50, MARGIN + 68, MARGIN + 86)
    for column, side in ((1, "left"), (2, "right")):
        yield _text((one_side[column] + one_side[column + 1]) / 2, top + 6, side, "small", "middle")
    first = top + 7
    for number, (one, other) in enumerate(LENGTHS, start=1):
        base = first + number * ROW - 2
        yield _text(one_side[0] + 1, base, f"{numbers[one]}–{numbers[other]}", "bold")
        yield _text(one_side[0] + 9, base, f"{_words(one)} – {_words(other)}", "small")
    yield from _grid(one_side, first, len(LENGTHS))
    left = MARGIN + 92
    yield _text(left, top + 2, f"2. Lengths across the car ({units})", "bold")
    across = (left, left + 72, WIDTH - MARGIN)
    for number, (one, other) in enumerate((*ACROSS_THE_CAR, TRACK), start=1):
        base = first + number * ROW - 2
        ends = [(side[0].upper(), name) for side, _, name in (point.partition(".") for point in (one, other))]
        short = "–".join(f"{side}{numbers[name]}" for side, name in ends)
        words = f"left {_words(ends[0][1])} – right {_words(ends[1][1])}"
        if (one, other) == TRACK:
            words = "4. wheel centres, on the floor"
        yield _text(across[0] + 1, base, short, "bold")
        yield _text(across[0] + 13, base, words, "small")
    yield from _grid(across, first, len(ACROSS_THE_CAR) + 1)
    low = first + (len(LENGTHS) + 1) * ROW + 2
    yield _text(MARGIN, low, "3. Damper against the level, degrees (90 is upright)", "bold")
    for column, side in ((1, "left"), (2, "right")):
        yield _text((one_side[column] + one_side[column + 1]) / 2, low + 4, side, "small", "middle")
    for number, view in enumerate(("seen from the side", "seen from the front"), start=1):
        yield _text(one_side[0] + 1, low + 5 + number * ROW - 2, f"5–4  {view}", "small")
    yield from _grid(one_side, low + 5, 2)
    yield _text(left, low, "Notes", "bold")
    for number in range(1, 3):
        yield _line((left, low + 5 + number * ROW), (WIDTH - MARGIN, low + 5 + number * ROW), "")


def _words(name: str) -> str:
    return name.replace("_", " ")


def _grid(columns: Sequence[float], top: float, count: int) -> Iterator[str]:
    low = top + count * ROW
    yield from (
        _line((columns[0], top + n * ROW), (columns[-1], top + n * ROW), "") for n in range(count + 1)
    )
    yield from (_line((column, top), (column, low), "") for column in columns)


def _line(start: _Place, end: _Place, kind: str) -> str:
    ends = f'x1="{start[0]:.2f}" y1="{start[1]:.2f}" x2="{end[0]:.2f}" y2="{end[1]:.2f}"'
    return f'<line class="{kind}" {ends}/>' if kind else f"<line {ends}/>"


def _box(one: _Place, other: _Place) -> str:
    x, y = min(one[0], other[0]), min(one[1], other[1])
    width, height = abs(one[0] - other[0]), abs(one[1] - other[1])
    return f'<rect class="tyre" x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}" rx="2"/>'


def _text(x: float, y: float, text: str, kind: str = "", anchor: str = "start") -> str:
    where = f'x="{x:.2f}" y="{y:.2f}"' + (f' text-anchor="{anchor}"' if anchor != "start" else "")
    return f"<text {where}{f' class={chr(34)}{kind}{chr(34)}' if kind else ''}>{text}</text>"
