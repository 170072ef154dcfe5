"""Bodies in a job file: what its tables become, what is wrong with them, and scans that can't be where it says."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from locksweep.body.load import LoadedBody, load_bodies
from locksweep.demo_jobs import demo_text
from locksweep.job import parse_job
from solver.body.source import BodySource
from solver.errors import GeometryError, JobFileError, ScanError
from solver.vectors import length
from tests.locksweep.pipeline import HEAVY
from tests.solver.body.scenes import dirty_scan, sheet, wheel_well

trimesh = pytest.importorskip("trimesh")

DEMO = demo_text("alder-coupe")
INCH = 25.4

TABLES = """
[[body]]
name = "left well"
side = "left"
file = "scans/well.ply"
units = "in"
tolerance = "1/4 in"
[[body.place]]
name = "seam"
scan = [1, 2.5, -3e2]
car = [-330, "24 in", 480]
[[body.place]]
name = "bolt"
scan = [1, 2, 3]
car = [355, 560, 350]
[[body.place]]
name = "strut top"
scan = [4, 5, 6]
car = [10, 700, 670]

[[body]]
name = "brake hose"
side = "both"
fixed_to = "knuckle"
box = [[0, 600, 300], [50, 600, 300], [0, 620, 300], [0, 600, 340]]

[[body]]
name = "taped"
side = "right"
points = [[-400, -500, 300], [-410, -520, 280]]

[[ring]]
name = "rim's barrel"
inside_diameter = "15 in"
outside_diameter = 406
inner_face = -95
outer_face = "1 in"

[[reference]]
name = "wing bolt"
at = [-200, 640, 720]

[sweep]
rolls = [2, "-2 deg"]
drops = ["15 mm"]
confidence = "90 %"
tie_rod_end_diameter = 34
"""


def test_tables_become_plain_data() -> None:
    """Every key arrives in mm and radians; "both" means both sides, plain numbers of a scan stay as they are."""
    told = parse_job(DEMO + TABLES).surroundings
    assert told is not None
    well, hose, taped = told.bodies
    assert ("scans/well.ply", "in", "left", "body") == (well.file, well.units, well.side, well.fixed_to)
    assert INCH / 4 == pytest.approx(well.tolerance)
    assert ((1.0, 2.5, -300.0), (-330.0, 609.6, 480.0)) == (well.place[0].scan, well.place[0].car)
    assert ("both", "knuckle", 4) == (hose.side, hose.fixed_to, len(hose.box or ()))
    assert ((-400.0, -500.0, 300.0), (-410.0, -520.0, 280.0)) == taped.points
    assert ["left", "right"] == [ring.side for ring in told.rings]
    assert (381.0, 406.0, -95.0, INCH) == pytest.approx(
        (
            told.rings[0].inside_diameter,
            told.rings[0].outside_diameter,
            told.rings[0].inner_face,
            told.rings[0].outer_face,
        )
    )
    assert {"left": 640.0, "right": -640.0} == {point.side: point.at[1] for point in told.references}
    assert (math.radians(2), math.radians(-2)) == pytest.approx(told.rolls)
    assert ((15.0,), 0.9, None, 34.0) == (
        told.drops, told.confidence, told.tie_rod_diameter, told.tie_rod_end_diameter)  # fmt: skip


def test_a_job_without_bodies_loads_nothing_for_them() -> None:
    """Without one of the tables neither their models nor anything that reads scans is loaded."""
    assert parse_job(DEMO).surroundings is None
    code = (
        "from locksweep.job import parse_job; from locksweep.demo_jobs import demo_text; import sys; "
        "parse_job(demo_text('alder-coupe')); print(*sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(run.stdout.split())
    assert not loaded & {"locksweep.job.body_tables", "locksweep.job.body_checks", "solver.body.source"}
    assert not {name.partition(".")[0] for name in loaded} & set(HEAVY)


WRONG = {
    "two sources": (
        'file = "scans/well.ply"', 'file = "a"\npanel = [[0,500,0],[9,500,0],[9,500,90]]', "file and panel", "one of"),
    "no source": ("points = [[-400, -500, 300], [-410, -520, 280]]\n", "", "none of file", "one of file"),
    "unknown key": ("tolerance =", "tolerence =", 'the key "tolerence"', "in [[body]] one of"),
    "a strange side": ('side = "left"', 'side = "middle"', '"middle"', '"whole"'),
    "a strange unit": ('units = "in"', 'units = "inch"', '"inch"', '"in"'),
    "two placement points": (
        '[[body.place]]\nname = "strut top"\nscan = [4, 5, 6]\ncar = [10, 700, 670]\n', "", "2 of them", "three"),
    "a name twice": ('name = "bolt"', 'name = "seam"', '"seam", twice', "a name of its own"),
    "text on the scan": ("scan = [4, 5, 6]", 'scan = [4, "5 mm", 6]', '"5 mm"', "a plain number without a unit"),
    "nan on the scan": ("scan = [4, 5, 6]", "scan = [4, nan, 6]", "nan", "a plain number"),
    "a flat box": ("[0, 620, 300], [0, 600, 340]]", "[30, 600, 300], [0, 600, 340]]", "without volume", "three edges"),
    "three corners": (", [0, 600, 340]]", "]", "a list of 3", "a list of 4 points"),
    "a panel on a line": (
        "points = [[-400, -500, 300], [-410, -520, 280]]",
        "panel = [[0, -500, 300], [50, -500, 300], [99, -500, 300]]",
        "3 points on one line",
        "round the edge",
    ),
    "the wrong side": ("[-410, -520, 280]", "[-410, 520, 280]", "y = 520 mm", "a negative y"),
    "units without a file": ('side = "right"\npoints', 'side = "right"\nunits = "mm"\npoints', '"mm"', "of a file"),
    "a ring inside out": ("outside_diameter = 406", "outside_diameter = 300", "300 mm", "more than inside_diameter"),
    "a ring turned over": ('outer_face = "1 in"', "outer_face = -100", "-100 mm", "more than inner_face"),
    "too sure": ('confidence = "90 %"', 'confidence = "100 %"', '"100 %"', '"99.9 %"'),
    "not sure at all": ('confidence = "90 %"', 'confidence = "30 %"', '"30 %"', '"50 %"'),
    "rolled over": ("rolls = [2,", "rolls = [40,", "40 deg", "from -10 deg to 10 deg"),
    "a reference on the other side": ("at = [-200, 640, 720]", "at = [-200, -640, 720]", "y = -640 mm", "a positive y"),
    "a whole arm": (
        'side = "both"\nfixed_to = "knuckle"', 'side = "whole"\nfixed_to = "arm"', '"whole"', "of one corner"),
    "one table for several": ("[sweep]", "[[sweep]]", "a list of 1", "the table [sweep]"),
    "a doubled body": ('name = "taped"', 'name = "brake hose"', "as in body[1]", "a name of its own"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_told(name: str) -> None:
    """Each slip in the tables is found once, with what was found and what was expected, and where."""
    old, new, found, expected = WRONG[name]
    text = DEMO + TABLES
    assert 1 == text.count(old), name
    with pytest.raises(JobFileError) as caught:
        parse_job(text.replace(old, new), "job.toml")
    told = str(caught.value)
    assert "1 thing to put right" in told, told
    assert found in told, told
    assert expected in told, told
    assert "job.toml, line " in told


NAMED = np.array([[-330, 620, 480], [355, 560, 350], [10, 700, 670], [-100, 520, 660.0]])


def job_with(*bodies: str) -> Any:
    """The demo job with these [[body]] tables, its panels left out."""
    text = DEMO[: DEMO.index("[[wheel_well]]")] + DEMO[DEMO.index("[changes]\n") :]
    return parse_job(text + "\n".join(f"[[body]]\n{body}" for body in bodies))


def place_tables(picked: np.ndarray, car: np.ndarray = NAMED) -> str:
    """[[body.place]] tables of named points."""
    rows = zip(("seam", "bolt", "strut top", "lip"), picked.tolist(), car.tolist(), strict=True)
    return "".join(f'[[body.place]]\nname = "{name}"\nscan = {scan}\ncar = {at}\n' for name, scan, at in rows)


def test_a_dirty_scan_comes_out_clean(tmp_path: Path) -> None:
    """An inch scan with everything wrong is recognised, placed, cleaned, and says so sentence by sentence."""
    scan = dirty_scan(60, 24)
    trimesh.Trimesh(scan.points, scan.triangles, process=False).export(tmp_path / "well.ply")
    body = 'name = "well"\nside = "left"\nfile = "well.ply"\n' + place_tables(scan.picked(NAMED))
    (loaded,) = load_bodies(job_with(body), tmp_path)
    assert "in" == loaded.unit
    assert loaded.placement is not None
    assert length(loaded.placement.residuals).max() < 1e-6
    told = " ".join(loaded.remarks)
    for words in (
        "recognised as inches",
        "left out as no numbers: 1 point",
        "9 points farther than 6 m",
        "5 points in 1 speck that",
        "twice: 500 triangles",
    ):
        assert words in told, told
    # In single precision of inches, 2 m from the scanner: to a few thousandths of a mm.
    good = scan.car[scan.good]
    assert len(good) == pytest.approx(len(loaded.surface.points), abs=20)
    assert good.min(axis=0) == pytest.approx(loaded.surface.points.min(axis=0), abs=0.01)
    assert good.max(axis=0) == pytest.approx(loaded.surface.points.max(axis=0), abs=0.01)
    assert 64 == len(loaded.sha256)


def in_axes(
    tmp_path: Path, unit: float, shift: tuple[float, float, float] = (0, 0, 0), name: str = "a.xyz"
) -> Path:
    """The clean wheel well as a text of points in car axes."""
    points = (sheet(wheel_well, 40, 15).points + np.array(shift)) / unit
    np.savetxt(tmp_path / name, points, fmt="%.6f")
    return tmp_path


def loaded_from(folder: Path, **keys: str) -> list[LoadedBody]:
    """Bodies of a job with one body of these keys."""
    keys = {"name": '"well"', "side": '"left"', "file": '"a.xyz"'} | keys
    return load_bodies(job_with("\n".join(f"{key} = {value}" for key, value in keys.items())), folder)


@pytest.mark.parametrize(
    ("unit", "factor"), [("mm", 1.0), ("in", 25.4), ("m", 1000.0), ("cm", 10.0), ("ft", 304.8)]
)
def test_units_of_a_scan_in_car_axes(tmp_path: Path, unit: str, factor: float) -> None:
    """A scan in car axes is taken in the unit it is said to be in; one in another unit is refused, naming it."""
    folder = in_axes(tmp_path, factor)
    (body,) = loaded_from(folder, units=f'"{unit}"')
    assert sheet(wheel_well, 40, 15).points == pytest.approx(body.surface.points, abs=1e-2)
    if unit in ("in", "m"):
        words = {"in": "inches", "m": "metres"}[unit]
        with pytest.raises(
            ScanError, match=rf"body 'well': .*as if it were in millimetres; in .*{words} it would lie"
        ):
            loaded_from(folder, units='"mm"')


def test_without_a_unit_the_job_s_is_taken_and_said(tmp_path: Path) -> None:
    """Neither placed nor told a unit, a scan is taken in the job's own, and a remark says so."""
    (body,) = loaded_from(in_axes(tmp_path, 1.0))
    assert "mm" == body.unit
    assert "taken as millimetres, the job file's unit, and as lying in car axes" in body.remarks[0]


def test_glb_without_placement_is_in_metres_and_its_own_axes(tmp_path: Path) -> None:
    """A GLB that says nothing else has y up and metres, as its standard says."""
    surface = sheet(wheel_well, 40, 15)
    # x forward is z, y left is x, z up is y.
    turned = surface.points[:, [1, 2, 0]] / 1000
    trimesh.Trimesh(turned, surface.triangles, process=False).export(tmp_path / "a.glb")
    (body,) = loaded_from(tmp_path, file='"a.glb"')
    assert surface.points == pytest.approx(body.surface.points, abs=1e-3)


@pytest.mark.parametrize(
    ("shift", "side", "reason"),
    [
        (
            (0.0, -1230.0, 0.0),
            '"left"',
            "but most of it lies on the other: its middle is 61. mm to the right",
        ),
        ((0.0, 0.0, 0.0), '"right"', "but most of it lies on the other: its middle is 61. mm to the left"),
        ((2500.0, 0.0, 0.0), '"left"', "no tyre could reach it: its nearest point is 2.1 m"),
        ((0.0, 0.0, 1800.0), '"whole"', "no tyre could reach it"),
        ((0.0, 9e6, 0.0), '"whole"', "nothing of it lies within 6 m of the front wheels"),
    ],
)
def test_scans_of_the_wrong_place(
    tmp_path: Path, shift: tuple[float, float, float], side: str, reason: str
) -> None:
    """A scan of the other side, or of another part of the car, or of the street, is refused with what to check."""
    with pytest.raises(ScanError, match=rf"body 'well': .*{reason}"):
        loaded_from(in_axes(tmp_path, 1.0, shift), side=side)


def test_large_triangles_count_by_their_middle(tmp_path: Path) -> None:
    """A panel in two triangles with all its corners out of reach is no body out of reach if its middle isn't."""
    corners = [
        [-330.0, 1700.0, -1500.0],
        [-330.0, 1700.0, 2300.0],
        [-330.0, -400.0, 2300.0],
        [-330.0, -400.0, -1500.0],
    ]
    trimesh.Trimesh(corners, [[0, 1, 2], [0, 2, 3]], process=False).export(tmp_path / "a.stl")
    (body,) = loaded_from(tmp_path, file='"a.stl"', units='"mm"')
    assert 2 == len(body.surface.triangles)


def test_a_triangle_to_nowhere_is_counted(tmp_path: Path) -> None:
    """With a corner that is kilometres away its triangle goes as well, and that is said."""
    surface = sheet(wheel_well, 30, 12)
    points = np.vstack([surface.points, [4e6, 0, 0]])
    triangles = np.vstack([surface.triangles, [0, 1, len(surface.points)]])
    trimesh.Trimesh(points, triangles, process=False).export(tmp_path / "a.ply")
    (body,) = loaded_from(tmp_path, file='"a.ply"', units='"mm"')
    assert "left out: 1 point farther than 6 m from the car's origin, the farthest at 4,000 m" in body.remarks
    assert "left out with these points: 1 triangle" in body.remarks


def test_both_means_the_mirror(tmp_path: Path) -> None:
    """A left scan given for both sides is there on the right as well, its triangles still facing outwards."""
    left, right = loaded_from(in_axes(tmp_path, 1.0), side='"both"')
    assert ("left", "right") == (left.surface.side, right.surface.side)
    assert left.surface.points * [1, -1, 1] == pytest.approx(right.surface.points)
    (whole,) = loaded_from(tmp_path, side='"whole"')
    assert whole.surface.side is None


def test_inconsistent_placement_names_body_and_point(tmp_path: Path) -> None:
    """A placement that can't be right is refused with the body's name and the point to blame."""
    in_axes(tmp_path, 1.0)
    car = NAMED.copy()
    car[1] += [0, 50, 0]
    body = 'name = "well"\nside = "left"\nfile = "a.xyz"\nunits = "mm"\n' + place_tables(NAMED, car)
    with pytest.raises(GeometryError, match=r"body 'well': the placement points don't fit: .*'bolt'"):
        load_bodies(job_with(body), tmp_path)
    strict = 'name = "well"\nside = "left"\nfile = "a.xyz"\ntolerance = 1\n' + place_tables(
        NAMED + 1.5 * np.eye(4, 3)
    )
    with pytest.raises(GeometryError, match="at most 1 mm is expected"):
        load_bodies(job_with(strict), tmp_path)


def test_bodies_from_the_job_itself(tmp_path: Path) -> None:
    """Boxes, panels and points need no file; the wheel wells' panels come along."""
    first, last = TABLES.index("[[body.place]]"), TABLES.index('[[body]]\nname = "brake')
    text = TABLES[:first] + TABLES[last:]
    text = text.replace(
        'file = "scans/well.ply"\nunits = "in"\ntolerance = "1/4 in"\n', "points = [[0, 650, 690]]\n"
    )
    job = parse_job(DEMO + text)
    loaded = load_bodies(job, tmp_path)
    assert [("left well", "left"), ("brake hose", "left"), ("brake hose", "right"), ("taped", "right"),
            ("rear inner panel", "left"), ("rear inner panel", "right")] == [
        (one.surface.name, one.surface.side) for one in loaded]  # fmt: skip
    hose = loaded[1].surface
    assert (12, "knuckle") == (len(hose.triangles), hose.fixed_to)
    assert all(one.placement is None and not one.sha256 for one in loaded)


def test_a_missing_scan(tmp_path: Path) -> None:
    """A file that isn't there is told with body, path and the formats that can be read."""
    with pytest.raises(ScanError, match=r"body 'well': .*a\.xyz: no such file; expected PLY"):
        loaded_from(tmp_path)


def test_sources_are_plain() -> None:
    """A body of the job is frozen data that can be compared."""
    assert BodySource("a", "left") == BodySource("a", "left")
