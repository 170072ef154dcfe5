"""The starter job file and what of it was left as it was."""

from __future__ import annotations

import dataclasses
import re
import tomllib

import pytest

from locksweep.demo_jobs import STARTERS, demo_text
from locksweep.job import parse_job
from locksweep.job.starter import example_values, starter_text


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_starter_is_the_demo_with_another_name(units: str) -> None:
    """It loads, gives the demo's job but for the names, and keeps every comment on measuring."""
    text = starter_text(units, "mine.toml")
    job, demo = parse_job(text), parse_job(demo_text(STARTERS[units]))
    assert units == job.stock_units
    assert ("my car", "my car") == (job.name, job.car.name)
    assert demo == dataclasses.replace(
        job, name=demo.name, car=dataclasses.replace(job.car, name=demo.car.name)
    )
    assert "locksweep check mine.toml" in text
    for words in (
        "Never put any part of yourself under a car that stands on a jack",
        "plumb line",
        "angle gauge",
    ):
        assert words in text
    assert "coupe" not in text.lower()


@pytest.mark.parametrize("units", ["mm", "in"])
def test_every_measured_key_of_an_untouched_starter_is_listed(units: str) -> None:
    """Points, sizes, masses and angles, each on the line where it stands."""
    text = starter_text(units)
    values = example_values(text)
    keys = [value.key for value in values]
    left = tomllib.loads(text)["car"]["left"]
    assert {f"car.left.{key}" for key in left} <= set(keys)
    assert {
        "car.wheelbase",
        "car.corner_masses.left",
        "rack.travel_each_side",
        "strut.tube_length",
        "wheel.rim_width",
        "keep_clear[1].to",
        "wheel_well[0].panel",
        "stop[0].mount",
    } <= set(keys)
    assert not {key for key in keys if key.startswith(("goal", "changes", "parts", "job"))}
    lines = text.splitlines()
    for value in values:
        assert value.key.split(".")[-1] in lines[value.line - 1]


def test_replaced_values_are_no_longer_listed() -> None:
    """A key drops out when its value changes, and stays when only its spelling does."""
    text = starter_text("mm")
    left = tomllib.loads(text)["car"]["left"]
    x, y, z = left["strut_top"]
    text = re.sub(r"ball_joint = \[", "ball_joint = [1", text, count=1)
    text = re.sub(r"strut_top = \[.*?\]", f'strut_top = ["{x / 10} cm", "{y} mm", {z}]', text, count=1)
    text = re.sub(r"\nleft = (\d+)", r'\nleft = "\1 kg"', text, count=1)
    text = re.sub(r"travel_each_side = ", "travel_each_side = 1", text, count=1)
    shown = {value.key: value.value for value in example_values(text)}
    assert {"car.left.strut_top", "car.corner_masses.left", "car.left.pickup"} <= set(shown)
    assert not {"car.left.ball_joint", "rack.travel_each_side"} & set(shown)
    assert f'["{x / 10} cm", "{y} mm", {z} mm]' == shown["car.left.strut_top"]


def test_text_that_is_no_toml_has_none() -> None:
    """What is wrong with it is told by loading it."""
    assert [] == example_values("[car\n")
    assert [] == example_values("a = " + "[" * 5000)
