"""Sections of bars and plates: area, second moment, and the stress that force, bending and torsion make in them."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from solver.vectors import Array


class Section(NamedTuple):
    """A section for its weaker direction of bending.

    area: mm²; second_moment: mm⁴; fibre: distance of the outer fibre, mm
    twist: torque over the largest shear stress, mm³; None where torsion is not looked at
    """

    area: float
    second_moment: float
    fibre: float
    twist: float | None = None

    def stress(self, force: Array | float, moment: Array | float, torque: Array | float = 0.0) -> Array:
        """Largest equivalent stress in MPa: |N|/A + |M| c/I, with torsion √(σ² + 3 τ²) (distortion energy).

        Adds the largest of each wherever they are, which is on the safe side. Shear by cross forces is left out.
        """
        normal = np.abs(force) / self.area + np.abs(moment) * self.fibre / self.second_moment
        if self.twist is None:
            return np.asarray(normal)
        return np.hypot(normal, math.sqrt(3) * np.abs(torque) / self.twist)

    def edge_stress(self, force: Array | float, moment: Array | float) -> Array:
        """Signed stress in MPa at the edge that a positive moment pulls: N/A + M c/I."""
        return np.asarray(force / self.area + moment * self.fibre / self.second_moment)


def tube(outside: float, inside: float) -> Section:
    """A round tube: A = π/4 (D² − d²), I = π/64 (D⁴ − d⁴), and τ = T D/2 / (2 I)."""
    second = math.pi / 64 * (outside**4 - inside**4)
    area = math.pi / 4 * (outside**2 - inside**2)
    return Section(area, second, outside / 2, 4 * second / outside)


def box(width: float, height: float, wall: float) -> Section:
    """A rectangular tube about its weaker axis, rounded corners left aside.

    Torsion by Bredt: τ = T / (2 t A) with the area inside of the wall's middle line; a solid bar, whose walls meet,
    takes T / (0.208 b² h) at the least (Shigley, equation 3-40, for a square).
    """
    narrow, wide = min(width, height), max(width, height)
    inner, outer = (narrow - 2 * wall, wide - 2 * wall), (narrow, wide)
    area = outer[0] * outer[1] - inner[0] * inner[1]
    second = (outer[1] * outer[0] ** 3 - inner[1] * inner[0] ** 3) / 12
    solid = 0.208 * narrow**2 * wide
    twist = min(2 * wall * (narrow - wall) * (wide - wall), solid) if inner[0] > 0 else solid
    return Section(area, second, narrow / 2, twist)


def plate(width: float, thickness: float) -> Section:
    """A flat bar bent over its thickness."""
    return Section(width * thickness, width * thickness**3 / 12, thickness / 2)


def ribbed_plate(width: float, thickness: float, rib: float, rib_depth: float) -> Section:
    """A plate with a rib in its middle, bent so that the rib's edge is the far fibre: parallel-axis theorem.

    No weaker than the plate alone, which is what it is where the rib has run out.
    """
    if rib_depth <= 0:
        return plate(width, thickness)
    area, web = width * thickness, rib * rib_depth
    middle = (area * thickness / 2 + web * (thickness + rib_depth / 2)) / (area + web)
    second = area * (thickness**2 / 12 + (middle - thickness / 2) ** 2)
    second += web * (rib_depth**2 / 12 + (thickness + rib_depth / 2 - middle) ** 2)
    fibre = max(middle, thickness + rib_depth - middle)
    bare = plate(width, thickness)
    # A shallow rib's edge is stressed more than the bare plate would be, and gives way until the plate alone is left.
    if second / fibre < bare.second_moment / bare.fibre:
        return bare
    return Section(area + web, second, fibre)
