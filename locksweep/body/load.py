"""Bodies of a job loaded: files read, placed on the car in mm, cleaned; with all that was found out on the way."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from locksweep.body.reading import read_shape
from locksweep.body.shape import Shape
from solver.body.doubles import Doubles, without_doubles
from solver.body.placement import MOST_MISFIT, UNITS, Placement, fit_placement
from solver.body.source import BodySource
from solver.body.stray import SetAside, without_strays
from solver.body.surface import NO_TRIANGLES, Surface, box_surface, panel_surface
from solver.car import Car, Job, Side
from solver.errors import GeometryError, ScanError
from solver.vectors import Array, length

REACH = 1300.0
"""mm from a wheel's centre: what is farther away no tyre reaches, by half a metre and more."""
SMALLEST = 100.0
"""mm across: a scan that lies in car axes and is smaller is in another unit than it is taken to be."""
GLTF_TO_CAR = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
"""glTF 2.0, 3.3: y up, z forward, x to the left of what looks forward; the car's axes are x forward, y left, z up."""


@dataclass(frozen=True, eq=False)
class LoadedBody:
    """A body ready to be looked at.

    surface: cleaned, in mm and car axes
    placement: of a scan that was placed by named points, else None
    unit: of the file, "" for a body from the job itself
    remarks: one sentence each about what was recognised, set aside or left out
    sha256: of the file, "" without one
    """

    surface: Surface
    placement: Placement | None
    unit: str
    aside: SetAside | None
    doubles: Doubles | None
    remarks: tuple[str, ...]
    sha256: str = ""


def load_bodies(job: Job, folder: Path) -> list[LoadedBody]:
    """All bodies of a job: those of its own tables, and the wheel wells' panels.

    folder: of the job file, from which the names of scans go on

    Raises:
        ScanError, GeometryError: one of them can't be used; names it.
    """
    sources = () if job.surroundings is None else job.surroundings.bodies
    loaded = [body for source in sources for body in _loaded(source, job, folder)]
    for well in job.car.wheel_wells:
        surface = panel_surface(well.name, np.array(well.panel), side=well.side)
        loaded.append(LoadedBody(surface, None, "", None, None, ()))
    return loaded


def _loaded(source: BodySource, job: Job, folder: Path) -> Iterator[LoadedBody]:
    try:
        body = _scan(source, job, folder) if source.file is not None else _given(source)
        _check_size(body, source, job.car)
        _check_reach(body, source, job.car)
    except (ScanError, GeometryError) as error:
        raise type(error)(f"body '{source.name}': {error}") from error
    yield body
    if source.side == "both":
        yield replace(body, surface=body.surface.mirrored(), placement=_mirrored(body.placement))


def _given(source: BodySource) -> LoadedBody:
    side: Side | None = _own_side(source)
    if source.box is not None:
        corners = np.array(source.box)
        surface = box_surface(source.name, corners[0], corners[1:], source.fixed_to, side)
    elif source.panel is not None:
        surface = panel_surface(source.name, np.array(source.panel), source.fixed_to, side)
    else:
        points = np.array(source.points or ()).reshape(-1, 3)
        surface = Surface(source.name, points, NO_TRIANGLES, source.fixed_to, side)
    return LoadedBody(surface, None, "", None, None, ())


def _own_side(source: BodySource) -> Side | None:
    sides: dict[str, Side] = {"left": "left", "both": "left", "right": "right"}
    return sides.get(source.side)


def _scan(source: BodySource, job: Job, folder: Path) -> LoadedBody:
    assert source.file is not None
    path = folder / source.file
    shape = read_shape(path)
    remarks = list(shape.remarks)
    placement = None
    if source.place:
        placement = fit_placement(
            tuple(point.name for point in source.place),
            np.array([point.scan for point in source.place]),
            np.array([point.car for point in source.place]),
            source.units,
            MOST_MISFIT if source.tolerance is None else source.tolerance,
        )
        points, unit = placement.place(shape.points), placement.unit
        if source.units is None:
            remarks.append(
                f"recognised as {_unit_words(unit)}: its placement points are {placement.scale_found:.4g} mm apart on "
                f"the car for each unit of the scan"
            )
    else:
        points, unit = _in_car_axes(shape, source, job, remarks)
    surface = Surface(source.name, points, shape.triangles, source.fixed_to, _own_side(source))
    surface, aside = without_strays(surface)
    surface, doubles = without_doubles(surface)
    remarks += _told(aside, doubles)
    if not len(surface.points):
        raise ScanError(
            f"{path}: nothing of it lies within 6 m of the front wheels; check its unit and placement"
        )
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return LoadedBody(surface, placement, unit, aside, doubles, tuple(remarks), digest)


def _in_car_axes(shape: Shape, source: BodySource, job: Job, remarks: list[str]) -> tuple[Array, str]:
    """A scan without placement points is taken to be in car axes already."""
    unit = source.units or shape.unit or job.stock_units
    if source.units is None:
        why = "glTF's unit" if shape.unit else "the job file's unit"
        remarks.append(
            f"taken as {_unit_words(unit)}, {why}, and as lying in car axes: it has no placement points"
        )
    points = shape.points * UNITS[unit]
    return (points @ GLTF_TO_CAR.T if shape.unit == "m" else points), unit


def _unit_words(unit: str) -> str:
    return {"mm": "millimetres", "cm": "centimetres", "in": "inches", "ft": "feet", "m": "metres"}[unit]


def _told(aside: SetAside, doubles: Doubles) -> Iterator[str]:
    if aside.no_numbers:
        yield f"left out as no numbers: {_counted(aside.no_numbers, 'point')}"
    if aside.far:
        yield (
            f"left out: {_counted(aside.far, 'point')} farther than 6 m from the car's origin, the farthest at "
            f"{aside.farthest / 1e3:,.0f} m"
        )
    if len(aside.specks):
        yield (
            f"set aside: {_counted(len(aside.specks), 'point')} in {_counted(aside.clusters, 'speck')} that hang "
            "together with nothing"
        )
    if aside.triangles:
        yield f"left out with these points: {_counted(aside.triangles, 'triangle')}"
    if doubles.points or doubles.triangles:
        both = [
            _counted(n, word) for n, word in ((doubles.points, "point"), (doubles.triangles, "triangle")) if n
        ]
        yield f"merged, as they were there twice: {' and '.join(both)}"
    if doubles.empty:
        yield f"left out as without area: {_counted(doubles.empty, 'triangle')}"


def _counted(number: int, word: str) -> str:
    return f"{number:,} {word}{'' if number == 1 else 's'}"


def _check_reach(body: LoadedBody, source: BodySource, car: Car) -> None:
    """A body must lie where a tyre could come, and on the side that it is said to be on."""
    near: dict[Side, float] = {}
    for side, corner in (("left", car.left), ("right", car.right)):
        offset = length(body.surface.points - np.array(corner.wheel_centre))
        # No place of a triangle is farther from a corner than its longest edge over √3.
        near[side] = float(offset.min()) - _longest_edge(body.surface) / 3**0.5  # type: ignore[index]
    own = body.surface.side
    other: Side = "right" if own == "left" else "left"
    if own is not None and near[own] > REACH >= near[other]:
        raise ScanError(
            f"it is said to lie on the {own} side, but nothing of it is within {near[own] / 1e3:.1f} m of the {own} "
            f"wheel's centre, and some of it is {near[other]:.0f} mm from the {other} one's: check side, or the sign "
            "of y in its placement points"
        )
    middle = float(np.median(body.surface.points[:, 1]))
    if (
        own is not None
        and source.file is not None
        and (middle < -200.0) == (own == "left")
        and abs(middle) > 200.0
    ):
        raise ScanError(
            f"it is said to lie on the {own} side, but most of it lies on the other: its middle is {abs(middle):.0f} "
            f'mm to the {other} of the centre plane; check side, or write side = "whole" for a scan of both sides'
        )
    least = min(near.values())
    if least > REACH:
        raise ScanError(
            f"no tyre could reach it: its nearest point is {least / 1e3:,.1f} m from a wheel's centre"
            f"{_unit_hint(body, source, car)}; check its unit, its place and its side"
        )


def _longest_edge(surface: Surface) -> float:
    corners = surface.points[surface.triangles]
    return float(length(corners - np.roll(corners, 1, axis=1)).max(initial=0.0))


def _check_size(body: LoadedBody, source: BodySource, car: Car) -> None:
    """A scan in car axes that is hardly larger than a hand is in another unit than it is taken to be."""
    if source.file is None or source.place:
        return
    across = float(np.ptp(body.surface.points, axis=0).max())
    if across < SMALLEST:
        raise ScanError(
            f"it is only {across:.3g} mm across{_unit_hint(body, source, car)}; check its unit, or give so small a "
            "body as points, a panel or a box"
        )


def _unit_hint(body: LoadedBody, source: BodySource, car: Car) -> str:
    """Another unit in which a scan in car axes would lie round a wheel."""
    if source.file is None or source.place:
        return ""
    found = []
    for unit, factor in UNITS.items():
        points = body.surface.points * (factor / UNITS[body.unit])
        across = float(np.ptp(points, axis=0).max())
        for corner in (car.left, car.right):
            offset = length(points - np.array(corner.wheel_centre))
            fits = SMALLEST < across < 2 * REACH and offset.min() < REACH / 2 and np.median(offset) < REACH
            if unit != body.unit and fits and _unit_words(unit) not in found:
                found.append(_unit_words(unit))
    if not found:
        return ""
    return (
        f", as if it were in {_unit_words(body.unit)}; in {' or '.join(found)} it would lie round the wheel"
    )


def _mirrored(placement: Placement | None) -> Placement | None:
    """For its uncertainty on the other side; it places nothing there."""
    if placement is None:
        return None
    flip: Any = np.diag([1.0, -1.0, 1.0])
    return replace(
        placement,
        centre=flip @ placement.centre,
        spread=flip @ placement.spread @ flip,
        points=placement.points @ flip,
    )
