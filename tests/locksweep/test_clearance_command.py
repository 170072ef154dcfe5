"""`locksweep clearance` from a job file to its folder: every file opened, by something that did not write it."""

from __future__ import annotations

import csv
import dataclasses
import json
import math
import struct
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from jsonschema import Draft202012Validator

from locksweep.body.clearances import gap_of, look_round
from locksweep.body.ramp import FAR, STOPS, colours
from locksweep.body.template import BAR, template_of
from locksweep.body.template_pdf import SHEETS, write_template
from locksweep.body.write import Written, earlier
from locksweep.demo_jobs import demo_text
from locksweep.job import parse_job
from locksweep.schemas import schema_text
from solver.body.clearance_map import clearance_map
from solver.body.cut_line import CutLine, cut_lines
from solver.body.surface import Surface
from solver.errors import JobFileError, LocksweepError, ScanError, WriteError
from tests.locksweep.pipeline import contents, everything_below, run
from tests.solver.body.scenes import dirty_scan, sheet, sweeps, wheel_well

trimesh = pytest.importorskip("trimesh")
pdfplumber = pytest.importorskip("pdfplumber")

DEMO = demo_text("alder-coupe")
NAMED = np.array([[-330, 640, 480], [355, 660, 350], [10, 610, 670], [-100, 680, 660.0]])
MM = 25.4 / 72
"""Of one of PDF's units."""


def job_text() -> str:
    """The demo car with an inch scan of its left wheel well and a hose on its knuckle, its panel left out."""
    scan = dirty_scan(110, 40)
    text = DEMO[: DEMO.index("[[wheel_well]]")] + DEMO[DEMO.index("[changes]\n") :]
    text += '\n[[body]]\nname = "well <b>|`"\nside = "left"\nfile = "scans/well.ply"\n'
    for name, picked, car in zip("abcd", scan.picked(NAMED).tolist(), NAMED.tolist(), strict=True):
        text += f'[[body.place]]\nname = "bolt {name}"\nscan = {picked}\ncar = {car}\n'
    text += '[[body]]\nname = "hose"\nside = "both"\nfixed_to = "knuckle"\n'
    text += "box = [[0, 600, 500], [30, 600, 500], [0, 615, 500], [0, 600, 560]]\n"
    text += '[[ring]]\nname = "barrel"\ninside_diameter = 380\noutside_diameter = 406\ninner_face = -90\n'
    text += "outer_face = 10\n"
    return text + "[sweep]\ntie_rod_end_diameter = 30\n"


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job file with its scan beside it."""
    folder = tmp_path_factory.mktemp("clearance")
    scan = dirty_scan(110, 40)
    (folder / "scans").mkdir()
    trimesh.Trimesh(scan.points, scan.triangles, process=False).export(folder / "scans" / "well.ply")
    path = folder / "car.toml"
    path.write_text(job_text(), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def written(job: Path) -> Written:
    """What the command left behind, as a process of its own."""
    done = run("clearance", job, "--out", job.parent / "out", "--confidence", "90", cwd=job.parent)
    assert 0 == done.code, done.told
    assert "Traceback" not in done.told
    found = look_round(job, job.parent / "out", confidence=0.9)
    assert found.unchanged
    return dataclasses.replace(found, remarks=(done.err,) if "libGL" in done.err else ())


def test_the_record_follows_its_schema(written: Written) -> None:
    """The record on disk is the one returned, passes the schema beside it, and holds the whole story."""
    record = json.loads((written.folder / "clearance.json").read_text(encoding="utf-8"))
    assert record == json.loads(json.dumps(written.record))
    schema = json.loads(schema_text("clearance"))
    Draft202012Validator.check_schema(schema)
    assert [] == [error.message for error in Draft202012Validator(schema).iter_errors(record)]
    assert schema == json.loads((written.folder / "clearance.schema.json").read_text(encoding="utf-8"))
    well, hose, other = record["bodies"]
    assert ("in", 64, "well <b>|`") == (well["unit"], len(well["sha256"]), well["name"])
    assert ["bolt a", "bolt b", "bolt c", "bolt d"] == [
        point["name"] for point in well["placement"]["points"]
    ]
    assert (1, 9, 5) == tuple(well["set_aside"][key] for key in ("no_numbers", "far", "specks"))
    assert ("knuckle", "left", "right") == (hose["fixed_to"], hose["side"], other["side"])
    assert 0.9 == record["confidence"]
    assert {"barrel", "tyre"} <= {gap["first"] for gap in record["hardware"]}
    assert record["cut_lines"] or record["no_cut_lines"]
    numbers = [place["number"] for place in record["places"]]
    assert list(range(1, len(numbers) + 1)) == numbers
    worst = [place["clearance_mm"] for place in record["places"]]
    assert sorted(worst) == worst
    assert all(place["clearance_mm"] <= place["distance_mm"] for place in record["places"])


def closed(node: object) -> Iterator[dict[str, Any]]:
    """Objects with fixed keys in a schema."""
    if isinstance(node, dict):
        if "properties" in node and isinstance(node.get("properties"), dict) and "required" in node:
            yield node
        for value in node.values():
            yield from closed(value)
    elif isinstance(node, list):
        for value in node:
            yield from closed(value)


def test_the_schema_is_closed_and_described() -> None:
    """Each of its objects allows no further keys, demands all of its own, and describes every key."""
    for item in closed(json.loads(schema_text("clearance"))):
        assert item["additionalProperties"] is False
        assert list(item["properties"]) == item["required"]
        for key, found in item["properties"].items():
            assert {"title", "description"} <= found.keys(), key


def test_the_summary_can_be_read(written: Written) -> None:
    """The summary names the worst place with its coordinates, what was recognised, and no name turns into markup."""
    text = (written.folder / "clearance.md").read_text(encoding="utf-8")
    worst = written.record["places"][0]
    assert f"{worst['at_mm'][0]:.0f} mm | {worst['at_mm'][1]:.0f} mm | {worst['at_mm'][2]:.0f} mm" in text
    assert written.record["caution"] in text
    for words in (
        "recognised as inches",
        "Clearances are those that 90 of 100 cars",
        "set aside: 5 points",
        "placed by its points",
    ):
        assert words in text, words
    assert "<b>" not in text.replace("\\<b\\>", "")


def test_places_for_a_spreadsheet(written: Written) -> None:
    """The table has a row a place, with numbers that are those of the record."""
    with (written.folder / "places.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(written.record["places"]) == len(rows)
    for row, place in zip(rows, written.record["places"], strict=True):
        assert place["at_mm"] == [float(row[f"{axis}_mm"]) for axis in "xyz"]
        assert place["clearance_mm"] == float(row["clearance_mm"])


def test_the_map_as_ply(written: Written) -> None:
    """Another library reads mm, car axes, a colour a point, and the clearance of each point beside it."""
    well = written.record["bodies"][0]
    path = written.folder / well["files"]["mesh"]
    mesh = trimesh.load(path, process=False)
    raw = mesh.metadata["_ply_raw"]["vertex"]["data"]
    clearance = np.asarray(raw["clearance_mm"]).ravel()
    assert well["least_clearance_mm"] == pytest.approx(float(clearance.min()), abs=0.006)
    assert len(mesh.faces) >= well["triangles"]
    worst = next(place for place in written.record["places"] if place["body"] == well["name"])
    off = np.linalg.norm(mesh.vertices - np.array(worst["at_mm"]), axis=1)
    assert off.min() < 0.02
    gap = written.record["wanted_gap_mm"]
    expected = colours(clearance[:500].astype(float), gap, gap + 30)
    assert np.abs(mesh.visual.vertex_colors[:500, :3].astype(int) - expected.astype(int)).max() <= 1


def test_the_map_as_glb(written: Written) -> None:
    """In metres, y up, with each body and both tyres as nodes of their own."""
    data = (written.folder / "map.glb").read_bytes()
    assert (b"glTF", 2, len(data)) == struct.unpack("<4sII", data[:12])
    scene = trimesh.load(written.folder / "map.glb", process=False)
    assert {
        "well <b>|` left",
        "hose left",
        "hose right",
        "left tyre at its worst place",
        "right tyre at its worst place",
    } == set(scene.geometry)
    tyre = scene.geometry["left tyre at its worst place"]
    assert tyre.is_watertight
    assert tyre.volume > 0
    size = written.record["tyre"]["grown_diameter_mm"] / 1000
    # x is the car's left, y up: the wheel stands left of the middle, its centre about its radius over the ground.
    assert size / 2 == pytest.approx(tyre.bounds[:, 1].mean(), abs=0.1)
    assert 0.6 < tyre.bounds[:, 0].mean() < 0.85
    assert size == pytest.approx(np.ptp(tyre.bounds[:, 1]), abs=0.03)


def test_pictures_or_a_reason(written: Written) -> None:
    """Each wheel has a picture of the stated size with many colours, or the reason is told."""
    pictures = [written.folder / f"{side}-wheel.png" for side in ("left", "right")]
    if written.remarks:
        assert "libGL" in written.remarks[0]
        assert not any(path.exists() for path in pictures)
        return
    for path in pictures:
        data = path.read_bytes()
        assert b"\x89PNG" == data[:4]
        assert (1400, 1000) == struct.unpack(">II", data[16:24])
    # The left one shows the coloured well: far more than the few shades of an empty picture.
    assert len(pictures[0].read_bytes()) > 40_000


def lines_of(page: Any) -> list[tuple[float, float]]:
    """Horizontal and vertical extent in mm of each line on a page."""
    return [(abs(float(o["x1"] - o["x0"])) * MM, abs(float(o["bottom"] - o["top"])) * MM) for o in page.lines]


def template_files(written: Written, kind: str) -> list[Path]:
    """Files of all cut lines of one kind."""
    return [written.folder / line["files"][kind] for line in written.record["cut_lines"]]


def test_templates_are_to_scale(written: Written) -> None:
    """On the one sheet the bars are 100 and 25 mm, the cut line is as large as the record says; text is text."""
    assert template_files(written, "one sheet")
    for path, line in zip(template_files(written, "one sheet"), written.record["cut_lines"], strict=True):
        with pdfplumber.open(path) as pdf:
            page, *rest = pdf.pages
            extents = lines_of(page)
            assert any(across == pytest.approx(BAR, abs=0.01) and up < 0.01 for across, up in extents)
            assert any(up == pytest.approx(BAR / 4, abs=0.01) and across < 0.01 for across, up in extents)
            thick = [
                o
                for o in (*page.curves, *page.lines, *page.rects)
                if o["linewidth"] == pytest.approx(0.5 / MM, rel=0.01)
            ]
            assert thick
            width = max(o["x1"] for o in thick) - min(o["x0"] for o in thick)
            height = max(o["bottom"] for o in thick) - min(o["top"] for o in thick)
            assert line["width_mm"] == pytest.approx(float(width) * MM, abs=0.05)
            assert line["height_mm"] == pytest.approx(float(height) * MM, abs=0.05)
            text = page.extract_text() + "".join(other.extract_text() for other in rest)
        for words in (
            "100 mm",
            "print at 100 %",
            "Seen from the tyre",
            "from A",
            line["references"][0]["name"],
        ):
            assert words in text, words
        assert line["name"] in text


def test_templates_on_sheets(written: Written) -> None:
    """On A4 every page is A4, sheets are numbered through, and together they show the whole line."""
    for path in template_files(written, "sheets"):
        with pdfplumber.open(path) as pdf:
            sizes = {
                (round(float(page.width) * MM, 1), round(float(page.height) * MM, 1)) for page in pdf.pages
            }
            titles = [page.extract_text().splitlines()[0] for page in pdf.pages]
        assert {SHEETS["A4"]} == sizes
        sheets = [title for title in titles if ": sheet " in title]
        assert len(sheets) == int(sheets[0].rpartition(" of ")[2])
        assert len(set(sheets)) == len(sheets)


def test_template_as_dxf(written: Written) -> None:
    """Closed lines in mm on the cutting layer, of the size in the record, nothing else on it; an audit is content."""
    for path, line in zip(template_files(written, "dxf"), written.record["cut_lines"], strict=True):
        document = ezdxf.readfile(path)
        audit = document.audit()
        assert not audit.errors
        assert not audit.fixes
        assert 4 == document.header["$INSUNITS"]
        cut = document.modelspace().query('*[layer=="CUT_INNER"]')
        assert line["lines"] == len(cut)
        points = np.concatenate([np.array(loop.get_points("xy")) for loop in cut])
        assert all(loop.closed for loop in cut)
        assert (line["width_mm"], line["height_mm"]) == pytest.approx(np.ptp(points, axis=0), abs=0.02)
        assert {"CUT_INNER", "MARK", "MARK_TEXT"} == {entity.dxf.layer for entity in document.modelspace()}


@pytest.mark.slow
def test_same_input_same_bytes(job: Path, written: Written, tmp_path: Path) -> None:
    """Written once more into another folder by another process every file is the same; pictures may be left out."""
    done = run("clearance", job, "--out", tmp_path / "again", "--confidence", "90", cwd=tmp_path)
    assert 0 == done.code, done.told
    (folder,) = (tmp_path / "again").glob("*/clearance-1")
    first, second = contents(written.folder), contents(folder)
    for name in set(first) & set(second) - {"manifest.json"}:
        assert first[name] == second[name], name
    assert {name for name in set(first) ^ set(second) if not name.endswith(".png")} == set()


def test_nothing_is_written_twice(job: Path, written: Written) -> None:
    """The same job again finds its answer; another gap makes a folder of its own; a damaged folder is not trusted."""
    out = job.parent / "out"
    again = look_round(job, out, confidence=0.9)
    assert again.unchanged
    assert written.folder == again.folder
    assert written.record == again.record
    inputs = json.loads((written.folder / "manifest.json").read_text())["inputs"]
    damaged = written.folder / "places.csv"
    kept = damaged.read_bytes()
    damaged.write_bytes(kept + b"1")
    try:
        assert (None, "clearance-2") == earlier(written.folder.parent, inputs)
    finally:
        damaged.write_bytes(kept)
    assert (written.folder, "clearance-2") == earlier(written.folder.parent, inputs)


def test_the_command_line(locksweep: Callable[..., Any], job: Path, written: Written) -> None:
    """The command prints verdict, places, hardware, caution and files, and with --json the record alone."""
    out = job.parent / "out"
    done = locksweep("clearance", job, "--out", out, "--confidence", 90)
    assert 0 == done.code, done.told
    for words in (
        "Places, the worst first",
        "Arm, tie rod, rim and the rest",
        written.record["caution"],
        "nothing changed",
    ):
        assert words in done.out, words
    done = locksweep("clearance", job, "--out", out, "--confidence", 90, "--json")
    assert json.loads(done.out) == written.record


@pytest.mark.parametrize(
    ("options", "code", "words"),
    [
        (["--gap", "seven"], 1, "--gap seven: found"),
        (["--gap", "300"], 1, "expected a length from 0 mm to 100 mm"),
        (["--gap", "nan"], 1, "--gap nan"),
        (["--confidence", "20"], 2, "greater than or equal to 50"),
        (["--sheet", "A7"], 2, "A7"),
    ],
)
def test_bad_options(
    locksweep: Callable[..., Any], job: Path, options: list[str], code: int, words: str
) -> None:
    """A gap that is no length, a share that is none and a sheet nobody sells are refused in one sentence."""
    done = locksweep("clearance", job, "--out", job.parent / "bad", *options)
    assert code == done.code
    assert words in done.err
    assert "Traceback" not in done.told
    assert not (job.parent / "bad").exists()


def test_a_gap_in_words() -> None:
    """A gap is read as any length of a job file is: bare in the job's unit, else in its own."""
    metric, inches = parse_job(DEMO), parse_job(demo_text("birch-coupe"))
    assert [8.0, 8.0, 12.7, 25.4] == pytest.approx(
        [gap_of("8", metric), gap_of("8 mm", inches), gap_of("1/2 in", metric), gap_of("1", inches)]
    )
    with pytest.raises(JobFileError, match="an angle"):
        gap_of("3 deg", metric)


def test_a_bad_scan_leaves_nothing_behind(tmp_path: Path) -> None:
    """With a scan of garbage the command fails with its name, and no folder is begun."""
    (tmp_path / "scans").mkdir()
    (tmp_path / "scans" / "well.ply").write_bytes(bytes(range(256)) * 30)
    path = tmp_path / "car.toml"
    path.write_text(job_text(), encoding="utf-8")
    with pytest.raises(ScanError, match=r"body 'well <b>\|`': .*well\.ply: its bytes are those of no format"):
        look_round(path, tmp_path / "out")
    (tmp_path / "scans" / "well.ply").unlink()
    with pytest.raises(ScanError, match="no such file; expected PLY"):
        look_round(path, tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_full_disk_leaves_nothing_half_written(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When a template can't be written the folder is not there at all, and the error says why."""

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("locksweep.body.write.write_template", full)
    monkeypatch.setattr("locksweep.body.write.draw_pictures", lambda *_: False)
    small = DEMO.replace("[[wheel_well]]", "[[wheel_well]]", 1)
    path = tmp_path / "car.toml"
    path.write_text(small, encoding="utf-8")
    with pytest.raises(WriteError, match="No space left on device"):
        look_round(path, tmp_path / "out", gap="30 mm")
    assert [] == everything_below(tmp_path / "out") if (tmp_path / "out").exists() else True


def test_a_job_without_any_body(tmp_path: Path) -> None:
    """With nothing measured round the wheels the hardware is looked at all the same, and that is said."""
    text = DEMO[: DEMO.index("[[wheel_well]]")] + DEMO[DEMO.index("[changes]\n") :]
    path = tmp_path / "car.toml"
    path.write_text(text, encoding="utf-8")
    written = look_round(path, tmp_path / "out", as_measured=True)
    assert "as measured" == written.record["condition"]
    assert [] == written.record["places"]
    assert written.record["hardware"]
    assert "No body was measured or scanned" in (written.folder / "clearance.md").read_text(encoding="utf-8")


def test_lightness_tells_clearances_apart() -> None:
    """From deep in the tyre to far away every step of the ramp is lighter, for every kind of colour vision."""
    gap, most = 8.0, 38.0
    values = np.concatenate([np.linspace(-30, most, 60)])
    linear = ((colours(values, gap, most) / 255.0 + 0.055) / 1.055) ** 2.4
    # Relative luminance (WCAG 2), and what each of the three cones alone makes of it (Smith and Pokorny, from memory).
    for weights in ((0.2126, 0.7152, 0.0722), (0.17, 0.73, 0.10), (0.05, 0.80, 0.15)):
        light = linear @ np.array(weights)
        assert (np.diff(light) > -1e-3).all()
        assert light[-1] > 20 * max(light[0], 0.01)
    assert FAR == tuple(int(x) for x in colours(np.array([most + 5.0]), gap, most)[0])
    assert len(STOPS) == 9


def test_templates_of_awkward_lines(tmp_path: Path) -> None:
    """Names of any script, a line larger than any page and one along the surface's edge all make a template."""
    body = sheet(wheel_well, 70, 20, "арка 車 <>&%", "left")
    lines = cut_lines(clearance_map(body, sweeps(), 40.0), 12.0, {"шов": np.array([0.0, 700, 900])})
    found = [line for line in lines if isinstance(line, CutLine)]
    assert found
    for line in found:
        for units in ("mm", "in"):
            template = template_of(line, units)  # type: ignore[arg-type]
            assert template.width >= line.size[0]
            assert template.height >= line.size[1]
            assert write_template(template, tmp_path / "a.pdf", "letter") >= 2
        huge = dataclasses.replace(template, width=9000.0, height=7000.0)
        assert write_template(huge, tmp_path / "huge.pdf", None) >= 1
        with pdfplumber.open(tmp_path / "a.pdf") as pdf:
            text = pdf.pages[-1].extract_text()
        # What the font knows is there, the rest is a question mark, and nothing fails.
        assert "арка ?" in text or "???? ?" in text


def test_every_error_is_one_of_the_project() -> None:
    """What a scan can do wrong is caught with everything else."""
    assert issubclass(ScanError, LocksweepError)
    assert issubclass(ScanError, ValueError)
    assert math.isclose(MM, 0.352777, abs_tol=1e-5)
    assert isinstance(Surface("a", np.zeros((1, 3)), np.zeros((0, 3), int)).is_mesh, bool)
