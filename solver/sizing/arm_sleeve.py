"""Sizes the arm extension sleeve: inside by the measured arm, wall by the loads, length by the extension."""

from __future__ import annotations

import math
from collections.abc import Callable

from solver.car import ArmSection, Car, Job
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.front_end import link_of
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
            process="bored from thick-walled tube or bar, ends cut to shape, holes drilled; for a qualified welder",
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
            checks=_checks(context, dimensions, steel, section),
            notes=(
                "cut the arm square, keep both halves in line in a fixture, tack, check the length, then weld",
                f"cut ends of the arm stand {extension:.1f} mm apart under the middle of the sleeve",
                "plug-weld the holes first, then run the fillets round the fish-mouth ends in short lengths",
                f"fillets with a leg of {wall:.1f} mm, filler of the E70 class (ISO 14341 G 42); plugs flush",
                f"bore the sleeve to {dimensions.inside_width:.2f} mm (0 / +0.2 mm) or ease it to slide on; others "
                "to ISO 2768-m; deburr, no paint within 30 mm of a weld",
                *_leg_words(job.car, extension),
                _arm_itself(context, dimensions, section),
            ),
        )
    )


def sleeve_cover(job: Job) -> float:
    """How much of the arm a sleeve covers on each side of the gap, mm, whatever its wall comes out as at the most."""
    section = job.car.arm.section
    walls = [wall for wall in WALLS[job.stock_units] if wall >= section.wall - 1e-9]
    return max((_dimensions(section, wall, 1.0, job.stock_units).covered for wall in walls), default=0.0)


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


def _leg_words(car: Car, extension: float) -> list[str]:
    """What becomes of the arm's other leg, where it has one."""
    link = link_of(car, "left")
    before, after = link.leg_length(0.0), link.leg_length(extension)
    if before is None or after is None:
        return []
    return [
        f"the arm's other leg must become {after - before:.1f} mm longer ({before:.1f} mm to {after:.1f} mm from its "
        "pivot to the link): it carries the car as well, is not made here and needs the same care"
    ]


def _no_room(car: Car, sleeve: ArmSleeveDimensions) -> str | None:
    """Why the sleeve would run into the ball joint's end, the arm's other leg or the bush; None when it has room."""
    link = link_of(car, "left")
    neighbour, outer = ("the ball joint", 0.0) if link.leg is None else ("the other leg's joint", link.leg)
    for name, room in (("the bush", link.length - link.cut), (neighbour, link.cut - outer)):
        if room < sleeve.covered:
            return f"the sleeve covers {sleeve.covered:.0f} mm of the arm beside the cut, {name} is {room:.0f} mm away"
    return None


def _checks(
    context: SizingContext, sleeve: ArmSleeveDimensions, steel: Material, section: ArmSection
) -> tuple[Check, ...]:
    """Each check at its own place along the arm, in the worst case there."""
    link = link_of(context.solution.job.car, "left")
    # Distances from the ball joint: the arm's cut ends, and the sleeve's tips beyond them.
    outer, inner = link.cut, link.cut + sleeve.extension
    tips = outer - sleeve.covered, inner + sleeve.covered
    in_tongue, at_side = sleeve.plug_heights
    rows = [outer - in_tongue, outer - at_side, inner + at_side, inner + in_tongue]
    ring, arm = _sections(sleeve, section)
    arm_steel = material(section.material)

    def throat(axial: float, moment: float) -> float:
        narrow, wide = sorted((sleeve.outside_width, sleeve.outside_height))
        if sleeve.shape == "round":
            return round_weld_stress(sleeve.wall, wide / 2, axial, moment)
        return rectangle_weld_stress(sleeve.wall, wide, narrow, axial, moment)

    def worst(stress: Callable[[float, float], float], first: float, last: float) -> tuple[float, str]:
        found = [(stress(c.link.axial, c.link.largest_moment(first, last)), c.case) for c in context.cases]
        return max(found)

    gap, gap_case = worst(ring.stress, outer, inner)
    net, net_case = max(worst(_net(ring, sleeve).stress, row, row) for row in rows)
    weld, weld_case = max(worst(throat, tip, tip) for tip in tips)
    squeezed = min(context.cases, key=lambda c: c.link.axial)
    return (
        Check(
            "stress in the sleeve over the gap",
            gap,
            steel.welded_yield,
            "MPa",
            "N/A + M c/I of the sleeve alone, against yield beside a weld (Shigley, section 9-9)",
            gap_case,
        ),
        Check(
            "stress in the net section at the plug holes",
            net,
            steel.welded_yield,
            "MPa",
            "N/A + M c/I less one pair of holes, at the worst row, against yield beside a weld; the arm inside is "
            "left aside",
            net_case,
        ),
        Check(
            "stress in the weld at the sleeve's end",
            weld,
            weld_yield(),
            "MPa",
            "throat of a fillet of one wall round the sleeve at its tip (Shigley, tables 9-1 and 9-2), against yield "
            "of the weld metal in shear; fish-mouth and plugs left aside",
            weld_case,
        ),
        Check(
            "buckling of the lengthened arm",
            max(-squeezed.link.axial, 1.0),
            column_strength(arm, link.length + sleeve.extension, arm_steel.welded_yield, arm_steel.modulus),
            "N",
            "pinned column of the measured section, Euler or Johnson (Shigley, 9th ed., 4-43 and 4-48)",
            squeezed.case,
        ),
    )


def _arm_itself(context: SizingContext, sleeve: ArmSleeveDimensions, section: ArmSection) -> str:
    """What the measured arm, outside of the sleeve, makes of the screening cases."""
    link = link_of(context.solution.job.car, "left")
    _, arm = _sections(sleeve, section)
    last = link.length + sleeve.extension
    found = [(arm.stress(c.link.axial, c.link.largest_moment(0.0, last)), c.case) for c in context.cases]
    stress, case = max(found)
    steel = material(section.material)
    share = steel.welded_yield / stress
    verdict = "it bends before the sleeve does" if share < 1.0 else "it stays below yield"
    return (
        f"the measured arm's own section comes to {stress:.0f} MPa in the case '{case}', yield is "
        f"{steel.welded_yield:.0f} MPa: {verdict}. The arm is not made here and has to be judged as a whole"
    )


def _sections(sleeve: ArmSleeveDimensions, section: ArmSection) -> tuple[Section, Section]:
    """Sections of the sleeve and of the measured arm."""
    if sleeve.shape == "round":
        return (
            tube(sleeve.outside_width, sleeve.inside_width),
            tube(section.width, section.width - 2 * section.wall),
        )
    return (
        box(sleeve.outside_width, sleeve.outside_height, sleeve.wall),
        box(section.width, section.height, section.wall),
    )


def _net(ring: Section, sleeve: ArmSleeveDimensions) -> Section:
    """The sleeve's section less one pair of plug holes at its outer fibres."""
    lost = 2 * sleeve.plug_hole_diameter * sleeve.wall
    arm = min(sleeve.inside_width, sleeve.inside_height) / 2 + sleeve.wall / 2
    return Section(ring.area - lost, ring.second_moment - lost * arm**2, ring.fibre)
