"""From the tables of a job file to the plain data that the solver works on."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

from locksweep.job.schema import (
    ArmTable,
    ChangesTable,
    FileTable,
    KeepClearTable,
    NewWheelTable,
    RackTable,
    StopTable,
    StrutTable,
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


def build_job(file: FileTable) -> Job:
    """The job, from tables in which nothing is wrong."""
    return Job(
        name=file.job.name,
        car=_car(file),
        goal=Goal(**dict(file.goal)),
        fixed=_changes(file.changes, file.wheel),
        spacer_given=file.changes.rack_spacer is not None,
        extension_given=file.changes.arm_extension is not None,
        stock_units=file.job.units,
        part_choices=PartChoices(**_given(file.parts)),
    )


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
        tie_rod_range=(file.tie_rod.shortest, file.tie_rod.longest) if file.tie_rod else None,
        joints=JointLimits(**dict(file.joints)) if file.joints else None,
    )


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


def _sides(side: Literal["left", "right", "both"]) -> tuple[tuple[Side, bool], ...]:
    """Each side with whether its points are the mirror of those given."""
    if side == "both":
        return (("left", False), ("right", True))
    return ((side, False),)


def _on(point: Vector, mirrored: bool) -> Vector:
    return (point[0], -point[1], point[2]) if mirrored else point


def _keep_clear(table: KeepClearTable) -> list[KeepClear]:
    end = table.start if table.end is None else table.end
    return [
        KeepClear(
            name=table.name,
            start=_on(table.start, mirrored),
            end=_on(end, mirrored),
            radius=table.radius,
            fixed_to=table.fixed_to,
            side=side,
        )
        for side, mirrored in _sides(table.side)
    ]


def _wheel_well(table: WheelWellTable) -> list[WheelWell]:
    return [
        WheelWell(
            name=table.name,
            panel=tuple(_on(point, mirrored) for point in table.panel),
            side=side,
            thickness=table.thickness,
        )
        for side, mirrored in _sides(table.side)
    ]


def _stop(table: StopTable) -> list[StopMount]:
    return [
        StopMount(
            mount=_on(table.mount, mirrored),
            normal=_on(table.normal, mirrored),
            contact=_on(table.contact, mirrored),
            attachment=table.attachment,
            side=side,
        )
        for side, mirrored in _sides(table.side)
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
