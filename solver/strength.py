"""Strength formulas for the screening checks. MPa, N, mm; each with its source."""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.errors import LocksweepError
from solver.tables import rows

FILLER_YIELD = 393.0
"""Yield strength of E70 filler, MPa: 57 ksi (Shigley, table 9-3; from memory)."""
SHEAR_SHARE = 0.577
"""Yield in shear as a share of yield in tension, by distortion energy (Shigley, section 5-5)."""
BOLT_PROOF = 580.0
"""Proof strength of property class 8.8 up to M16, MPa (ISO 898-1)."""
SUDDEN_LOAD = 2.0
"""A load that is applied at once stresses a part as twice the load at rest (energy balance of a linear spring;
any text on strength of materials)."""
REQUIRED_MARGIN = 1.2
"""Least strength over demand in a screening case. The cases themselves are rare extremes."""


@dataclass(frozen=True)
class Material:
    """One row of `data/materials.csv`; MPa, and GPa for the modulus, kg/m³."""

    name: str
    yield_strength: float
    ultimate: float
    welded_yield: float
    modulus: float
    density: float
    source: str


class UnknownMaterialError(LocksweepError, KeyError):
    """The material table has no row of that name."""

    def __str__(self) -> str:
        return str(self.args[0])


def material(name: str) -> Material:
    """A material by name, case and blanks ignored.

    Raises:
        UnknownMaterialError: lists the names that the table has.
    """
    for row in rows("materials"):
        if row["name"].replace(" ", "").lower() == name.replace(" ", "").lower():
            return Material(
                name=row["name"],
                yield_strength=float(row["yield"]),
                ultimate=float(row["ultimate"]),
                welded_yield=float(row["welded_yield"]),
                modulus=float(row["modulus"]),
                density=float(row["density"]),
                source=row["source"],
            )
    known = ", ".join(row["name"] for row in rows("materials"))
    raise UnknownMaterialError(
        f"material {name!r} is not in the table; known are {known}. Take 'unknown steel' when in doubt"
    )


@dataclass(frozen=True)
class Section:
    """Area in mm², second moment in mm⁴ and distance of the outer fibre in mm, for the weaker direction."""

    area: float
    second_moment: float
    fibre: float

    def stress(self, force: float, moment: float) -> float:
        """Largest normal stress under force and bending together, MPa."""
        return abs(force) / self.area + abs(moment) * self.fibre / self.second_moment


def tube(outside: float, inside: float) -> Section:
    """A round tube: A = π/4 (D² − d²), I = π/64 (D⁴ − d⁴)."""
    area = math.pi / 4 * (outside**2 - inside**2)
    return Section(area, math.pi / 64 * (outside**4 - inside**4), outside / 2)


def box(width: float, height: float, wall: float) -> Section:
    """A rectangular tube about its weaker axis; rounded corners are left aside."""
    narrow, wide = min(width, height), max(width, height)
    inner, outer = (narrow - 2 * wall, wide - 2 * wall), (narrow, wide)
    area = outer[0] * outer[1] - inner[0] * inner[1]
    return Section(area, (outer[1] * outer[0] ** 3 - inner[1] * inner[0] ** 3) / 12, narrow / 2)


def ribbed_plate(width: float, thickness: float, rib: float, rib_depth: float) -> Section:
    """A plate with a rib in its middle, bent so that the rib's edge is the far fibre: parallel-axis theorem."""
    plate, web = width * thickness, rib * rib_depth
    middle = (plate * thickness / 2 + web * (thickness + rib_depth / 2)) / (plate + web)
    second = plate * (thickness**2 / 12 + (middle - thickness / 2) ** 2)
    second += web * (rib_depth**2 / 12 + (thickness + rib_depth / 2 - middle) ** 2)
    return Section(plate + web, second, max(middle, thickness + rib_depth - middle))


def column_strength(section: Section, length: float, yield_strength: float, modulus: float) -> float:
    """Axial load in N at which a pinned column buckles: Euler, below the transition slenderness Johnson.

    Shigley, 9th edition, equations 4-43 and 4-48; ``modulus`` in GPa.
    """
    elastic = modulus * 1000.0
    slenderness = length / math.sqrt(section.second_moment / section.area)
    transition = math.sqrt(2 * math.pi**2 * elastic / yield_strength)
    if slenderness > transition:
        return section.area * math.pi**2 * elastic / slenderness**2
    return section.area * (yield_strength - (yield_strength * slenderness / (2 * math.pi)) ** 2 / elastic)


def round_weld_stress(leg: float, radius: float, force: float, moment: float) -> float:
    """Throat stress in MPa of a fillet weld round a tube under axial force and bending.

    Throat area A = 1.414 π h r and unit second moment π r³ (Shigley, tables 9-1 and 9-2).
    """
    area = 1.414 * math.pi * leg * radius
    second = 0.707 * leg * math.pi * radius**3
    return abs(force) / area + abs(moment) * radius / second


def rectangle_weld_stress(leg: float, width: float, depth: float, shear: float, moment: float) -> float:
    """Throat stress in MPa of a fillet weld all round a rectangle, bent about its width.

    Throat area A = 1.414 h (b + d), unit second moment d² (3 b + d) / 6 (Shigley, table 9-2).
    """
    area = 1.414 * leg * (width + depth)
    second = 0.707 * leg * depth**2 * (3 * width + depth) / 6
    return math.hypot(shear / area, moment * depth / 2 / second)


def weld_yield() -> float:
    """Throat stress in MPa at which the weld metal yields in shear."""
    return SHEAR_SHARE * FILLER_YIELD


def thread_stress_area(diameter: float, pitch: float) -> float:
    """Stress area in mm² of an ISO thread: π/4 (d − 0.9382 p)² (ISO 898-1)."""
    return math.pi / 4 * (diameter - 0.9382 * pitch) ** 2
