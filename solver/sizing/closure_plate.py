"""Sizes the fender closure plate: one for each measured panel that the swept tyre comes too close to."""

from __future__ import annotations

import math

from solver.body.sweep import Grid, wheel_sweeps
from solver.car import WheelWell
from solver.families.closure_plate import ClosurePlateDimensions
from solver.front_end import FrontEnd
from solver.part import Check, Inspection, Part, Placement, Refusal, Where
from solver.sizing.context import SizingContext, accepted
from solver.sizing.plate_choice import HUM, Sized, plate_name, sized_plate
from solver.sizing.plate_dimensions import facet_sizes
from solver.stock import plate_label
from solver.strength.materials import Material, material
from solver.strength.plates import plate_frequency

SWEEP = Grid(81, 13)


def parts(context: SizingContext) -> list[Part | Refusal]:
    """One plate for each measured wheel well that the swept tyre comes too close to."""
    wells = context.solution.job.car.wheel_wells
    if not wells:
        return []
    # To the rack's own stop, so that the plate does not depend on a stop bracket.
    front_end = context.solution.as_modified.front_end
    sweeps = {side: found.tyre() for side, found in wheel_sweeps(front_end, SWEEP).items()}
    alike = _symmetric(front_end)
    results: list[Part | Refusal] = []
    sized: dict[WheelWell, Sized | Refusal | None] = {}
    for well in wells:
        twin = _twin(well, sized) if alike else None
        if isinstance(found := sized[twin] if twin else None, Sized):
            sized[well] = _mirrored(found)
        else:
            sized[well] = sized_plate(context, well, sweeps[well.side])
        result = sized[well]
        if isinstance(result, Sized):
            results.append(_part(context, well, result))
        elif result is not None:
            results.append(result)
    return results


def _symmetric(front_end: FrontEnd) -> bool:
    car = front_end.car
    straight = car.rack.direction[0] == car.rack.direction[2] == 0
    return straight and car.left.mirrored() == car.right


def _twin(well: WheelWell, sized: dict[WheelWell, Sized | Refusal | None]) -> WheelWell | None:
    """The other side's well that this one is the mirror of."""
    for other in sized:
        mirror = tuple((x, -y, z) for x, y, z in other.panel)
        if other.side != well.side and mirror == well.panel and other.room == well.room:
            return other
    return None


def _mirrored(sized: Sized) -> Sized:
    placement = sized.placement
    (ox, oy, oz), (xx, xy, xz), (zx, zy, zz) = placement.origin, placement.x_axis, placement.z_axis
    return sized._replace(
        dimensions=sized.dimensions.mirrored(),
        # The part's x turns round as well, so that it stays a right-handed frame.
        placement=Placement((ox, -oy + 0.0, oz), (-xx + 0.0, xy, -xz + 0.0), (zx, -zy + 0.0, zz)),
        cut=tuple((x, -y, z) for x, y, z in reversed(sized.cut)),
    )


def _part(context: SizingContext, well: WheelWell, sized: Sized) -> Part | Refusal:
    job = context.solution.job
    choices, gap = job.part_choices, job.goal.clearance
    d, steel = sized.dimensions, material(choices.plate_material)
    facets, bends = len(d.pan.facets), d.bend_table()
    setback = max(z for _, z in d.profile)
    floor = "flat" if facets == 1 else f"of {facets} facets between {facets - 1} parallel folds"
    slopes = ", ".join(f"{math.degrees(facet.slope):.0f}°" for facet in d.pan.facets)
    plugs = sum(len(d.plugs(wall)) for wall in d.pan.walls)
    reasons = [
        f"floor set back {setback:.1f} mm: the swept tyre reaches {sized.depth:.1f} mm through the panel and "
        f"{gap:.1f} mm of clearance is wanted",
        f"outline: the tyre with its clearance over the whole sweep, {len(d.outline)} straight edges; the built "
        f"faces stay {sized.gap:.1f} mm from it",
        f"bends of {d.bend_radius:.2f} mm inside radius: one and a half thicknesses of {d.thickness:.2f} mm sheet",
    ]
    if facets > 1:
        reasons.append(
            f"floor {floor}, against the panel {slopes}: {sized.why}; no fewer will do, and no others take less metal"
        )
    elif sized.why:
        reasons.append(f"floor flat: {sized.why}")
    joint = (
        f"plug welds: leave a rim of {2 * d.plug_diameter:.0f} mm inside the cut line, slit it at the corners, turn it "
        f"back along the walls' outside, and weld through the {plugs} holes of {d.plug_diameter:.0f} mm; where a wall "
        "has none, along the cut edge"
        if plugs
        else "the walls are too low for plug-weld holes: weld along the cut edge"
    )
    return accepted(
        Part(
            name=plate_name(job.car.wheel_wells, well),
            dimensions=d,
            quantity=1,
            fits=f"behind '{well.name}' in the {well.side} wheel well, flanges towards the tyre",
            material=steel.name,
            process=f"cut from {plate_label(d.thickness)} sheet, {len(bends)} bends of {_angles(d)}, corners welded "
            "shut, sealed, painted",
            reasons=tuple(reasons),
            role="closes a hole",
            placement=sized.placement,
            if_it_fails="water, dirt and exhaust gas come in; a loose plate can reach the tyre",
            qualified=(
                "whether the panel carries load or is part of the crash structure, before it is cut",
                "what runs behind it: fuel and brake lines, wiring",
            ),
            checks=_checks(d, well, steel),
            assumptions=(
                "each facet simply supported along its bends, by its bounding box; no load but its own weight",
            ),
            not_assessed=("stones, snow and mud thrown at it", "the body's strength with the hole in it"),
            inspection=Inspection(
                before_welding=(
                    "the cut edge: no crack, no spot weld cut through, lines and wiring out of the way",
                ),
                after_welding=("tabs all hold, seams sealed, zinc primer under the flange",),
                after_first_run=("rub marks on floor and flanges", "tabs and seams for cracks"),
                again=("rub marks, cracks at the tabs, rust at the seams",),
                events=5,
            ),
            notes=(
                "cut line in the panel, corner by corner (x from the front axle, y from the centre line, z from the "
                "ground): " + "; ".join(f"({x:.0f}, {y:.0f}, {z:.0f}) mm" for x, y, z in sized.cut),
                "its corners are those of the outline in the same order, seen from the tyre, first one first",
                "bends all go up, towards the tyre: the DXF shows the side seen from the tyre, and "
                "the left plate bent the other way would be a right one",
                *(
                    ("walls first, folds of the floor last: their flanks meet at a mitre over each fold",)
                    if facets > 1
                    else ()
                ),
                f"tabs go through the cut edge, locate the plate and are welded and dressed flush; walls end "
                f"{d.mitre_gap:.0f} mm apart at the corners",
                joint,
                f"drain hole of {d.drain_diameter:.0f} mm at the lowest place of the floor as the car stands",
                "sizes to ISO 2768-m, bend angles to 1°; deburr, zinc-rich primer under the weld flange",
            ),
        ),
        choices.override,
    )


def _angles(d: ClosurePlateDimensions) -> str:
    angles = sorted({round(math.degrees(bend.angle)) for bend in d.bend_table()})
    if len(angles) == 1:
        return f"{angles[0]}°"
    return f"{angles[0]}° to {angles[-1]}°"


def _checks(plate: ClosurePlateDimensions, well: WheelWell, steel: Material) -> tuple[Check, ...]:
    """No primary load: whether it hums, and whether it is as thick as what it closes."""
    length, width = min(
        facet_sizes(plate), key=lambda size: plate_frequency(size[0], size[1], plate.thickness, steel)
    )
    return (
        Check(
            "first natural frequency of the floor",
            HUM,
            plate_frequency(length, width, plate.thickness, steel),
            "Hz",
            "π/2 (1/a² + 1/b²) √(D/ρt) against what engine and wheels excite",
            "Harris, Shock and Vibration Handbook, plate simply supported all round; 30 Hz: common practice",
            f"facet {length:.0f} mm × {width:.0f} mm × {plate.thickness:.2f} mm, {steel.name}",
            Where("engine idling"),
        ),
        Check(
            "thickness beside the panel it closes",
            well.thickness,
            plate.thickness,
            "mm",
            "no thinner than the panel that was cut",
            "common practice, no source",
            f"panel {well.thickness:.2f} mm as measured",
            Where("any"),
            required=1.0,
        ),
    )
