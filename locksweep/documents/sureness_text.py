"""How sure an answer is, in words, made from its record alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from locksweep.documents.markdown import escaped, table
from locksweep.units import Units, length_text

Record = Mapping[str, Any]
MOST_ROWS = 8
UNLIKE_MATTERS = 0.25
"""Share of the variance from which on it is said that one side was not measured."""
READING = "reading "
"""What the keys of a sheet's readings begin with."""


def sureness_lines(record: Record) -> list[str]:
    """The assessment for people, in Markdown with plain paragraphs, made from the record alone."""
    lines = [*_answer(record), ""]
    lines += [
        f"Bands: {100 * record['coverage']:.0f} % of the cars lie between low and high",
        "",
        *bands_table(record),
    ]
    lines += [*_far_away(record), *_first_limits(record), *_over_centre(record), ""]
    lines += ["What matters most; each ± is one standard deviation", "", *matters_table(record)]
    return [*lines, *_what_to_do(record), "", record["caution"]]


def _over_centre(record: Record) -> list[str]:
    lines = []
    for turn, share in record["over_centre_first"].items():
        if share > 0:
            much = f"{100 * share:.1f} %" if share >= 0.001 else "under 0.1 %"
            lines.append(
                f"In {much} of the cars the linkage goes over centre before the stop of the {turn} turn."
            )
    return lines


def _answer(record: Record) -> list[str]:
    verdicts = [item["verdict"] for item in record["quantities"] if item["wanted"] is not None]
    count, chance = f"{record['samples']:,}", f"{100 * record['chance']:.0f} %"
    lost = (
        f" {record['lost']:,} of them can't be put together at all and count as missing."
        if record["lost"]
        else ""
    )
    whole = f"Of {count} cars that the measurements allow, {chance} meet every goal.{lost}"
    if record["safe"]:
        return [
            f"Safe to rely on, as far as the measurements go: every goal holds at the bad end of its band. {whole}"
        ]
    missed, unsafe = verdicts.count("missed"), verdicts.count("not safe")
    words = []
    if missed:
        words.append(f"{missed} of {len(verdicts)} goals {'is' if missed == 1 else 'are'} missed as designed")
    if unsafe:
        words.append(
            f"{unsafe} of {len(verdicts)} goals {'holds' if unsafe == 1 else 'hold'} as designed but not at the bad "
            f"end of {'its' if unsafe == 1 else 'their'} band"
        )
    return [f"Not safe to rely on: {', and '.join(words)}. {whole}"]


def bands_table(record: Record) -> list[str]:
    """Quantities with their bands, those left out that are far from what is wanted in nearly every car."""
    rows = []
    for item in record["quantities"]:
        if _is_far(item):
            continue
        wanted = "" if item["wanted"] is None else f"{_word(item)} {_value(item['wanted'], item, record)}"
        chance = "" if item["chance"] is None else f"{100 * item['chance']:.0f} %"
        ends = [_cut(item[end], item, record) for end in ("as_designed", "low", "high")]
        rows.append([escaped(item["name"]), *ends, wanted, chance, item["verdict"]])
    return table(["quantity", "as designed", "low", "high", "wanted", "chance", "verdict"], rows)


def _is_far(item: Record) -> bool:
    return item["cut_off_at"] is not None and item["low"] >= item["cut_off_at"]


def _far_away(record: Record) -> list[str]:
    far = [item for item in record["quantities"] if _is_far(item)]
    if not far:
        return []
    least = _value(far[0]["cut_off_at"], far[0], record)
    return [f"More than {least} away at the bad end: {', '.join(escaped(item['name']) for item in far)}.", ""]


def _first_limits(record: Record) -> list[str]:
    lines = []
    for turn, limits in record["first_limits"].items():
        parts = [
            f"{escaped(item['name'])} in {100 * item['share']:.0f} %"
            for item in limits
            if item["share"] > 0.005
        ]
        lines.append(f"What limits the lock first in the {turn} turn: {', '.join(parts)} of the cars.")
    return lines


def matters_table(record: Record) -> list[str]:
    """The errors that matter most, with what each does to lock, margin and the clearance that it moves most."""
    # Where all is well, lock and margin are what one would ask about.
    unsafe = [item for item in record["quantities"] if item["verdict"] in ("not safe", "missed")]
    asked = unsafe or [item for item in record["quantities"] if item["kind"] in ("lock", "margin")]
    best: dict[str, float] = {}
    effects: dict[tuple[str, str], tuple[float, Record]] = {}
    sources: dict[str, Record] = {}
    for item in record["quantities"]:
        if item["kind"] not in KINDS or _is_far(item):
            continue
        for share in item["matters"]:
            name = share["name"]
            sources[name] = share
            if item in asked:
                best[name] = max(best.get(name, 0.0), share["share"])
            before = effects.get((name, item["kind"]))
            if before is None or abs(share["effect"]) > abs(before[0]):
                effects[name, item["kind"]] = (share["effect"], item)
    rows = []
    for name in sorted(best, key=lambda name: (-best[name], name))[:MOST_ROWS]:
        cells = [escaped(name), f"±{_value(sources[name]['sigma'], sources[name], record, 2)}"]
        for kind in KINDS:
            found = effects.get((name, kind))
            cells.append("" if found is None else f"±{_value(abs(found[0]), found[1], record)}")
        rows.append(cells)
    return table(["measurement", "known to", *KINDS.values()], rows)


KINDS = {"lock": "moves lock by", "margin": "moves the margin by", "gap": "moves a clearance by"}


def _what_to_do(record: Record) -> list[str]:
    by_name = {item["name"]: item for item in record["quantities"]}
    lines = [f"- {sentence}" for sentence in _advice(record, by_name)]
    if not lines:
        return []
    return ["What to do", "", *lines]


def _advice(record: Record, by_name: Mapping[str, Record]) -> Iterator[str]:
    for advice in record["advice"]:
        item = by_name[advice["quantity"]]
        wanted = f"{_word(item)} {_value(item['wanted'], item, record)}"
        bad = item["high"] if item["wanted_is"] == "greatest" else item["low"]
        text = (
            f"{escaped(item['name'])}: {_value(item['as_designed'], item, record)} as designed, "
            f"{_value(bad, item, record)} at the bad end, {wanted} wanted. Don't rely on it."
        )
        yield f"{text} {_again(advice, record)}{_unlike(advice)}"
    for item in record["quantities"]:
        if item["verdict"] == "missed":
            yield (
                f"{escaped(item['name'])}: {_value(item['as_designed'], item, record)} as designed, {_word(item)} "
                f"{_value(item['wanted'], item, record)} wanted: missed, whatever is measured again."
            )
    if record["advice"]:
        yield _other_sizes(record)
    if record["advice"] and not any(item["key"].startswith(READING) for item in record["uncertainties"]):
        yield (
            "A tape held straight from joint to joint tells more than where each is from the floor: locksweep measure "
            "takes such lengths, finds the points that agree best with all readings, and says what to read next; "
            "locksweep sure JOB --sheet SHEET then reckons with what is known from them."
        )


def _again(advice: Record, record: Record) -> str:
    again = advice["measure_again"]
    if not again:
        return "No few measurements taken again would make it safe: ask for no more than that, or change the design."
    parts = []
    for one in again:
        then, now = (f"±{_value(one[key], one, record, 2)}" for key in ("then", "sigma"))
        parts.append(f"{escaped(one['name'])} to {then} (now {now})")
    return f"It would hold with {'this' if len(parts) == 1 else 'these'} measured again: {'; '.join(parts)}."


def _unlike(advice: Record) -> str:
    if advice["unlike_share"] < UNLIKE_MATTERS:
        return ""
    share = f"{100 * advice['unlike_share']:.0f} %"
    return f" {share} of its variance is one side taken as the other's mirror: measure that side as well."


def _other_sizes(record: Record) -> str:
    safer, units = record["safer"], record["job"]["units"]
    if safer is None:
        return (
            "None of the sizes near by makes every goal hold at the bad end (tried: a spacer one plate thinner or "
            "up to three thicker and arms up to five steps longer, as far as the job leaves them free)."
        )
    spacer, extension = (length_text(safer[key], units) for key in ("rack_spacer_mm", "arm_extension_mm"))
    return (
        f"With a rack spacer of {spacer} and an arm extension of {extension} every goal would hold at the bad end: "
        "write them under [changes] and solve again."
    )


def _word(item: Record) -> str:
    return f"at {'most' if item['wanted_is'] == 'greatest' else 'least'}"


def _cut(value: float, item: Record, record: Record) -> str:
    most = item["cut_off_at"]
    return (
        f"over {_value(most, item, record)}"
        if most is not None and value >= most
        else _value(value, item, record)
    )


def _value(value: float, item: Record, record: Record, digits: int = 1) -> str:
    units: Units = record["job"]["units"]
    return f"{value:.{digits}f}°" if item["unit"] == "deg" else length_text(value, units, digits)


def text_of(record: Record, aligned: Callable[[list[str]], list[str]]) -> str:
    """The assessment for the terminal; ``aligned`` makes columns of a Markdown table."""
    lines = [f"{record['job']['name']}: how sure the answer is", ""]
    rows: list[str] = []
    for line in [*sureness_lines(record), ""]:
        if line.startswith("|"):
            rows.append(line)
            continue
        if rows:
            lines += aligned(rows)
            rows = []
        lines.append(line)
    return "\n".join(_spaced(lines))


def _spaced(lines: Sequence[str]) -> list[str]:
    """Never two empty lines after one another, and none at the end."""
    kept = [line for i, line in enumerate(lines) if line or (i and lines[i - 1])]
    while kept and not kept[-1]:
        kept.pop()
    return kept
