"""Fatigue of weld details, as a screening: which stress range a detail bears so many times."""

from __future__ import annotations

from typing import NamedTuple

from solver.tables import rows

REFERENCE_CYCLES = 2e6
"""At which a detail's class is its stress range (EN 1993-1-9, section 7.1)."""
LIMIT_CYCLES = 5e6
"""From which on a range that is always the same does no more harm (EN 1993-1-9, section 7.1)."""
FEWEST_CYCLES = 1e4
"""Below which the curves don't hold and static strength decides (EN 1993-1-9, figure 7.1)."""
SAFETY = 1.35
"""Partial factor for fatigue strength, safe life and grave consequence (EN 1993-1-9, table 3.1; from memory)."""


class WeldDetail(NamedTuple):
    """A row of `data/fatigue_details.csv`: its class is the range in MPa that it bears two million times."""

    name: str
    detail_class: float
    slope: float
    where: str
    source: str


def weld_detail(name: str) -> WeldDetail:
    """A weld detail by its name."""
    row = next(row for row in rows("fatigue_details") if row["name"] == name)
    return WeldDetail(name, float(row["class"]), float(row["slope"]), row["where"], row["source"])


def allowed_range(detail: WeldDetail, cycles: float) -> float:
    """Stress range in MPa that a detail bears ``cycles`` times: (2·10⁶/N)^(1/m) Δσ_C/γ (EN 1993-1-9, section 7.1)."""
    counted = min(max(cycles, FEWEST_CYCLES), LIMIT_CYCLES)
    return float(detail.detail_class / SAFETY * (REFERENCE_CYCLES / counted) ** (1 / detail.slope))


def life(detail: WeldDetail, stress_range: float) -> float:
    """Cycles of a stress range in MPa that a detail bears, infinite below its constant-amplitude limit."""
    if stress_range <= allowed_range(detail, LIMIT_CYCLES):
        return float("inf")
    return float(REFERENCE_CYCLES * (detail.detail_class / SAFETY / stress_range) ** detail.slope)
