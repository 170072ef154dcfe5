"""A paper aid as lines to look at: it has no solid that could be drawn."""

from __future__ import annotations

from typing import Any

import numpy as np

from locksweep.report.numbers import plain
from solver.part import Part


def pattern(part: Part) -> dict[str, Any] | None:
    """Outlines and marks of a part's flat pattern as polylines, mm; None where it has none."""
    flat = part.dimensions.flat_pattern()
    if flat is None:
        return None
    return {
        "outlines_mm": [plain(np.array(outline)[:, :2]) for outline in (*flat.outer, *flat.inner)],
        "marks_mm": [plain(np.array(line)) for line in flat.marks],
    }
