"""Two states of a job compared, for the terminal, made from the record alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from locksweep.console import aligned
from locksweep.documents.markdown import escaped, table
from locksweep.job.findings import printable
from locksweep.units import Units, length_text, sentence_text

Record = Mapping[str, Any]

LONGEST = 46
"""Of a value in a table, letters."""
MOST_KEYS = 4
"""That are told of one dimension in the terminal; all are in the record."""


def compare_text(record: Record) -> str:
    """All of it, what comes out of it first."""
    units: Units = record["new"]["units"]
    lines = [f"{_side_words(record['old'])}  against  {_side_words(record['new'])}", ""]
    jobs = [record[side]["job"] for side in ("old", "new")]
    if jobs[0] != jobs[1]:
        lines += [f"These are two jobs: {printable(jobs[0])}; {printable(jobs[1])}.", ""]
    lines += [f"NOT AS IT WAS WRITTEN: {words}." for words in record["damage"]]
    lines += [""] if record["damage"] else []
    for side in ("old", "new"):
        if not record[side]["goal_met"]:
            lines += [f"The {side} job's goal is out of reach: {record[side]['answer']}.", ""]
    lines += [*(f"  - {sentence}" for sentence in in_short(record)), ""]
    if record["parts"]:
        lines += ["Parts", *aligned(_parts_table(record)), ""]
    for part in record["parts"]:
        if part["status"] != "unchanged" or part["look_first"]:
            lines += [*_part_lines(part, record, units), ""]
    if record["keys"]:
        lines += ["What differs in the job files", *aligned(_keys_table(record)), *_key_problems(record), ""]
    elif all(part["status"] == "unchanged" for part in record["parts"]):
        lines += ["Nothing that makes a part differs, so the job files were not looked through.", ""]
    return "\n".join([*lines, record["caution"]])


def in_short(record: Record) -> list[str]:
    """What comes out of it, a sentence for each kind of answer."""
    lines = []
    for verdict, words in (
        ("must be made anew", "to be made anew"),
        ("is new", "new"),
        ("can be reworked", "old ones can be reworked"),
        ("can be used", "old ones can be used"),
        ("is not needed", "no longer needed"),
        ("not told", "can't be told"),
    ):
        names = [_named(part) for part in record["parts"] if part["verdict"] == verdict]
        if names:
            lines.append(f"{words}: {', '.join(names)}")
    return lines or ["neither job has a part"]


def _named(part: Record) -> str:
    letter = part["new_revision"]
    return f"{part['name']} (revision {letter})" if letter and part["status"] != "unchanged" else part["name"]


def _side_words(side: Record) -> str:
    if side["kind"] == "job file":
        return f"{side['source']} as solved now"
    return f"{side['source']}, revision {side['revision']}"


def _parts_table(record: Record) -> list[str]:
    rows = []
    for part in record["parts"]:
        letters = [part[key] or "–" for key in ("old_revision", "new_revision")]
        first = "; look first" if part["look_first"] and part["verdict"] != "must be made anew" else ""
        verdict = {"is new": "there is none", "not told": "can't be told"}.get(
            part["verdict"], part["verdict"]
        )
        rows.append([part["name"], *letters, part["status"], f"{verdict}{first}"])
    return table(["part", "old", "new", "", "the old one"], rows)


def _part_lines(part: Record, record: Record, units: Units) -> Iterator[str]:
    yield f"{part['name']}: {part['status']}; the old one {_verdict_words(part['verdict'])}"
    for change in part["changes"]:
        yield f"  {_change_words(change, units)}"
        for effect in change["keys"][:MOST_KEYS]:
            yield f"    because of {_effect_words(effect, change, record, units)}"
        if not change["keys"]:
            yield f"    because of {_no_key(part, record)}"
    if part["keys"]:
        yield f"  because of {', '.join(map(escaped, part['keys']))}"
    for sentence in part["reasons"]:
        yield f"  - {printable(sentence_text(sentence, units))}"
    for sentence in part["look_first"]:
        yield f"  - first: {printable(sentence_text(sentence, units))}"


def _verdict_words(verdict: str) -> str:
    return {"is new": "is not there", "not told": "can't be judged"}.get(verdict, verdict)


def _change_words(change: Record, units: Units) -> str:
    name = change["name"].replace("_", " ")
    old, new, by = change["old"], change["new"], change["by"]
    if isinstance(old, list) or isinstance(new, list):
        what = "corners" if old and isinstance(old[0], list) else "they"
        return f"{name}: " + (
            "another count of entries" if by is None else f"{what} move by up to {length_text(by, units, 2)}"
        )
    if isinstance(old, float) and isinstance(new, float) and by is not None:
        sign = "+" if by > 0 else "−"
        change_text = f"{sign}{length_text(abs(by), units, 2)}"
        return f"{name}: {length_text(old, units, 2)} to {length_text(new, units, 2)}, {change_text}"
    return f"{name}: {printable(str(old))} to {printable(str(new))}"


def _effect_words(effect: Record, change: Record, record: Record, units: Units) -> str:
    key = next(key for key in record["keys"] if key["key"] == effect["key"])
    words = printable(effect["key"])
    if key["old"] == key["new"]:
        words += f", {key['old']}"
    else:
        words += f", {printable(_short(key['old']))} to {printable(_short(key['new']))}"
    if effect["alone"] == change["new"] and effect["without"] == change["old"]:
        return words
    alone, without = effect["alone"], effect["without"]
    if isinstance(change["old"], list):
        return f"{words} (with others)"
    told = [
        f"alone it gives {_value_words(alone, units)}",
        f"without it there would be {_value_words(without, units)}",
    ]
    return f"{words} ({'; '.join(told)})"


def _value_words(value: Any, units: Units) -> str:
    if value is None:
        return "no such part"
    return length_text(value, units, 2) if isinstance(value, float) else printable(str(value))


def _no_key(part: Record, record: Record) -> str:
    if part["by_tool"]:
        versions = " and ".join(dict.fromkeys(record[side]["tool_version"] for side in ("old", "new")))
        return f"the tool: this version makes it otherwise than the one that built it ({versions})"
    return "several keys together: none moves it by itself"


def _keys_table(record: Record) -> list[str]:
    rows = []
    for key in record["keys"]:
        if key["same_meaning"]:
            does = "nothing: it means the same"
        else:
            moved = [
                part["name"]
                for part in record["parts"]
                if key["key"] in part["keys"]
                or any(effect["key"] == key["key"] for change in part["changes"] for effect in change["keys"])
            ]
            does = f"moves {', '.join(moved)}" if moved else "moves no part by itself"
        rows.append([escaped(key["key"]), escaped(_short(key["old"])), escaped(_short(key["new"])), does])
    return table(["key", "old", "new", "what it does"], rows)


def _key_problems(record: Record) -> Iterator[str]:
    for key in record["keys"]:
        for name, what in (
            ("alone", "changed alone"),
            ("without", "left as it was while the rest changes"),
        ):
            if key[name] is not None:
                yield f"  {printable(key['key'])} {what} gives no parts: {printable(key[name])}"


def _short(text: str) -> str:
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
