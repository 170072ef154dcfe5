"""The dimension summary for people, in Markdown, made from the record alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.documents.cutting import cutting_warnings, cutting_words
from locksweep.documents.markdown import bullets, escaped, table
from locksweep.documents.record import units_of
from locksweep.documents.wording import in_reader_units
from locksweep.units import Units, length_text
from solver.margins import TOLD

STOP_BRACKET = "stop bracket"
ROUNDING = 0.006
"""mm; the record holds hundredths."""

Record = Mapping[str, Any]


def summary_text(record: Record, picture: str | None = None) -> str:
    """The whole summary; with a picture of all parts by its file's name."""
    record = in_reader_units(record)
    lines = [f"# {escaped(record['job']['name'])}", ""]
    lines += [f"**{escaped(record['caution'])}**", ""]
    lines += _answer(record)
    lines += _parts(record)
    if picture:
        lines += [f"![All parts, at one scale]({picture})", ""]
    lines += ["## What changes on the car", "", *changes_table(record)]
    lines += ["## Before and after", "", *measures_table(record)]
    lines += ["## What stops the wheel, first one first", "", *limits_table(record), *bullets(gains(record))]
    for part in record["parts"]:
        lines += part_section(part, record)
    lines += _refused(record)
    lines += ["## Definitions", ""]
    lines += bullets(f"**{name}**: {escaped(text)}" for name, text in record["definitions"].items())
    return "\n".join(lines)


def _answer(record: Record) -> list[str]:
    goal, turns = record["goal"], record["as_modified"]["turns"]
    if not goal["met"]:
        return ["## The goal is out of reach", "", escaped(goal["answer"]) + ".", ""]
    locks = f"{turns['left']['lock_deg']:.1f}° to the left, {turns['right']['lock_deg']:.1f}° to the right"
    before = min(turn["lock_deg"] for turn in record["as_measured"]["turns"].values())
    return [
        f"The wanted lock of {goal['lock_deg']:.1f}° is met: {locks}, from {before:.1f}° as measured.",
        "",
    ]


def _parts(record: Record) -> list[str]:
    if not record["parts"]:
        return []
    rows = [
        [
            part["name"],
            part["revision"] or "not built",
            str(part["quantity"]),
            escaped(part["material"]),
            f"{part['mass_kg']:.3f} kg",
            part["role"],
            ", ".join(f"`{name}`" for name in part["files"]),
        ]
        for part in record["parts"]
    ]
    head = ["part", "revision", "quantity", "material", "mass of one", "what it does", "files"]
    return ["## Parts to be made", "", *table(head, rows)]


def changes_table(record: Record) -> list[str]:
    """Every change that is not nothing, with its reason where it was sized."""
    units, changes = units_of(record), record["changes"]
    rows = []
    for key, value in changes.items():
        if key.endswith("_reason") or not value:
            continue
        name = key.removesuffix("_mm").replace("_", " ")
        if key == "wheel":
            offset, rim = (length_text(value[k], units) for k in ("offset_mm", "rim_width_mm"))
            shown = f"{escaped(value['tyre'])}, rim {rim}, offset {offset}"
        elif isinstance(value, Mapping):
            shown = ", ".join(f"{length_text(v, units)} {k}" for k, v in value.items() if v)
        else:
            shown = length_text(value, units, 2)
        reason = changes.get(key.removesuffix("_mm") + "_reason") or "given in the job file"
        if shown:
            rows.append([name, shown, escaped(reason)])
    rods = record["tie_rods"]
    needed = ", ".join(
        f"{side} {length_text(rod, units)}"
        for side, rod in zip(("left", "right"), rods["needed_mm"], strict=True)
    )
    longer = max((n - m for n, m in zip(rods["needed_mm"], rods["measured_mm"], strict=True)), key=abs)
    rows.append(["tie rods between joint centres", needed, _rod_words(record, longer)])
    if rods["chosen_reason"] is not None:
        name = "none of those listed" if rods["chosen"] is None else escaped(rods["chosen"])
        rows.append(["tie rod to buy", name, escaped(rods["chosen_reason"])])
    leg = record["arm_leg"]
    if leg is not None and leg["needed_mm"] != leg["measured_mm"]:
        shown = f"{length_text(leg['measured_mm'], units)} to {length_text(leg['needed_mm'], units)}"
        rows.append(["other leg of each lower arm", shown, "it must meet the longer link; not made here"])
    return table(["change", "amount", "why"], rows)


def _rod_words(record: Record, longer: float) -> str:
    units, rods = units_of(record), record["tie_rods"]
    words = f"{length_text(abs(longer), units)} {'longer' if longer > 0 else 'shorter'} than measured"
    if record["changes"]["tie_rod_length_mm"] is None:
        words += ", restores the measured toe"
    if rods["at_hand_fit"] is None:
        return words
    span = " to ".join(length_text(rod, units) for rod in rods["at_hand_mm"])
    if not rods["at_hand_fit"]:
        return words + f"; the rods at hand adjust to {span}: **they don't**"
    outward, inward = (min(each) for each in zip(*rods["thread_left_mm"], strict=True))
    return (
        words
        + f"; the rods at hand adjust to {span}: they fit, with {length_text(outward, units)} of thread left to "
        f"screw out and {length_text(inward, units)} to screw in"
    )


def measures_table(record: Record) -> list[str]:
    """Measures as measured and as modified, left and right; one row for both where they read alike."""
    units = units_of(record)
    before, after = record["as_measured"], record["as_modified"]
    rows: list[list[str]] = []

    def pair(name: str, group: str, key: str, text: Any) -> None:
        what = "turn" if group == "turns" else "wheel"
        left, right = (
            [_text(state[group][side][key], text) for state in (before, after)] for side in ("left", "right")
        )
        if left == right:
            rows.append([name, f"both {what}s", *left])
        else:
            rows.extend([[name, f"left {what}", *left], [name, f"right {what}", *right]])

    def mm(value: float) -> str:
        return length_text(value, units)

    def slope(value: float) -> str:
        return f"{value:.2f}° in 10 mm" if units == "mm" else f"{value * 2.54:.2f}° in 1 in"

    def span(ends: list[float]) -> str:
        return " to ".join(mm(end) for end in ends)

    pair("lock, inner wheel", "turns", "lock_deg", _degrees)
    pair("outer wheel", "turns", "outer_deg", _degrees)
    pair("ideal outer wheel", "turns", "ideal_outer_deg", _degrees)
    pair("percent Ackermann", "turns", "percent_ackermann", lambda v: f"{v:.0f} %")
    pair("over-centre margin at lock", "turns", "over_centre_margin_deg", _degrees)
    pair("rack left to over-centre", "turns", "over_centre_rack_left_mm", mm)
    for name, key in (
        ("turning circle, kerb to kerb", "turning_circle_mm"),
        ("turning circle, wall to wall, tyres alone", "wall_to_wall_mm"),
    ):
        pair(name, "turns", key, lambda v: f"{v / 1000:.2f} m")
    pair("slip of the outer wheel at lock", "turns", "outer_slip_deg", _degrees)
    pair("jacking at lock, lift", "turns", "jacking_lift_mm", mm)
    pair("jacking at lock, roll", "turns", "jacking_roll_mm", mm)
    pair("steering ratio at lock", "turns", "steering_ratio", lambda v: f"{v:.1f} : 1")
    for name, key in (
        ("bump steer at lock, inner wheel", "inner_bump_steer_deg_per_10mm"),
        ("bump steer at lock, outer wheel", "outer_bump_steer_deg_per_10mm"),
    ):
        pair(name, "turns", key, slope)
    for name, key in (
        ("camber", "camber_deg"),
        ("toe, positive in", "toe_deg"),
        ("caster", "caster_deg"),
        ("steering-axis inclination", "inclination_deg"),
    ):
        pair(name, "corners", key, lambda v: f"{v:.2f}°")
    for name, key in (
        ("scrub radius", "scrub_radius_mm"),
        ("mechanical trail", "mechanical_trail_mm"),
        ("tie rod", "tie_rod_mm"),
        ("tyre to strut tube", "tyre_to_strut_mm"),
    ):
        pair(name, "corners", key, mm)
    pair("bump steer straight ahead", "corners", "bump_steer_deg_per_10mm", slope)
    pair("change of toe over the travel", "corners", "toe_change_deg", lambda v: f"{v:.2f}°")
    pair("camber gain", "corners", "camber_gain_deg_per_10mm", slope)
    pair("roll centre over the ground", "corners", "roll_centre_mm", mm)
    pair("roll centre over the travel", "corners", "roll_centre_range_mm", span)
    pair("largest angle of the tie rod's inner joint", "corners", "tie_rod_inner_angle_deg", _degrees)
    pair("largest angle of the tie rod's outer joint", "corners", "tie_rod_outer_angle_deg", _degrees)
    rows.append(["track", "both", mm(before["track_mm"]), mm(after["track_mm"])])
    turns = [f"{state['turns_lock_to_lock']:.2f}" for state in (before, after)]
    rows.append(["turns lock to lock", "steering wheel", *turns])
    for name, key in (
        ("steering ratio straight ahead", "steering_ratio"),
        ("steering ratio lock to lock", "overall_steering_ratio"),
    ):
        ratios = [_text(state[key], lambda v: f"{v:.1f} : 1") for state in (before, after)]
        rows.append([name, "steering wheel", *ratios])
    return table(["measure", "where", "as measured", "as modified"], rows)


def held_by_bracket(turn: Record) -> bool:
    """True where the stop brackets end a turn, short of its first limit."""
    return bool(turn["rack_mm"] < turn["limits"][0]["rack_mm"] - ROUNDING)


def limits_table(record: Record) -> list[str]:
    """Limits of the modified car for each turn, each as if it were the only one, in the order they are met.

    The stop brackets go before them where they end the turn.
    """
    units = units_of(record)
    rows = []
    for turn, state in record["as_modified"]["turns"].items():
        if held_by_bracket(state):
            lock = f"{state['lock_deg']:.1f}°"
            rows.append([turn, STOP_BRACKET, "arm", lock, length_text(state["rack_mm"], units), ""])
        for limit in state["limits"]:
            rows.append([turn, escaped(limit["name"]), *_met(limit, units)])
        for limit in state["limits_aside"]:
            rows.append([turn, escaped(limit["name"]) + " (doesn't count)", *_met(limit, units)])
    return table(["turn", "limit", "where", "lock then", "rack from centre", "first met at"], rows)


def _met(limit: Record, units: Units) -> list[str]:
    travel = "" if limit["travel_mm"] is None else _travel(limit["travel_mm"], units)
    wheel = f"{limit['wheel']} wheel" if limit["wheel"] else "rack"
    return [wheel, f"{limit['lock_deg']:.1f}°", length_text(limit["rack_mm"], units), travel]


def gains(record: Record) -> list[str]:
    """What moving the first limit of each turn brings, and what isn't met at all, a sentence each."""
    units = units_of(record)
    lines = []
    for turn, state in record["as_modified"]["turns"].items():
        gain = state["gain"]
        if gain is not None:
            by = _size(gain, "amount", units)
            first = f"{escaped(gain['name'])} comes first"
            if held_by_bracket(state):
                short = length_text(state["limits"][0]["rack_mm"] - state["rack_mm"], units)
                first = f"the {STOP_BRACKET} holds the wheel {short} of rack before {escaped(gain['name'])}"
            lines.append(
                f"In the {turn} turn {first}; {by} of it brings {gain['lock_deg']:.1f}° more, and then "
                f"{escaped(gain['next'])} is met."
            )
    never: dict[str, tuple[float, str]] = {}
    states = list(record["as_modified"]["turns"].values())
    met = {limit["name"] for state in states for limit in (*state["limits"], *state["limits_aside"])}
    for state in states:
        for item in state["unmet"]:
            if item["name"] in met:
                continue
            key, value = (
                escaped(item["name"]),
                item["left_mm"] if item["left_deg"] is None else item["left_deg"],
            )
            if key not in never or value < never[key][0]:
                never[key] = value, _size(item, "left", units)
    if never:
        told = "; ".join(f"{name} ({size} left)" for name, (_, size) in never.items())
        lines.append(f"Not met within the sweep: {told}.")
    return lines


def _size(item: Record, key: str, units: Units) -> str:
    degrees, length = item[f"{key}_deg"], item[f"{key}_mm"]
    if degrees is not None:
        return f"{degrees:.1f}°"
    over = "over " if key == "left" and length >= TOLD else ""
    return over + length_text(length, units)


def part_section(part: Record, record: Record) -> list[str]:
    """One part: what it is, its dimensions and what set them."""
    units = units_of(record)
    revision = f", revision {part['revision']}" if part["revision"] else ""
    lines = [f"## {part['name']}{revision}", ""]
    for file in part["files"]:
        if file.endswith(".png"):
            lines += [f"![{part['name']}]({file})", ""]
    size = " × ".join(length_text(side, units) for side in part["envelope_mm"])
    lines += bullets(
        [
            f"{part['title']}, {part['quantity']} off, {escaped(part['material'])}: {escaped(part['fits'])}",
            f"process: {escaped(part['process'])}",
            f"size over all: {size}; {part['mass_kg']:.3f} kg each",
            *_flat_words(part, record),
            blank_words(part, units),
            *([cutting_words(part["cutting"], units)] if part["cutting"] else ()),
            *(
                f"**may not be cut by {part['cutting']['process']}: {escaped(w)}**"
                for w in cutting_warnings(part)
            ),
            *(f"**made by override of the builder: {escaped(sentence)}**" for sentence in part["overridden"]),
        ]
    )
    rows = [
        [name.replace("_", " "), _dimension(name, value, record)]
        for name, value in part["dimensions"].items()
    ]
    lines += table(["dimension", "value"], rows)
    lines += _bend_table(part, record)
    lines += ["What set it:", "", *bullets(escaped(reason) for reason in part["reasons"])]
    return [*lines, "For the shop and for fitting:", "", *bullets(escaped(note) for note in part["notes"])]


def blank_words(part: Record, units: Units) -> str:
    """What has to be bought for one part, as a clause."""
    blank = part["blank"]
    if blank["kind"] == "paper":
        # By any printer, on more than one sheet where it is larger than one.
        return "nothing to buy: it is printed on paper"
    x, y, z = (length_text(side, units, 0) for side in blank["size_mm"])
    kind = "" if blank["kind"] == "block" else f"{blank['kind']} "
    size = f"{x} × {y}" if blank["kind"] == "plate" else z if blank["kind"] != "block" else f"{x} × {y}, {z}"
    long = "" if blank["kind"] == "plate" else " long"
    return f"to buy for each: {kind}{blank['stock']}, {size}{long}, {blank['mass_kg']:.2f} kg"


def _flat_words(part: Record, record: Record) -> list[str]:
    flat = part["flat"]
    if flat is None or part["blank"]["kind"] == "paper":
        return []
    units = units_of(record)
    thickness = length_text(flat["thickness_mm"], units, 2)
    cut = length_text(flat["cut_length_mm"], units, 0)
    bends = {0: "no bend", 1: "1 bend"}.get(flat["bends"], f"{flat['bends']} bends")
    return [f"flat blank: {thickness} thick, {bends}, {cut} of cut"]


def _bend_table(part: Record, record: Record) -> list[str]:
    """Rows that are alike are told once, with all their numbers; they are those of the cutting file's bend lines."""
    bends = part["flat"]["bend_table"] if part["flat"] else []
    if not bends:
        return []
    units = units_of(record)
    alike: dict[tuple[str, ...], list[str]] = {}
    for bend in bends:
        sizes = (length_text(bend[key], units, 2) for key in ("radius_mm", "allowance_mm", "deduction_mm"))
        cells = (f"{bend['angle_deg']:.1f}° {bend['direction']}", *sizes, f"{bend['k_factor']:.2f}")
        alike.setdefault(cells, []).append(str(bend["number"]))
    head = ["bend", "angle", "inside radius", "allowance", "deduction", "K-factor"]
    return table(head, [[", ".join(numbers), *cells] for cells, numbers in alike.items()])


def _dimension(name: str, value: Any, record: Record) -> str:
    units = units_of(record)
    if isinstance(value, str):
        return value
    if name == "k_factor":
        return f"{value:.2f}"
    if isinstance(value, float):
        return length_text(value, units, 2)
    if isinstance(value, list) and value and isinstance(value[0], list):
        return ", ".join(f"({x:.1f}, {y:.1f})" for x, y in value) + " mm"
    if isinstance(value, list) and all(isinstance(item, float) for item in value):
        return ", ".join(length_text(item, units, 2) for item in value)
    if isinstance(value, list):
        return ", ".join("yes" if item is True else "no" if item is False else str(item) for item in value)
    return str(value)


def _refused(record: Record) -> list[str]:
    if not record["refused"]:
        return []
    lines = ["## Parts that are not made", ""]
    return lines + bullets(
        f"**{item['name']}**, {item['limit']}: {escaped(item['reason'])}. Possible instead: {escaped(item['nearest'])}"
        for item in record["refused"]
    )


def _travel(value: float, units: Any) -> str:
    if abs(value) < 0.05:
        return "ride height"
    return f"{length_text(abs(value), units)} {'bump' if value > 0 else 'droop'}"


def _text(value: Any, text: Any) -> str:
    return "none" if value is None else text(value)


def _degrees(value: float) -> str:
    return f"{value:.1f}°"
