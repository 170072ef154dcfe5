"""A blank measuring sheet: what to measure at a strut front end, in an order that makes sense in a garage."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from locksweep.job.findings import printable
from locksweep.job.units import FileUnits
from locksweep.survey.points import ACROSS_THE_CAR, CORNER_POINTS, DAMPER, LENGTHS, SIDES, TRACK
from locksweep.survey.printable import printed_sheet
from solver.errors import WriteError

SAFETY = (
    "Never put any part of yourself under a car that stands on a jack. A jack lifts; it does not hold.",
    "On level concrete, with the rear wheels chocked, set it on axle stands or ramps; rock it before you lie down.",
    "Measure with the car on its wheels, on ramps or boards of equal height: it stands safe and at its ride height.",
    "Somebody else in reach, the key out of the car, the handbrake on, no hot exhaust.",
)

_HEAD = """\
# A measuring sheet for locksweep. Write what you read, in any unit: 172, "172 mm", "6 3/4 in". A line that is
# left empty ("") counts as not measured. More measurements than needed are the point of it: only they can show
# a slip. Read a line twice and write both: [172, 174].
#
# SAFETY FIRST
{safety}
#
# BEFORE YOU BEGIN
# Fuel, load and tyre pressures as driven; wheels straight ahead; rack in its middle (turn from stop to stop,
# count the turns, go back half). Bounce the car, let it settle.
# A joint's point is the centre of its ball or bush, not the nut: measure to both faces and halve.
{points}
#
# How well each instrument reads (one standard deviation) is taken from common practice; say it here if yours
# is better or worse, or for one line: {{ value = 172, by = "rule", plus_minus = 1 }}

[sheet]
units = "{units}"                      # what a bare length means: "mm" or "in"
helpers = []                      # names of points of your own, such as "left.mark_1" or "sill_mark"

[uncertainty]
# tape = "1.5 mm"
# "plumb line" = "2 mm"
# "angle gauge" = "0.2 deg"
"""

_HEIGHT = """\
# 1. Heights above the floor, less the boards under the tyres. The car stays where it is until step 4. Lengths
#    along a level arm hardly check a height: read each twice, the second time when all others are done.
[height]
"""
_LENGTH = """\
# 2. From point to point with the tape, straight through the air. Leave out what the tape can't be held to.
[length]
"""
_ANGLE = """\
# 3. The damper's lean: the gauge along its tube, seen from the side and from the front; 90 is upright.
"""
_PLUMB = """\
# 4. Hang a plumb line from each point, chalk where it meets the floor and write the point's number beside it.
#    The line through the marks of both wheel centres is the wheel-centre line. Hang it from two pairs of like
#    holes in the body, left and right, too: the line through the middles of both pairs is the centre line.
#    Roll the car away. Snap both lines; check that they are square: sides of 3, 4 and 5.
#
#    How far each mark lies ahead of the wheel-centre line; behind it with a minus.
[ahead]
"""
_ACROSS = """\
#    How far each mark lies from the centre line; no minus on the right either.
[across]
"""


EMPTY = '""'
"""Stands where a reading has not been filled in."""


def blank_text(units: FileUnits = "mm") -> str:
    """Text of a blank sheet, TOML."""
    return "\n".join(_lines(units)) + "\n"


def _lines(units: FileUnits) -> Iterator[str]:
    points = "\n".join(
        f"#   {number} {name}: {what}" for number, (name, what) in enumerate(CORNER_POINTS.items(), start=1)
    )
    yield _HEAD.format(safety="\n".join(f"# {line}" for line in SAFETY), points=points, units=units)
    yield _HEIGHT.rstrip()
    yield from (f"{line.removesuffix(EMPTY)}[{EMPTY}, {EMPTY}]" for line in _both_sides())
    yield "\n" + _LENGTH.rstrip()
    yield from (_line(f'"{side}.{one} to {side}.{other}"') for side in SIDES for one, other in LENGTHS)
    yield from (_line(f'"{one} to {other}"') for one, other in ACROSS_THE_CAR)
    yield "\n" + _ANGLE.rstrip()
    for view in ("side", "front"):
        yield f"[angle.{view}]"
        yield from (_line(f'"{side}.{DAMPER[0]} to {side}.{DAMPER[1]}"') for side in SIDES)
    yield "\n" + _PLUMB.rstrip()
    for line in _both_sides():
        is_origin = line.startswith(tuple(f"{side}.wheel_centre" for side in SIDES))
        yield f"{line.removesuffix(EMPTY)}0     # the line goes through it" if is_origin else line
    yield "\n" + _ACROSS.rstrip()
    yield from _both_sides()
    yield _line(f'"{TRACK[0]} to {TRACK[1]}"')


def _both_sides() -> Iterator[str]:
    yield from (_line(f"{side}.{name}") for side in SIDES for name in CORNER_POINTS)


def _line(key: str) -> str:
    return f"{key} = {EMPTY}"


def write_blank(file: Path, units: FileUnits) -> tuple[Path, Path]:
    """Write a blank sheet and, beside it, one to print; returns both.

    Raises:
        WriteError: either exists already or can't be written; then neither is left behind
    """
    paper = file.with_suffix(".svg")
    if paper == file:
        raise WriteError(
            f"{printable(str(file))}: the sheet to fill in is TOML; choose a name that ends in .toml"
        )
    written: list[Path] = []
    try:
        for path, text in ((file, blank_text(units)), (paper, printed_sheet(units))):
            with path.open("x", encoding="utf-8", newline="\n") as stream:
                written.append(path)
                stream.write(text)
    except (OSError, ValueError) as error:
        for path in written:
            path.unlink(missing_ok=True)
        name = printable(str(paper if written else file))
        if isinstance(error, FileExistsError):
            raise WriteError(f"{name} exists already and is left as it is; choose another name") from error
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise WriteError(f"{name}: can't be written: {reason}") from error
    return file, paper
