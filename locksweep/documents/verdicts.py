"""Verdicts in plain words; never one that reads as approval."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

PATHS = {
    "carries the car": "in the primary load path: **it carries the car**",
    "limits steering": "not in the primary load path, but **it limits steering**: it is hit at full lock",
    "closes a hole": "not in the primary load path: it closes a hole",
    "marking aid": "carries no load: a marking aid",
}


def margin_words(margin: float, required: float = 1.2) -> str:
    """A margin in words, against the one that is required."""
    if margin < 1.0:
        return "the case exceeds the strength"
    if margin < required:
        return "less left than is required"
    if margin < 1.25 * required:
        return "little left"
    if margin < 2.1 * required:
        return "some left"
    return "well above these cases"


def least_margin(part: Mapping[str, Any]) -> str:
    """The check of a part's record that is nearest to its limit: margin as number and words."""
    checks = [check for check in part["checks"] if check["margin"] is not None]
    if not checks:
        return "no load worth a check"
    least = min(checks, key=lambda check: check["margin"] / check["required"])
    return f"{least['margin']:.2f}, {least['words']}"


def where_words(found: Mapping[str, Any]) -> str:
    """The case, wheel and pose of a load or a check, in words."""
    said = [str(found["case"])]
    if found["hit"]:
        said.append("stop hit")
    if found["side"]:
        said.append(f"{found['side']} wheel")
    if found["steer_deg"] is not None:
        steer = found["steer_deg"]
        way = "left" if steer > 0 else "right"
        said.append("straight ahead" if abs(steer) < 0.5 else f"{abs(steer):.0f}° {way}")
    if found["travel_mm"] is not None:
        travel = found["travel_mm"]
        said.append(
            "ride height"
            if abs(travel) < 0.5
            else f"{abs(travel):.0f} mm {'bump' if travel > 0 else 'droop'}"
        )
    return ", ".join(said)
