"""The sheets of a build: what they say is what the record says."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, get_args

import pytest

from locksweep.building import BuildResult
from locksweep.documents.title_data import CAUTIONS, title_data
from locksweep.solved import Solved
from parts.catalogue import build, family_of
from parts.drawing.sheet import write_drawing
from solver.part import LoadRole
from tests.parts.drawn import Drawn, read


@pytest.fixture(scope="module")
def pages(demo: BuildResult) -> dict[str, Drawn]:
    """The sheets of the metric demo job, by part; a template that is only paper has none."""
    return {
        name: read(demo.folder / f"{name}-{letter}-drawing.pdf")
        for name, letter in demo.revisions.items()
        if name != "wrap-template"
    }


def test_sheets_are_sound(pages: dict[str, Drawn]) -> None:
    """Nothing lies on anything or goes beyond the frame."""
    assert 11 == len(pages)
    for name, page in pages.items():
        assert [] == page.overlaps(), name
        assert [] == page.outside(), name


def test_sheets_agree_with_the_record(demo: BuildResult, pages: dict[str, Drawn]) -> None:
    """Part number, revision, material, quantity, mass and job are those of the summary."""
    record: dict[str, Any] = json.loads((demo.folder / "summary.json").read_text(encoding="utf-8"))
    for part in record["parts"]:
        if part["name"] not in pages:
            continue
        said = pages[part["name"]].words.split("\n")
        for text in (
            part["name"],
            part["revision"],
            part["material"],
            str(part["quantity"]),
            record["job"]["name"],
        ):
            assert text in said, (part["name"], text)
        # Rounded as both are, to a gram.
        assert any(f"{part['mass_kg'] + off:.3f} kg" in said for off in (-1e-3, 0.0, 1e-3)), part["name"]


def test_every_sheet_has_its_caution(pages: dict[str, Drawn], demo: BuildResult) -> None:
    """What a part does to the car when it fails decides what is said above its title block; each role has words."""
    assert set(get_args(LoadRole)) == set(CAUTIONS)
    for part in (one for one in demo.solved.parts if one.name in pages):
        said = pages[part.name].words.replace("\n", " ")
        assert f"CAUTION: {CAUTIONS[part.role]}" in said, part.name


def test_title_follows_part_and_material(solved: dict[str, Solved]) -> None:
    """In either demo job, condition and mass come from the material's row: steel of 7850 kg/m³."""
    for job in solved.values():
        for part in job.parts:
            if family_of(part.dimensions).paper:
                continue
            issue = title_data(part, "B", job.job.name, job.job.stock_units, "")
            assert (part.name, part.quantity, part.material) == (issue.name, issue.quantity, issue.material)
            assert part.dimensions.volume * 7.85e-6 == pytest.approx(issue.mass)
            assert issue.condition


def test_sheets_are_listed(demo: BuildResult) -> None:
    """The manifest and the summary name both files of each sheet; what is only paper has none."""
    manifest = json.loads((demo.folder / "manifest.json").read_text(encoding="utf-8"))
    summary = (demo.folder / "summary.md").read_text(encoding="utf-8")
    for name, letter in demo.revisions.items():
        if name == "wrap-template":
            # It is printed, not drawn.
            assert not (demo.folder / f"{name}-{letter}-drawing.pdf").exists()
            continue
        for kind in ("pdf", "dxf"):
            file = f"{name}-{letter}-drawing.{kind}"
            assert file in manifest["files"]
            assert f"`{file}`" in summary
            assert Path(demo.folder / file).is_file()


def test_sheets_of_an_inch_job_are_sound(solved: dict[str, Solved], tmp_path: Path) -> None:
    """The other demo job's sheets: nothing lies on anything, no length in millimetres alone but the check bar."""
    job = solved["birch-coupe"]
    drawn = [part for part in job.parts if not family_of(part.dimensions).paper]
    assert len(drawn) > 8
    for part in drawn:
        issue = title_data(part, "A", job.job.name, job.job.stock_units, "")
        page = read(write_drawing(build(part.dimensions), part.dimensions, issue, tmp_path)[0])
        assert [] == page.overlaps(), part.name
        assert [] == page.outside(), part.name
        words = " ".join(page.words.split())
        assert ["50 mm"] == re.findall(r"(?<![\[(\d.])\d+(?:\.\d+)?\s?mm(?![\])])", words), part.name
