"""Job files that are right: what becomes of them."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import pytest

from locksweep.demo_jobs import demo_names, demo_path
from locksweep.job import load_job, parse_job
from solver.car import KeepClear, Move, Wheel

FILES = Path(__file__).parent / "job_files"
REAR = (FILES / "rear-rack.toml").read_text(encoding="utf-8")
DIRECTION = "direction = [0, 1, 0]"


def changed(text: str, *replacements: tuple[str, str]) -> str:
    """The text with each first part replaced once; it must be there."""
    for old, new in replacements:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def test_a_metric_file() -> None:
    """Every kind of value of the rear-rack car arrives in mm, radians and kg."""
    job = load_job(FILES / "rear-rack.toml")
    assert "mm" == job.stock_units
    assert job.car.left.pickup[0] < 0, "the rack lies behind the axle line"
    assert job.car.left.inner_joint[0] < 0
    assert 2480.0 == job.car.wheelbase
    assert (310.0, 310.0) == job.car.corner_masses
    assert (14.0, 1.5) == (job.car.rack.stud_diameter, job.car.rack.stud_pitch)
    assert (0.0, 1.0, 0.0) == job.car.rack.direction
    assert 6.5 * 25.4 == pytest.approx(job.car.wheel.rim_width, rel=1e-15)
    assert 51 / 2 == job.car.strut.tube_radius
    assert math.radians(-0.5) == pytest.approx(job.car.left.camber, rel=1e-15)
    assert math.radians(50) == pytest.approx(job.goal.lock, rel=1e-15)
    assert ("round", 35.0, 35.0, 4.0) == (
        job.car.arm.section.shape,
        job.car.arm.section.width,
        job.car.arm.section.height,
        job.car.arm.section.wall,
    )
    assert {"left", "right"} == {well.side for well in job.car.wheel_wells}
    assert "225/45R17" == job.fixed.wheel.tyre
    assert not job.spacer_given
    assert not job.extension_given


def test_a_file_in_inches() -> None:
    """Fractions, feet, pounds and minutes of the front-rack car, each worked out by hand."""
    job = load_job(FILES / "front-rack.toml")
    assert "in" == job.stock_units
    assert job.car.left.pickup[0] > 0, "the rack lies ahead of the axle line"
    assert job.car.left.inner_joint[0] > 0
    assert (7 * 12 + 10 + 7 / 8) * 25.4 == pytest.approx(job.car.wheelbase, rel=1e-15)
    assert 645 * 0.45359237 == pytest.approx(job.car.corner_masses[0], rel=1e-15)
    assert (0.25 * 25.4, 26.5 * 25.4, 7.0625 * 25.4) == pytest.approx(job.car.left.ball_joint, rel=1e-15)
    assert (9 / 16 * 25.4, 25.4 / 18) == (job.car.rack.stud_diameter, job.car.rack.stud_pitch)
    assert math.radians(-40 / 60) == pytest.approx(job.car.left.camber, rel=1e-15)
    assert (40.0, 30.0, 3.0, 6.0) == (
        job.car.arm.section.width,
        job.car.arm.section.height,
        job.car.arm.section.wall,
        job.car.arm.section.corner_radius,
    )
    assert 25.4 == job.car.strut.tube_radius


def test_the_demos_are_a_rear_rack_car_in_mm_and_a_front_rack_car_in_inches() -> None:
    """Between them they show both layouts, both units, both kinds of section and different tyres."""
    alder, birch = load_job(demo_path("alder-coupe")), load_job(demo_path("birch-coupe"))
    assert ("mm", "in") == (alder.stock_units, birch.stock_units)
    assert alder.car.left.pickup[0] < 0 < birch.car.left.pickup[0]
    assert alder.car.left.inner_joint[0] < 0 < birch.car.left.inner_joint[0]
    assert ("round", "rectangular") == (alder.car.arm.section.shape, birch.car.arm.section.shape)
    tyres = [job.car.wheel.tyre for job in (alder, birch)] + [job.fixed.wheel.tyre for job in (alder, birch)]
    assert 4 == len(set(tyres))


@pytest.mark.parametrize("name", demo_names())
def test_demos_are_plausible_compact_coupes(name: str) -> None:
    """Wheelbase, track, tyre and pivots lie where a compact strut-front rear-drive coupe has them."""
    car = load_job(demo_path(name)).car
    assert 2300 < car.wheelbase < 2650
    for corner, sign in ((car.left, 1), (car.right, -1)):
        assert 650 < corner.wheel_centre[1] * sign < 780
        assert 270 < corner.wheel_centre[2] < 320
        up = corner.strut_top[2] - corner.ball_joint[2]
        lean = math.degrees(math.atan2((corner.ball_joint[1] - corner.strut_top[1]) * sign, up))
        caster = math.degrees(math.atan2(corner.ball_joint[0] - corner.strut_top[0], up))
        assert 9 < lean < 17
        assert 2 < caster < 8


def test_without_a_right_table_the_right_side_is_the_mirror() -> None:
    """Points change the sign of y; toe and camber, which count the same way on both sides, stay."""
    car = parse_job(changed(REAR, ('[car.right]\ncamber = "-0.6 deg"\n', ""))).car
    assert car.left.mirrored() == car.right
    assert (-108.0, -650.0, 178.0) == car.right.pickup
    assert car.left.camber == car.right.camber


def test_right_keys_override_the_mirror_one_by_one() -> None:
    """A right point that is given is taken as it stands, and the rest stays the mirror."""
    text = changed(REAR, ('camber = "-0.6 deg"', 'pickup = [-107, -652, 177]\ntoe = "5 min"'))
    right = parse_job(text).car.right
    assert (-107.0, -652.0, 177.0) == right.pickup
    assert math.radians(5 / 60) == pytest.approx(right.toe, rel=1e-15)
    assert (8.0, -668.0, 172.0) == right.ball_joint


def test_the_rack_direction_is_made_a_unit_vector() -> None:
    """A direction of any length will do; left out, it is square to the car."""
    text = changed(REAR, (DIRECTION, "direction = [4, 3.0, 0]"))
    with pytest.raises(ValueError, match="points to the left"):
        parse_job(text)
    skewed = parse_job(changed(REAR, (DIRECTION, "direction = [-0.6, 8, 0.0]")))
    assert 1.0 == pytest.approx(math.hypot(*skewed.car.rack.direction), rel=1e-15)
    assert (0.0, 1.0, 0.0) == parse_job(changed(REAR, (DIRECTION, ""))).car.rack.direction


def test_keep_clear_without_an_end_is_a_ball_and_both_means_two() -> None:
    """`to` may be missing; side both gives the right side the mirrored bar, left only one."""
    bar = '[[keep_clear]]\nname = "bracket"\nfrom = [10, 400, 300]\nradius = 5\nfixed_to = "arm"\n'
    keep_clear = parse_job(changed(REAR, ("[[wheel_well]]", f"{bar}\n[[wheel_well]]"))).car.keep_clear
    point, mirror = (10.0, 400.0, 300.0), (10.0, -400.0, 300.0)
    assert (
        KeepClear("bracket", point, point, 5.0, "arm", "left"),
        KeepClear("bracket", mirror, mirror, 5.0, "arm", "right"),
    ) == keep_clear[-2:]
    left = parse_job(changed(REAR, ("[[wheel_well]]", f'{bar}side = "left"\n[[wheel_well]]'))).car.keep_clear
    assert ["left"] == [item.side for item in left if item.name == "bracket"]


def test_given_changes_are_marked_as_given() -> None:
    """A spacer or extension of 0 that stands in the file is a decision, unlike one that does not."""
    text = changed(
        REAR,
        ("ride_height_drop = 0", 'ride_height_drop = -5\nrack_spacer = 0\narm_extension = "1 in"'),
        ("[changes.wheel]", "pickup_move = { forward = 10, outward = -5 }\n[changes.wheel]"),
        ("[changes.wheel]", "strut_top_shift = { up = 3 }\ntie_rod_length = 370\n[changes.wheel]"),
    )
    job = parse_job(text)
    assert (True, True) == (job.spacer_given, job.extension_given)
    assert (0.0, 25.4) == (job.fixed.rack_spacer, job.fixed.arm_extension)
    assert Move(forward=10.0, outward=-5.0, up=0.0) == job.fixed.pickup_move
    assert Move(up=3.0) == job.fixed.strut_top_shift
    assert -5.0 == job.fixed.ride_height_drop
    assert 370.0 == job.fixed.tie_rod_length


def test_a_new_offset_alone_keeps_the_measured_tyre() -> None:
    """Measured tyre sizes hold for the measured tyre on the measured rim, and for no other."""
    new_tyre = 'tyre = "225/45R17"\nrim_width = "7.5 in"\noffset = 25\n'
    same = parse_job(changed(REAR, (new_tyre, "offset = 15\n"))).fixed.wheel
    assert Wheel("195/60R15", 165.1, 15.0, loaded_radius=300.0) == same
    other = parse_job(changed(REAR, (new_tyre, 'tyre = "205/55R15"\n'))).fixed.wheel
    assert Wheel("205/55R15", 165.1, 25.0) == other


def test_a_solid_arm_needs_no_wall() -> None:
    """A forged arm without a wall is solid: its wall is half of it."""
    text = changed(REAR, ("wall = 4\n", "\n"), ('construction = "tube"', 'construction = "forged"'))
    assert 17.5 == parse_job(text).car.arm.section.wall


def test_part_choices_have_usual_values() -> None:
    """Materials left out of [parts] are the usual ones."""
    text = changed(REAR, ('sleeve_material = "S355"', ""), ('plate_thickness = "1.5 mm"', ""))
    choices = parse_job(text).part_choices
    assert ("S355", 1.5) == (choices.sleeve_material, choices.plate_thickness)


def test_room_and_facets_of_a_closure_plate() -> None:
    """Room holds for both sides' panels, point by point; left out there is none, and one facet is the least."""
    text = changed(
        REAR,
        ('thickness = "0.9 mm"\n', 'thickness = "0.9 mm"\nroom = [60, 60, "2 in", 30, 30, 30]\n'),
        ('plate_thickness = "1.5 mm"', "plate_facets = 3"),
    )
    job = parse_job(text)
    assert [(60.0, 60.0, 50.8, 30.0, 30.0, 30.0)] * 2 == [well.room for well in job.car.wheel_wells]
    assert 3 == job.part_choices.plate_facets
    plain = parse_job(REAR)
    assert [(), ()] == [well.room for well in plain.car.wheel_wells]
    assert 1 == plain.part_choices.plate_facets


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("start", ["", "\ufeff"])
def test_line_ends_and_byte_order_marks_of_any_editor(tmp_path: Path, line_end: str, start: str) -> None:
    """Files as editors on any system write them give the same job."""
    file = tmp_path / "car.toml"
    file.write_bytes((start + REAR).replace("\n", line_end).encode())
    assert parse_job(REAR) == load_job(file)


def test_loading_needs_neither_unit_library_nor_cad(checkout: Path) -> None:
    """A demo job, in mm or in inches, is read without loading what takes long to load."""
    code = (
        "import sys; from locksweep.job import load_job; from locksweep.demo_jobs import *; "
        "[load_job(demo_path(name)) for name in demo_names()]; "
        "print(*sorted({'pint', 'cadquery', 'OCP', 'typer', 'scipy', 'tomlkit'} & set(sys.modules)))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=checkout, capture_output=True, text=True, check=True
    )
    assert "" == run.stdout.strip()
