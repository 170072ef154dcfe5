"""Sizes the arm extension sleeve: inside by the measured arm, wall by the loads, length by the extension."""

from __future__ import annotations

import math

from solver.car import ArmSection, Car
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.front_end import link_points
from solver.part import Check, Part, Refusal
from solver.sizing.context import DIMENSION_LIMIT, SizingContext, accepted
from solver.stock import StockUnits, round_up
from solver.strength import (
    Material,
    Section,
    box,
    column_strength,
    material,
    rectangle_weld_stress,
    round_weld_stress,
    tube,
    weld_yield,
)
from solver.tyre import INCH

SLIDING_PLAY = 0.5
"""Of the sleeve on the arm, across; a sliding fit over painted tube. Common practice, no source."""
WALLS = {"mm": (3.0, 4.0, 5.0, 6.0, 8.0), "in": (INCH / 8, 3 * INCH / 16, INCH / 4, 5 * INCH / 16)}
"""Tube walls that are tried, thinnest first. Common practice, no source."""


def parts(context: SizingContext) -> list[Part | Refusal]:
    """One sleeve for each arm, or none when the arms are not extended."""
    solution = context.solution
    extension = solution.changes.arm_extension
    if extension <= 0:
        return []
    name = ArmSleeveDimensions.family
    section = solution.job.car.arm.section
    if (
        section.construction in ("cast", "forged")
        or "606" in section.material
        or "alumin" in section.material.lower()
    ):
        return [
            Refusal(
                name,
                "section can't be sleeved",
                f"the arm is {section.construction} {section.material}; only steel tube or pressed steel sections "
                "are cut and sleeved",
                "arms of the wanted length made by a specialist, or no arm extension (max_arm_extension = 0)",
            )
        ]
    results = [
        _part(context, wall) for wall in WALLS[solution.job.stock_units] if wall >= section.wall - 1e-9
    ]
    if not results:
        reason = f"the arm's wall of {section.wall:.1f} mm is thicker than any sleeve's"
        return [Refusal(name, "wall", reason, "measure the wall again; it may be a solid bar")]
    made = [result for result in results if isinstance(result, Part)]
    strong = [r for r in results if isinstance(r, Refusal) and r.limit != DIMENSION_LIMIT]
    return [*made, *strong[::-1], *results][:1]


def _part(context: SizingContext, wall: float) -> Part | Refusal:
    solution = context.solution
    job, extension = solution.job, solution.changes.arm_extension
    section = job.car.arm.section
    dimensions = _dimensions(section, wall, extension, job.stock_units)
    crowded = _no_room(job.car, dimensions)
    if crowded:
        return Refusal(ArmSleeveDimensions.family, "room on the arm", crowded, "another place for the cut")
    steel = material(job.part_choices.sleeve_material)
    across = max(section.width, section.height)
    return accepted(
        Part(
            name=ArmSleeveDimensions.family,
            dimensions=dimensions,
            quantity=2,
            fits="over the cut lower arm, one each side, tongues up and down",
            material=steel.name,
            process="tube bored or drawn to size, ends cut to shape, plug holes drilled; welded by a qualified welder",
            reasons=(
                f"extension {extension:.2f} mm: {solution.sized.extension_reason}",
                f"inside {dimensions.inside_width:.2f} mm × {dimensions.inside_height:.2f} mm: measured arm "
                f"{section.width:.2f} mm × {section.height:.2f} mm and {SLIDING_PLAY} mm of play",
                f"wall {wall:.2f} mm: not below the arm's {section.wall:.2f} mm, and the thinnest that passes the "
                "strength checks",
                f"overlap {dimensions.overlap:.1f} mm each side: one and a half times the arm's {across:.1f} mm",
                "fish-mouth ends: so that no weld runs straight round the arm",
            ),
            role="carries the car",
            if_it_fails="the lower arm comes apart, the wheel folds under or away, and steering and brake go with it",
            qualified=(
                "whether this arm may be cut and welded at all, by its material and by the law where the car is used",
                "the welding procedure, the welder, and a crack test of the finished arm",
                "the strength of the whole arm, of which this is only the sleeve",
            ),
            checks=_checks(context, dimensions, steel),
            notes=(
                "cut the arm square, keep both halves in line in a fixture, tack, check the length, then weld",
                f"cut ends of the arm stand {extension:.1f} mm apart under the middle of the sleeve",
                "plug-weld the holes first, then run the fillets round the fish-mouth ends in short lengths",
            ),
        )
    )


def _dimensions(section: ArmSection, wall: float, extension: float, units: StockUnits) -> ArmSleeveDimensions:
    across = max(section.width, section.height)
    width = section.width + SLIDING_PLAY
    narrow = min(section.width, section.height) - 2 * section.corner_radius
    hole = math.ceil(max(2 * wall, narrow / 3.5) * 2) / 2
    overlap = round_up(max(1.5 * across, 6.5 * hole / 2), units)
    return ArmSleeveDimensions(
        shape=section.shape,
        inside_width=width,
        inside_height=section.height + SLIDING_PLAY,
        wall=wall,
        inside_corner_radius=section.corner_radius,
        extension=extension,
        overlap=overlap,
        tongue=round_up((width + 2 * wall) / 2, units),
        plug_hole_diameter=hole,
        plug_holes_per_end=4,
    )


def _no_room(car: Car, sleeve: ArmSleeveDimensions) -> str | None:
    """Why the sleeve would run into the ball joint's end, the arm's other leg or the bush; None when it has room."""
    start, _ = link_points(car, car.left)
    length = math.dist(start, car.left.ball_joint)
    cut = car.arm.cut_distance if car.arm.cut_distance is not None else length / 2
    covered = sleeve.overlap + sleeve.tongue
    braced = car.arm.link_start != "between pivots"
    outer = (car.arm.brace_offset if car.arm.brace_offset is not None else length / 4) if braced else 0.0
    for name, room in (
        ("the bush", length - cut),
        ("the other leg's joint" if braced else "the ball joint", cut - outer),
    ):
        if room < covered:
            return f"the sleeve covers {covered:.0f} mm of the arm beside the cut, but {name} is {room:.0f} mm away"
    return None


def _checks(context: SizingContext, sleeve: ArmSleeveDimensions, steel: Material) -> tuple[Check, ...]:
    solution = context.solution
    car = solution.job.car
    start, _ = link_points(car, car.left)
    measured = math.dist(start, car.left.ball_joint)
    length = measured + sleeve.extension
    if sleeve.shape == "round":
        ring = tube(sleeve.outside_width, sleeve.inside_width)
        arm = tube(car.arm.section.width, car.arm.section.width - 2 * car.arm.section.wall)
    else:
        ring = box(sleeve.outside_width, sleeve.outside_height, sleeve.wall)
        arm = box(car.arm.section.width, car.arm.section.height, car.arm.section.wall)
    net = _net(ring, sleeve)
    arm_steel = material(car.arm.section.material)
    bent = max(context.cases, key=lambda c: ring.stress(c.link_axial, c.link_moment))
    moment = bent.link_moment
    squeezed = min(context.cases, key=lambda c: c.link_axial)
    narrow, wide = sorted((sleeve.outside_width, sleeve.outside_height))
    if sleeve.shape == "round":
        throat = round_weld_stress(sleeve.wall, wide / 2, bent.link_axial, moment)
    else:
        throat = rectangle_weld_stress(sleeve.wall, wide, narrow, bent.link_axial, moment)
    return (
        Check(
            "stress in the sleeve over the gap",
            ring.stress(bent.link_axial, moment),
            steel.welded_yield,
            "MPa",
            "N/A + M c/I of the sleeve alone, against yield beside a weld (Shigley, section 9-9)",
            bent.case,
        ),
        Check(
            "stress in the net section at the plug holes",
            net.stress(bent.link_axial, moment),
            steel.welded_yield,
            "MPa",
            "N/A + M c/I less one pair of holes, against yield beside a weld; the arm inside is left aside",
            bent.case,
        ),
        Check(
            "stress in the weld at the sleeve's end",
            throat,
            weld_yield(),
            "MPa",
            "throat of a fillet of one wall round the sleeve (Shigley, tables 9-1 and 9-2), against yield of the weld "
            "metal in shear; fish-mouth and plugs left aside",
            bent.case,
        ),
        Check(
            "buckling of the lengthened arm",
            max(-squeezed.link_axial, 1.0),
            column_strength(arm, length, arm_steel.welded_yield, arm_steel.modulus),
            "N",
            "pinned column of the measured section, Euler or Johnson (Shigley, 9th ed., 4-43 and 4-48)",
            squeezed.case,
        ),
    )


def _net(ring: Section, sleeve: ArmSleeveDimensions) -> Section:
    """The sleeve's section less one pair of plug holes at its outer fibres."""
    lost = 2 * sleeve.plug_hole_diameter * sleeve.wall
    arm = min(sleeve.inside_width, sleeve.inside_height) / 2 + sleeve.wall / 2
    return Section(ring.area - lost, ring.second_moment - lost * arm**2, ring.fibre)
