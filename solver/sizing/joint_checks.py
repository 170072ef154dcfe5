"""Whether the tie rods at hand adjust to the new length, and how far the joints are bent over the whole sweep."""

from __future__ import annotations

import math

import numpy as np

from solver.front_end import points_of
from solver.joints import articulation, limited
from solver.measures import steer_angle
from solver.part import Check, Where
from solver.sizing.context import SizingContext
from solver.sweep import sweep

ANY_CASE = "any"


def adjustment_check(context: SizingContext) -> Check | None:
    """The new length against what the rods adjust to, with as much thread engaged as their maker asks for.

    Against the end of the adjustment that is nearer; None where nobody knows what the rods adjust to.
    """
    solution = context.solution
    choice = solution.sized.tie_rod
    span = solution.job.car.tie_rod_range
    whose = "rods at hand"
    if choice is not None and choice.rod is not None:
        span, whose = (choice.rod.shortest, choice.rod.longest), f"rods of '{choice.rod.name}'"
    if span is None:
        return None
    lengths = [solution.as_modified.left.tie_rod, solution.as_modified.right.tie_rod]
    too_long, too_short = (max(lengths), span[1]), (span[0], min(lengths))
    demand, capacity = min(too_long, too_short, key=lambda pair: pair[1] / pair[0])
    return Check(
        "adjustment of the tie rods",
        demand,
        capacity,
        "mm",
        "length between joint centres within what the rods adjust to, where enough thread is engaged",
        "shortest and longest as the job file gives them",
        f"{min(lengths):.1f} mm to {max(lengths):.1f} mm needed, {whose}: {span[0]:.1f} mm to {span[1]:.1f} mm",
        Where(ANY_CASE),
        required=1.0,
    )


def articulation_checks(context: SizingContext) -> tuple[Check, ...]:
    """Each joint whose limit was measured: the largest angle from lock to lock and from droop to bump."""
    front_end = context.solution.as_modified.front_end
    limits = front_end.car.joints
    if limits is None:
        return ()
    swept = sweep(front_end, context.locks)
    found: dict[str, Check] = {}
    for assembly in front_end.sides:
        pose = swept.pose(assembly.side)
        bent = articulation(points_of(front_end.car, assembly.side), pose)
        if not pose.reachable.any():
            continue
        for name, limit, bends in limited(limits, bent, pose):
            angles = np.where(pose.reachable, bends, -1.0)
            at = np.unravel_index(int(np.argmax(angles)), angles.shape)
            value = float(angles[at])
            if name in found and math.degrees(value) <= found[name].demand:
                continue
            where = Where(ANY_CASE, assembly.side, float(steer_angle(pose)[at]), float(swept.travel[at[-1]]))
            found[name] = Check(
                f"articulation of the {name}",
                math.degrees(value),
                math.degrees(limit),
                "°",
                "largest angle over steering and travel against the one at which the joint binds",
                "angle of the pose; limit as measured",
                f"{math.degrees(limit):.1f}° as measured",
                where,
                required=1.0,
            )
    return tuple(found.values())
