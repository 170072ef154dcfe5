"""From the tables about what may change and which tie rods can be bought to the solver's types."""

from __future__ import annotations

from typing import Any

from locksweep.job.schema import FileTable
from locksweep.job.search_tables import MayChangeTable, PickupTable, TieRodChoiceTable
from locksweep.job.threads import parse_thread
from solver.car import Freedom, PickupWork, TieRod, VariableName


def search_values(file: FileTable) -> dict[str, Any]:
    """Fields of `solver.car.Job`."""
    found: dict[str, Any] = {"tie_rods": tuple(_rod(table) for table in file.tie_rod_choice)}
    table: MayChangeTable | None = file.may_change
    if table is not None:
        found["freedoms"] = _freedoms(table)
        found["top_places"] = table.strut_top_places
        found["pickup"] = _pickup(table.pickup) if table.pickup else None
    return found


def _freedoms(table: MayChangeTable) -> tuple[Freedom, ...]:
    slot = table.strut_top
    bounds: tuple[tuple[VariableName, tuple[float, float] | None], ...] = (
        ("ball_joint_drop", table.ball_joint_drop),
        ("strut_top_forward", slot.forward if slot else None),
        ("strut_top_outward", slot.outward if slot else None),
        ("rack_forward", table.rack_forward),
        ("rack_up", table.rack_up),
    )
    return tuple(Freedom(name, *between) for name, between in bounds if between is not None)


def _pickup(table: PickupTable) -> PickupWork:
    if table.way == "drill":
        forward, outward = table.metal_forward, table.metal_outward
        assert forward and outward and table.hole  # noqa: PT018 - the checks have seen to them
        return PickupWork("drill", forward, outward, hole=table.hole)
    still = (0.0, 0.0)
    return PickupWork("weld", table.forward or still, table.outward or still, table.up or still)


def _rod(table: TieRodChoiceTable) -> TieRod:
    thread, taper = table.thread or "", table.taper or ""
    size = parse_thread(thread) if thread else None
    return TieRod(table.name, table.shortest, table.longest, thread, taper, table.articulation, size)
