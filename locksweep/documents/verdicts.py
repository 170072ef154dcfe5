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


OVERRIDDEN = "STRENGTH CHECK OVERRIDDEN"
"""What every file of a part says that is made although a check falls short."""


def path_words(role: str) -> str:
    """Where a part stands in the load path, without stresses."""
    return PATHS[role].replace("*", "")


COUNTED = ("mm", "°", "Hz")
"""Units of checks that hold a size against a rule, not a load against a strength."""


def margin_words(margin: float, required: float = 1.2, unit: str = "N") -> str:
    """A margin in words, against the one that is required; ``unit`` of what is compared."""
    if margin < 1.0:
        return "short of what is needed" if unit in COUNTED else "the case exceeds the strength"
    if margin < required:
        return "less left than is required"
    if margin < 1.25 * required:
        return "little left"
    if margin < 2.1 * required:
        return "some left"
    return "well above these cases"


def nearest_check(part: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """The check of a part's record that is nearest to its limit; None where no load is worth a check."""
    checks = [check for check in part["checks"] if check["margin"] is not None]
    return min(checks, key=lambda check: check["margin"] / check["required"], default=None)


def least_margin(part: Mapping[str, Any]) -> str:
    """That check's margin as number and words."""
    least = nearest_check(part)
    return "no load worth a check" if least is None else f"{least['margin']:.2f}, {least['words']}"


def members_short(record: Mapping[str, Any]) -> list[str]:
    """Members that are not made here and have less left than is required: one sentence a check."""
    return [
        f"{member['name']}: {check['name']}, {check['margin']:.2f} of {check['required']:.2f}, {check['words']} "
        f"({where_words(check)})"
        for member in record["members"]
        for check in member["checks"]
        if check["margin"] is not None and check["margin"] < check["required"]
    ]


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
