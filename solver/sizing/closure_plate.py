"""Sizes the fender closure plate: its floor behind the swept tyre, its outline round the hole, its flanges."""

from __future__ import annotations

import math

import numpy as np

from solver.car import Side, Vector, WheelWell
from solver.families.closure_plate import ClosurePlateDimensions
from solver.part import Check, Inspection, Part, Placement, Refusal, Where
from solver.sizing.context import SizingContext, accepted
from solver.stock import StockUnits, plate_label, round_up
from solver.strength.materials import Material, material
from solver.strength.plates import plate_frequency
from solver.sweep import TURNS
from solver.swept_hole import PanelFrame, TyreSweep, hole_points, outside_by, panel_frame, tyre_sweeps
from solver.vectors import Array

FLATTEST = 5.0
"""Greatest distance, mm, of a measured point from the panel's mean plane: a tab's height, or tabs would not reach."""
K_FACTOR = 0.44
"""Neutral layer of air-bent sheet. Common practice, no source."""
TAB_WIDTH, TAB_HEIGHT = 15.0, 5.0
DRAIN = 10.0
DIRECTIONS = tuple(math.radians(45.0 * i) for i in range(8))
"""Outward directions of the floor's edges: the four sides of the panel and its four corners."""
SHORTEST_EDGE = 60.0
"""A shorter edge saves less metal than its fold costs work. Common practice, no source."""
FACE_PITCH = 8.0
BETWEEN_SAMPLES = 0.5
"""By how much, mm, a face may be nearer to the tyre between samples a pitch p apart: p²/4 over the tyre's smallest
radius with the gap, twice 33 mm, in both directions."""
WIDEN_STEPS = 40
HUM = 30.0
"""Hz: second order of a four-cylinder engine at 900 rpm, and above any wheel hop. Common practice, no source."""


def parts(context: SizingContext) -> list[Part | Refusal]:
    """One plate for each measured wheel well that the swept tyre comes too close to."""
    wells = context.solution.job.car.wheel_wells
    if not wells:
        return []
    # To the rack's own stop, so that the plate does not depend on a stop bracket.
    front_end = context.solution.as_modified.front_end
    sweeps = tyre_sweeps(front_end, dict.fromkeys(TURNS, front_end.rack_stop))
    results = [_well(context, well, sweeps) for well in wells]
    return [result for result in results if result is not None]


def _well(context: SizingContext, well: WheelWell, sweeps: dict[Side, TyreSweep]) -> Part | Refusal | None:
    solution = context.solution
    modified, goal, choices = solution.as_modified, solution.job.goal, solution.job.part_choices
    name = _name(solution.job.car.wheel_wells, well)
    pose = modified.front_end.at_ride_height(np.zeros(1))[0 if well.side == "left" else 1]
    frame = panel_frame(well, pose.wheel_centre[0])
    if frame.flatness > FLATTEST:
        return Refusal(
            name,
            "panel not flat",
            f"a point of '{well.name}' is {frame.flatness:.0f} mm off its mean plane, {FLATTEST:.0f} mm is the most",
            "measure a smaller piece of the panel, or two panels with a table each",
        )
    swept = sweeps[well.side]
    depths = swept.depth(frame)
    swept = swept.only(depths > -goal.clearance - TAB_HEIGHT)
    if not swept.centres.size:
        return None
    depth = float(depths.max())
    setback = round_up(max(depth, 0.0) + goal.clearance, solution.job.stock_units)
    t = choices.plate_thickness
    bend = max(1.5 * t, 2.0)
    # The hole is widest at the tabs' ends; deeper down the faces are checked one by one.
    points = hole_points(swept, frame, goal.clearance, (-TAB_HEIGHT,))
    if not points.size:
        return None
    floor = _floor(swept, frame, points, goal.clearance, bend, setback, solution.job.stock_units)
    if floor is None:
        return Refusal(
            name,
            "plate would touch the sweep",
            f"no outline keeps {goal.clearance:.1f} mm from the swept tyre round the hole in '{well.name}'",
            "less clearance, less lock, or a panel measured further out",
        )
    margin = max(outside_by(frame.outline, corner) for corner in _grown(floor, bend + t))
    if margin > 0:
        return Refusal(
            name,
            "hole runs off the measured panel",
            f"the hole in '{well.name}' with its flange reaches {margin:.0f} mm beyond the points that were measured",
            f"measure the panel at least {math.ceil(margin + 10)} mm further out, or take a smaller tyre or less lock",
        )
    middle = floor.mean(axis=0)
    dimensions = _dimensions(floor, t, bend, setback)
    behind = frame.to_car(middle, -(setback + t))
    placement = Placement(_tuple(behind), _tuple(frame.across), _tuple(frame.towards_wheel))
    steel = material(choices.plate_material)
    least = _least_gap(swept, frame, floor, bend, setback)
    cut = frame.to_car(_grown(floor, bend + t))
    return accepted(
        Part(
            name=name,
            dimensions=dimensions,
            quantity=1,
            fits=f"behind '{well.name}' in the {well.side} wheel well, flanges towards the tyre",
            material=steel.name,
            process=f"cut from {plate_label(t)} sheet, {len(floor)} bends of 90°, corner gaps closed, sealed, painted",
            reasons=(
                f"floor set back {setback:.1f} mm: the swept tyre reaches {depth:.1f} mm through the panel and "
                f"{goal.clearance:.1f} mm of clearance is wanted",
                f"outline: the tyre with its clearance over the whole sweep, {len(floor)} straight edges; the built "
                f"faces stay {least:.1f} mm from it",
                f"bends of {bend:.2f} mm inside radius: one and a half thicknesses of {t:.2f} mm sheet",
            ),
            role="closes a hole",
            placement=placement,
            if_it_fails="water, dirt and exhaust gas come in; a loose plate can reach the tyre",
            qualified=(
                "whether the panel carries load or is part of the crash structure, before it is cut",
                "what runs behind it: fuel and brake lines, wiring",
            ),
            checks=_checks(dimensions, well, steel),
            assumptions=(
                "the floor simply supported along its folds, by its bounding box; no load but its own weight",
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
                "ground): " + "; ".join(f"({x:.0f}, {y:.0f}, {z:.0f}) mm" for x, y, z in cut),
                "its corners are those of the floor in the same order, seen from the tyre, first one first",
                "bends all go up, towards the tyre: the DXF shows the side seen from the tyre, and "
                "the left plate bent the other way would be a right one",
                "tabs go through the cut edge and are welded and dressed flush; flanges end about "
                f"{2 * dimensions.relief + bend:.0f} mm apart at the corners",
                "sizes to ISO 2768-m, bend angles to 1°; deburr, zinc-rich primer under the weld flange",
            ),
        ),
        choices.override,
    )


def _checks(plate: ClosurePlateDimensions, well: WheelWell, steel: Material) -> tuple[Check, ...]:
    """No primary load: whether it hums, and whether it is as thick as what it closes."""
    xs, ys = zip(*plate.floor, strict=True)
    length, width = max(xs) - min(xs), max(ys) - min(ys)
    return (
        Check(
            "first natural frequency of the floor",
            HUM,
            plate_frequency(length, width, plate.thickness, steel),
            "Hz",
            "π/2 (1/a² + 1/b²) √(D/ρt) against what engine and wheels excite",
            "Harris, Shock and Vibration Handbook, plate simply supported all round; 30 Hz: common practice",
            f"floor {length:.0f} mm × {width:.0f} mm × {plate.thickness:.2f} mm, {steel.name}",
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


def _name(wells: tuple[WheelWell, ...], well: WheelWell) -> str:
    """Numbered where one side has several panels."""
    same = [other for other in wells if other.side == well.side]
    number = f"-{same.index(well) + 1}" if len(same) > 1 else ""
    return f"{ClosurePlateDimensions.family}-{well.side}{number}"


def _floor(
    swept: TyreSweep,
    frame: PanelFrame,
    points: Array,
    gap: float,
    bend: float,
    setback: float,
    units: StockUnits,
) -> Array | None:
    """The floor's outline (k, 2): straight edges round the hole, moved out until every face keeps the gap."""
    normals = np.array([(math.cos(a), math.sin(a)) for a in DIRECTIONS])
    reach = (points @ normals.T).max(axis=0) - bend
    for _ in range(WIDEN_STEPS):
        reach = np.array([round_up(float(r), units) for r in reach])
        corners, kept = _polygon(normals, reach)
        if len(corners) < 3:
            return None
        faces = [
            _face(frame, a, b, normals[i], bend, setback)
            for a, b, i in zip(corners, np.roll(corners, -1, axis=0), kept, strict=True)
        ]
        # One call for all faces: what a call costs by itself is most of what these few points take.
        starts = np.cumsum([0, *(len(face) for face in faces[:-1])])
        near = np.minimum.reduceat(swept.distance(np.concatenate(faces)), starts)
        lacking = gap + BETWEEN_SAMPLES - near
        if lacking.max() <= 0:
            return corners
        for i, short in zip(kept, lacking.tolist(), strict=True):
            if short > 0:
                # A face that grazes the tyre gains little by each step, so steps are doubled.
                reach[i] += 2 * short + 0.25
    return None


def _face(frame: PanelFrame, a: Array, b: Array, normal: Array, bend: float, setback: float) -> Array:
    """Points (k, 3) on a flange's inner face, tabs included, closer together than `FACE_PITCH`."""
    count = max(2, int(np.hypot(*(b - a)) / FACE_PITCH) + 2)
    along = a + np.linspace(0, 1, count)[:, None] * (b - a) + bend * normal
    heights = np.linspace(-setback, TAB_HEIGHT, max(3, int((setback + TAB_HEIGHT) / FACE_PITCH) + 2))
    return np.asarray((frame.to_car(along) + heights[:, None, None] * frame.towards_wheel).reshape(-1, 3))


def _polygon(normals: Array, reach: Array) -> tuple[Array, list[int]]:
    """Corners of the convex outline n · p ≤ reach and the direction of the edge that starts at each.

    An edge that is too short for a fold of its own is left out by letting its neighbours meet.
    """
    kept, directions = list(range(len(normals))), normals.tolist()
    while len(kept) >= 3:
        corners = []
        for k, i in enumerate(kept):
            before = kept[k - 1]
            (ax, ay), (bx, by) = directions[before], directions[i]
            determinant = ax * by - ay * bx
            if abs(determinant) < 1e-9:
                return np.empty((0, 2)), []
            # Cramer's rule: where the two edges' lines meet.
            x = (reach[before] * by - ay * reach[i]) / determinant
            corners.append((x, (ax * reach[i] - reach[before] * bx) / determinant))
        outline = np.array(corners)
        edges = np.roll(outline, -1, axis=0) - outline
        along = np.array([(-normals[i][1], normals[i][0]) for i in kept])
        lengths = np.sum(edges * along, axis=1)
        if lengths.min() >= SHORTEST_EDGE:
            return outline, kept
        kept.pop(int(np.argmin(lengths)))
    return np.empty((0, 2)), []


def _grown(floor: Array, by: float) -> Array:
    """The floor's outline with every edge moved out by ``by`` mm."""
    edges = np.roll(floor, -1, axis=0) - floor
    edges = edges / np.hypot(edges[:, :1], edges[:, 1:])
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    reach = np.sum(normals * floor, axis=1) + by
    before = np.roll(normals, 1, axis=0), np.roll(reach, 1)
    return np.array(
        [
            np.linalg.solve(np.array([n0, n1]), np.array([r0, r1]))
            for n0, r0, n1, r1 in zip(*before, normals, reach, strict=True)
        ]
    )


def _least_gap(swept: TyreSweep, frame: PanelFrame, floor: Array, bend: float, setback: float) -> float:
    """Least distance in mm of the plate's inner faces from the swept tyre."""
    edges = np.roll(floor, -1, axis=0) - floor
    edges = edges / np.hypot(edges[:, :1], edges[:, 1:])
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    faces = [
        _face(frame, a, b, n, bend, setback)
        for a, b, n in zip(floor, np.roll(floor, -1, axis=0), normals, strict=True)
    ]
    flanges = min(float(swept.distance(face).min()) for face in faces)
    behind = setback - float(swept.depth(frame).max())
    return min(flanges - BETWEEN_SAMPLES, behind)


def _dimensions(floor: Array, t: float, bend: float, setback: float) -> ClosurePlateDimensions:
    middle = floor.mean(axis=0)
    lowest = floor[np.argsort(floor[:, 1])[:2]].mean(axis=0)
    inset = 3 * t + bend + DRAIN / 2 + 2.0
    towards = (middle - lowest) / float(np.hypot(*(middle - lowest)))
    drain = lowest + towards * inset - middle
    placed = floor - middle
    return ClosurePlateDimensions(
        floor=tuple((round(float(x), 3), round(float(y), 3)) for x, y in placed),
        flanged=(True,) * len(floor),
        thickness=t,
        bend_radius=bend,
        flange_height=setback + t,
        relief=max(t, 2.0),
        tab_width=TAB_WIDTH,
        tab_height=TAB_HEIGHT,
        drain_x=round(float(drain[0]), 3),
        drain_y=round(float(drain[1]), 3),
        drain_diameter=DRAIN,
        k_factor=K_FACTOR,
    )


def _tuple(vector: Array) -> Vector:
    x, y, z = (round(float(value), 6) + 0.0 for value in vector)
    return (x, y, z)
