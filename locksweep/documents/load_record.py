"""The part of the record that is about loads: inputs, cases, the worst of each member, checks of parts and members."""

from __future__ import annotations

import math
from typing import Any

from locksweep.documents.numbers import length, rounded
from locksweep.documents.verdicts import margin_words
from solver.loading.envelope import MEMBERS, largest_by_case
from solver.loading.vehicle import LoadInput
from solver.part import Check, Inspection, Member, Part, PartLoad, Where
from solver.sizing.context import SizingContext
from solver.sizing.members import members


def loads_record(context: SizingContext) -> dict[str, Any]:
    """All loads of the modified front end."""
    sweep = context.sweep
    at_rest = sweep.vehicle
    return {
        "inputs": [_input(item) for item in at_rest.inputs],
        "wheel_loads_n": [rounded(weight, 1) for weight in at_rest.weights],
        "braking_transfer_n_per_g": rounded(at_rest.braking_transfer, 1),
        "cornering_transfer_n_per_g": rounded(at_rest.cornering_transfer, 1),
        "rack_push_n": rounded(at_rest.rack_push, 1),
        "rack_stop_n": rounded(context.rack_stop[0], 1),
        # What is left is rounding, which differs between machines: a power of ten tells enough.
        "residual": 10.0 ** math.ceil(math.log10(max(sweep.residual, 1e-12))),
        "poses": sweep.loads.rows,
        "cases": _cases(context),
        "members": [
            {"key": member.key, **_load(PartLoad(member.label, value / member.scale, member.unit, where))}
            for member in MEMBERS
            for value, where in [context.worst(member.measure)]
        ],
    }


def members_record(context: SizingContext) -> list[dict[str, Any]]:
    """Members that the changes alter or load more, and that are not made here."""
    return [_member(item) for item in members(context)]


def part_record(part: Part) -> dict[str, Any]:
    """What the loads make of one part."""
    least = min(part.checks, key=lambda check: check.reserve, default=None)
    return {
        "verdict": part.role
        if least is None
        else f"{part.role}: {margin_words(least.margin, least.required, least.unit)}",
        "checks": [_check(check) for check in part.checks],
        "loads": [_load(load) for load in part.loads],
        "assumptions": list(part.assumptions),
        "not_assessed": list(part.not_assessed),
        "inspection": _inspection(part.inspection),
        "overridden": list(part.overridden),
    }


def _input(item: LoadInput) -> dict[str, Any]:
    return {
        "key": item.key,
        "name": item.label,
        "value": rounded(item.value, 4),
        "unit": item.unit,
        "source": item.source,
        "measured": item.measured,
    }


def _cases(context: SizingContext) -> list[dict[str, Any]]:
    """Every case with the largest loads that it makes anywhere in its range, on either side."""
    sweep = context.sweep
    largest = {
        member.key: largest_by_case(len(sweep.cases), sweep.loads, member.measure(sweep.loads)) / member.scale
        for member in MEMBERS
        if member.key != "pad"
    }
    return [
        {
            "name": case.name,
            "source": case.source,
            "everyday": case.everyday,
            "steer_range": list(case.steer),
            "travel_range": list(case.travel),
            "strike_at": case.strike_at if case.strike_rearward or case.strike_inward else None,
            "largest": {
                key: rounded(values[index], 1) if math.isfinite(values[index]) else None
                for key, values in largest.items()
            },
        }
        for index, case in enumerate(sweep.cases)
    ]


def _load(load: PartLoad) -> dict[str, Any]:
    return {"name": load.label, "value": rounded(load.value, 1), "unit": load.unit, **_where(load.where)}


def _where(where: Where) -> dict[str, Any]:
    return {
        "case": where.case,
        "side": where.side,
        "steer_deg": None if where.steer is None else rounded(math.degrees(where.steer), 1),
        "travel_mm": None if where.travel is None else length(where.travel),
        "hit": where.hit,
    }


def _check(check: Check) -> dict[str, Any]:
    return {
        "name": check.name,
        "demand": rounded(check.demand, 2),
        "capacity": rounded(check.capacity, 2),
        "unit": check.unit,
        "margin": rounded(check.margin, 2) if math.isfinite(check.margin) else None,
        "required": check.required,
        "words": margin_words(check.margin, check.required, check.unit),
        "formula": check.formula,
        "source": check.source,
        "inputs": check.inputs,
        **_where(check.where),
    }


def _inspection(inspection: Inspection) -> dict[str, Any]:
    return {
        key: list(value) if isinstance(value, tuple) else value for key, value in inspection._asdict().items()
    }


def _member(member: Member) -> dict[str, Any]:
    return {
        "name": member.name,
        "changed": member.changed,
        "checks": [_check(check) for check in member.checks],
        "not_assessed": list(member.not_assessed),
    }
