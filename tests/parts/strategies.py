"""Hypothesis strategies that draw any part that can be made, up to and including its limits."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any, TypeVar

from hypothesis import assume
from hypothesis import strategies as st

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

Draw = Callable[[st.SearchStrategy[Any]], Any]
D = TypeVar("D", bound=PartDimensions)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Millimetres from low to high, both included; low alone where rounding has put high below it."""
    return st.floats(low, max(low, high), allow_nan=False, allow_infinity=False)


def makeable(dimensions: D) -> D:
    """Drop what a limit refuses for a reason that the strategy does not follow."""
    assume(not list(dimensions.problems()))
    return dimensions


@st.composite
def rack_spacers(draw: Draw) -> RackSpacerDimensions:
    """Any rack spacer."""
    bore = draw(between(4.0, 60.0))
    wall = draw(between(2.0, (80.0 - bore) / 2))
    thickness = draw(between(1.0, 25.0))
    chamfer = draw(between(0.2, min(thickness / 3, wall / 4)))
    return makeable(RackSpacerDimensions(bore + 2 * wall, bore, thickness, chamfer))


@st.composite
def arm_sleeves(draw: Draw, shape: str | None = None) -> ArmSleeveDimensions:
    """Any arm sleeve, or any of one shape."""
    shape = shape or draw(st.sampled_from(("round", "rectangular")))
    width = draw(between(12.0, 120.0))
    height = width if shape == "round" else draw(between(12.0, 120.0))
    narrow, across = min(width, height), max(width, height)
    radius = (
        0.0 if shape == "round" else draw(st.just(0.0) | between(0.2, min(narrow / 4, (narrow - 10) / 2)))
    )
    flat = narrow - 2 * radius
    wall = draw(between(2.0, flat / 5))
    hole = draw(between(2 * wall, flat / 2.5))
    outside = width + 2 * wall
    tongue = draw(between(outside / 4, outside))
    overlap = draw(between(max(across, 2.5 * hole, 3.75 * hole - tongue), 4 * across))
    extension = draw(between(1.0, 120.0))
    holes = draw(st.sampled_from((2, 4)))
    return makeable(
        ArmSleeveDimensions(shape, width, height, wall, radius, extension, overlap, tongue, hole, holes)
    )


@st.composite
def bump_stops(draw: Draw) -> BumpStopDimensions:
    """Any bump-stop bracket, bolted or welded."""
    t = draw(between(3.0, 16.0))
    bolted = draw(st.booleans())
    width = draw(between(max(12.0, (6 if bolted else 4) * t), 150.0))
    bend = draw(between(t, 4 * t))
    leg = draw(between(4 * t, 150.0 - t - bend))
    base = draw(between(4 * t, 150.0))
    hole = draw(between(t, min((width - t) / 5, (base - 2 * t) / 2))) if bolted else 0.0
    mount = draw(between(1.5 * hole, base - hole / 2 - 2 * t) if bolted else between(0.0, base))
    pitch = draw(between(2 * hole + t, width - 3 * hole)) if bolted else 0.0
    corner = draw(between(1.0, min(width / 3, leg / 2, base / 2)))
    snipe = draw(between(bend, bend + min(base, leg) - t))
    pad = draw(between(10.0, min(width, leg)))
    return makeable(
        BumpStopDimensions(
            width=width,
            thickness=t,
            bend_radius=bend,
            base_flat=base,
            leg_flat=leg,
            corner_radius=corner,
            gusset_base=draw(between(snipe + t, base + bend)),
            gusset_height=draw(between(snipe + t, leg + bend)),
            gusset_snipe=snipe,
            pad_diameter=pad,
            pad_thickness=draw(between(2.0, 25.0)),
            pad_height=draw(between(t + bend + pad / 2, t + bend + leg - pad / 2)),
            mount_x=mount,
            bolt_hole_diameter=hole,
            bolt_pitch=pitch,
            k_factor=draw(between(0.3, 0.5)),
        )
    )


def _crossings(outline: tuple[tuple[float, float], ...], x: float) -> list[float]:
    """Where a line along y meets an outline."""
    return [
        y0 + (y1 - y0) * (x - x0) / (x1 - x0)
        for (x0, y0), (x1, y1) in pairwise((*outline, outline[0]))
        if min(x0, x1) <= x <= max(x0, x1) and x0 != x1
    ]


@st.composite
def closure_plates(draw: Draw, facets: int | None = None) -> ClosurePlateDimensions:
    """A closure plate of one to four facets whose outline is inscribed in an ellipse, so that it is convex."""
    facets = facets or draw(st.integers(1, 4))
    # Folds cut walls into pieces: few corners and a large plate leave each the width of a tab.
    flat = facets == 1
    count = draw(st.integers(3, 8 if flat else 5))
    step = 2 * math.pi / count
    turn = draw(between(0.0, step))
    angles = [turn + step * (i + draw(between(-0.3, 0.3))) for i in range(count)]
    a = draw(between(120.0, 300.0) if flat else between(120.0 + 60 * facets, 500.0))
    b = draw(between(90.0, 300.0) if flat else between(160.0, 400.0))
    outline = tuple((a * math.cos(angle), b * math.sin(angle)) for angle in angles)
    t = draw(between(0.8, 4.0))
    bend = draw(between(t, min(10 * t, 12.0 if flat else 6.0)))
    relief, tab = draw(between(t, 6.0)), draw(between(6.0, 60.0 if flat else 15.0))
    xs = [x for x, _ in outline]
    low, high = min(xs), max(xs)
    shares = [(i + 1 + draw(between(-0.3, 0.3))) / facets for i in range(facets - 1)]
    places = [low, *(low + share * (high - low) for share in shares), high]
    # No wall may be 200 mm high, so what is wide rises less.
    most = 60.0 / (high - low)
    slope, profile = draw(between(-1.5 * most, most)), [(low, 0.0)]
    for before, x in pairwise(places):
        profile.append((x, profile[-1][1] - math.tan(slope) * (x - before)))
        slope += draw(between(0.03, 0.03 + 2 * most))
    shallowest = 4 * t + 2.5 * bend + draw(between(1.0, 60.0)) - min(depth for _, depth in profile)
    # The drain lies in the middle of the facet that is longest across.
    middles = {(x0 + x1) / 2: _crossings(outline, (x0 + x1) / 2) for x0, x1 in pairwise(places)}
    middle, inside = max(middles.items(), key=lambda item: max(item[1]) - min(item[1]))
    return makeable(
        ClosurePlateDimensions(
            outline=outline,
            profile=tuple((x, depth + shallowest) for x, depth in profile),
            thickness=t,
            bend_radius=bend,
            relief=relief,
            mitre_gap=draw(between(0.5, 2 * max(t, 1.0))),
            tab_width=tab,
            tab_height=draw(between(4.0, 40.0)),
            plug_diameter=draw(st.just(0.0) | between(max(4.0, 2 * t), 12.0)),
            drain_x=sum(xs) / count if flat else middle,
            drain_y=sum(y for _, y in outline) / count if flat else sum(inside) / len(inside),
            drain_diameter=draw(between(max(t, 4.0), 12.0)),
            k_factor=draw(between(0.3, 0.5)),
        )
    )


@st.composite
def drilling_gauges(draw: Draw) -> DrillingGaugeDimensions:
    """Any drilling gauge."""
    hole = draw(between(3.0, 30.0))
    width, margin = draw(between(hole + 5.0, 150.0)), draw(between(hole / 2 + 2.5, 150.0))
    return makeable(
        DrillingGaugeDimensions(
            distance=draw(between(hole + 2.5, 400.0)),
            hole_diameter=hole,
            thickness=draw(between(3.0, 25.0)),
            width=width,
            end_margin=margin,
            corner_radius=draw(between(0.5, min(width / 3, margin - hole / 2))),
        )
    )


@st.composite
def slot_templates(draw: Draw) -> SlotTemplateDimensions:
    """A template whose studs lie on a circle, with or without an opening in its middle."""
    hole, thickness = draw(between(4.0, 16.0)), draw(between(1.0, 12.0))
    size, way = draw(between(0.5, 40.0)), draw(between(-math.pi, math.pi))
    opening = draw(st.just(0.0) | between(5.0, 100.0))
    count = draw(st.integers(2, 5))
    round_at = (opening + hole) / 2 + size + max(2.0, thickness) + draw(between(0.0, 80.0))
    first = draw(between(0.0, math.pi))
    angles = [first + 2 * math.pi * i / count for i in range(count)]
    margin = draw(between(max(5.0, thickness), 80.0))
    return makeable(
        SlotTemplateDimensions(
            studs=tuple((round_at * math.cos(a), round_at * math.sin(a)) for a in angles),
            shift=(size * math.cos(way), size * math.sin(way)),
            hole_diameter=hole,
            opening_diameter=opening,
            margin=margin,
            thickness=thickness,
            corner_radius=draw(between(0.5, margin)),
        )
    )


@st.composite
def fixture_bases(draw: Draw) -> FixtureBaseDimensions:
    """A base with three to eight stations."""
    t = draw(between(3.0, 12.0))
    slot, along = t + draw(between(0.0, 1.0)), draw(between(8.0, 40.0))
    offset = draw(between(along / 2 + 2.5, 120.0))
    room = max(4.0, t / 2) + slot
    stations = [2 * room]
    for _ in range(draw(st.integers(2, 7))):
        stations.append(stations[-1] + draw(between(room, 150.0)))
    length = stations[-1] + 2 * room
    width = draw(between(2 * (offset + along / 2 + 5.0), 400.0))
    return makeable(
        FixtureBaseDimensions(
            length=length,
            width=width,
            thickness=t,
            corner_radius=draw(between(0.5, min(width / 4, length / 4, 2 * room - slot / 2))),
            stations=tuple(stations),
            slot_thickness=slot,
            slot_length=along,
            slot_offset=offset,
            joints=(stations[0], stations[1], stations[1] + 1.0, stations[-1]),
        )
    )


@st.composite
def fixture_vees(draw: Draw) -> FixtureVeeDimensions:
    """A V plate, or one with a notch."""
    is_round = draw(st.booleans())
    width = draw(between(12.0, 150.0))
    height = width if is_round else draw(between(12.0, 150.0))
    t, tab = draw(between(3.0, 12.0)), draw(between(12.0, 30.0))
    open_width = width * math.sqrt(2) if is_round else width + 1.0
    whole = draw(between(max(open_width + 2 * max(8.0, t), 2 * tab + 8.0), 400.0))
    return makeable(
        FixtureVeeDimensions(
            shape="round" if is_round else "rectangular",
            held_width=width,
            held_height=height,
            play=0.0 if is_round else draw(between(0.0, 1.0)),
            axis_height=draw(between(max(width, height) * 0.75 + max(10.0, 2 * t), 250.0)),
            width=whole,
            apex=draw(st.just(0.0) | between(0.5, width / 3)) if is_round else 0.0,
            thickness=t,
            tab_width=tab,
            tab_offset=draw(between(tab / 2 + 2.5, whole / 2 - tab / 2 - 1.0)),
            chamfer=draw(between(0.2, t / 3)),
        )
    )


@st.composite
def fixture_stops(draw: Draw) -> FixtureStopDimensions:
    """Any end stop."""
    t, tab = draw(between(3.0, 12.0)), draw(between(12.0, 30.0))
    hole = draw(between(max(5.0, t), 20.0))
    width, axis = draw(between(max(3 * hole, 2 * tab + 8.0), 400.0)), draw(between(1.5 * hole, 200.0))
    return makeable(
        FixtureStopDimensions(
            axis_height=axis,
            height=draw(between(axis + 1.5 * hole, 300.0)),
            width=width,
            hole_diameter=hole,
            thickness=t,
            tab_width=tab,
            tab_offset=draw(between(tab / 2 + 2.5, width / 2 - tab / 2 - 1.0)),
            chamfer=draw(between(0.2, t / 3)),
        )
    )


@st.composite
def wrap_templates(draw: Draw) -> WrapTemplateDimensions:
    """A wrap-round template of a round or a rectangular arm, without a sleeve."""
    is_round = draw(st.booleans())
    width = draw(between(10.0, 150.0))
    height = width if is_round else draw(between(10.0, 150.0))
    rise = draw(st.just(0.0) | between(-math.sqrt(3) * height, math.sqrt(3) * height))
    return makeable(
        WrapTemplateDimensions(
            shape="round" if is_round else "rectangular",
            arm_width=width,
            arm_height=height,
            arm_corner_radius=0.0 if is_round else draw(between(0.0, min(width, height) / 2)),
            cut_rise=rise,
            strip=draw(between(abs(rise) / 2 + 25.0, 600.0)),
            lap=draw(between(5.0, 15.0)),
            sleeve_valley=0.0,
            sleeve_tongue=0.0,
            sleeve_width=0.0,
            paper=draw(between(0.05, 1.0)),
        )
    )
