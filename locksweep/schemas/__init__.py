"""JSON Schemas of what locksweep writes, published with every build."""

from __future__ import annotations

from importlib import resources


def schema_text(name: str) -> str:
    """Text of ``<name>.schema.json``."""
    return resources.files("locksweep.schemas").joinpath(f"{name}.schema.json").read_text(encoding="utf-8")
