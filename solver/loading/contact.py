"""Forces and moments on a wheel: a handful of unit loads at each pose, and how much of each a load case is."""

from __future__ import annotations

import numpy as np

from solver.loading.inputs import LoadCase
from solver.loading.statics import Holding, Reactions
from solver.loading.vehicle import Vehicle
from solver.measures import axis_on_ground, contact_centre, steer_angle
from solver.vectors import Array, cross, dot, length

UNITS = ("vertical", "rearward", "inward", "rearward at the hub", "inward at the hub", "parking", "forcing")
"""The unit loads, 1 N each; parking is what 1 N of wheel load makes, forcing what takes 1 N of the rack."""


def parking_arm(tyre_width: float, offset: Array | float) -> Array:
    """Arm in mm of the friction that turns a standing tyre about the steering axis: √(b²/8 + e²).

    b: width of the tyre's print, for which the tyre's section width is taken; e: distance of the steering axis from
    the contact centre at the ground. Times friction and wheel load this is the torque that steering at rest takes:
    published by a maker of steering gears for sizing, with the print's width at its nominal width.
    """
    return np.sqrt(tyre_width**2 / 8 + np.square(offset))


def unit_loads(hold: Holding, loaded_radius: float, vehicle: Vehicle) -> tuple[Array, Array]:
    """The unit loads on one wheel at each pose, (7, ..., 3): force, and moment about the ball joint."""
    pose = hold.pose
    side = pose.corner.side
    steer = steer_angle(pose)
    zero, one = np.zeros_like(steer), np.ones_like(steer)
    up = np.stack([zero, zero, one], axis=-1)
    back = np.stack([-np.cos(steer), -np.sin(steer), zero], axis=-1)
    inwards = side * np.stack([np.sin(steer), -np.cos(steer), zero], axis=-1)
    contact = contact_centre(pose, loaded_radius)
    at_contact, at_hub = contact - pose.ball_joint, pose.wheel_centre - pose.ball_joint
    offset = length(axis_on_ground(pose, contact[..., 2]) - contact)
    # Inwards for the wheel as the inner one of its turn: to the left on the left side.
    about = up * side
    upright = dot(hold.axis, about)
    parking = vehicle.values["parking_friction"] * parking_arm(vehicle.tyre_width, offset)
    # A couple that makes the rod pull the rack with 1 N.
    forcing = np.abs(hold.lever / dot(hold.rod, pose.corner.rack_direction))
    nothing = np.zeros_like(up)
    forces = [up, back, inwards, back, inwards, nothing, nothing]
    moments = [
        *(cross(at_contact, force) for force in (up, back, inwards)),
        *(cross(at_hub, force) for force in (back, inwards)),
        *(about * (size / np.abs(upright))[..., None] for size in (parking, forcing)),
    ]
    return np.stack(forces), np.stack(moments)


def shares(cases: tuple[LoadCase, ...], vehicle: Vehicle, side: int) -> Array:
    """How much of each unit load a case is on the left (0) or right (1) front wheel, (cases, 7), N."""
    return np.array([_shares(case, vehicle, side) for case in cases])


def _shares(case: LoadCase, vehicle: Vehicle, side: int) -> tuple[float, ...]:
    rest = vehicle.weights[side]
    vertical = case.vertical * vehicle.wheel_load(case, side)
    tyre = vehicle.values["grip"] * vertical
    contact = [case.rearward * tyre, case.inward * tyre]
    hub = [0.0, 0.0]
    struck = hub if case.strike_at == "hub" else contact
    struck[0] += case.strike_rearward * rest
    struck[1] += case.strike_inward * rest
    if case.overturning:
        vertical = case.vertical * vehicle.axle_weight
        contact[1] += case.overturning * vehicle.tipping_force
    return (vertical, *contact, *hub, case.parking * rest, case.forcing * vehicle.rack_push)


def superposed(parts: Array, units: Reactions) -> Reactions:
    """Members in each case, (cases, ...), from the shares (cases, 7) of the unit loads."""
    return Reactions(*(np.tensordot(parts, column, 1) for column in units))
