"""What a job file says about loads: read with its units, refused with a reason, and felt in the answer."""

from __future__ import annotations

import re

import pytest

from locksweep.job import JobFindingsError, parse_job
from locksweep.job.fields import PartNames
from locksweep.solved import Solved, solve_job
from parts.catalogue import ROWS
from solver.loading.inputs import LoadInputs, SteeringArm
from tests.locksweep.pipeline import AIDS, edited, tiny_job

BEFORE = "[changes]\n"


def with_tables(tables: str) -> str:
    """The small metric job with more tables; those it has of the same name are taken out."""
    text = tiny_job()
    if "[loads]" in tables:
        text = re.sub(r"^\[loads\].*\nassistance = .*\n", "", text, flags=re.MULTILINE)
    return edited(text, (BEFORE, tables + "\n" + BEFORE))


def loads_of(tables: str) -> LoadInputs:
    """What becomes of some tables."""
    return parse_job(with_tables(tables)).loads


def test_all_keys_of_loads() -> None:
    """Every key arrives in mm, kg and N."""
    found = loads_of(
        "[loads]\ncog_height = \"19 in\"\ntotal_mass = \"2700 lb\"\nroll_share = 0.55\ngrip = 1.3\n"
        'hand_force = "40 lbf"\nsteering_wheel = 330\nassistance = "2.5 kN"\n'
    )  # fmt: skip
    assert 482.6 == pytest.approx(found.cog_height)
    assert 2700 * 0.45359237 == pytest.approx(found.total_mass)
    assert (0.55, 1.3) == (found.roll_share, found.grip)
    assert 40 * 4.4482216152605 == pytest.approx(found.hand_force)
    assert (330.0, 2500.0) == (found.steering_wheel, found.assistance)


def test_own_cases() -> None:
    """A case of the builder's has multiples of the wheel's load at rest, where the wheel stands and what it hits."""
    cases = loads_of(
        '[[load_case]]\nname = "jump"\nvertical = 4\n\n'
        '[[load_case]]\nname = "rock at lock"\nrearward = 2\ninward = -1.5\nat = "hub"\nsteer = "lock"\n'
        'travel = "droop"\n'
    ).cases
    assert ["jump", "rock at lock"] == [case.name for case in cases]
    jump, rock = cases
    assert (4.0, (-1.0, 1.0), (-1.0, 1.0)) == (jump.vertical, jump.steer, jump.travel)
    assert (1.0, 2.0, -1.5) == (rock.vertical, rock.strike_rearward, rock.strike_inward)
    assert ("hub", (1.0, 1.0), (-1.0, -1.0)) == (rock.strike_at, rock.steer, rock.travel)
    assert all("given in the job file" == case.source for case in cases)


def test_steering_arm() -> None:
    """Its section and the new hole, of unknown steel unless it is named."""
    found = loads_of("[steering_arm]\nwidth = 34\nthickness = 16\nhole = 13\nedge = 17\n").steering_arm
    assert SteeringArm(34.0, 16.0, 13.0, 17.0, "unknown steel") == found


def test_names_of_parts_are_the_families() -> None:
    """What may be overridden is what the catalogue makes, but for marking aids, which have no checks."""
    assert {row.name for row in ROWS} - set(AIDS) == set(PartNames.families)


def test_override_is_read() -> None:
    """A list of names of parts and families."""
    text = edited(tiny_job(), ("# override = [", "override = ["))
    assert ("arm-sleeve",) == parse_job(text).part_choices.override
    text = edited(tiny_job(), ('# override = ["arm-sleeve"]', 'override = ["bump-stop-left", "rack-spacer"]'))
    assert ("bump-stop-left", "rack-spacer") == parse_job(text).part_choices.override


FAULTS = {
    "cog_height = 5": ("loads.cog_height", "150"),
    "cog_height = nan": ("loads.cog_height", "150"),
    "grip = nan": ("loads.grip", "a plain number from 0.1 to 3"),
    "grip = inf": ("loads.grip", "a plain number from 0.1 to 3"),
    'grip = "1.1"': ("loads.grip", "a plain number"),
    "grip = true": ("loads.grip", "a plain number"),
    "roll_share = 55": ("loads.roll_share", "a plain number from 0.1 to 0.95"),
    'total_mass = "500 kg"': ("loads.total_mass", "more than both front wheels carry"),
    'assistance = "3 kg"': ("loads.assistance", "N"),
    'assistance = "9000 kN"': ("loads.assistance", "30000"),
    "hand_force = -1": ("loads.hand_force", "N"),
    "weight = 3": ("loads.weight", "cog_height"),
}


@pytest.mark.parametrize("line", FAULTS)
def test_bad_loads(line: str) -> None:
    """A value out of range, of another kind or without its unit is told by key, with what was expected."""
    key, expected = FAULTS[line]
    with pytest.raises(JobFindingsError) as caught:
        loads_of(f"[loads]\n{line}\n")
    (found,) = caught.value.findings
    assert key == found.key
    assert expected in found.expected
    assert found.line > 0
    # A key that isn't known has no example.
    assert found.example or "did you mean" in found.hint


CASE_FAULTS = {
    "vertical = 4": ("load_case[0].name", "name"),
    'name = "x"\nvertical = -1': ("load_case[0].vertical", "0 to 10"),
    'name = "x"\nrearward = 1e9': ("load_case[0].rearward", "-10 to 10"),
    'name = "x"\nat = "rim"': ("load_case[0].at", "contact"),
    'name = "x"\nsteer = 1': ("load_case[0].steer", "straight"),
    'name = "x"\n\n[[load_case]]\nname = "x"': ("load_case[1].name", "a name of its own"),
    'name = "braking"': ("load_case[0].name", "a case adds to those of the table"),
}


@pytest.mark.parametrize("lines", CASE_FAULTS)
def test_bad_cases(lines: str) -> None:
    """The same for cases; two of one name can't be told apart."""
    key, expected = CASE_FAULTS[lines]
    with pytest.raises(JobFindingsError) as caught:
        loads_of(f"[[load_case]]\n{lines}\n")
    (found,) = caught.value.findings
    assert key == found.key
    assert expected in f"{found.expected} {found.key}"


ARM = "width = 34\nthickness = 16\nhole = 13\nedge = 17\n"
ARM_FAULTS = {
    ("hole = 13", "hole = 35"): "steering_arm.hole",
    ("edge = 17", "edge = 6"): "steering_arm.edge",
    ("width = 34\n", ""): "steering_arm.width",
}


@pytest.mark.parametrize("pair", ARM_FAULTS)
def test_bad_steering_arm(pair: tuple[str, str]) -> None:
    """A hole wider than the arm, or off its edge, was measured wrong."""
    with pytest.raises(JobFindingsError) as caught:
        loads_of("[steering_arm]\n" + edited(ARM, pair))
    assert ARM_FAULTS[pair] in {found.key for found in caught.value.findings}


OVERRIDES = {
    '"arm-sleeve"': "a list of names of parts",
    '["arm sleeve"]': "rack-spacer, arm-sleeve",
    '["all"]': "rack-spacer, arm-sleeve",
    "[3]": "a name in quotes",
}


@pytest.mark.parametrize("value", OVERRIDES)
def test_bad_override(value: str) -> None:
    """Nothing but parts can be overridden, by their names."""
    text = edited(tiny_job(), ('# override = ["arm-sleeve"]', f"override = {value}"))
    with pytest.raises(JobFindingsError) as caught:
        parse_job(text)
    (found,) = caught.value.findings
    assert found.key.startswith("parts.override")
    assert " (" not in found.key
    assert OVERRIDES[value] in found.expected


def test_material_of_the_pickup_that_nobody_knows() -> None:
    """A material that the table lacks is refused with its key and those that it has."""
    with pytest.raises(JobFindingsError) as caught:
        parse_job(with_tables("[steering_arm]\n" + ARM + 'material = "cheese"\n'))
    (found,) = caught.value.findings
    assert found.key.startswith("steering_arm.material")
    assert "S235JR" in found.expected
    assert "unknown steel" in found.hint


def test_loads_reach_the_record(solved: dict[str, Solved]) -> None:
    """What is given is told as measured, own cases are there with their loads, wherever their pose can be reached."""
    job = parse_job(
        with_tables('[loads]\ngrip = 1.5\n\n[[load_case]]\nname = "jump"\nvertical = 5\ntravel = "bump"\n')
    )
    record = solve_job(job).record()
    inputs = {item["key"]: item for item in record["loads"]["inputs"]}
    assert (1.5, True) == (inputs["grip"]["value"], inputs["grip"]["measured"])
    jump = record["loads"]["cases"][-1]
    assert "jump" == jump["name"]
    at_rest = max(record["loads"]["wheel_loads_n"])
    # Both are told to a tenth of a newton.
    assert 5 * at_rest == pytest.approx(jump["largest"]["vertical"], abs=0.31)
    usual = {item["key"]: item for item in solved["alder-coupe"].record()["loads"]["inputs"]}
    assert not usual["grip"]["measured"]
