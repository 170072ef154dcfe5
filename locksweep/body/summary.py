"""The answer about the body for people, in Markdown and for the terminal, made from the record alone."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from typing import Any

from locksweep.documents.markdown import bullets, escaped, table
from locksweep.units import Units, length_text, sentence_text

Record = Mapping[str, Any]

CLOSE_HARDWARE = 25.0
"""mm; gaps of hardware up to this are told in the summary, all of them in the record."""
MOST_PLACES = 25
AXES = "x is counted forward from the line through the front wheel centres, y from the centre plane to the left, z up "
"""Said in every document that has coordinates."""


def summary_text(record: Record) -> str:
    """The whole document."""
    units = _units(record)
    lines = [f"# Clearances of {escaped(record['job']['name'])}, {record['condition']}", ""]
    lines += [f"**{escaped(record['caution'])}**", ""]
    for sentence in verdict(record):
        lines += [sentence, ""]
    lines += ["## Places, the worst first", "", *places_table(record)]
    lines += [
        f"{AXES}from the ground at the measured ride height. The picture shows the places by number.",
        "",
    ]
    lines += _cut_lines(record, units)
    lines += ["## What was looked at", "", *_looked_at(record, units)]
    lines += ["## Arm, tie rod, rim and the rest", "", *hardware_table(record)]
    return "\n".join(lines)


def verdict(record: Record) -> list[str]:
    """What comes out of it, in a few sentences."""
    units = _units(record)
    gap = length_text(record["wanted_gap_mm"], units)
    tyre, sweep = record["tyre"], record["sweep"]
    width, height = (length_text(tyre[f"grown_{key}_mm"], units, 0) for key in ("width", "diameter"))
    droop, bump = (length_text(abs(travel), units, 0) for travel in sweep["travel_mm"])
    swept = (
        f"Swept: {tyre['size']}, grown to {height} by {width}, in {sweep['poses']:,} poses from rack stop to rack stop "
        f"and from {droop} of droop to {bump} of bump, both wheels."
    )
    if not record["places"]:
        return [swept, "No body was measured or scanned, so nothing was looked at."]
    worst = record["places"][0]
    name = f"'{escaped(worst['name'])}'"
    if record["clear"]:
        first = (
            f"The tyres keep {gap} from every body. The nearest is {name}: "
            f"{length_text(worst['clearance_mm'], units)}."
        )
    elif worst["clearance_mm"] >= 0:
        first = f"Too near: {name} keeps {length_text(worst['clearance_mm'], units)} where {gap} is wanted."
    else:
        first = f"The tyre touches: at {name} it reaches {length_text(-worst['clearance_mm'], units)} into the body."
    lines = [first]
    earliest = _earliest(record)
    if earliest is not None:
        place, touch = earliest
        lines.append(
            f"First of all '{escaped(place['name'])}' comes too near: {pose_words(touch['pose'], units)}."
        )
    lines.append(swept)
    if record["confidence"] > 0.5:
        share = 100 * record["confidence"]
        lines.append(
            f"Clearances are those that {share:.4g} of 100 cars measured like this one have at least; distances are "
            "the plain ones."
        )
    lines.append(
        f"Between the poses looked at, and between the points of a mesh, a clearance over nothing may be less by up to "
        f"{length_text(record['resolution_mm'], units)}, beside the sharp inner edge of the side wall by more; the "
        "worst places were looked at between the poses as well."
    )
    return lines


def _earliest(record: Record) -> tuple[Record, Record] | None:
    """The place that comes too near at the least steer of its wheel."""
    found = [
        (abs(touch["pose"]["steer_deg"]), place, touch)
        for place in record["places"]
        for touch in place["first_too_near"]
    ]
    if not found:
        return None
    _, place, touch = min(found, key=lambda one: one[0])
    return place, touch


def pose_words(pose: Mapping[str, Any] | None, units: Units) -> str:
    """A pose as a driver and a fitter would say it."""
    if pose is None:
        return "any pose: both turn together"
    steer, travel = pose["steer_deg"], pose["travel_mm"]
    way = "straight ahead" if abs(steer) < 0.5 else f"{abs(steer):.1f}° {'left' if steer > 0 else 'right'}"
    if abs(travel) < 0.5:
        height = "ride height"
    else:
        height = f"{length_text(abs(travel), units, 0)} {'bump' if travel > 0 else 'droop'}"
    words = f"{way}, {height}"
    if pose["roll_deg"] is not None:
        words += f" (body rolled {abs(pose['roll_deg']):.1f}°)"
    if pose["drop_mm"]:
        words += f", lowered {length_text(pose['drop_mm'], units, 0)}"
    return words


def places_table(record: Record, most: int = MOST_PLACES) -> list[str]:
    """Worst points with coordinates, clearance and pose."""
    units = _units(record)
    banded = record["confidence"] > 0.5
    rows = []
    for place in record["places"][:most]:
        first = "; ".join(
            dict.fromkeys(pose_words(touch["pose"], units) for touch in place["first_too_near"])
        )
        row = [str(place["number"]), escaped(place["name"])]
        row += [_plain(value, units) for value in place["at_mm"]]
        row.append(_plain(place["clearance_mm"], units, 1))
        if banded:
            row.append(_plain(place["distance_mm"], units, 1))
        rows.append([*row, pose_words(place["pose"], units), first or "–"])
    head = ["no.", "place", "x", "y", "z", "clearance", *(["distance"] if banded else [])]
    left = len(record["places"]) - most
    lines = table([*head, "least at", "too near from"], rows)
    if left > 0:
        lines += [f"{left} more are in the table places.csv.", ""]
    return lines


def _cut_lines(record: Record, units: Units) -> list[str]:
    if not record["cut_lines"] and not record["no_cut_lines"]:
        return []
    rows = [
        [
            escaped(line["name"]),
            f"{_plain(line['width_mm'], units)} × {_plain(line['height_mm'], units)}",
            f"{line['area_mm2'] / 100:.0f} cm²",
            "developed" if line["developed"] else "projected",
            f"{100 * line['edge_share']:.0f} %",
            ", ".join(f"`{name}`" for name in line["files"].values()),
        ]
        for line in record["cut_lines"]
    ]
    head = [
        "cut line",
        "width × height",
        "area inside",
        "laid flat by",
        "along the edge of what was measured",
        "files",
    ]
    lines = ["## What to cut", "", *table(head, rows)]
    lines += bullets(
        f"**{escaped(item['name'])}**: no template: {escaped(sentence_text(item['reason'], units))}"
        for item in record["no_cut_lines"]
    )
    return lines


def _looked_at(record: Record, units: Units) -> list[str]:
    lines = []
    for body in record["bodies"]:
        what = f"{body['points']:,} points"
        if body["triangles"]:
            what += f", {body['triangles']:,} triangles"
        side = {"whole": "both sides"}.get(body["side"], f"{body['side']} side")
        moves = "" if body["fixed_to"] == "body" else f", moves with the {body['fixed_to']}"
        lines.append(f"- **{escaped(body['name'])}**, {side}{moves}: {what}")
        lines += [f"  - {escaped(sentence_text(remark, units))}" for remark in body["remarks"]]
        if body["placement"]:
            off = "; ".join(
                f"{escaped(point['name'])} {length_text(point['off_mm'], units)}"
                for point in body["placement"]["points"]
            )
            lines.append(f"  - placed by its points, which are off by: {off}")
        aside = body["set_aside"]
        if aside and aside["nearest_speck_mm"] is not None:
            at = ", ".join(_plain(value, units) for value in aside["nearest_speck_at_mm"])
            far = _speck_words(aside["nearest_speck_mm"], units)
            lines.append(
                f"  - of the specks that were set aside the nearest lies {far} at {at}: look whether something is there"
            )
    return [*lines, ""]


def _speck_words(distance: float, units: Units) -> str:
    if distance < 0:
        return f"{length_text(-distance, units)} inside of the swept tyre,"
    return f"{length_text(distance, units)} from the swept tyre,"


def hardware_table(record: Record) -> list[str]:
    """Gaps that are small, the least first."""
    units = _units(record)
    close = [gap for gap in record["hardware"] if gap["gap_mm"] < CLOSE_HARDWARE]
    rows = [
        [
            f"{escaped(gap['first'])} and {escaped(gap['second'])}",
            gap["corner"],
            _plain(gap["gap_mm"], units, 1),
            _plain(gap["at_rest_mm"], units, 1),
            pose_words(gap["pose"], units),
            _judged(gap, record["wanted_gap_mm"]),
        ]
        for gap in close
    ]
    head = ["between", "corner", "least gap", "at rest", "least at", ""]
    lines = table(head, rows) if rows else []
    more = len(record["hardware"]) - len(close)
    return [*lines, f"{more} other pairs keep more than {length_text(CLOSE_HARDWARE, units, 0)}.", ""]


def _judged(gap: Mapping[str, Any], wanted: float) -> str:
    if gap["at_rest_mm"] < 0:
        return "overlap at rest: joined by design, or measured wrong"
    if gap["gap_mm"] < 0:
        return "**touches**"
    return "less than wanted" if gap["gap_mm"] < wanted and gap["first"] == "tyre" else ""


def places_csv(record: Record) -> str:
    """All places, for a spreadsheet; mm and degrees."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(
        ["number", "place", "x_mm", "y_mm", "z_mm", "clearance_mm", "distance_mm", "steer_deg", "travel_mm",
         "first_too_near_steer_deg", "first_too_near_travel_mm"]
    )  # fmt: skip
    for place in record["places"]:
        pose: Mapping[str, Any] = place["pose"] or {}
        first: Sequence[Mapping[str, Any]] = place["first_too_near"]
        touch: Mapping[str, Any] = min(
            (one["pose"] for one in first), key=lambda one: abs(one["steer_deg"]), default={}
        )
        writer.writerow(
            [place["number"], _safe_cell(place["name"]), *place["at_mm"], place["clearance_mm"], place["distance_mm"],
             pose.get("steer_deg"), pose.get("travel_mm"), touch.get("steer_deg"), touch.get("travel_mm")]
        )  # fmt: skip
    return stream.getvalue()


def _safe_cell(text: str) -> str:
    """A spreadsheet takes what begins with one of these for a formula."""
    return f"'{text}" if text[:1] in "=+-@" else text


def _units(record: Record) -> Units:
    units: Units = record["job"]["units"]
    return units


def _plain(value: float, units: Units, digits: int = 0) -> str:
    return length_text(value, units, digits)
