"""A scan put on the car: the rigid motion and the unit that bring its named points onto those measured on the car."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.errors import GeometryError
from solver.vectors import Array, cross, length

UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "ft": 304.8, "m": 1000.0}
"""Millimetres in each unit that a scan may be in."""
WIDEST_SCALE_ERROR = 0.03
"""Between the scale found and a unit's: a tape over half a metre is better than that, and no two units are so near."""
LEAST_WIDTH = 30.0
"""mm; points nearer to one line than this hold a scan in all directions but one."""
MOST_MISFIT = 8.0
"""mm that a placement point may be off: a tape's error on the car and a finger's on the screen. With errors of 2 mm in
each coordinate four points are off by no more than 6.6 mm in 999 cases of 1000."""
MOST_SIGMA_SHARE = 0.6
"""Of that, the standard deviation that all residuals together may tell: a slip along which the others hardly hold the
scan shows in no single one."""
POINT_SIGMA = 2.0
"""mm, one standard deviation of a named point's place on the car, where residuals tell nothing else."""


@dataclass(frozen=True, eq=False)
class Placement:
    """Where a scan goes: car = scale · rotation · scan + shift, mm.

    names: of the points, in the order of what follows
    points: as measured on the car, (n, 3); residuals: of each, how far the placed scan is off it, (n, 3), mm
    sigma: standard deviation of a named point that the residuals tell, mm
    unit: of the scan; scale_found: mm for one of the scan's units by least squares, before it was set to the unit's
    """

    names: tuple[str, ...]
    rotation: Array
    shift: Array
    scale: float
    unit: str
    scale_found: float
    points: Array
    residuals: Array
    sigma: float
    centre: Array
    spread: Array

    def place(self, points: Array) -> Array:
        """Points (k, 3) of the scan, in its own units, in mm and car axes."""
        return np.asarray((self.scale * points) @ self.rotation.T + self.shift)

    def uncertainty(self, points: Array, directions: Array) -> Array:
        """Standard deviation (k,) in mm of the places of points (k, 3), in car axes, along unit directions (k, 3).

        Errors of the named points are alike and independent, so the shift has the variance σ²/n, and a turn the
        covariance σ² (Σ (|x|² I − x xᵀ))⁻¹, x counted from their middle.
        """
        lever = cross(points - self.centre, directions)
        turn = np.einsum("ki,ij,kj->k", lever, self.spread, lever)
        return np.asarray(self.sigma * np.sqrt(1.0 / len(self.names) + turn))


def fit_placement(
    names: tuple[str, ...], scan: Array, car: Array, unit: str | None = None, tolerance: float = MOST_MISFIT
) -> Placement:
    """Least squares over rotation and shift (Kabsch, 1976), the scale being that of the unit.

    scan: named points as picked on the scan, (n, 3), in its units; car: the same as measured on the car, mm
    unit: of the scan, a key of `UNITS`; None to recognise it by the scale that fits best (Umeyama, 1991)

    Raises:
        GeometryError: too few points, points on one line, a scale that is no unit's or not that of the one given, a
            mirrored scan, or points that don't fit; names the point to blame where one is.
    """
    _check_points(names, scan, car)
    rotation, scale, misfit = _best(scan, car, free_scale=True)
    mirrored = _best(scan * [1.0, -1.0, 1.0], car, free_scale=True)[2]
    if len(names) > 3 and _is_flat(car):
        mirrored = math.inf
    if misfit > tolerance and mirrored < misfit / 3:
        raise GeometryError(
            f"the scan is mirrored: its points fit within {mirrored:.1f} mm when left and right are swapped in it, and "
            f"are {misfit:.0f} mm off as they are; turn mirroring off in the scanner's export, or check the signs of y"
        )
    # An inconsistent point spoils the scale as well: the unit is told by how the rest fits.
    culprit = _culprit(names, scan, car, tolerance)
    kept = np.ones(len(names), np.bool_)
    if misfit > tolerance and culprit is not None:
        kept[culprit] = False
        scale = _best(scan[kept], car[kept], free_scale=True)[1]
    unit = _unit_of(scale, unit)
    factor = UNITS[unit]
    rotation, _, misfit = _best(factor * scan, car, free_scale=False)
    placed = factor * scan @ rotation.T
    shift = car.mean(axis=0) - placed.mean(axis=0)
    residuals = placed + shift - car
    misfit = float(length(residuals).max())
    told = math.sqrt(float((residuals**2).sum()) / (3 * len(names) - 6))
    if misfit > tolerance or told > MOST_SIGMA_SHARE * tolerance:
        raise GeometryError(_inconsistent(names, factor * scan, car, residuals, tolerance))
    centred = car - car.mean(axis=0)
    inertia = (centred**2).sum() * np.eye(3) - centred.T @ centred
    return Placement(
        names=names,
        rotation=rotation,
        shift=shift,
        scale=factor,
        unit=unit,
        scale_found=scale,
        points=car,
        residuals=residuals,
        # Few points may fit by luck.
        sigma=max(told, POINT_SIGMA),
        centre=car.mean(axis=0),
        spread=np.linalg.inv(inertia),
    )


def _check_points(names: tuple[str, ...], scan: Array, car: Array) -> None:
    if len(names) < 3:
        raise GeometryError(
            f"{len(names)} placement points can't place a scan; at least three are needed, not on one line"
        )
    for where, points, unit in (("on the scan", scan, ""), ("on the car", car, " mm")):
        if not np.isfinite(points).all():
            raise GeometryError(f"a placement point {where} is no number; pick it again")
        for i in range(len(names)):
            for j in range(i):
                if not length(points[i] - points[j]) > 0:
                    raise GeometryError(
                        f"placement points '{names[j]}' and '{names[i]}' are one and the same {where}; pick one anew"
                    )
        extent, width = _extent_and_width(points)
        if width < max(0.03 * extent, LEAST_WIDTH if unit else 0.0):
            raise GeometryError(
                f"the placement points lie on one line {where}: all are within {width:.3g}{unit} of it over a length "
                f"of {extent:.4g}{unit}, so the scan could turn about it; pick one more point well off that line"
            )


def _extent_and_width(points: Array) -> tuple[float, float]:
    """Greatest extent of points, and twice their greatest distance from the line that fits them best."""
    centred = points - points.mean(axis=0)
    axis = np.linalg.svd(centred)[2][0]
    along = centred @ axis
    return float(np.ptp(along)), 2 * float(length(centred - along[:, None] * axis).max())


def _is_flat(points: Array) -> bool:
    """Whether points lie in one plane, where a mirrored scan fits as well as the scan itself."""
    sizes = np.linalg.svd(points - points.mean(axis=0))[1]
    return bool(sizes[2] < 0.05 * sizes[1])


def _best(scan: Array, car: Array, free_scale: bool) -> tuple[Array, float, float]:
    """Rotation, scale and the largest misfit in mm of a fit."""
    a, b = scan - scan.mean(axis=0), car - car.mean(axis=0)
    left, sizes, right = np.linalg.svd(b.T @ a)
    sign = np.array([1.0, 1.0, np.sign(np.linalg.det(left @ right)) or 1.0])
    rotation = (left * sign) @ right
    scale = float((sizes * sign).sum() / (a**2).sum()) if free_scale else 1.0
    misfit = float(length(scale * a @ rotation.T - b).max())
    return rotation, scale, misfit


def _unit_of(scale: float, given: str | None) -> str:
    """The unit that a scale stands for."""
    nearest = min(UNITS, key=lambda unit: abs(math.log(max(scale, 1e-12) / UNITS[unit])))
    off = scale / UNITS[nearest] - 1
    told = f"one unit of the scan is {scale:.4g} mm on the car"
    if abs(off) > WIDEST_SCALE_ERROR:
        raise GeometryError(
            f"the placement points don't fit: {told}, which is no unit ({', '.join(UNITS)}); the nearest, {nearest}, "
            f"is {100 * abs(off):.0f} % off. Measure the points again, on the scan and on the car"
        )
    if given is not None and given != nearest:
        raise GeometryError(
            f'the scan is said to be in {given}, but {told}: it is in {nearest}. Write units = "{nearest}", or leave '
            "units out to have them recognised"
        )
    return nearest


def _culprit(names: tuple[str, ...], scan: Array, car: Array, tolerance: float) -> int | None:
    """The point without which the others fit by far better, up to a scale; None where no single one is to blame."""
    if len(names) < 5:
        # With four points, any three of them fit too well to blame the fourth by a free scale.
        return None
    return _left_out(scan, car, tolerance, free_scale=True)


def _left_out(scan: Array, car: Array, tolerance: float, free_scale: bool) -> int | None:
    rest = []
    for i in range(len(scan)):
        kept = np.arange(len(scan)) != i
        extent, width = _extent_and_width(car[kept])
        fits = width >= max(0.03 * extent, LEAST_WIDTH)
        rest.append(_best(scan[kept], car[kept], free_scale)[2] if fits else math.inf)
    order = np.argsort(rest)
    best, second = rest[int(order[0])], rest[int(order[1])]
    return int(order[0]) if best <= tolerance and best < 0.5 * second else None


def _inconsistent(names: tuple[str, ...], scan: Array, car: Array, residuals: Array, tolerance: float) -> str:
    off = length(residuals)
    listed = ", ".join(f"'{name}' {value:.1f} mm" for name, value in zip(names, off, strict=True))
    blamed = _left_out(scan, car, tolerance, free_scale=False) if len(names) > 3 else None
    advice = (
        f"without '{names[blamed]}' the others fit: pick or measure that one again"
        if blamed is not None
        else "measure and pick the points again"
        + (", and add a fourth: with three no single one can be blamed" if len(names) == 3 else "")
    )
    return f"the placement points don't fit: they are off by {listed}, at most {tolerance:.0f} mm is expected; {advice}"
