"""What is bought: tie rods by length and taper, hardware by standard and class, tyres, and stock for the parts."""

from __future__ import annotations

from locksweep.units import length_text
from locksweep.work_order.blocks import Block, Paragraph, Section, Table
from locksweep.work_order.facts import Facts
from locksweep.work_order.tables import rows_for

HEAD = ("item", "number", "size", "standard", "class", "to mind", "source", "got")
SHARES = (27.0, 10.0, 28.0, 18.0, 18.0, 28.0, 22.0, 8.0)
BOX = "□"


def purchases(facts: Facts) -> Section:
    """The whole list."""
    rows = [_rods(facts)]
    if facts.record["changes"]["wheel"] is not None:
        rows.append(("front tyres and rims", "2 each", facts.said["wheel"], "", "", "", "job", BOX))
    for row in rows_for("hardware", facts.has, facts.said):
        keys = ("item", "quantity", "size", "standard", "class", "note", "source")
        rows.append((*(row[key] for key in keys), BOX))
    blocks: list[Block] = [Table(HEAD, tuple(rows), SHARES)]
    stock = _stock(facts)
    if stock:
        blocks += [
            Paragraph(
                "Stock for what is made in your own shop; shops that make a part bring their own. Size as cut, for one."
            ),
            Table(
                ("for", "number", "stock", "size", "material", "got"),
                stock,
                (24.0, 10.0, 24.0, 34.0, 20.0, 8.0),
            ),
        ]
    return Section("What to buy", tuple(blocks))


def _rods(facts: Facts) -> tuple[str, ...]:
    rods, said = facts.record["tie_rods"], facts.said
    lengths = f"{said['rod_left']} left, {said['rod_right']} right between joint centres"
    taper = said["taper"]
    choice = facts.context.solution.sized.tie_rod
    rod = None if choice is None else choice.rod
    if rod is not None:
        span = f"{facts.length(rod.shortest)} to {facts.length(rod.longest)}"
        size = f"{lengths}; adjusts from {span}"
        mind = f"taper of the outer stud: {taper}; thread {rod.thread or 'not given: ask'}"
        return (f"tie rods '{rod.name}'", "2", size, "", "", mind, "job", BOX)
    if "rod-hand" in facts.has:
        return (
            "tie rods: none, those at hand do",
            "0",
            lengths,
            "",
            "",
            f"taper of the outer stud: {taper}",
            "job",
            BOX,
        )
    lead = f"in the middle of their adjustment; taper of the outer stud: {taper}. "
    mind = f"{lead}Never lengthened by welding or a sleeve"
    if rods["chosen_reason"] is not None:
        mind += f". Of those listed {rods['chosen_reason']}"
    return ("tie rods, of this length", "2", lengths, "", "", mind, "job", BOX)


def _stock(facts: Facts) -> tuple[tuple[str, ...], ...]:
    rows = []
    for part in facts.parts():
        blank = part["blank"]
        if blank["kind"] == "paper":
            continue
        x, y, z = (length_text(side, facts.units, 0) for side in blank["size_mm"])
        size = {"plate": f"{x} × {y}", "block": f"{x} × {y} × {z}"}.get(blank["kind"], f"{z} long")
        kind = blank["stock"] if blank["kind"] == "block" else f"{blank['kind']} {blank['stock']}"
        rows.append((part["name"], str(part["quantity"]), kind, size, part["material"], BOX))
        if part["family"] == "bump-stop":
            pad, long = (part["dimensions"][f"pad_{key}"] for key in ("diameter", "thickness"))
            bar = f"round bar {facts.length(pad, 0)}"
            rows.append(
                (f"{part['name']}, its pad", "1", bar, f"{facts.length(long, 0)} long", part["material"], BOX)
            )
    return tuple(rows)
