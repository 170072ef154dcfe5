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
from solver.families.rack_spacer import RackSpacerDimensions

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


@st.composite
def closure_plates(draw: Draw, facets: int | None = None) -> ClosurePlateDimensions:
    """A closure plate of one to four facets whose outline is inscribed in an ellipse, so that it is convex."""
    facets = facets or draw(st.integers(1, 4))
    count = draw(st.integers(3, 8))
    step = 2 * math.pi / count
    turn = draw(between(0.0, step))
    angles = [turn + step * (i + draw(between(-0.3, 0.3))) for i in range(count)]
    a, b = draw(between(90.0 + 30 * facets, 300.0)), draw(between(90.0, 300.0))
    outline = tuple((a * math.cos(angle), b * math.sin(angle)) for angle in angles)
    t = draw(between(0.8, 4.0))
    bend = draw(between(t, min(10 * t, 12.0)))
    relief, tab = draw(between(t, 6.0)), draw(between(6.0, 60.0 if facets == 1 else 20.0))
    xs = [x for x, _ in outline]
    low, high = min(xs), max(xs)
    shares = [(i + 1 + draw(between(-0.3, 0.3))) / facets for i in range(facets - 1)]
    places = [low, *(low + share * (high - low) for share in shares), high]
    slope, profile = draw(between(-0.5, 0.3)), [(low, 0.0)]
    for before, x in pairwise(places):
        profile.append((x, profile[-1][1] - math.tan(slope) * (x - before)))
        slope += draw(between(0.03, 0.4))
    shallowest = 4 * t + 2.5 * bend + draw(between(1.0, 60.0)) - min(depth for _, depth in profile)
    middle = low + (high - low) * 0.5 / facets
    inside = [y for x, y in outline if x > middle - 40 and x < middle + 40] or [y for _, y in outline]
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
            drain_x=sum(xs) / count if facets == 1 else middle,
            drain_y=sum(y for _, y in outline) / count if facets == 1 else sum(inside) / len(inside),
            drain_diameter=draw(between(max(t, 4.0), 12.0)),
            k_factor=draw(between(0.3, 0.5)),
        )
    )
