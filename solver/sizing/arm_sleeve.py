"""Sizes the arm extension sleeve: inside by the measured arm, wall by the loads, length by the extension."""

from __future__ import annotations

import math

from solver.car import ArmSection, Car, Job
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.front_end import link_of
from solver.part import Inspection, Part, Refusal
from solver.sizing.context import DIMENSION_LIMIT, NO_ROOM, SizingContext, accepted, not_weldable
from solver.sizing.fatigue_checks import events_between
from solver.sizing.sleeve_checks import sleeve_checks
from solver.stock import StockUnits, round_up
from solver.strength.materials import material
from solver.tyre import INCH

SLIDING_PLAY = 0.5
"""Of the sleeve on the arm, across; a sliding fit over painted tube. Common practice, no source."""
WALLS = {"mm": (3.0, 4.0, 5.0, 6.0, 8.0), "in": (INCH / 8, 3 * INCH / 16, INCH / 4, 5 * INCH / 16)}
"""Tube walls that are tried, thinnest first. Common practice, no source."""

MADE_OF = {
    "round": "bored from thick-walled tube or bar",
    "rectangular": "inside wire-eroded through bar, or rectangular tube of that inside",
}
"""How a sleeve comes by its inside; common practice, no source."""


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
    unfit = not_weldable(name, material(solution.job.part_choices.sleeve_material), "sleeve_material")
    if unfit:
        return [unfit]
    walls = [wall for wall in WALLS[solution.job.shelf] if wall >= section.wall - 1e-9]
    if not walls:
        reason = f"the arm's wall of {section.wall:.1f} mm is thicker than any sleeve's"
        return [Refusal(name, "wall", reason, "measure the wall again; it may be a solid bar")]
    refused: list[Refusal] = []
    for wall in walls:
        result = _part(context, wall, ())
        if isinstance(result, Part):
            return [result]
        refused.append(result)
    override = solution.job.part_choices.override
    for wall in walls[::-1] if override else ():
        result = _part(context, wall, override)
        if isinstance(result, Part):
            return [result]
    # The thickest wall that has room and can be made tells most: it is the strongest.
    strong = [item for item in refused if item.limit not in (DIMENSION_LIMIT, NO_ROOM)]
    return list((*strong[::-1], *refused)[:1])


def _part(context: SizingContext, wall: float, override: tuple[str, ...]) -> Part | Refusal:
    solution = context.solution
    job, extension = solution.job, solution.changes.arm_extension
    section = job.car.arm.section
    dimensions = _dimensions(section, wall, extension, job.shelf)
    crowded = _no_room(job.car, dimensions)
    if crowded:
        return Refusal(ArmSleeveDimensions.family, NO_ROOM, crowded, "another place for the cut")
    steel = material(job.part_choices.sleeve_material)
    across = max(section.width, section.height)
    checks = sleeve_checks(context, dimensions, steel, section)
    events = events_between(context, checks)
    return accepted(
        Part(
            name=ArmSleeveDimensions.family,
            dimensions=dimensions,
            quantity=2,
            fits="over the cut lower arm, one each side, tongues up and down",
            material=steel.name,
            process=f"{MADE_OF[dimensions.shape]}, ends cut to shape, holes drilled",
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
            checks=checks,
            loads=context.part_loads(
                "ball_joint", "link_pull", "link_push", "link_bending", "leg_pull", "leg_push"
            ),
            assumptions=(
                f"arm of {material(section.material).said}, as the job says; sleeve of {steel.said}",
                "welds sound and full, filler of the E70 class, no defects; strength beside a weld as hot-rolled",
                "arm and joints rigid, no bush gives, no friction; the other leg takes force along itself only",
                f"fatigue: {context.vehicle.values['event_cycles']:.0f} full manoeuvres an event for "
                f"{context.vehicle.values['events']:.0f} events",
            ),
            not_assessed=(
                "residual stress, distortion and the notch of a real weld",
                "rust and earlier damage inside of the arm",
                "the ball joint, its housing and its taper in the arm",
            ),
            inspection=Inspection(
                before_welding=(
                    "material, wall and section of the arm where it is cut; no rust, no earlier repair",
                    "cuts square, gap as wanted, both halves in line in the fixture, length over ball joint and bush",
                    "preparation, filler, procedure and the welder's qualification",
                ),
                after_welding=(
                    "every plug and fillet by eye, then by penetrant or magnetic particles",
                    "length and alignment again: within 1 mm and half a degree, left and right alike",
                ),
                after_first_run=(
                    "toes of all fillets and edges of all plugs for cracks, paint off, with a lamp and a lens",
                    "track, toe and camber against the summary",
                ),
                again=("toes of all fillets and edges of all plugs for cracks", "track and toe"),
                events=events,
            ),
            notes=(
                "cut the arm square, keep both halves in line in a fixture, tack, check the length, then weld",
                f"cut ends of the arm stand {extension:.1f} mm apart under the middle of the sleeve",
                "plug-weld the holes first, then run the fillets round the fish-mouth ends in short lengths",
                f"fillets with a leg of {wall:.1f} mm, filler of the E70 class (ISO 14341 G 42); plugs flush",
                f"{_inside(dimensions)} or ease it to slide on; others to ISO 2768-m; deburr, no paint within 30 mm "
                "of a weld",
                *_leg_words(job.car, extension),
            ),
        ),
        override,
    )


def _inside(d: ArmSleeveDimensions) -> str:
    """Its inside with tolerance, as it is asked for."""
    if d.shape == "round":
        return f"bore the sleeve to {d.inside_width:.2f} mm (0 / +0.2 mm)"
    return (
        f"inside {d.inside_width:.2f} mm (0 / +0.2 mm) × {d.inside_height:.2f} mm (0 / +0.2 mm), corners of "
        f"{d.inside_corner_radius:.1f} mm"
    )


def sleeve_cover(job: Job) -> float:
    """How much of the arm a sleeve covers on each side of the gap, mm, whatever its wall comes out as at the most."""
    section = job.car.arm.section
    walls = [wall for wall in WALLS[job.shelf] if wall >= section.wall - 1e-9]
    return max((_dimensions(section, wall, 1.0, job.shelf).covered for wall in walls), default=0.0)


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
