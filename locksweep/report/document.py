"""The page's data: one JSON document that says all that the page shows, and nothing about how.

Lengths in mm, angles in degrees, in car axes (ISO 8855: x forward, y left, z up). Sentences and tables are in the
units that the builder measured in. `locksweep/schemas/report.schema.json` is its JSON Schema.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from locksweep import __version__
from locksweep.documents.caution import BEFORE_DRIVING, ENGINEER, GENERAL
from locksweep.documents.changes import changes_said
from locksweep.documents.ladder import ladder_record
from locksweep.documents.summary import STOP_BRACKET, gains, held_by_bracket
from locksweep.documents.verdicts import least_margin, members_short, path_words
from locksweep.documents.wording import in_reader_units
from locksweep.report.bars import bars, wheels
from locksweep.report.body_gaps import body_gaps, far_of
from locksweep.report.curves import bands, curves
from locksweep.report.headline import answer, headline
from locksweep.report.meshes import Mesh, placed
from locksweep.report.motion import Grid, frames, grid_of, poses_of, tracks
from locksweep.report.numbers import plain
from locksweep.report.pattern import pattern
from locksweep.report.surroundings import surroundings
from locksweep.report.swept import swept_tyres
from locksweep.report.tables import job_tables, ladder_sentences, part_tables, said
from locksweep.solved import Solved
from parts.catalogue import family_of
from solver.car import Job
from solver.corner import Pose
from solver.search.ladder import ladder
from solver.state import State

if TYPE_CHECKING:
    from solver.body.surface import Surface
    from solver.car import Side

FORMAT = "locksweep report 1"
KINDS = {
    "-drawing.pdf": "drawing for the shop",
    "-drawing.dxf": "drawing to measure in, not to cut from",
    ".step": "solid for the machine shop",
    ".dxf": "flat outline for cutting",
    ".pdf": "to print at full size",
    ".stl": "mock-up to print, for fit checks only",
    ".3mf": "mock-up to print, for fit checks only",
    ".png": "picture",
}
SET_FILES = {
    "assembly.step": "all parts in their places on the car",
    "mock-ups.md": "what to print how often, and how the pieces go together",
    "set.png": "picture of all parts",
}
"""What the files of the whole set are for."""


def report_document(solved: Solved, record: Mapping[str, Any], folder: Path) -> dict[str, Any]:
    """All of it but the parts' meshes (`with_meshes`), as of a job that was not built.

    record: of the job as built (`locksweep.documents.record`)
    folder: of the job file, where scans are
    """
    return said_document(record) | moving_document(solved, folder)


def said_document(record: Mapping[str, Any], beside: Collection[str] = ()) -> dict[str, Any]:
    """What the record says, and which files of the whole set lie beside the page."""
    record = in_reader_units(record)
    return {
        "format": FORMAT,
        "tool": {"name": "locksweep", "version": __version__},
        "job": record["job"],
        "caution": record["caution"],
        "cautions": _cautions(record),
        "answer": answer(record),
        "headline": headline(record),
        "goal": {key: record["goal"][key] for key in ("lock_deg", "clearance_mm", "over_centre_margin_deg")},
        "limits": _limits(record),
        "limit_notes": [said(line) for line in gains(record)],
        "parts": [_part(part, record) for part in record["parts"]],
        "set_files": [{"name": name, "what": what} for name, what in SET_FILES.items() if name in beside],
        "refused": record["refused"],
        "tables": job_tables(record),
        "definitions": record["definitions"],
    }


def moving_document(solved: Solved, folder: Path) -> dict[str, Any]:
    """What moves, and the ladder: all that no record is needed for, and that takes its time."""
    job, solution = solved.job, solved.solution
    measured, modified = solution.as_measured, solution.as_modified
    grid = grid_of(measured, modified)
    front_end = modified.front_end
    poses = poses_of(front_end, grid)
    shown, surfaces = surroundings(job, modified, folder)
    return {
        "grid": {
            "turned_mm": plain(grid.turned),
            "travel_mm": plain(grid.travel),
            "centre": grid.centre,
            "ride_height": grid.ride_height,
        },
        "conditions": {
            "as_measured": _condition(job, measured, grid, poses_of(measured.front_end, grid), surfaces),
            "as_modified": _condition(job, modified, grid, poses, surfaces),
        },
        "bands": bands(front_end, job, grid),
        "swept": swept_tyres(front_end, grid, poses),
        "surroundings": shown,
        "ladder": _ladder(job),
    }


def with_meshes(document: Mapping[str, Any], solved: Solved, meshes: Mapping[str, Mesh]) -> dict[str, Any]:
    """The document with a mesh for each part that has one; what is only paper has its pattern to look at instead.

    meshes: by the part's name
    """
    found = {
        part.name: placed(solved.solution, part, meshes[part.name])
        for part in solved.parts
        if part.name in meshes
    }
    flat = {part.name: pattern(part) for part in solved.parts if family_of(part.dimensions).paper}
    parts = [
        {**part, "mesh": found.get(part["name"]), "pattern": flat.get(part["name"])}
        for part in document["parts"]
    ]
    return {**document, "parts": parts}


def _cautions(record: Mapping[str, Any]) -> dict[str, list[str]]:
    return {
        "general": [said(line) for line in GENERAL],
        "changes": [said(line) for line in changes_said(record)],
        "falls_short": members_short(record),
        "overridden": [
            f"{part['name']}: {sentence}" for part in record["parts"] for sentence in part["overridden"]
        ],
        "engineer": [said(line.replace("*", "")) for line in ENGINEER],
        "before_driving": list(BEFORE_DRIVING),
    }


def _condition(
    job: Job, state: State, grid: Grid, poses: dict[Side, Pose], surfaces: list[Surface]
) -> dict[str, Any]:
    front_end = state.front_end
    measures = curves(front_end, job.goal, grid, poses)
    measures["gaps"] += body_gaps(surfaces, front_end, grid, poses, far_of(job.goal))
    first, last = grid.reach(state)
    return {
        "lock": {"left": first, "right": last},
        "ground_mm": round(float(front_end.ground), 2) + 0.0,
        "frames": frames(front_end, grid, poses),
        "bars": bars(front_end),
        "wheels": wheels(front_end),
        "tracks": tracks(front_end, grid, poses),
        "curves": measures,
    }


def _limits(record: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Of the modified car, first one first; the stop brackets where they are what ends a turn."""
    found = []
    for turn, state in record["as_modified"]["turns"].items():
        if held_by_bracket(state):
            found.append(_limit(turn, STOP_BRACKET, "arm", state, True))
        for key, counts in (("limits", True), ("limits_aside", False)):
            for limit in state[key]:
                where = f"{limit['wheel']} wheel" if limit["wheel"] else "rack"
                found.append(_limit(turn, limit["name"], where, limit, counts))
    return found


def _limit(turn: str, name: str, where: str, met: Mapping[str, Any], counts: bool) -> dict[str, Any]:
    return {
        "turn": turn,
        "name": name,
        "where": where,
        "lock_deg": met["lock_deg"],
        "rack_mm": met["rack_mm"],
        "counts": counts,
    }


def _ladder(job: Job) -> dict[str, Any]:
    record = ladder_record(job, ladder(job))
    return {
        "wanted_deg": record["goal"]["lock_deg"],
        "usual_bounds": record["usual_bounds"],
        "rungs": [
            {
                "added": rung["added"],
                "lock_deg": rung["lock_deg"],
                "percent_ackermann": rung["percent_ackermann"],
                "over_centre_deg": rung["over_centre_deg"],
                "held_by": rung["held_by"],
                "work": [f"{work['kind']} {work['to']}" for work in rung["work"]],
                "load_path": rung["load_path"],
                "meets_goal": rung["meets_goal"],
            }
            for rung in record["rungs"]
        ],
        "notes": ladder_sentences(record),
    }


def _kind(name: str) -> str:
    """What a part's file is for, by the first end of its name that is known."""
    return next((what for end, what in KINDS.items() if name.endswith(end)), "file of this part")


def _part(part: Mapping[str, Any], record: Mapping[str, Any]) -> dict[str, Any]:
    return {
        **{
            key: part[key]
            for key in (
                "name",
                "title",
                "revision",
                "quantity",
                "material",
                "process",
                "fits",
                "role",
                "verdict",
                "mass_kg",
                "envelope_mm",
                "if_it_fails",
                "overridden",
                "reasons",
                "qualified",
            )
        },
        "load_path": path_words(part["role"]),
        "least_margin": least_margin(part),
        "files": [{"name": name, "what": _kind(name)} for name in part["files"]],
        "tables": part_tables(part, record),
        "mesh": None,
        "pattern": None,
    }
