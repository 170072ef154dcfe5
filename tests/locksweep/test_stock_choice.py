"""The builder says whether stock is bought in metric or in inch sizes, whatever the job file is written in."""

from __future__ import annotations

import pytest

from locksweep.job import parse_job
from locksweep.job.findings import JobFindingsError
from locksweep.solved import Solved, solve_job
from solver.stock import plate_thicknesses
from tests.locksweep.pipeline import edited, full_job

METRIC, INCH = 'stock = "mm"', 'stock = "in"'


def labels(solved: Solved) -> dict[str, str]:
    """By part, what its blank is called."""
    return {part["name"]: part["blank"]["stock"] for part in solved.record()["parts"]}


def test_metric_car_of_inch_stock() -> None:
    """Spacer, sleeve and their blanks come in inch sizes that can be had; the documents stay in mm."""
    solved = solve_job(parse_job(edited(full_job(), (METRIC, INCH))))
    assert "mm" == solved.record()["job"]["units"]
    parts = {part.name: part.dimensions for part in solved.parts}
    spacer = parts["rack-spacer"].thickness
    assert any(spacer == pytest.approx(size, abs=1e-6) for size in plate_thicknesses("in"))
    sixteenths = 16 * parts["arm-sleeve"].wall / 25.4
    assert sixteenths == pytest.approx(round(sixteenths), abs=1e-9)
    found = labels(solved)
    assert found["rack-spacer"].endswith(" in")
    assert found["arm-sleeve"].endswith(" in")
    gauge = 16 * parts["drilling-gauge"].thickness / 25.4
    assert gauge == pytest.approx(round(gauge), abs=1e-9)
    # The sheet's own thickness was given in mm.
    assert "1.5 mm" == found["closure-plate-left"]


def test_left_out_it_is_as_the_file(solved: dict[str, Solved]) -> None:
    """Without the key the file's units decide, as they do in both demo jobs."""
    for name, job in solved.items():
        assert job.job.shelf == job.job.stock_units, name
    bare = parse_job(edited(full_job(), (METRIC, "# " + METRIC)))
    assert "mm" == bare.shelf
    assert None is bare.part_choices.stock


def test_every_blank_is_heavier_than_its_part(solved: dict[str, Solved]) -> None:
    """No part of a demo job is larger than what is bought for it, in mass or in size."""
    for job in solved.values():
        for part in job.record()["parts"]:
            # The bracket's pad is a piece of bar by itself.
            assert part["blank"]["mass_kg"] > 0.98 * part["mass_kg"], part["name"]


def test_other_word_is_refused() -> None:
    """Anything but mm or in is named with what was expected."""
    with pytest.raises(JobFindingsError, match="stock"):
        parse_job(edited(full_job(), (METRIC, 'stock = "metric"')))
