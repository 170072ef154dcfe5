"""One part of each form with round numbers, so that its volume can be worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

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

RING = RackSpacerDimensions(outside_diameter=30.0, bore_diameter=10.0, thickness=6.0, chamfer=1.0)

ROUND_SLEEVE = ArmSleeveDimensions(
    shape="round",
    inside_width=40.0,
    inside_height=40.0,
    wall=4.0,
    inside_corner_radius=0.0,
    extension=20.0,
    overlap=40.0,
    tongue=24.0,
    plug_hole_diameter=10.0,
    plug_holes_per_end=4,
)

RECTANGULAR_SLEEVE = ArmSleeveDimensions(
    shape="rectangular",
    inside_width=40.0,
    inside_height=30.0,
    wall=4.0,
    inside_corner_radius=2.0,
    extension=20.0,
    overlap=40.0,
    tongue=24.0,
    plug_hole_diameter=10.0,
    plug_holes_per_end=2,
)

BOLTED_STOP = BumpStopDimensions(
    width=60.0,
    thickness=5.0,
    bend_radius=5.0,
    base_flat=50.0,
    leg_flat=40.0,
    corner_radius=10.0,
    gusset_base=30.0,
    gusset_height=30.0,
    gusset_snipe=10.0,
    pad_diameter=20.0,
    pad_thickness=5.0,
    pad_height=30.0,
    mount_x=20.0,
    bolt_hole_diameter=10.0,
    bolt_pitch=30.0,
    k_factor=0.4,
)

WELDED_STOP = BumpStopDimensions(
    width=40.0,
    thickness=5.0,
    bend_radius=5.0,
    base_flat=40.0,
    leg_flat=40.0,
    corner_radius=4.0,
    gusset_base=45.0,
    gusset_height=45.0,
    gusset_snipe=5.0,
    pad_diameter=40.0,
    pad_thickness=5.0,
    pad_height=30.0,
    mount_x=20.0,
    bolt_hole_diameter=0.0,
    bolt_pitch=0.0,
    k_factor=0.4,
)
"""At its limits: the gusset reaches both ends and the bend, the pad is as wide as the leg."""

PAN = ClosurePlateDimensions(
    outline=((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)),
    profile=((0.0, 12.0), (100.0, 12.0)),
    thickness=1.0,
    bend_radius=1.0,
    relief=2.0,
    mitre_gap=1.0,
    tab_width=20.0,
    tab_height=5.0,
    plug_diameter=0.0,
    drain_x=50.0,
    drain_y=30.0,
    drain_diameter=10.0,
    k_factor=0.4,
)

TROUGH = replace(
    PAN,
    outline=((0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)),
    profile=((0.0, 80.0), (100.0, 80.0), (200.0, 80.0 - 100.0 / math.sqrt(3))),
    plug_diameter=6.0,
)
"""Two facets, the second rising by 30° to a wall that is bent by 60°."""

GAUGE = DrillingGaugeDimensions(
    distance=30.0, hole_diameter=10.0, thickness=8.0, width=30.0, end_margin=20.0, corner_radius=5.0
)

SLOTS = SlotTemplateDimensions(
    studs=((40.0, 0.0), (-20.0, 35.0), (-20.0, -35.0)),
    shift=(6.0, -8.0),
    hole_diameter=10.0,
    opening_diameter=30.0,
    margin=15.0,
    thickness=3.0,
    corner_radius=5.0,
)

BASE = FixtureBaseDimensions(
    length=500.0,
    width=120.0,
    thickness=6.0,
    corner_radius=5.0,
    stations=(30.0, 150.0, 320.0, 400.0, 470.0),
    slot_thickness=6.2,
    slot_length=20.2,
    slot_offset=34.0,
    joints=(90.0, 190.0, 220.0, 410.0),
)

VEE = FixtureVeeDimensions(
    shape="round",
    held_width=40.0,
    held_height=40.0,
    play=0.0,
    axis_height=70.0,
    width=90.0,
    apex=4.0,
    thickness=6.0,
    tab_width=20.0,
    tab_offset=30.0,
    chamfer=1.0,
)

NOTCH = FixtureVeeDimensions(
    shape="rectangular",
    held_width=40.0,
    held_height=30.0,
    play=0.5,
    axis_height=70.0,
    width=80.0,
    apex=0.0,
    thickness=6.0,
    tab_width=20.0,
    tab_offset=25.0,
    chamfer=1.0,
)

STOP_PLATE = FixtureStopDimensions(
    axis_height=70.0,
    height=92.0,
    width=90.0,
    hole_diameter=11.0,
    thickness=6.0,
    tab_width=20.0,
    tab_offset=30.0,
    chamfer=1.0,
)

WRAP = WrapTemplateDimensions(
    shape="round",
    arm_width=40.0,
    arm_height=40.0,
    arm_corner_radius=0.0,
    cut_rise=8.0,
    strip=90.0,
    lap=15.0,
    sleeve_valley=50.0,
    sleeve_tongue=25.0,
    sleeve_width=50.0,
    paper=0.1,
)

FOLDED = WrapTemplateDimensions(
    shape="rectangular",
    arm_width=40.0,
    arm_height=30.0,
    arm_corner_radius=4.0,
    cut_rise=6.0,
    strip=60.0,
    lap=15.0,
    sleeve_valley=0.0,
    sleeve_tongue=0.0,
    sleeve_width=0.0,
    paper=0.1,
)

PAPER_EXAMPLES: dict[str, PartDimensions] = {"wrap-template-round": WRAP, "wrap-template-rectangular": FOLDED}
"""They have no solid."""

EXAMPLES: dict[str, PartDimensions] = {
    "rack-spacer": RING,
    "arm-sleeve-round": ROUND_SLEEVE,
    "arm-sleeve-rectangular": RECTANGULAR_SLEEVE,
    "bump-stop-bolted": BOLTED_STOP,
    "bump-stop-welded": WELDED_STOP,
    "closure-plate": PAN,
    "closure-plate-folded": TROUGH,
    "drilling-gauge": GAUGE,
    "slot-template": SLOTS,
    "fixture-base": BASE,
    "fixture-vee-round": VEE,
    "fixture-vee-rectangular": NOTCH,
    "fixture-stop": STOP_PLATE,
}
