"""The folder of a clearance map: summary, record, places, coloured meshes, pictures, templates, manifest."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from locksweep import __version__
from locksweep.body.load import LoadedBody
from locksweep.body.mesh_files import Coloured, tyre_mesh, write_glb, write_ply
from locksweep.body.picture import NO_PICTURE, View, draw_pictures
from locksweep.body.ramp import colours, legend
from locksweep.body.reading import expect_plain_file
from locksweep.body.record import file_key, record_of
from locksweep.body.summary import places_csv, pose_words, summary_text
from locksweep.body.template import template_of
from locksweep.body.template_dxf import write_template_dxf
from locksweep.body.template_pdf import write_template
from locksweep.file_names import file_name
from locksweep.folder import sha256, whole_folder, write_text
from locksweep.schemas import schema_text
from locksweep.solved import json_text
from solver.body.answer import INTEREST, Answer, BodyResult
from solver.body.clearance_map import SIDES
from solver.body.cut_line import CutLine
from solver.body.sweep import ride_height_centre
from solver.car import Job, Side
from solver.errors import ScanError
from solver.vectors import Array

MANIFEST = "manifest.json"
FOLDER = "clearance-"
Progress = Callable[[str], None]


@dataclass(frozen=True)
class Written:
    """What was left behind.

    folder: files in it, and whether it was there already; record: the answer
    remarks: what could not be had, such as a picture
    """

    folder: Path
    files: tuple[str, ...]
    unchanged: bool
    record: dict[str, Any]
    remarks: tuple[str, ...] = ()


def inputs_of(text: str, job: Job, folder: Path, options: Sequence[object]) -> str:
    """Hash of all that the answer hangs on: job file, scans, options, version.

    Raises:
        ScanError: a scan is not there.
    """
    scans = []
    for body in job.surroundings.bodies if job.surroundings else ():
        if body.file is not None:
            path = folder / body.file
            try:
                expect_plain_file(path)
                scans.append(sha256(path))
            except ScanError as error:
                raise ScanError(f"body '{body.name}': {error}") from error
            except OSError as error:
                reason = error.strerror or str(error)
                raise ScanError(f"body '{body.name}': {path}: can't be read: {reason}") from error
    key = json.dumps([text, scans, [str(option) for option in options], __version__])
    return hashlib.sha256(key.encode()).hexdigest()


def earlier(root: Path, inputs: str) -> tuple[Path | None, str]:
    """A folder that holds this very answer, undamaged, if there is one; and the name of the next folder."""
    last = 0
    same = None
    for path in sorted(root.glob(f"{FOLDER}*")):
        number = path.name.removeprefix(FOLDER)
        if not number.isdigit():
            continue
        last = max(last, int(number))
        if _is_whole(path, inputs):
            same = path
    return same, f"{FOLDER}{last + 1}"


def _is_whole(path: Path, inputs: str) -> bool:
    try:
        manifest = json.loads((path / MANIFEST).read_text(encoding="utf-8"))
        return bool(manifest["inputs"] == inputs) and all(
            sha256(path / name) == digest for name, digest in manifest["files"].items()
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return False


def write_answer(
    answer: Answer,
    loaded: Sequence[LoadedBody],
    job: Job,
    out: Path,
    *,
    condition: str,
    inputs: str,
    sheet: str = "A4",
    progress: Progress = lambda _: None,
) -> Written:
    """Write everything into a new folder of the job, which appears whole or not at all.

    Raises:
        WriteError: something can't be written.
    """
    root = out / file_name(job.name)
    _, name = earlier(root, inputs)
    remarks: list[str] = []
    with whole_folder(root / name) as folder:
        files: dict[str, dict[str, str]] = {}
        progress("writing coloured meshes")
        _meshes(answer, folder, files)
        progress("writing templates")
        _templates(answer, job, folder, files, sheet)
        record = record_of(answer, loaded, job, condition, files)
        progress("drawing pictures")
        if not _pictures(answer, record, folder):
            remarks.append(NO_PICTURE)
        write_text(folder / "clearance.json", json_text(record))
        write_text(folder / "clearance.schema.json", schema_text("clearance"))
        write_text(folder / "clearance.md", summary_text(record))
        write_text(folder / "places.csv", places_csv(record))
        names = sorted(path.name for path in folder.iterdir())
        manifest = {
            "format": "locksweep clearance manifest 1",
            "tool": {"name": "locksweep", "version": __version__},
            "inputs": inputs,
            "files": {one: sha256(folder / one) for one in names},
        }
        write_text(folder / MANIFEST, json_text(manifest))
    return Written(root / name, (*names, MANIFEST), False, record, tuple(remarks))


def coloured(result: BodyResult, answer: Answer) -> Coloured:
    """A body with colours, clearances and causes."""
    found = result.map
    surface = found.surface
    looked = found.looked
    steer, travel = np.full(len(surface.points), np.nan), np.full(len(surface.points), np.nan)
    for index, side in enumerate(SIDES):
        mine = (looked.wheel == index) & (looked.pose >= 0)
        sweep = answer.sweeps[side]
        steer[mine] = np.degrees(sweep.steer[looked.pose[mine]])
        travel[mine] = sweep.travel[looked.pose[mine]]
    name = surface.name if surface.side is None else f"{surface.name} {surface.side}"
    shades = colours(found.clearance, answer.gap, answer.gap + INTEREST)
    return Coloured(name, surface.points, surface.triangles, shades, found.clearance, steer, travel)


def worst_tyre(answer: Answer, side: Side) -> tuple[Array, Any, Array]:
    """The tyre of one wheel in the pose of its worst place, or straight ahead: points, triangles, centre."""
    sweep = answer.sweeps[side]
    worst = next((one for one in answer.worst if one.side == side and one.cause is not None), None)
    if worst is not None and worst.cause is not None:
        cause = worst.cause
        off = np.abs(sweep.rack - cause.rack) + np.abs(sweep.travel - cause.travel)
    else:
        off = np.abs(sweep.rack) + np.abs(sweep.travel)
    pose = int(off.argmin())
    tyre = sweep.tyre()
    points, triangles = tyre_mesh(tyre.solid, tyre.centres[pose], tyre.axes[pose])
    return points, triangles, ride_height_centre(sweep)


def _meshes(answer: Answer, folder: Path, files: dict[str, dict[str, str]]) -> None:
    bodies = [coloured(result, answer) for result in answer.bodies]
    for result, body in zip(answer.bodies, bodies, strict=True):
        name = f"map-{file_name(body.name)}.ply"
        write_ply(body, folder / name)
        surface = result.map.surface
        files[file_key("body", surface.name, surface.side)] = {"mesh": name}
    tyres = []
    for side in SIDES:
        points, triangles, _ = worst_tyre(answer, side)
        tyres.append((f"{side} tyre at its worst place", points, triangles))
    write_glb(bodies, tyres, folder / "map.glb")


def _templates(answer: Answer, job: Job, folder: Path, files: dict[str, dict[str, str]], sheet: str) -> None:
    for result in answer.bodies:
        for line in result.lines:
            if not isinstance(line, CutLine):
                continue
            template = template_of(line, job.stock_units)
            stem = f"template-{file_name(line.name)}"
            write_template(template, folder / f"{stem}.pdf", sheet)
            write_template(template, folder / f"{stem}-one-sheet.pdf", None)
            write_template_dxf(line, template, folder / f"{stem}.dxf")
            files[file_key("line", line.name)] = {
                "sheets": f"{stem}.pdf",
                "one sheet": f"{stem}-one-sheet.pdf",
                "dxf": f"{stem}.dxf",
            }


def _pictures(answer: Answer, record: dict[str, Any], folder: Path) -> bool:
    """One for each wheel; False when they can't be drawn."""
    bodies = [coloured(result, answer) for result in answer.bodies]
    offsets = np.cumsum([0, *(len(body.points) for body in bodies)])
    if not offsets[-1]:
        return True
    points = np.concatenate([body.points for body in bodies])
    shades = np.concatenate([body.colours for body in bodies])
    triangles = np.concatenate(
        [body.triangles + offset for body, offset in zip(bodies, offsets[:-1], strict=True)]
    )
    most = answer.gap + INTEREST
    told = legend(answer.gap, most)
    shown = colours(np.array([value for value, _ in told]), answer.gap, most).tolist()
    views = []
    for side in SIDES:
        places = [place for place in record["places"] if place["wheel"] == side]
        tyre_points, tyre_triangles, centre = worst_tyre(answer, side)
        title = f"{side} wheel, seen from outside"
        if places:
            pose = pose_words(places[0]["pose"], record["job"]["units"])
            title += f"; tyre as at place {places[0]['number']}: {pose}"
        view = View(
            centre,
            side,
            points,
            triangles,
            shades,
            (tyre_points, tyre_triangles),
            np.array([place["at_mm"] for place in places[:9]]).reshape(-1, 3),
            tuple(str(place["number"]) for place in places[:9]),
            title,
            tuple(((r, g, b), words) for (r, g, b), (_, words) in zip(shown, told, strict=True)),
        )
        views.append((view, folder / f"{side}-wheel.png"))
    return draw_pictures(views)
