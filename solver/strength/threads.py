"""Threads and preloaded joints."""

from __future__ import annotations

import math
from typing import NamedTuple

from solver.tables import rows

PRELOAD_SHARE = 0.75
"""Of the proof load, for a joint that is taken apart again (Shigley, equation 8-31)."""


def proof_strength(name: str) -> float:
    """Proof strength in MPa of a property class, such as "8.8"."""
    return float(next(row["proof"] for row in rows("bolt_classes") if row["name"] == name))


def thread_stress_area(diameter: float, pitch: float) -> float:
    """Stress area in mm² of an ISO thread: π/4 (d − 0.9382 p)² (ISO 898-1)."""
    return math.pi / 4 * (diameter - 0.9382 * pitch) ** 2


def engagement_needed(diameter: float, pitch: float) -> float:
    """Thread engagement in mm at which a stud of the same strength as its nut thread breaks before it strips.

    Le = 2 A / (π Kn (1/2 + 0.57735 n (Es − Kn))), Machinery's Handbook, length of engagement of screw threads:
    Kn largest minor diameter of the internal thread, Es least pitch diameter of the external one, at their tolerances
    6H and 6g; those are taken from the formulas of ISO 965-1 (from memory) before they are rounded. Inch threads of
    60° are near enough to be treated alike.
    """
    inner, outer = _limits(diameter, pitch)
    return (
        2
        * thread_stress_area(diameter, pitch)
        / (math.pi * inner * (0.5 + 0.57735 / pitch * (outer - inner)))
    )


def strip_strength(diameter: float, pitch: float, engaged: float, shear_strength: float) -> float:
    """Force in N that strips the internal thread: its shear area times ``shear_strength``, MPa.

    A = π Le Ds (1/2 + 0.57735 n (Ds − En)), Machinery's Handbook, with the basic major diameter for Ds and the largest
    pitch diameter of the internal thread, 6H, for En.
    """
    widest = diameter - 0.64952 * pitch + 1.32 * _pitch_tolerance(diameter, pitch)
    area = math.pi * engaged * diameter * (0.5 + 0.57735 / pitch * (diameter - widest))
    return float(area * shear_strength)


class PreloadedJoint(NamedTuple):
    """A bolt or stud that clamps something; N.

    preload, proof_load: of the bolt
    share: C, what of a pull on the joint the bolt takes; the rest takes clamping force away
    """

    preload: float
    proof_load: float
    share: float

    @property
    def bolt_reserve(self) -> float:
        """What the bolt can take beside its preload, N."""
        return self.proof_load - self.preload

    def in_bolt(self, pull: float) -> float:
        """What a pull adds in the bolt, C P, N; against the reserve it makes Shigley's load factor (8-28)."""
        return self.share * pull

    def off_clamp(self, pull: float) -> float:
        """What a pull takes off the clamped parts, (1 − C) P, N; against the preload Shigley's factor 8-29."""
        return (1 - self.share) * pull


def joint(stress_area: float, clamped_area: float, proof: float) -> PreloadedJoint:
    """A joint of a bolt's stress area, mm², that clamps a ring of equal length and modulus.

    C = k_b / (k_b + k_m) (Shigley, section 8-5), the ring no wider than it is; ``proof`` in MPa.
    """
    load = proof * stress_area
    return PreloadedJoint(PRELOAD_SHARE * load, load, stress_area / (stress_area + clamped_area))


def _pitch_tolerance(diameter: float, pitch: float) -> float:
    """Of the external pitch diameter, grade 6, mm: 90 p^0.4 d^0.1 micrometres (ISO 965-1)."""
    return float(0.090 * pitch**0.4 * diameter**0.1)


def _limits(diameter: float, pitch: float) -> tuple[float, float]:
    """Largest minor diameter of the nut thread at 6H and least pitch diameter of the stud at 6g, mm (ISO 965-1)."""
    minor = 0.230 * pitch**0.7 if pitch >= 1.0 else 0.433 * pitch - 0.190 * pitch**1.22
    allowance = 0.015 + 0.011 * pitch
    inner = diameter - 1.082532 * pitch + minor
    outer = diameter - 0.649519 * pitch - allowance - _pitch_tolerance(diameter, pitch)
    return inner, outer
