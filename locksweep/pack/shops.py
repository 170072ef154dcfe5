"""Which part goes to which kind of shop with which files, or to none, and what the shop's list says of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

from solver.strength.materials import material

Shop = Literal["machining", "cutting", "printing"]
SHOPS: tuple[Shop, ...] = get_args(Shop)

SUFFIXES: Mapping[Shop, tuple[str, ...]] = {
    "machining": (".step", ".dxf", ".pdf"),
    "cutting": (".dxf", ".step", ".pdf"),
    "printing": (".stl", ".3mf"),
}
"""Of the files that each kind of shop can use."""
NOT_TO_CUT = "-drawing.dxf"
"""End of a name that no cutting shop gets: the drawing as DXF might be cut in place of the outline."""
SHEETS: Mapping[Shop, tuple[str, ...]] = {"machining": (), "cutting": (), "printing": ("mock-ups.md",)}
"""Of the build's documents, what each kind of shop gets beside the files of its parts."""
CUT_KINDS = ("plate",)
"""Kinds of blank that a cutting shop has; what comes from bar, tube or block is machined."""
OWN_KINDS = ("paper",)
"""Kinds of blank that no shop is asked for: the builder prints them."""
AID = "marking aid"
"""Role of what is not held against the car and needs no mock-up."""

GENERAL = "ISO 2768-m"
"""General tolerance of parts whose notes say nothing else."""
FINISH = "deburr"
MOCK_UP = "printed mock-up, for fit checks only"


@dataclass(frozen=True)
class Row:
    """One part on a shop's list; lengths in mm, masses in kg, None where it does not apply.

    condition: of the material, "" where there is none
    blank: what has to be bought for one, as the trade calls it; files: names in the archive
    cutting: how it is cut out of plate, as the record has it, None where it is not
    prints: pieces of a mock-up: file, how many for all of the quantity, and its sides as it lies
    """

    part: str
    title: str
    revision: str
    quantity: int
    material: str
    condition: str
    thickness: float | None
    process: str
    tolerance: str
    finish: str
    mass: float | None
    envelope: tuple[float, float, float]
    cut_length: float | None
    blank: Mapping[str, Any] | None
    carries: bool
    overridden: bool
    files: tuple[str, ...]
    cutting: Mapping[str, Any] | None = None
    prints: tuple[tuple[str, int, tuple[float, ...]], ...] = ()


def rows_for(shop: Shop, record: Mapping[str, Any], names: Iterable[str]) -> list[Row]:
    """Parts that a kind of shop makes, in the order of the record; empty where it has nothing to do.

    names: of the files that the build left behind
    """
    found = []
    listed = sorted(names)
    for part in record["parts"]:
        files = _files(part, SUFFIXES[shop], listed)
        if part["blank"]["kind"] in OWN_KINDS:
            continue
        if shop == "printing":
            if files and part["role"] != AID:
                found.append(_printed(part, files))
        elif (part["blank"]["kind"] in CUT_KINDS) == (shop == "cutting"):
            clear = tuple(name for name in files if shop != "cutting" or not name.endswith(NOT_TO_CUT))
            found.append(_row(part, clear))
    return found


def changed(record: Mapping[str, Any], then: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Parts of a record that an earlier one doesn't have with the same letter, or not as many of them."""
    had = {(part["name"], part["revision"]): part["quantity"] for part in then["parts"]}
    return [
        part for part in record["parts"] if part["quantity"] > had.get((part["name"], part["revision"]), 0)
    ]


def own_prints(record: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of the parts that go to no shop, as the builder prints them."""
    return tuple(part["name"] for part in record["parts"] if part["blank"]["kind"] in OWN_KINDS)


def tolerance_and_finish(notes: Sequence[str]) -> tuple[str, str, str]:
    """From a part's notes for the shop: tolerances, finish, and what the same note says of welding; "" for nothing."""
    note = next((note for note in notes if "ISO 2768" in note), "")
    pieces = [piece.strip() for piece in note.split(";")] if note else []
    last = next((i for i, piece in enumerate(pieces) if "ISO 2768" in piece), -1)
    finish = next((i for i, piece in enumerate(pieces) if i > last and piece.startswith(FINISH)), len(pieces))
    return (
        "; ".join(pieces[: last + 1]) or GENERAL,
        "; ".join(pieces[finish:]) or FINISH,
        "; ".join(pieces[last + 1 : finish]),
    )


def _files(part: Mapping[str, Any], suffixes: tuple[str, ...], names: Sequence[str]) -> tuple[str, ...]:
    """Files of a part: its name and revision, alone or with something behind, such as "-drawing"."""
    stem = f"{part['name']}-{part['revision']}"
    return tuple(
        name
        for name in names
        if name.startswith((f"{stem}.", f"{stem}-")) and name.lower().endswith(suffixes)
    )


def _row(part: Mapping[str, Any], files: tuple[str, ...]) -> Row:
    tolerance, finish, welding = tolerance_and_finish(part["notes"])
    flat = part["flat"]
    cut = flat is not None and part["blank"]["kind"] in CUT_KINDS
    return Row(
        part=part["name"],
        title=part["title"],
        revision=part["revision"],
        quantity=part["quantity"],
        material=part["material"],
        condition=material(part["material"]).condition,
        thickness=flat["thickness_mm"] if cut else None,
        process="; ".join(filter(None, (part["process"], welding))),
        tolerance=tolerance,
        finish=finish,
        mass=part["mass_kg"],
        envelope=_sides(part),
        cut_length=flat["cut_length_mm"] if cut else None,
        blank=part["blank"],
        carries=part["role"] in ("carries the car", "limits steering"),
        overridden=bool(part["overridden"]),
        files=files,
        cutting=part.get("cutting"),
    )


def _printed(part: Mapping[str, Any], files: tuple[str, ...]) -> Row:
    return Row(
        part=part["name"],
        title=f"mock-up: {part['title']}",
        revision=part["revision"],
        quantity=part["quantity"],
        material="any that prints well",
        condition="",
        thickness=None,
        process=MOCK_UP,
        tolerance="as the printer holds it",
        finish="as printed, supports taken off",
        mass=None,
        envelope=_sides(part),
        cut_length=None,
        blank=None,
        carries=False,
        overridden=bool(part["overridden"]),
        files=files,
        prints=tuple(
            (piece["file"], piece["count"] * part["quantity"], tuple(piece["size_mm"]))
            for piece in (part.get("mock_up") or {"pieces": ()})["pieces"]
        ),
    )


def _sides(part: Mapping[str, Any]) -> tuple[float, float, float]:
    x, y, z = part["envelope_mm"]
    return (x, y, z)
