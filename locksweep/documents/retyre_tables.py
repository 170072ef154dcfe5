"""The tables of what another tyre changes, from the record, as Markdown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from locksweep.body.summary import pose_words
from locksweep.documents.markdown import escaped, table
from locksweep.units import Units, length_text, sentence_text

Record = Mapping[str, Any]


def key_words(key: str) -> str:
    """A key of [changes] as words."""
    return key.replace("_", " ").replace(".", " ")


def tyres_table(record: Record, units: Units) -> list[str]:
    """Both tyres on their rims, and what follows from them alone."""
    old, new = record["tyres"]["old"], record["tyres"]["new"]
    rows = []
    for name, key in (
        ("outside diameter", "outside_diameter_mm"),
        ("section width", "section_width_mm"),
        ("diameter grown in service (R30)", "grown_outside_diameter_mm"),
        ("width grown in service (R30)", "grown_section_width_mm"),
        ("loaded radius", "loaded_radius_mm"),
        ("rim diameter", "rim_diameter_mm"),
        ("rim width", "rim_width_mm"),
        ("offset", "offset_mm"),
    ):
        change = _signed(new[key] - old[key], units)
        rows.append([name, length_text(old[key], units), length_text(new[key], units), change])
    wider = (new["grown_section_width_mm"] - old["grown_section_width_mm"]) / 2
    inset = new["offset_mm"] - old["offset_mm"]
    rows.append(["inner side wall, inwards", "", "", _signed(wider + inset, units)])
    rows.append(["outer side wall, outwards", "", "", _signed(wider - inset, units)])
    rows.append(["body over the ground", "", "", _signed(record["tyres"]["lift_mm"], units)])
    return table(["measure", "old", "new", "change"], rows)


def _signed(value: float, units: Units) -> str:
    if abs(value) < 0.05:
        return "none"
    return ("+" if value > 0 else "−") + length_text(abs(value), units)


def locks_table(record: Record, units: Units) -> list[str]:
    """Locks, first limits and changes, a column a condition."""
    states = [record[key] for key in ("old", "kept", "anew") if record[key] is not None]
    rows: list[list[str]] = []

    def row(name: str, where: str, *values: str) -> None:
        rows.append([name, where, *values])

    for side in ("left", "right"):
        turns = [state["turns"][side] for state in states]
        row("lock, inner wheel", f"{side} turn", *(f"{turn['lock_deg']:.1f}°" for turn in turns))
        row("first limit", f"{side} turn", *(_first(turn, units) for turn in turns))
        row(
            "over-centre margin",
            f"{side} turn",
            *(f"{turn['over_centre_margin_deg']:.1f}°" for turn in turns),
        )
    for name, key in (("tyre to strut tube", "tyre_to_strut_mm"), ("scrub radius", "scrub_radius_mm")):
        row(
            name,
            "least" if "strut" in key else "left wheel",
            *(_least(state[key], key, units) for state in states),
        )
    turning = [max(turn["turning_circle_mm"] for turn in state["turns"].values()) for state in states]
    row("turning circle, kerb to kerb", "wider turn", *(f"{size / 1000:.2f} m" for size in turning))
    row("track", "both", *(length_text(state["track_mm"], units) for state in states))
    for key in dict.fromkeys(key for state in states for key in state["changes_mm"]):
        row(
            key_words(key),
            "both",
            *(length_text(state["changes_mm"].get(key, 0.0), units) for state in states),
        )
    row("tie rod", "left", *(length_text(state["tie_rods_mm"][0], units) for state in states))
    head = ["measure", "where", "old tyre", "new, all else kept", "new, sized anew"]
    return table(head[: 2 + len(states)], rows)


def _least(values: Sequence[float], key: str, units: Units) -> str:
    return length_text(min(values) if "strut" in key else values[0], units)


def _first(turn: Record, units: Units) -> str:
    travel = turn["first_limit_travel_mm"]
    at = ""
    if travel is not None and abs(travel) >= 0.05:
        at = f", {length_text(abs(travel), units, 0)} {'bump' if travel > 0 else 'droop'}"
    return f"{escaped(turn['first_limit'])} at {turn['first_limit_deg']:.1f}°{at}"


def places_table(places: Sequence[Record], units: Units) -> list[str]:
    """Places of the bodies, old and new."""
    rows = []
    for place in places:
        old, new = place["old"], place["new"]
        at = ", ".join(length_text(value, units, 0) for value in new["at_mm"])
        rows.append(
            [
                escaped(place["name"]),
                at,
                length_text(old["clearance_mm"], units),
                length_text(new["clearance_mm"], units),
                pose_words(old["pose"], units),
                pose_words(new["pose"], units),
                place["status"],
            ]
        )
    return table(["place", "x, y, z, new", "old", "new", "old: least at", "new: least at", ""], rows)


def newly_lines(places: Sequence[Record], units: Units) -> list[str]:
    """Where places reach farther than on the old tyre, one sentence each."""
    lines = []
    for place in places:
        if place["newly"] is not None:
            spans = (
                f"{axis} {length_text(low, units, 0)} to {length_text(high, units, 0)}"
                for axis, low, high in zip("xyz", *place["newly"]["extent_mm"], strict=True)
            )
            share = 100 * place["newly"]["share"]
            lines.append(
                f"newly too near of '{place['name']}': {', '.join(spans)} ({share:.0f} % of what is now)"
            )
    return lines


def hardware_table(gaps: Sequence[Record], record: Record, units: Units) -> list[str]:
    """Gaps of the tyre to arm, strut, tie rod and bars."""
    rows = []
    for gap in gaps:
        wanted = record["wanted_gap_mm"]
        if gap["at_rest_mm"] < 0:
            judged = "overlap at rest: joined by design, or measured wrong"
        elif gap["new_mm"] < 0:
            judged = "touches"
        else:
            judged = "less than wanted" if gap["new_mm"] < wanted else ""
        rows.append(
            [
                escaped(gap["name"]),
                gap["corner"],
                length_text(gap["old_mm"], units),
                length_text(gap["new_mm"], units),
                pose_words(gap["pose"], units),
                judged,
            ]
        )
    return table(["tyre and", "corner", "old gap", "new gap", "new: least at", ""], rows)


def cuts_table(cuts: Sequence[Record], units: Units) -> list[str]:
    """Cut lines, and the metal more that goes."""
    rows = []
    for cut in cuts:
        old, new = cut["old"], cut["new"]
        if cut["beyond_mm"] is None:
            beyond = "–"
        elif cut["beyond_mm"] < 0.5:
            beyond = "nowhere"
        else:
            at = ", ".join(length_text(value, units, 0) for value in cut["beyond_at_mm"])
            beyond = f"up to {length_text(cut['beyond_mm'], units, 0)} at {at}"
        rows.append(
            [
                f"{escaped(cut['body'])}, {cut['wheel']} wheel",
                _line_words(old, units),
                _line_words(new, units),
                _more(cut),
                beyond,
            ]
        )
    return table(["cut line", "old", "new", "metal more", "new line outside of the old"], rows)


def _more(cut: Record) -> str:
    unknown = any(cut[key]["no_line"] and not cut[key]["lines"] for key in ("old", "new"))
    return "not known" if unknown else f"{cut['more_mm2'] / 100:+.0f} cm²"


def no_lines(cuts: Sequence[Record], units: Units) -> list[str]:
    """Why pieces that have to be cut have no line, one sentence each."""
    reasons = dict.fromkeys(
        reason for cut in cuts for key in ("old", "new") for reason in cut[key]["no_line"]
    )
    return [f"no line: {sentence_text(reason, units)}" for reason in reasons]


def _line_words(lines: Record, units: Units) -> str:
    if lines["no_line"] and not lines["lines"]:
        return "no line, see below"
    if not lines["lines"]:
        return "nothing to cut"
    sizes = " and ".join(
        " × ".join(length_text(side, units, 0) for side in size) for size in lines["sizes_mm"][:2]
    )
    edge = lines["along_edge"]
    along = f", {100 * edge:.0f} % along the edge of what was measured" if edge >= 0.005 else ""
    return f"{lines['area_mm2'] / 100:.0f} cm², {sizes}{along}"
