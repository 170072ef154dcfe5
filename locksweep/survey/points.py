"""The points of a front end as a builder meets them: number on the sheet, name in the job file, what it is."""

from __future__ import annotations

from dataclasses import fields

from solver.car import CornerPoints

CORNER_POINTS: dict[str, str] = {
    "arm_front_pivot": "centre of the front inner bush of the lower arm",
    "arm_rear_pivot": "centre of the rear inner bush of the lower arm",
    "ball_joint": "centre of the lower ball: its rubber boot's middle is close",
    "strut_top": "centre of the top mount's bearing, where the rod's nut sits",
    "damper_point": "middle of the strut's tube, low down, half way between its flanks",
    "inner_joint": "centre of the inner tie-rod ball, inside the rack's boot",
    "pickup": "centre of the outer tie-rod ball, at the end of the steering arm",
    "wheel_centre": "middle of the rim, half way between its flanges, on the hub's axis",
}
"""What each point of a job file's corner is; the order gives the numbers on the sheets, from 1."""

assert set(CORNER_POINTS) == {item.name for item in fields(CornerPoints)} - {"toe", "camber"}

SIDES = ("left", "right")

LENGTHS: tuple[tuple[str, str], ...] = (
    ("arm_front_pivot", "arm_rear_pivot"),
    ("arm_front_pivot", "ball_joint"),
    ("arm_rear_pivot", "ball_joint"),
    ("ball_joint", "damper_point"),
    ("ball_joint", "pickup"),
    ("damper_point", "pickup"),
    ("inner_joint", "pickup"),
    ("arm_rear_pivot", "inner_joint"),
    ("arm_front_pivot", "inner_joint"),
    ("arm_front_pivot", "pickup"),
    ("damper_point", "strut_top"),
)
"""Tape lengths on one side that a tape can be held to, and that check heights and distances."""

ACROSS_THE_CAR: tuple[tuple[str, str], ...] = (
    ("left.strut_top", "right.strut_top"),
    ("left.ball_joint", "right.ball_joint"),
    ("left.pickup", "right.pickup"),
    ("left.inner_joint", "right.inner_joint"),
    ("left.arm_rear_pivot", "right.arm_rear_pivot"),
    ("left.arm_front_pivot", "right.arm_rear_pivot"),
    ("left.arm_rear_pivot", "right.arm_front_pivot"),
)
"""Tape lengths from side to side; the two diagonals tell whether the lines on the floor are square."""

TRACK = ("left.wheel_centre", "right.wheel_centre")
"""Marks on the floor whose distance from each other checks both distances from the centre line."""

DAMPER = ("damper_point", "strut_top")
"""The line that the angle gauge is laid along."""
