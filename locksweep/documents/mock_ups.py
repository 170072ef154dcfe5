"""What to print: each mock-up's pieces, how they lie and go together, and where walls are too thin to print."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.documents.markdown import table
from solver.printing import Printing

MOCK_UPS = "mock-ups.md"
"""Name of the document."""

INTRODUCTION = (
    "These are for fit checks on a standing car only. Nothing printed here may carry any load, and nobody may drive "
    "with a mock-up in the car."
)
WORDS = {"sunk": "sunk into it", "tag": "on a tag: break it off and file the stub flush", "none": "none"}
JOINING = {
    "pin": "Pins go into the holes of both pieces; they are there to line the pieces up.",
    "strap": "Straps go across a seam from the inside, their pins into the holes beside it.",
}
"""How pieces go together, by the first word of what joins them."""


def mock_ups_text(record: Mapping[str, Any], printing: Printing) -> str:
    """The document, Markdown, of a record whose parts were built."""
    bed = " × ".join(f"{side:.0f}" for side in printing.bed)
    lines = [
        "# Mock-ups to print",
        "",
        INTRODUCTION,
        "",
        f"Made for {printing.process} on a bed of {bed} mm: {printing.clearance:.2f} mm of clearance on each side of "
        f"holes and of faces that mate, walls of at least {printing.least_wall:.2f} mm. Another printer goes into the "
        "job file under `[printing]`. Print one test piece first: a printer may be off by 0.5 mm on sizes.",
        "",
        "Each piece lies in its file as it is to be printed. A 3MF file holds all pieces of one part; have the slicer "
        "arrange them. The STL files are the same pieces one by one: print the one or the others.",
        "",
    ]
    for part in record["parts"]:
        if part["mock_up"]:
            lines += _part(part)
    return "\n".join(lines).rstrip("\n") + "\n"


def _part(part: Mapping[str, Any]) -> list[str]:
    mock_up, quantity = part["mock_up"], part["quantity"]
    pieces = mock_up["pieces"]
    how_often = "once" if quantity == 1 else f"{quantity} times"
    lines = [f"## {part['name']}-{part['revision']}", "", f"Print {mock_up['package']} {how_often}, or:", ""]
    rows = [
        (
            piece["file"],
            str(piece["count"] * quantity),
            " × ".join(f"{side:.1f}" for side in piece["size_mm"]),
            WORDS[piece["words"]],
        )
        for piece in pieces
    ]
    lines += [*table(("file", "print", "size in mm", "words"), rows)]
    bodies = [piece for piece in pieces if piece["words"] != "none"]
    joiners = {piece["name"].split()[0] for piece in pieces if piece["words"] == "none"}
    told = []
    if mock_up["halves"]:
        told.append(
            "It comes in halves, so that it goes round a part that is not cut yet. Hold them with tape."
        )
    elif len(bodies) > 1:
        told.append("It is larger than the bed and comes in pieces that are glued together.")
    if len(bodies) > 1 and not joiners:
        told.append("The cut has no room for locating pins: line the pieces up by eye, with tape across.")
    told += [words for kind, words in JOINING.items() if kind in joiners]
    if not all(piece["lies_flat"] for piece in bodies):
        told.append("It has no flat side to lie on: print it with supports.")
    if not all(piece["fits_the_bed"] for piece in pieces):
        told.append("A piece is larger than the bed even so, by its size above. Print it on a larger one.")
    if mock_up["too_thin"]:
        x, y, z = mock_up["thinnest_at_mm"]
        told.append(
            f"THIN WALL: {mock_up['thinnest_wall_mm']:.2f} mm near x {x:.0f}, y {y:.0f}, z {z:.0f} mm of the part's "
            "own frame. It may come out with gaps or not at all."
        )
    return [*lines, *(line for words in told for line in (words, ""))]
