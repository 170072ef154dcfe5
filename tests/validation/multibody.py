"""A strut front end in MuJoCo, a general-purpose rigid-body library, built from the measured points alone.

Shares no code with the solver, only the types of its input. Nothing in here knows a quadratic, a steering axis
or an over-centre: bodies are joined as they are on the car, and the library's own constraint Jacobian closes the
loops.

- The arm hangs on a hinge through its two pivots.
- The strut top is a ball joint on the body; from it the knuckle slides along the damper's axis, as one piece
  with the strut's lower half.
- The tie rod hangs on a ball joint at the rack's end and the rack slides in the body.
- Arm and knuckle, and rod and knuckle, are held together in a point each (equality ``connect``).

Lengths are in metres inside, which is what the library expects, and in mm outside.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from solver.car import Car, Changes, CornerPoints, Move, Side

mujoco: Any = pytest.importorskip(
    "mujoco",
    reason="the rigid-body library MuJoCo, the package mujoco-core, can't be imported on this machine",
    exc_type=ImportError,
)

Numbers = NDArray[np.float64]

METRE = 1000.0
"""mm."""
SETTLED = 1e-14
"""Gap in m at which a pose counts as found: a few units in the last place of a length of 0.8 m."""
OPEN = 1e-10
"""Gap in m over which there is no pose. Gaps that are found come out at 1e-15 m; where none exists the parts stay
apart by about as much as the rack is past the last pose."""
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Place:
    """Where the knuckle of one side is; points in mm, unit vectors without unit.

    strut_top_off_damper: distance of the strut top on the body from the damper's axis
    """

    ball_joint: Numbers
    pickup: Numbers
    wheel_centre: Numbers
    damper_point: Numbers
    spin_axis: Numbers
    inner_joint: Numbers
    strut_top_off_damper: float


class MultibodyModel:
    """Both corners, or one, on one rack, after changes, in the pose that was last asked for.

    ``rods``: length in mm of each side's tie rod; None leaves the rods off
    """

    def __init__(
        self, car: Car, changes: Changes, rods: dict[Side, float] | None, sides: tuple[Side, ...]
    ) -> None:
        self.car, self.changes, self.sides = car, changes, sides
        spec: Any = mujoco.MjSpec()
        spec.option.jacobian = mujoco.mjtJacobian.mjJAC_DENSE
        # Bodies need a mass to be a model at all. Nothing here depends on it.
        spec.compiler.boundmass, spec.compiler.boundinertia = 1.0, 1.0
        rack = spec.worldbody.add_body(name="rack")
        _joint(rack, "rack", mujoco.mjtJoint.mjJNT_SLIDE, np.zeros(3), np.array(car.rack.direction))
        for side in sides:
            _add_corner(spec, rack, car, side, changes, None if rods is None else rods[side])
        self.model: Any = spec.compile()
        self.data: Any = mujoco.MjData(self.model)
        held = ["rack", *(f"{side} arm" for side in sides)]
        self._dof = {name: int(self.model.joint(name).dofadr[0]) for name in held}
        self._qpos = {name: int(self.model.joint(name).qposadr[0]) for name in held}

    def set(self, name: str, value: float) -> None:
        """Put the rack (mm) or an arm (rad, the way its hinge counts) where it is wanted."""
        self.data.qpos[self._qpos[name]] = value / METRE if name == "rack" else value

    def arm(self, side: Side) -> float:
        """Arm angle in radians, up positive."""
        return float(self.data.qpos[self._qpos[f"{side} arm"]])

    def close(self, steps: int = 30) -> float:
        """Rack and arms held, the loops are closed by Newton steps; the largest gap in m that is left."""
        return self._solve(tuple(self._dof), lambda: (np.empty(0), np.empty((0, self.model.nv))), steps)

    def stand(self, heights: dict[Side, float], radius: float, steers: dict[Side, float] | None) -> None:
        """Rack held, each arm is swung until its tyre's lowest point is at a height in mm.

        With ``steers``, steer angles in radians, the wheels are turned there, which takes a model without rods.

        Raises:
            ArithmeticError: the steps don't settle.
        """

        def rows() -> tuple[Numbers, Numbers]:
            found = []
            for side in self.sides:
                found.append(self._lowest_row(side, heights[side] / METRE, radius / METRE))
                if steers is not None:
                    found.append(self._steer_row(side, steers[side]))
            return np.array([value for value, _ in found]), np.array([row for _, row in found])

        if self._solve(("rack",), rows, 60) > OPEN:  # m or, for a direction, without unit
            raise ArithmeticError("no standing pose found")

    def place(self, side: Side) -> Place:
        """The pose of one side."""
        at = {
            name: METRE * self.data.site(f"{side} {name}").xpos
            for name in ("ball", "pickup", "wheel", "damper", "inner")
        }
        knuckle = self.data.site(f"{side} wheel").xmat.reshape(3, 3)
        spin = knuckle @ _wheel_axes(self.points(side), side)
        along = knuckle @ _unit(
            np.array(self.points(side).strut_top) - np.array(self.points(side).damper_point)
        )
        top = np.array(self.points(side).strut_top) + _on(self.changes.strut_top_shift, side)
        aside = float(np.linalg.norm(np.cross(top - at["damper"], along)))
        return Place(at["ball"], at["pickup"], at["wheel"], at["damper"], spin, at["inner"], aside)

    def points(self, side: Side) -> CornerPoints:
        return self.car.left if side == "left" else self.car.right

    def _lowest_row(self, side: Side, height: float, radius: float) -> tuple[float, Numbers]:
        """How much too high the lowest point of the wheel's disc is, and how that depends on the velocities."""
        moving, turning = self._site_jacobian(f"{side} wheel")
        spin = self.data.site(f"{side} wheel").xmat.reshape(3, 3) @ _wheel_axes(self.points(side), side)
        level = math.hypot(spin[0], spin[1])
        low = float(self.data.site(f"{side} wheel").xpos[2]) - radius * level
        # d(level) = (sx dsx + sy dsy) / level with ds = ω × s.
        swing = _cross_matrix(spin).T @ turning
        return low - height, moving[2] - radius * (spin[0] * swing[0] + spin[1] * swing[1]) / level

    def _steer_row(self, side: Side, steer: float) -> tuple[float, Numbers]:
        """The wheel's axis seen along the wanted heading, and how that depends on the velocities."""
        _, turning = self._site_jacobian(f"{side} wheel")
        spin = self.data.site(f"{side} wheel").xmat.reshape(3, 3) @ _wheel_axes(self.points(side), side)
        heading = np.array([math.cos(steer), math.sin(steer), 0.0])
        return float(heading @ spin), heading @ (_cross_matrix(spin).T @ turning)

    def _site_jacobian(self, name: str) -> tuple[Numbers, Numbers]:
        moving, turning = np.zeros((3, self.model.nv)), np.zeros((3, self.model.nv))
        mujoco.mj_jacSite(self.model, self.data, moving, turning, self.model.site(name).id)
        return moving, turning

    def _solve(self, held: tuple[str, ...], more: Callable[[], tuple[Numbers, Numbers]], steps: int) -> float:
        """Damped Newton steps on the constraints and some rows more; the largest residual left, m."""
        model, data = self.model, self.data
        free = np.setdiff1d(np.arange(model.nv), [self._dof[name] for name in held])

        def look() -> tuple[Numbers, Numbers]:
            mujoco.mj_kinematics(model, data)
            mujoco.mj_comPos(model, data)
            mujoco.mj_makeConstraint(model, data)
            value, rows = more()
            equality = data.efc_J.reshape(-1, model.nv)[: data.ne]
            return np.concatenate([data.efc_pos[: data.ne], value]), np.vstack([equality, rows])

        gap, jacobian = look()
        best, keep = np.linalg.norm(gap), data.qpos.copy()
        share, polished = 1.0, 0
        for _ in range(steps):
            # Least squares, since each rod may spin about itself.
            step = np.zeros(model.nv)
            step[free] = -share * np.linalg.lstsq(jacobian[:, free], gap, rcond=1e-12)[0]
            # Near a dead centre the full step is far too long: no body is turned by more than half a radian.
            step /= max(1.0, 2 * float(np.abs(step).max()))
            mujoco.mj_integratePos(model, data.qpos, step, 1.0)
            gap, jacobian = look()
            size = np.linalg.norm(gap)
            if size < best:
                best, keep, share = size, data.qpos.copy(), min(1.0, 2 * share)
                if np.abs(gap).max() > SETTLED:
                    continue
            elif best > OPEN:
                share /= 4
            else:
                # Rounding is all that is left.
                polished = 2
            data.qpos[:] = keep
            gap, jacobian = look()
            polished += 1
            if polished > 2 or share < 1e-12:
                break
        return float(np.abs(gap).max())


def assembled(car: Car, changes: Changes, sides: tuple[Side, ...] = ("left", "right")) -> MultibodyModel:
    """The front end standing on its tyres with its measured toe: the rods are cut to the length that gives it."""
    radius = standing_radius(car)
    bare = MultibodyModel(car, changes, None, sides)
    steers: dict[Side, float] = {side: (-car.left.toe if side == "left" else car.right.toe) for side in sides}
    height = dict.fromkeys(sides, changes.ride_height_drop)
    bare.stand(height, radius, steers)
    rods: dict[Side, float] = {}
    for side in sides:
        place = bare.place(side)
        rods[side] = float(np.linalg.norm(place.pickup - place.inner_joint))
    model = MultibodyModel(car, changes, rods, sides)
    # From the pose without rods, to be near: its coordinates are a subset of this one's.
    for name in _joint_names(bare.model):
        model.data.joint(name).qpos = bare.data.joint(name).qpos
    for side in sides:
        place = bare.place(side)
        rest = np.array(model.points(side).pickup) - np.array(model.points(side).inner_joint)
        model.data.joint(f"{side} rod").qpos = _turn_between(rest, place.pickup - place.inner_joint)
    model.stand(height, radius, None)
    return model


def standing_radius(car: Car) -> float:
    """Radius in mm of the disc that stands for the tyre: from wheel centre to ground in the wheel's plane."""
    both = [points.wheel_centre[2] / math.cos(points.camber) for points in (car.left, car.right)]
    return sum(both) / 2


def _add_corner(spec: Any, rack: Any, car: Car, side: Side, changes: Changes, rod: float | None) -> None:
    points = car.left if side == "left" else car.right
    outwards = 1.0 if side == "left" else -1.0
    front, rear = np.array(points.arm_front_pivot), np.array(points.arm_rear_pivot)
    ball, pickup, inner = np.array(points.ball_joint), np.array(points.pickup), np.array(points.inner_joint)
    starts = {"front pivot": front, "rear pivot": rear, "between pivots": (front + rear) / 2}
    link = _unit(ball - starts[car.arm.link_start])
    longer = ball + changes.arm_extension * link
    top = np.array(points.strut_top)
    shifted_top = top + _on(changes.strut_top_shift, side)
    inner = inner + _on(changes.rack_shift, side)
    inner = inner + outwards * changes.rack_spacer * np.array(car.rack.direction)

    # The left arm rises when it turns about the forward axis, the right one about the backward one.
    arm = spec.worldbody.add_body(name=f"{side} arm")
    _joint(arm, f"{side} arm", mujoco.mjtJoint.mjJNT_HINGE, rear, outwards * (front - rear))
    _site(arm, f"{side} arm end", longer)

    # A moved strut top takes the knuckle along; where it belongs the closing of the loops finds out.
    knuckle = spec.worldbody.add_body(name=f"{side} knuckle", pos=(shifted_top - top) / METRE)
    _joint(knuckle, f"{side} top", mujoco.mjtJoint.mjJNT_BALL, top, None)
    _joint(knuckle, f"{side} damper", mujoco.mjtJoint.mjJNT_SLIDE, top, top - np.array(points.damper_point))
    _site(knuckle, f"{side} ball", ball - np.array([0.0, 0.0, changes.ball_joint_drop]))
    _site(knuckle, f"{side} pickup", pickup + _on(changes.pickup_move, side))
    _site(knuckle, f"{side} wheel", np.array(points.wheel_centre))
    _site(knuckle, f"{side} damper", np.array(points.damper_point))
    _connect(spec, f"{side} arm end", f"{side} ball")

    _site(rack, f"{side} inner", inner)
    if rod is not None:
        tie_rod = rack.add_body(name=f"{side} rod")
        _joint(tie_rod, f"{side} rod", mujoco.mjtJoint.mjJNT_BALL, inner, None)
        # It lies in the measured direction until the loops are closed.
        rest = _unit(np.array(points.pickup) - np.array(points.inner_joint))
        _site(tie_rod, f"{side} rod end", inner + rod * rest)
        _connect(spec, f"{side} rod end", f"{side} pickup")


def _joint(body: Any, name: str, kind: Any, at: Numbers, axis: Numbers | None) -> None:
    """A joint of a body at a point of the measured pose."""
    joint = body.add_joint(name=name, type=kind, pos=at / METRE)
    if axis is not None:
        joint.axis = _unit(axis)


def _site(body: Any, name: str, at: Numbers) -> None:
    body.add_site(name=name, pos=at / METRE)


def _connect(spec: Any, one: str, other: str) -> None:
    spec.add_equality(
        type=mujoco.mjtEq.mjEQ_CONNECT, objtype=mujoco.mjtObj.mjOBJ_SITE, name1=one, name2=other
    )


def _joint_names(model: Any) -> list[str]:
    return [str(model.joint(i).name) for i in range(model.njnt)]


def _wheel_axes(points: CornerPoints, side: Side) -> Numbers:
    """The wheel's axis as measured, pointing left, from the two directions that span the wheel's plane.

    Toe in turns the wheel's front to the middle, negative camber leans its top there.
    """
    inwards = np.array([0.0, -1.0 if side == "left" else 1.0, 0.0])
    ahead = math.cos(points.toe) * np.array([1.0, 0.0, 0.0]) + math.sin(points.toe) * inwards
    level = inwards - (inwards @ ahead) * ahead
    upwards = math.cos(points.camber) * UP - math.sin(points.camber) * _unit(level)
    return np.cross(upwards, ahead)


def _on(move: Move, side: Side) -> Numbers:
    return np.array([move.forward, move.outward * (1.0 if side == "left" else -1.0), move.up])


def _unit(a: Numbers) -> Numbers:
    return np.asarray(a / np.linalg.norm(a))


def _cross_matrix(a: Numbers) -> Numbers:
    return np.array([[0.0, -a[2], a[1]], [a[2], 0.0, -a[0]], [-a[1], a[0], 0.0]])


def _turn_between(start: Numbers, end: Numbers) -> Numbers:
    """Quaternion of the least turn that takes one direction to another."""
    quaternion = np.append(1 + _unit(start) @ _unit(end), np.cross(_unit(start), _unit(end)))
    return _unit(quaternion)
