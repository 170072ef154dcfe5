"""How a part is cut out of plate: what the process can do, and what in the outline it may not."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.documents.numbers import length, rounded
from locksweep.units import Units, length_text
from solver.cutting.check import cutting_findings
from solver.cutting.processes import ProcessName, process
from solver.part import Part

NET = "outlines are the finished size: kerf and lead-in are left to the shop"


def cutting_record(part: Part, name: ProcessName) -> dict[str, Any] | None:
    """Process, kerf, limits and findings; None for a part that is not cut out of plate."""
    dimensions = part.dimensions
    pattern = dimensions.flat_pattern()
    if pattern is None or dimensions.raw_shape().kind != "plate":
        return None
    way = process(name)
    return {
        "process": name,
        "usual_kerf_mm": [length(size) for size in way.kerf],
        "tolerance_mm": length(way.tolerance),
        "least_hole_mm": length(way.least_hole(pattern.thickness)),
        "least_web_mm": length(way.least_web(pattern.thickness)),
        "findings": [
            {
                "kind": found.kind,
                "what": found.what,
                "at_mm": [length(value) for value in found.at],
                "size_mm": rounded(found.size, 3),
                "least_mm": rounded(found.least, 3),
                "sentence": found.sentence,
            }
            for found in cutting_findings(pattern, way)
        ],
    }


def cutting_words(cutting: Mapping[str, Any], units: Units) -> str:
    """How it is cut and that the outline is net, as a clause."""
    low, high = (length_text(size, units, 1) for size in cutting["usual_kerf_mm"])
    hole, web = (length_text(cutting[f"least_{what}_mm"], units, 2) for what in ("hole", "web"))
    return (
        f"planned for {cutting['process']}, which cuts holes from {hole} and webs from {web} on and usually holds "
        f"±{length_text(cutting['tolerance_mm'], units, 1)}; {NET}, usual kerf {low} to {high}"
    )


def cutting_warnings(part: Mapping[str, Any]) -> list[str]:
    """What may not be cut in a part of a record, each once; nothing in records from before this was checked."""
    findings = (part.get("cutting") or {"findings": ()})["findings"]
    # Holes that are alike say the same.
    return list(dict.fromkeys(found["sentence"] for found in findings))
