"""From a closure plate's outline and floor to its dimensions and its place on the car."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from solver.car import Vector
from solver.families.closure_plate import ClosurePlateDimensions
from solver.families.pan import inset
from solver.panel import PanelFrame
from solver.part import Placement
from solver.sizing.plate_floor import Floor, Setting
from solver.strength.materials import Material
from solver.strength.plates import plate_frequency
from solver.vectors import Array

K_FACTOR = 0.44
"""Neutral layer of air-bent sheet. Common practice, no source."""
TAB_WIDTH, TAB_HEIGHT = 15.0, 5.0
MITRE_GAP = 1.0
DRAIN, PLUG = 10.0, 6.0


def lowest_frequency(plate: ClosurePlateDimensions, steel: Material) -> float:
    """Of the facet that is lowest, Hz."""
    return min(plate_frequency(a, b, plate.thickness, steel) for a, b in facet_sizes(plate))


def facet_sizes(plate: ClosurePlateDimensions) -> list[tuple[float, float]]:
    """Of the box round each flat facet, mm."""
    sizes = []
    for facet in plate.pan.facets:
        us, vs = zip(*facet.corners, strict=True)
        sizes.append((max(max(us) - min(us), 1e-6), max(max(vs) - min(vs), 1e-6)))
    return sizes


def plate_dimensions(setting: Setting, floor: Floor, bend: float) -> ClosurePlateDimensions:
    """Of a floor; the drain hole in the lowest place that it may lie in."""
    t, outline = setting.thickness, setting.outline
    placed = (outline - outline.mean(axis=0)) @ _rotation(floor.turn)
    shift = float((outline.mean(axis=0) @ _rotation(floor.turn))[0])
    corners = tuple((round(float(x), 3), round(float(y), 3)) for x, y in placed)
    profile = [(round(float(x) - shift, 3), round(float(depth), 3)) for x, depth in floor.profile]
    # Rounded alike, so that the profile ends where the outline does.
    profile[0] = (min(x for x, _ in corners), profile[0][1])
    profile[-1] = (max(x for x, _ in corners), profile[-1][1])
    bare = ClosurePlateDimensions(
        outline=corners,
        profile=tuple(profile),
        thickness=t,
        bend_radius=bend,
        relief=max(t, 2.0),
        mitre_gap=MITRE_GAP,
        tab_width=TAB_WIDTH,
        tab_height=TAB_HEIGHT,
        plug_diameter=PLUG,
        drain_x=0.0,
        drain_y=0.0,
        drain_diameter=DRAIN,
        k_factor=K_FACTOR,
    )
    frame = setting.frame
    x_axis, y_axis = (np.stack([frame.across[2], frame.up[2]]) @ _rotation(floor.turn)).tolist()
    x, y = _lowest(bare, (x_axis, y_axis, float(frame.towards_wheel[2])))
    return replace(bare, drain_x=round(float(x), 3), drain_y=round(float(y), 3))


def _lowest(d: ClosurePlateDimensions, rise: tuple[float, float, float]) -> tuple[float, float]:
    """Where along x and y the drain hole lies lowest in the car; ``rise`` is what x, y and z add to the height there.

    Height changes evenly over a facet, so it is least in a corner of what the hole's middle may lie in; where two
    corners are alike, half way between them.
    """
    room = d.bend_room + d.drain_diameter / 2 + 0.01
    places = []
    for facet in d.pan.facets:
        corners = inset(facet.corners, [room] * len(facet.corners))
        for (px, py), (qx, qy), (ax, ay), (bx, by) in zip(
            corners,
            corners[1:] + corners[:1],
            facet.corners,
            facet.corners[1:] + facet.corners[:1],
            strict=True,
        ):
            if (qx - px) * (bx - ax) + (qy - py) * (by - ay) <= 0:
                # Some edge is lost to the room that the hole needs: this facet is left to the others.
                break
        else:
            places += [facet.place(u, v) for u, v in corners]
    if not places:
        return (0.0, 0.0)
    heights = [sum(a * b for a, b in zip(place, rise, strict=True)) for place in places]
    lowest = [place for place, height in zip(places, heights, strict=True) if height < min(heights) + 0.05]
    return (sum(x for x, _, _ in lowest) / len(lowest), sum(y for _, y, _ in lowest) / len(lowest))


def _rotation(turn: float) -> Array:
    """Columns: the part's x and y axes in the panel's plane."""
    return np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])


def plate_placement(frame: PanelFrame, outline: Array, turn: float, d: ClosurePlateDimensions) -> Placement:
    """Behind the panel, its weld line in the panel's plane."""
    behind = frame.to_car(outline.mean(axis=0), -d.pan.height)
    x_axis = math.cos(turn) * frame.across + math.sin(turn) * frame.up
    return Placement(as_tuple(behind), as_tuple(x_axis), as_tuple(frame.towards_wheel))


def as_tuple(vector: Array) -> Vector:
    """For what is frozen and written."""
    x, y, z = (round(float(value), 6) + 0.0 for value in vector)
    return (x, y, z)
