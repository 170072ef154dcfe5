"""From the tables of a job file to the plain data that the solver works on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

from locksweep.job.schema import (
    ArmTable,
    ChangesTable,
    FileTable,
    KeepClearTable,
    NewWheelTable,
    RackTable,
    StopTable,
    StrutTable,
    TieRodTable,
    WheelTable,
    WheelWellTable,
)
from solver.car import (
    Arm,
    ArmSection,
    Car,
    Changes,
    CornerPoints,
    Goal,
    Job,
    JointLimits,
    KeepClear,
    Move,
    PartChoices,
    Rack,
    Side,
    StopMount,
    Strut,
    Vector,
    Wheel,
    WheelWell,
)
from solver.loading.inputs import LoadInputs

if TYPE_CHECKING:
    from solver.body.source import Surroundings
    from solver.marking import Marking
    from solver.printing import Printing


def build_job(file: FileTable) -> Job:
    """The job, from tables in which nothing is wrong."""
    return Job(
        name=file.job.name,
        car=_car(file),
        goal=Goal(**dict(file.goal)),
        fixed=_changes(file.changes, file.wheel),
        **_search(file),
        spacer_given=file.changes.rack_spacer is not None,
        extension_given=file.changes.arm_extension is not None,
        stock_units=file.job.units,
        part_choices=PartChoices(**_given(file.parts)),
        uncertainty=_uncertainty(file),
        measured_right=frozenset(_given(file.car.right)),
        surroundings=_surroundings(file),
        loads=_loads(file),
        marking=_marking(file),
        printing=_printing(file),
    )


def _surroundings(file: FileTable) -> Surroundings | None:
    """What is loaded for a file that tells of the body only."""
    if not (file.body or file.ring or file.reference or file.sweep):
        return None
    from locksweep.job.body_build import build_surroundings

    return build_surroundings(file)


def _loads(file: FileTable) -> LoadInputs:
    """What is loaded for a file that tells of loads only."""
    rods = file.tie_rod is not None and file.tie_rod.diameter is not None
    if not (file.loads or file.load_case or file.steering_arm or rods or file.strut.rod_diameter):
        return LoadInputs()
    from locksweep.job.load_build import build_loads

    return build_loads(file)


def _marking(file: FileTable) -> Marking | None:
    """What is loaded for a file that tells of marking aids only."""
    if file.marking is None:
        return None
    from locksweep.job.marking_tables import marking_of

    return marking_of(file)


def _printing(file: FileTable) -> Printing | None:
    """What is loaded for a file that tells of a printer only."""
    if file.printing is None:
        return None
    from locksweep.job.printing_tables import printing_of

    return printing_of(file)


def _uncertainty(file: FileTable) -> Mapping[str, Vector]:
    """What is loaded for a file that tells of uncertainties only."""
    if file.uncertainty is None and all(item.uncertainty is None for item in file.keep_clear):
        return {}
    from locksweep.job.uncertainty_tables import stated

    return stated(file)


def _search(file: FileTable) -> dict[str, Any]:
    """What the search may change and choose from; what a file that says nothing of it needs not is not loaded."""
    found: dict[str, Any] = {}
    if file.tie_rod is not None and file.tie_rod.taper is not None:
        found["pickup_taper"] = file.tie_rod.taper
    if file.may_change is None and not file.tie_rod_choice:
        return found
    from locksweep.job.search_build import search_values

    return found | search_values(file)


def _given(table: object) -> dict[str, Any]:
    return {key: value for key, value in vars(table).items() if value is not None}


def _car(file: FileTable) -> Car:
    left = CornerPoints(**dict(file.car.left))
    masses = file.car.corner_masses
    return Car(
        name=file.car.name,
        left=left,
        right=replace(left.mirrored(), **_given(file.car.right)),
        rack=_rack(file.rack),
        arm=_arm(file.arm),
        strut=_strut(file.strut),
        wheel=Wheel(**dict(file.wheel)),
        wheelbase=file.car.wheelbase,
        corner_masses=(masses.left, masses.right),
        bump_travel=file.car.bump_travel,
        droop_travel=file.car.droop_travel,
        keep_clear=tuple(item for table in file.keep_clear for item in _keep_clear(table)),
        wheel_wells=tuple(item for table in file.wheel_well for item in _wheel_well(table)),
        stop_mounts=tuple(item for table in file.stop for item in _stop(table)),
        tie_rod_range=_tie_rod_range(file.tie_rod),
        joints=JointLimits(**dict(file.joints)) if file.joints else None,
    )


def _tie_rod_range(table: TieRodTable | None) -> tuple[float, float] | None:
    if table is None or table.shortest is None or table.longest is None:
        return None
    return (table.shortest, table.longest)


def _rack(table: RackTable) -> Rack:
    values = dict(table)
    values["stud_diameter"], values["stud_pitch"] = values.pop("stud_thread")
    return Rack(**values)


def _arm(table: ArmTable) -> Arm:
    section = table.section
    width = section.width if section.diameter is None else section.diameter
    height = section.height if section.diameter is None else section.diameter
    assert width is not None and height is not None  # noqa: PT018 - the checks have seen to both
    return Arm(
        section=ArmSection(
            shape=section.shape,
            width=width,
            height=height,
            # A forged or cast arm is solid unless a wall was measured.
            wall=min(width, height) / 2 if section.wall is None else section.wall,
            construction=section.construction,
            material=section.material,
            corner_radius=section.corner_radius,
        ),
        link_start=table.link_start,
        clear_radius=table.clear_radius,
        cut_distance=table.cut_distance,
        brace_offset=table.brace_offset,
    )


def _strut(table: StrutTable) -> Strut:
    radius = table.tube_radius if table.tube_diameter is None else table.tube_diameter / 2
    assert radius is not None
    return Strut(tube_radius=radius, tube_length=table.tube_length)


def sides_of(side: Literal["left", "right", "both"]) -> tuple[tuple[Side, bool], ...]:
    """Each side with whether its points are the mirror of those given."""
    if side == "both":
        return (("left", False), ("right", True))
    return ((side, False),)


def on_side(point: Vector, mirrored: bool) -> Vector:
    """A point as given for the left side, or its mirror on the right."""
    return (point[0], -point[1], point[2]) if mirrored else point


def _keep_clear(table: KeepClearTable) -> list[KeepClear]:
    end = table.start if table.end is None else table.end
    return [
        KeepClear(
            name=table.name,
            start=on_side(table.start, mirrored),
            end=on_side(end, mirrored),
            radius=table.radius,
            fixed_to=table.fixed_to,
            side=side,
        )
        for side, mirrored in sides_of(table.side)
    ]


def _wheel_well(table: WheelWellTable) -> list[WheelWell]:
    return [
        WheelWell(
            name=table.name,
            panel=tuple(on_side(point, mirrored) for point in table.panel),
            side=side,
            thickness=table.thickness,
            room=table.room or (),
        )
        for side, mirrored in sides_of(table.side)
    ]


def _stop(table: StopTable) -> list[StopMount]:
    return [
        StopMount(
            mount=on_side(table.mount, mirrored),
            normal=on_side(table.normal, mirrored),
            contact=on_side(table.contact, mirrored),
            attachment=table.attachment,
            side=side,
        )
        for side, mirrored in sides_of(table.side)
    ]


def _changes(table: ChangesTable, measured: WheelTable) -> Changes:
    moves = {
        key: Move(**shift)
        for key in ("pickup_move", "rack_shift", "strut_top_shift")
        if (shift := getattr(table, key)) is not None
    }
    return Changes(
        rack_spacer=table.rack_spacer or 0.0,
        arm_extension=table.arm_extension or 0.0,
        tie_rod_length=table.tie_rod_length,
        ball_joint_drop=table.ball_joint_drop,
        ride_height_drop=table.ride_height_drop,
        wheel=_new_wheel(table.wheel, measured) if table.wheel else None,
        **moves,
    )


def _new_wheel(table: NewWheelTable, measured: WheelTable) -> Wheel:
    """What isn't given stays as measured, but a measured size holds for the measured tyre and rim only."""
    given = _given(table)
    kept = dict(measured)
    if not {"tyre", "rim_width"}.isdisjoint(given):
        kept = {key: kept[key] for key in ("tyre", "rim_width", "offset")}
    return Wheel(**(kept | given))
