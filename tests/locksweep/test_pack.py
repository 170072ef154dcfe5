"""locksweep pack: one archive for each kind of shop, read back by other means than those that wrote it."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pdfplumber
import pytest
from jsonschema import Draft202012Validator

import locksweep.after_build
from locksweep.building import BuildResult, build_job
from locksweep.pack.shops import SHOPS, rows_for, tolerance_and_finish
from locksweep.pack.shops import changed as changed_parts
from locksweep.pack.write import pack_job
from locksweep.schemas import schema_text
from solver.errors import JobFileError, LocksweepError, WriteError
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import contents, edited, everything_below, full_job, run, small_job, written

PLATES = ["closure-plate-left", "closure-plate-right", "bump-stop-left", "bump-stop-right"]
TURNED = ["rack-spacer", "arm-sleeve"]
MADE = {
    "machining": [*TURNED, "drilling-gauge"],
    "cutting": [*PLATES, "fixture-base", "fixture-vee-arm", "fixture-vee-sleeve", "fixture-stop"],
    "printing": [*TURNED, *PLATES],
}
KINDS = {
    "machining": {"step", "dxf", "pdf"},
    "cutting": {"step", "dxf", "pdf"},
    "printing": {"stl", "3mf"},
}


@pytest.fixture
def built(demo: BuildResult, tmp_path: Path) -> Path:
    """A copy of the built demo job: the folder that holds job-file.toml and sets/."""
    shutil.copytree(demo.folder.parents[1], tmp_path / "sets")
    written(tmp_path, full_job())
    return tmp_path


def root_of(built: Path) -> Path:
    """The job's folder."""
    (root,) = (built / "sets").iterdir()
    return root


def packed(built: Path) -> dict[str, dict[str, bytes]]:
    """By shop, what its archive holds, by name without its folder."""
    pack_job(built / "job-file.toml", built / "sets")
    found = {}
    for path in sorted((root_of(built) / "pack-A").glob("*.zip")):
        with zipfile.ZipFile(path) as archive:
            assert archive.testzip() is None
            names = archive.namelist()
            assert {f"{root_of(built).name}-A-{path.stem}"} == {name.split("/")[0] for name in names}
            assert sorted(names) == names
            assert {(1980, 1, 1, 0, 0, 0)} == {info.date_time for info in archive.infolist()}
            found[path.stem] = {name.split("/")[1]: archive.read(name) for name in names}
    return found


def test_each_shop_gets_its_parts(built: Path, demo: BuildResult) -> None:
    """Bar and tube go to be machined, plate to be cut, mock-ups of what sits on the car to be printed; all as built."""
    found = packed(built)
    assert {"machining", "cutting", "printing"} == set(found)
    for shop, files in found.items():
        own = {name for name in files if name not in ("parts-list.csv", "parts-list.pdf", "request.txt")}
        sheets = {"mock-ups.md"} if shop == "printing" else set()
        assert sheets == own & sheets
        parts = MADE[shop]
        assert own - sheets == {
            name
            for name in demo.files
            if name.partition("-A")[0] in parts
            and name.rpartition(".")[2] in KINDS[shop]
            and (shop != "cutting" or not name.endswith("-drawing.dxf"))
        }
        for name in own:
            assert (demo.folder / name).read_bytes() == files[name]


def test_paper_goes_to_nobody(built: Path) -> None:
    """A template that the builder prints is in no archive, and is named so that it isn't forgotten."""
    assert ("wrap-template",) == pack_job(built / "job-file.toml", built / "sets").own
    assert not [name for files in packed(built).values() for name in files if "wrap" in name]
    said = run("pack", "job-file.toml", "--out", "sets", cwd=built).out
    assert "to be printed by yourself" in said
    assert "wrap-template" in said


def test_list_reads_back(built: Path, demo: BuildResult) -> None:
    """The CSV has the summary's numbers; the PDF is one page and has each part with material, mass and size."""
    record = json.loads((demo.folder / "summary.json").read_text(encoding="utf-8"))
    parts = {part["name"]: part for part in record["parts"]}
    for shop, files in packed(built).items():
        rows = list(csv.DictReader(io.StringIO(files["parts-list.csv"].decode("utf-8-sig"))))
        with pdfplumber.open(io.BytesIO(files["parts-list.pdf"])) as pdf:
            (page,) = pdf.pages
            text = " ".join((page.extract_text() or "").split())
            assert all(0 < word["x0"] and word["x1"] < page.width for word in page.extract_words())
            assert all(0 < word["top"] and word["bottom"] < page.height for word in page.extract_words())
        assert MADE[shop] == [row["part"] for row in rows]
        assert "Do not drive on an unchecked part." in text
        for row in rows:
            part = parts[row["part"]]
            assert part["name"] in text
            assert "A" == row["revision"]
            sides = [float(row[f"envelope_{axis}_mm"]) for axis in "xyz"]
            assert sides == pytest.approx(part["envelope_mm"], abs=0.006)
            if shop == "printing":
                assert (str(part["quantity"]), "") == (row["quantity"], row["mass_kg"])
                continue
            assert (str(part["quantity"]), part["material"]) == (row["quantity"], row["material"])
            assert float(row["mass_kg"]) == pytest.approx(part["mass_kg"], abs=1e-4)
            assert f"{part['mass_kg']:.3f} kg" in text
            treated = {"42CrMo4+QT": "quenched and tempered"}.get(row["material"], "hot-rolled")
            assert row["condition"].startswith(treated)
            assert "ISO 2768-m" in row["tolerance"]
            assert row["finish"].startswith("deburr")
            assert part["process"] in row["process"]
            cut = shop == "cutting"
            assert cut == (row["thickness_mm"] != "") == (row["cut_length_mm"] != "")
            if cut:
                assert float(row["cut_length_mm"]) == pytest.approx(part["flat"]["cut_length_mm"], abs=0.06)
                assert float(row["thickness_mm"]) == pytest.approx(part["flat"]["thickness_mm"])


def test_request_is_ready_to_send(built: Path) -> None:
    """It names every part with revision and quantity and every file, says what to quote, and carries the caution."""
    for shop, files in packed(built).items():
        text = files["request.txt"].decode("utf-8")
        joined = " ".join(text.split())
        assert text.startswith("Request for quotation: Alder coupe, 50 degrees on 17s, revision A, ")
        assert max(map(len, text.splitlines())) <= 90
        rows = csv.DictReader(io.StringIO(files["parts-list.csv"].decode("utf-8-sig")))
        for row in rows:
            assert f"{row['part']}, revision A, {row['quantity']} off" in joined
            assert all(name in joined for name in row["files"].split())
            assert all(name in files for name in row["files"].split())
        assert "Steering and suspension parts can kill" in joined
        assert ("EN 10204" in joined) == (shop != "printing")


def test_inch_job_reads_in_inches() -> None:
    """Sizes of an inch job come in inches with millimetres beside them, and no number is turned twice."""
    from locksweep.demo_jobs import demo_text
    from locksweep.job import parse_job
    from locksweep.pack.request import request_text
    from locksweep.solved import solve_job

    solved = solve_job(parse_job(demo_text("birch-coupe")))
    names = {part.name: "A" for part in solved.parts}
    record = solved.record(revisions=names, files={name: (f"{name}-A.step",) for name in names})
    rows = rows_for("cutting", record, [f"{name}-A.step" for name in names])
    text = request_text("cutting", rows, "Birch", "A", "Caution.", "in")
    assert "thickness 0.0625 in (1.59 mm)" in text
    assert "blank: plate 1/16 in" in text
    assert "((" not in text
    assert " in (" in text
    assert " in in " not in text


def test_same_bytes_in_two_processes(built: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Two processes, in folders of other names, pack the same bytes; a second run writes nothing."""
    found = []
    for name in ("one", "two"):
        folder = tmp_path_factory.mktemp(name)
        shutil.copytree(built / "sets", folder / "sets")
        written(folder, full_job())
        done = run("pack", "job-file.toml", "--out", "sets", cwd=folder)
        assert 0 == done.code, done.told
        found.append(contents(root_of(folder) / "pack-A"))
        assert pack_job(folder / "job-file.toml", folder / "sets").left.unchanged
        assert found[-1] == contents(root_of(folder) / "pack-A")
    assert found[0] == found[1]
    manifest = json.loads(found[0]["manifest.json"])
    assert [] == list(Draft202012Validator(json.loads(schema_text("pack"))).iter_errors(manifest))
    assert {
        name: hashlib.sha256(data).hexdigest() for name, data in found[0].items() if name != "manifest.json"
    } == manifest["files"]


def test_another_pack_is_left_as_it_is(built: Path, locksweep: Command) -> None:
    """A pack that was edited stays, and is told; the new one takes the next name."""
    packed(built)
    root = root_of(built)
    (root / "pack-A" / "cutting.zip").write_bytes(b"mine")
    done = locksweep("pack", built / "job-file.toml", "--out", built / "sets")
    assert 0 == done.code
    assert "pack-A: another pack of this revision, left as it is" in done.err
    assert b"mine" == (root / "pack-A" / "cutting.zip").read_bytes()
    assert ["cutting.zip", "machining.zip", "manifest.json", "printing.zip"] == everything_below(
        root / "pack-A-2"
    )
    again = locksweep("pack", built / "job-file.toml", "--out", built / "sets")
    assert "pack-A-2: nothing changed since this was packed." in again.out
    assert not (root / "pack-A-3").exists()


@pytest.fixture(scope="module")
def changed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job of rings and sleeves whose rings changed after revision A; only to be read or copied."""
    folder = tmp_path_factory.mktemp("changed")
    for text in (small_job(), edited(small_job(), ("# rack_spacer = 8 ", "rack_spacer = 5 "))):
        build_job(written(folder, text), folder / "sets")
    return folder


def test_only_what_changed_is_sent(changed: Path, tmp_path: Path, locksweep: Command) -> None:
    """With --since the sleeves, which kept their letter, are in no archive; request and manifest say since when."""
    shutil.copytree(changed, tmp_path, dirs_exist_ok=True)
    done = locksweep("pack", tmp_path / "job-file.toml", "--out", tmp_path / "sets", "--since", "A")
    assert 0 == done.code, done.told
    assert "left out, as they were in revision A: arm-sleeve" in done.out
    folder = root_of(tmp_path) / "pack-B-since-A"
    assert ["machining.zip", "manifest.json", "printing.zip"] == everything_below(folder)
    for shop in ("machining", "printing"):
        with zipfile.ZipFile(folder / f"{shop}.zip") as archive:
            files = {name.split("/")[1]: archive.read(name) for name in archive.namelist()}
        assert {"rack-spacer"} == {
            row["part"] for row in csv.DictReader(io.StringIO(files["parts-list.csv"].decode("utf-8-sig")))
        }
        assert not [name for name in files if name.startswith("arm-sleeve")]
        assert "new or changed since revision A" in " ".join(files["request.txt"].decode("utf-8").split())
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    assert [] == list(Draft202012Validator(json.loads(schema_text("pack"))).iter_errors(manifest))
    assert "A" == manifest["since"]
    again = locksweep("pack", tmp_path / "job-file.toml", "--out", tmp_path / "sets", "--since", "A")
    assert "nothing changed since this was packed" in again.out
    assert () == pack_job(tmp_path / "job-file.toml", tmp_path / "sets").same


@pytest.mark.parametrize(
    ("since", "words"),
    [("B", "no revision B before B; earlier ones are: A"), ("../A", "no revision"), ("", "no revision")],
)
def test_since_wants_an_earlier_revision(changed: Path, since: str, words: str) -> None:
    """The last revision itself, a path or nothing at all is no earlier revision, and nothing is packed."""
    with pytest.raises(JobFileError, match=re.escape(words)):
        pack_job(changed / "job-file.toml", changed / "sets", since)
    assert ["A", "B"] == sorted(path.name for path in root_of(changed).iterdir())


def test_since_a_damaged_revision_is_refused(changed: Path, tmp_path: Path) -> None:
    """What an edited revision had can't be known, so nothing is left out by it."""
    shutil.copytree(changed, tmp_path, dirs_exist_ok=True)
    (root_of(tmp_path) / "A" / "summary.json").write_text("{}", "utf-8")
    with pytest.raises(WriteError, match=r"summary\.json was changed"):
        pack_job(tmp_path / "job-file.toml", tmp_path / "sets", "A")


def test_more_of_a_part_are_sent_for() -> None:
    """A part that kept its letter is new to the shop when more of it are wanted, and not when fewer are."""
    had = {"parts": [{"name": "ring", "revision": "A", "quantity": 2}]}
    for quantity, count in ((1, 0), (2, 0), (3, 1)):
        now = {"parts": [{"name": "ring", "revision": "A", "quantity": quantity}]}
        assert count == len(changed_parts(now, had))
    assert 1 == len(changed_parts({"parts": [{"name": "ring", "revision": "B", "quantity": 2}]}, had))


def test_shops_read_what_is_theirs_to_do(built: Path, demo: BuildResult) -> None:
    """Welding is not asked of who cuts or turns; who prints reads the number and the size of every piece."""
    requests = {
        shop: " ".join(files["request.txt"].decode("utf-8").split()) for shop, files in packed(built).items()
    }
    assert "Welding, sealing, primer and paint are not asked for" in requests["cutting"]
    assert "Welding is not asked for" in requests["machining"]
    record = json.loads((demo.folder / "summary.json").read_text(encoding="utf-8"))
    for part in record["parts"]:
        for piece in (part["mock_up"] or {"pieces": []})["pieces"]:
            size = " × ".join(f"{side:.1f}" for side in piece["size_mm"])
            wanted = f"print {piece['count'] * part['quantity']} × {piece['file']}, {size} mm as it lies"
            assert wanted in requests["printing"]


def test_list_has_no_empty_column(built: Path) -> None:
    """The printer's list has neither thickness nor mass; a star marks what carries the car on the others."""
    texts = {}
    for shop, files in packed(built).items():
        with pdfplumber.open(io.BytesIO(files["parts-list.pdf"])) as pdf:
            texts[shop] = " ".join((pdf.pages[0].extract_text() or "").split())
    assert {"cutting"} == {shop for shop, text in texts.items() if "cut length" in text}
    assert {"cutting", "machining"} == {shop for shop, text in texts.items() if "mass each" in text}
    assert {"cutting", "machining"} == {shop for shop, text in texts.items() if "* runs the loads" in text}


def test_pack_is_no_revision(built: Path, locksweep: Command) -> None:
    """The next build takes no notice of a pack, and finds its revision as it was written."""
    packed(built)
    done = locksweep("build", built / "job-file.toml", "--out", built / "sets")
    assert 0 == done.code
    assert "nothing changed since this revision was built" in done.out


@pytest.mark.parametrize(
    ("damage", "words"),
    [
        (lambda folder: (folder / "summary.json").write_text("{}", "utf-8"), "summary.json was changed"),
        (lambda folder: (folder / "rack-spacer-A.step").unlink(), "rack-spacer-A.step is missing"),
        (
            lambda folder: (folder / "rack-spacer-A.pdf").write_text("x", "utf-8"),
            "rack-spacer-A.pdf was added",
        ),
        (
            lambda folder: (folder / "manifest.json").write_text("[]", "utf-8"),
            "not a manifest that can be read",
        ),
    ],
)
def test_damaged_build_is_not_packed(
    built: Path, locksweep: Command, damage: Callable[[Path], object], words: str
) -> None:
    """Nothing that was edited by hand goes to a shop: exit code 4, what is wrong, and no pack."""
    damage(root_of(built) / "A")
    done = locksweep("pack", built / "job-file.toml", "--out", built / "sets")
    assert 4 == done.code
    assert words in done.err
    assert ["A"] == [path.name for path in root_of(built).iterdir()]


def test_job_that_moved_on_is_not_packed(built: Path, tmp_path: Path) -> None:
    """A job file that is not the one built last, or was never built, says what to run first."""
    job = written(built, edited(full_job(), ("clearance = 8 ", "clearance = 9 ")))
    with pytest.raises(JobFileError, match=r"not what revision A was built from; run: locksweep build"):
        pack_job(job, built / "sets")
    with pytest.raises(JobFileError, match=r"was not built into .*; run: locksweep build"):
        pack_job(job, built / "elsewhere")
    assert ["A"] == [path.name for path in root_of(built).iterdir()]


@pytest.mark.parametrize("failure", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_failure_midway_leaves_nothing(
    built: Path, monkeypatch: pytest.MonkeyPatch, failure: BaseException
) -> None:
    """When the second archive can't be written, or Ctrl-C is pressed then, nothing of the pack is left."""
    write, calls = locksweep.after_build.write_bytes, []

    def fail(path: Path, data: bytes) -> None:
        calls.append(path)
        if len(calls) == 2:
            raise failure
        write(path, data)

    monkeypatch.setattr(locksweep.after_build, "write_bytes", fail)
    expected = KeyboardInterrupt if isinstance(failure, KeyboardInterrupt) else WriteError
    with pytest.raises(expected):
        pack_job(built / "job-file.toml", built / "sets")
    assert ["A"] == [path.name for path in root_of(built).iterdir()]
    assert issubclass(WriteError, LocksweepError)


def test_whatever_belongs_to_a_part_goes_along() -> None:
    """A drawing beside the other files of a part is packed for who can use it, and no other part's or revision's."""
    part = {
        "name": "arm-sleeve", "title": "sleeve", "revision": "A", "quantity": 2, "material": "S355", "process": "bored",
        "notes": [], "flat": None, "mass_kg": 1.0, "envelope_mm": [1.0, 2.0, 3.0], "role": "carries the car",
        "blank": {"kind": "tube", "stock": "60 × 10 mm", "size_mm": [60.0, 60.0, 9.0]}, "overridden": ["short"],
    }  # fmt: skip
    names = [
        "arm-sleeve-A.pdf",
        "arm-sleeve-A-drawing.dxf",
        "arm-sleeve-A.3mf",
        "arm-sleeve-AA.pdf",
        "job.toml",
    ]
    names += ["arm-sleeve-left-A.pdf", "arm-sleeve-A.step", "caution.pdf"]
    found = {shop: [row.files for row in rows_for(shop, {"parts": [part]}, names)] for shop in SHOPS}
    wanted = ("arm-sleeve-A-drawing.dxf", "arm-sleeve-A.pdf", "arm-sleeve-A.step")
    assert {"machining": [wanted], "cutting": [], "printing": [("arm-sleeve-A.3mf",)]} == found
    (row,) = rows_for("machining", {"parts": [part]}, names)
    assert (True, True) == (row.overridden, row.carries)


@pytest.mark.parametrize(
    ("notes", "expected"),
    [
        ((), ("ISO 2768-m", "deburr", "")),
        (("bolt it on", "sizes to ISO 2768-m; deburr, paint"), ("sizes to ISO 2768-m", "deburr, paint", "")),
        (
            ("bore 42 mm (0 / +0.2 mm); others to ISO 2768-f; 5 mm fillets; deburr; oil",),
            ("bore 42 mm (0 / +0.2 mm); others to ISO 2768-f", "deburr; oil", "5 mm fillets"),
        ),
    ],
)
def test_tolerance_and_finish_come_from_the_notes(
    notes: tuple[str, ...], expected: tuple[str, str, str]
) -> None:
    """What a part's own note says of tolerance, finish and welding is what the shop reads; else the general ones."""
    assert expected == tolerance_and_finish(notes)
