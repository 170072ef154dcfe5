"""Sizes the welding fixture: stations along the arm by the solved length, sleeve and room; plates by stock and fit."""

from __future__ import annotations

import math
from typing import NamedTuple

from solver.car import Job
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.families.base import PartDimensions
from solver.families.weld_fixture import (
    THINNEST,
    FixtureBaseDimensions,
    FixtureStopDimensions,
    FixtureVeeDimensions,
)
from solver.front_end import link_of
from solver.marking import Marking
from solver.part import Part, Refusal
from solver.sizing.context import SizingContext, accepted
from solver.stock import clearance_hole, plate_label, round_up
from solver.tyre import INCH

STANDARD_PLATE = {"mm": 6.0, "in": INCH / 4}
"""mm; what a garage welds a fixture from. Common practice, no source."""
REACH = 60.0
"""From a joint's middle to its stop, mm: half of a bush or ball housing and the screw. Common practice, no source."""
HOUSING = 30.0
"""Of the arm that a bush or a ball joint takes from its middle on, mm. Common practice, no source."""
LEG = 20.0
"""Of the link beside the joint of the arm's other leg, mm. Common practice, no source."""
TORCH = 12.0
"""Between the sleeve's end and a V plate, mm: less gets spatter, and the torch does not come by."""
UNDER = 40.0
"""Least height of the axis over the base less what is held, mm: for the joints' housings. Common practice."""
TAB, SCREW = 20.0, 10.0
"""Width of a tab; the stop screw is an M10 with two nuts; mm."""
APEX, NOTCH_PLAY, CHAMFER = 4.0, 0.3, 1.0
"""Flat bottom of a V, play of a rectangular arm in its notch, corners of the tabs; mm. Common practice, no source."""


class Stations(NamedTuple):
    """x of the places from the base's end, mm; ``short``: the outer stop before the cut, None without room."""

    inner_stop: float
    arm_vees: tuple[float, ...]
    sleeve_vees: tuple[float, ...]
    short: float | None
    outer_stop: float
    joints: tuple[float, float, float, float]

    @property
    def slots(self) -> tuple[float, ...]:
        """All stations that have slots, in order."""
        short = () if self.short is None else (self.short,)
        return tuple(sorted((self.inner_stop, *self.arm_vees, *self.sleeve_vees, *short, self.outer_stop)))

    @property
    def length(self) -> float:
        """Of the base, mm."""
        return self.outer_stop + self.inner_stop


def parts(context: SizingContext, made: Part) -> list[Part | Refusal]:
    """Base, V plates for the arm and for the sleeve, end stops; ``made`` is the sleeve.

    Nothing for a link that starts between the pivots: there is nothing on its axis that a stop could meet.
    """
    job = context.solution.job
    sleeve = made.dimensions
    assert isinstance(sleeve, ArmSleeveDimensions)
    if job.car.arm.link_start == "between pivots":
        return []
    marking = job.marking or Marking()
    plate = max(marking.plate or STANDARD_PLATE[job.shelf], THINNEST)
    stations = _stations(job, sleeve, plate, marking.slot_fit)
    section = job.car.arm.section
    tall = max(section.height, sleeve.outside_height)
    axis = round_up(tall / 2 * math.sqrt(2) + UNDER, job.shelf)
    wide = max(_open_width(section.shape, width) for width in (section.width, sleeve.outside_width))
    width = round_up(wide + 2 * max(10.0, 1.5 * plate), job.shelf)
    standing = _Standing(plate, axis, width, width / 2 - TAB / 2 - 5.0)
    base = FixtureBaseDimensions(
        length=round_up(stations.length, job.shelf),
        width=round_up(width + 20.0, job.shelf),
        thickness=plate,
        corner_radius=5.0,
        stations=stations.slots,
        slot_thickness=plate + marking.slot_fit,
        slot_length=TAB + marking.slot_fit,
        slot_offset=standing.offset,
        joints=stations.joints,
    )
    found = [_part(context, "fixture-base", base, 1, _base_words(context, stations, marking, plate))]
    if stations.arm_vees:
        vee = _vee(standing, section.shape, section.width, section.height)
        words = _Words(
            "standing in the base, under the bare arm",
            (f"held {section.width:.2f} mm × {section.height:.2f} mm: the measured arm", *standing.reasons()),
            _vee_notes(section.shape),
        )
        found.append(_part(context, "fixture-vee-arm", vee, len(stations.arm_vees), words))
    if stations.sleeve_vees:
        vee = _vee(standing, section.shape, sleeve.outside_width, sleeve.outside_height)
        words = _Words(
            "standing in the base, under the sleeve between its plug-weld holes",
            (
                f"held {sleeve.outside_width:.2f} mm × {sleeve.outside_height:.2f} mm: the sleeve, as that half of "
                "the arm has no bare length beside it",
                *standing.reasons(),
            ),
            (
                *_vee_notes(section.shape),
                "shim the sleeve on that half of the arm until it has no play, tack, then draw the shims",
            ),
        )
        found.append(_part(context, "fixture-vee-sleeve", vee, len(stations.sleeve_vees), words))
    hole = clearance_hole(SCREW)
    stop = FixtureStopDimensions(
        axis_height=axis,
        height=axis + round_up(2 * hole, job.shelf),
        width=width,
        hole_diameter=hole,
        thickness=plate,
        tab_width=TAB,
        tab_offset=standing.offset,
        chamfer=CHAMFER,
    )
    words = _Words(
        "standing in the base, one beyond each end of the arm",
        (
            f"hole {hole:.1f} mm: medium clearance for an M10 stop screw (ISO 273), on the arm's axis",
            *standing.reasons(),
        ),
        ("stop screw: M10 × 80 with a nut on each side of the plate; its end rounded or with a cap nut",),
    )
    found.append(_part(context, "fixture-stop", stop, 2, words))
    return found


class _Standing(NamedTuple):
    """What all standing plates have in common, mm."""

    thickness: float
    axis: float
    width: float
    offset: float

    def reasons(self) -> tuple[str, ...]:
        """What set it."""
        return (
            f"axis {self.axis:.1f} mm over the base: room for the joints' housings under the arm",
            f"tabs {TAB:.0f} mm wide, as long as the base is thick, {self.thickness:.2f} mm",
        )


class _Words(NamedTuple):
    fits: str
    reasons: tuple[str, ...]
    notes: tuple[str, ...]


def _stations(job: Job, sleeve: ArmSleeveDimensions, plate: float, fit: float) -> Stations:
    link = link_of(job.car, "left")
    inner_stop = 2 * max(10.0, plate) + plate
    pivot = inner_stop + REACH
    cut = pivot + link.length - link.cut
    other = cut + sleeve.extension
    ball = other + link.cut
    inner = _vees(pivot + HOUSING, cut - sleeve.covered - TORCH, plate)
    outer = _vees(other + sleeve.covered + TORCH, ball - max((link.leg or 0.0) + LEG, HOUSING), plate)
    tongue, side = sleeve.plug_heights
    between = (tongue + side) / 2
    # A half without bare length lies in the sleeve, and that in a plate between two rows of its holes.
    held = tuple(x for x, vees in ((cut - between, inner), (other + between, outer)) if not vees)
    stop = ball + REACH
    room = sleeve.extension - plate - fit >= max(4.0, plate / 2)
    # To a hundredth of a mm: no cutter knows more. The outer stop's two places stay apart by the extension as solved.
    stop = round(stop, 2)
    return Stations(
        inner_stop,
        tuple(round(x, 2) for x in (*inner, *outer)),
        tuple(round(x, 2) for x in held),
        stop - sleeve.extension if room else None,
        stop,
        (pivot, round(cut, 2), round(other, 2), round(ball, 2)),
    )


def _vees(low: float, high: float, plate: float) -> tuple[float, ...]:
    """Places of V plates on a bare length: two where they hold a half in line by themselves, one, or none."""
    if high - low < plate:
        return ()
    if high - low < 5 * plate + plate:
        return ((low + high) / 2,)
    return (low + plate / 2, high - plate / 2)


def _open_width(shape: str, width: float) -> float:
    return width * math.sqrt(2) if shape == "round" else width + NOTCH_PLAY


def _vee(standing: _Standing, shape: str, width: float, height: float) -> FixtureVeeDimensions:
    is_round = shape == "round"
    return FixtureVeeDimensions(
        shape="round" if is_round else "rectangular",
        held_width=width,
        held_height=height,
        play=0.0 if is_round else NOTCH_PLAY,
        axis_height=standing.axis,
        width=standing.width,
        apex=min(APEX, width / 4) if is_round else 0.0,
        thickness=standing.thickness,
        tab_width=TAB,
        tab_offset=standing.offset,
        chamfer=CHAMFER,
    )


def _vee_notes(shape: str) -> tuple[str, ...]:
    lies = (
        "lies in the V by its own weight" if shape == "round" else "sits on the notch's bottom, its top level"
    )
    return (
        f"the arm {lies}: hold it down with a strap or a clamp over each plate",
        "break the sharp edges, not those of the V where the arm touches",
    )


def _base_words(context: SizingContext, stations: Stations, marking: Marking, plate: float) -> _Words:
    solution = context.solution
    left, right = (link_of(solution.job.car, side) for side in ("left", "right"))
    extension = solution.changes.arm_extension
    length = left.length + extension
    reasons = (
        f"joints {length:.2f} mm apart: the measured link of {left.length:.2f} mm and the extension of "
        f"{extension:.2f} mm",
        f"cut {left.cut:.2f} mm from the ball joint, as measured, ends {extension:.2f} mm apart",
        f"slots {plate + marking.slot_fit:.2f} mm: plate of {plate:.2f} mm and {marking.slot_fit:.2f} mm of fit",
        f"stops {REACH:.0f} mm beyond the joints' middles: their housings and the screws",
    )
    if stations.short is None:
        setting = (
            f"before cutting lay the whole arm in, a spacer of {extension:.2f} mm (measured) between its ball joint "
            "end and the outer stop screw, set both screws to touch and lock their nuts; cut, take the spacer away, "
            "and both ends against their screws are the solved length apart"
        )
    else:
        setting = (
            "before cutting put the outer stop in the slots nearer to the arm, lay the whole arm in, set both stop "
            "screws to touch its ends and lock their nuts; cut, move the outer stop to the outermost slots, and "
            f"both ends against their screws are {extension:.2f} mm further apart: the solved length"
        )
    notes = [
        "measure the plate first: slots take its real thickness and the fit; a thicker plate does not go in. Ease "
        "the tabs' edges with a file",
        "stand the plates in, square them by a try square, tack them to the base from below, the outer stop last",
        setting,
        f"set the screws anew for each arm ({left.length:.1f} mm left, {right.length:.1f} mm right as measured): "
        "the extension is what the fixture holds",
        "turn the arm so that bush and ball joint stand as on the car, a straight-edge along both halves; sleeve to "
        "the marked lines; tack four times round, measure, then weld in short runs on opposite sides",
        "welding heat moves things: leave it clamped until it is cold, and measure length and line again. The "
        "fixture is no substitute for a welding procedure, a qualified welder and an inspection of the finished arm",
        "take bush and ball joint out before welding, or their rubber and grease burn: a bare tube or bar of their "
        "outside diameter keeps their place",
    ]
    return _Words("on the bench, for both arms in turn", reasons, tuple(notes))


def _part(
    context: SizingContext, name: str, dimensions: PartDimensions, quantity: int, words: _Words
) -> Part | Refusal:
    thickness = dimensions.envelope[2]
    return accepted(
        Part(
            name=name,
            dimensions=dimensions,
            quantity=quantity,
            fits=words.fits,
            material="S235JR",
            process=f"cut from {plate_label(thickness)} plate, edges broken",
            reasons=words.reasons,
            role="marking aid",
            if_it_fails="it carries nothing; halves that were not in line are welded so",
            qualified=("the weld itself: procedure, welder and inspection, as for the sleeve",),
            assumptions=(
                "flat plate of the thickness given, cut within a tenth of a millimetre; the slots' fit is all the play",
            ),
            not_assessed=("how far welding heat draws the arm once it is out of the fixture",),
            notes=words.notes,
        )
    )
