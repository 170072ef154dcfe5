"""Job files that free more than spacer and arms, ask for more than lock, and list tie rods."""

from __future__ import annotations

import json
import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from locksweep.demo_jobs import STARTERS, demo_names, demo_text
from locksweep.job import Finding, JobFindingsError, parse_job
from locksweep.job.search_checks import FIXED_TOO, WELDED
from locksweep.job.starter import starter_text
from solver.car import Freedom, Job, PickupWork, TieRod
from solver.search.pickup import pickup_freedoms
from solver.tables import rows
from tests.locksweep.pipeline import comment_examples, edited, opened, taken_in

INCH = 25.4
TEXTS = {name: demo_text(name) for name in demo_names()} | {
    f"starter in {units}": starter_text(units) for units in STARTERS
}
# As they stand in the comments of the file in mm and of that in inches.
OPEN = {
    "alder-coupe": {
        "ball_joint_drop": (0, 20), "strut_top_forward": (-10, 10), "strut_top_outward": (-8, 0),
        "rack_forward": (-10, 10), "rack_up": (-5, 5),
    },
    "birch-coupe": {
        "ball_joint_drop": (0, 0.75 * INCH),
        "strut_top_forward": (-0.375 * INCH, 0.375 * INCH), "strut_top_outward": (-0.3125 * INCH, 0),
        "rack_forward": (-0.375 * INCH, 0.375 * INCH), "rack_up": (-0.1875 * INCH, 0.1875 * INCH),
    },
}  # fmt: skip


def with_lines(lines: str, goal: str = "", changes: str = "", name: str = "alder-coupe") -> str:
    """A demo job with tables before [parts] and keys in [goal] and [changes], its fixed pickup left out."""
    text = re.sub(r"(?m)^pickup_move = .*$", "", demo_text(name))
    return edited(
        text,
        ("\n[parts]", f"\n{lines}\n\n[parts]"),
        ("\n[car]", f"\n{goal}\n[car]"),
        ("\n[changes]\n", f"\n[changes]\n{changes}\n"),
    )


def read(lines: str, goal: str = "", changes: str = "", name: str = "alder-coupe") -> Job:
    """The job of such a text."""
    return parse_job(with_lines(lines, goal, changes, name))


def refused(lines: str, goal: str = "", changes: str = "", name: str = "alder-coupe") -> list[Finding]:
    """What is wrong with such a text; every line that is told is looked up."""
    text = with_lines(lines, goal, changes, name)
    with pytest.raises(JobFindingsError) as caught:
        parse_job(text)
    for finding in caught.value.findings:
        assert finding.line is not None
        names = re.sub(r"\[\d+\]", "", finding.key).split(".")
        # What is missing is told where it belongs.
        assert names[-2 if finding.found == "no such key" else -1] in text.splitlines()[finding.line - 1]
        assert finding.example
    return caught.value.findings


def rod(name: str, *lines: str) -> str:
    """A tie rod that can be bought, from 340 mm to 400 mm."""
    return "\n".join(
        ["[[tie_rod_choice]]", f'name = "{name}"', 'shortest = "340 mm"', 'longest = "400 mm"', *lines]
    )


@pytest.mark.parametrize("name", TEXTS)
def test_every_example_in_a_comment_can_be_taken_in(name: str) -> None:
    """Each commented key gives a job as it stands, on its own with the header that it stands under."""
    text = TEXTS[name]
    examples = comment_examples(text)
    assert {"track", "camber", "[may_change]", "pickup", "[[tie_rod_choice]]", "articulation"} <= set(
        examples.values()
    )
    header: set[int] = set()
    last = -1
    for number, key in examples.items():
        if any(line.strip() in ("", "[parts]") for line in text.split("\n")[last + 1 : number]):
            header = set()
        last = number
        if key.startswith("["):
            header = {number}
        elif "[[tie_rod_choice]]" in {examples[one] for one in header} and key in (
            "name",
            "shortest",
            "longest",
        ):
            # A tie rod is none without these.
            header.add(number)
        else:
            taken = taken_in(text, {number, *header})
            if key == "pickup":
                taken = re.sub(r"(?m)^pickup_move = .*$", "", taken)
            assert parse_job(taken) != parse_job(text), key


@pytest.mark.parametrize("name", demo_names())
def test_all_that_the_comments_offer(name: str) -> None:
    """Taken in together, goals and freedoms arrive in mm and radians, as worked out by hand."""
    job = parse_job(opened(demo_text(name)))
    assert (20.0, 80.0) == job.goal.ackermann
    assert (math.radians(-3), 0.0) == pytest.approx(job.goal.camber, rel=1e-15)
    assert math.radians(4) == pytest.approx(job.goal.least_caster, rel=1e-15)
    assert math.radians(1) == pytest.approx(job.goal.inclination_kept, rel=1e-15)
    bump_steer = 0.8 if name == "alder-coupe" else 50 / 60
    assert math.radians(bump_steer) == pytest.approx(job.goal.bump_steer, rel=1e-15)
    assert set(OPEN[name]) == {freedom.variable for freedom in job.freedoms}
    for freedom in job.freedoms:
        assert OPEN[name][freedom.variable] == pytest.approx((freedom.low, freedom.high), rel=1e-15)
    metric = PickupWork("drill", (-18.0, 30.0), (-16.0, 16.0), hole=13.0)
    inches = PickupWork("drill", (-19.05, 28.575), (-15.875, 15.875), hole=12.7)
    assert (metric if name == "alder-coupe" else inches) == job.pickup
    assert "1:10" == job.pickup_taper
    (one,) = job.tie_rods
    assert ("long rod", "1:10") == (one.name, one.taper)
    assert math.radians(25) == pytest.approx(one.articulation, rel=1e-15)


@pytest.mark.parametrize("name", TEXTS)
def test_nothing_is_freed_that_is_not_written(name: str) -> None:
    """The examples are comments: demos and starters free nothing, ask for nothing beside the lock, list no tie rod."""
    job = parse_job(TEXTS[name])
    assert ((), None, (), (), "") == (
        job.freedoms, job.pickup, job.top_places, job.tie_rods, job.pickup_taper,
    )  # fmt: skip
    assert [None] * 6 == [
        job.goal.track, job.goal.ackermann, job.goal.camber, job.goal.least_caster,
        job.goal.inclination_kept, job.goal.bump_steer,
    ]  # fmt: skip


def test_an_empty_table_frees_nothing() -> None:
    """[may_change] without a key is as none."""
    assert read("") == read("[may_change]")


def test_a_pickup_is_drilled_or_welded() -> None:
    """Drilled with its metal and hole, welded with its region; what the region leaves out stays."""
    drill = read(
        "[may_change]\n"
        'pickup = { way = "drill", metal_forward = [-18, "3 cm"], metal_outward = ["-5/8 in", 15], hole = "1/2 in" }'
    )
    assert PickupWork("drill", (-18.0, 30.0), (-15.875, 15.0), hole=12.7) == drill.pickup
    weld = read('[may_change.pickup]\nway = "weld"\nforward = [0, 20]\nup = [-4, -1]')
    assert PickupWork("weld", (0.0, 20.0), (0.0, 0.0), (-4.0, -1.0)) == weld.pickup


@pytest.mark.parametrize("name", demo_names())
def test_the_examples_for_welding_are_right(name: str) -> None:
    """What a message shows for a welded pickup can be copied into a file of the same unit."""
    units = "mm" if name == "alder-coupe" else "in"
    work = read(f"[may_change]\n{WELDED[units]}", name=name).pickup
    assert "weld" == work.way
    assert (0.0, 25.0 if units == "mm" else 25.4) == work.forward


def test_a_strut_top_moves_in_a_slot_or_to_places() -> None:
    """A slot may have one direction only; places are pairs forward and outward."""
    assert (Freedom("strut_top_outward", -8.0, 0.0),) == read(
        "[may_change]\nstrut_top = { outward = [-8, 0] }"
    ).freedoms
    job = read('[may_change]\nstrut_top_places = [[-8, -5], ["1/4 in", 5]]')
    assert ((-8.0, -5.0), (6.35, 5.0)) == job.top_places
    assert () == job.freedoms


def test_tie_rods_that_can_be_bought() -> None:
    """Lengths in mm, thread as marked, taper without its spaces, articulation in radians; the rest may be missing."""
    first, second = read(
        rod("a", 'thread = " 9/16-18"', 'taper = "1 : 10"', 'articulation = "25 deg 30 min"')
        + "\n"
        + rod("b")
    ).tie_rods
    angle = pytest.approx(math.radians(25.5), rel=1e-15)
    assert TieRod("a", 340.0, 400.0, "9/16-18", "1:10", angle, (9 / 16 * INCH, INCH / 18)) == first  # type: ignore[arg-type]
    assert TieRod("b", 340.0, 400.0) == second


def test_the_taper_needs_no_lengths() -> None:
    """[tie_rod] may tell the taper and nothing else; a length comes with the other one."""
    text = demo_text("alder-coupe")
    both = "shortest = 325\nlongest = 410\n"
    job = parse_job(edited(text, (both, both + 'taper = "1:8"\n')))
    assert ("1:8", (325.0, 410.0)) == (job.pickup_taper, job.car.tie_rod_range)
    job = parse_job(edited(text, (both, 'taper = "1:7.5"\n')))
    assert ("1:7.5", None) == (job.pickup_taper, job.car.tie_rod_range)
    for left, gone in (("shortest = 325\n", "longest"), ("longest = 410\n", "shortest")):
        with pytest.raises(JobFindingsError) as caught:
            parse_job(edited(text, (both, left)))
        (finding,) = caught.value.findings
        assert f"tie_rod.{gone}" == finding.key
        assert left.strip() in finding.found


PICKUP = "[may_change]\npickup = "
DRILL = 'way = "drill", metal_forward = [-18, 30], metal_outward = [-16, 16]'


@pytest.mark.parametrize(
    ("lines", "key", "found", "expected"),
    [
        ("[may_change]\nball_joint_drop = [20, 0]", "may_change.ball_joint_drop", "[20 mm, 0 mm]", "lesser first"),
        ("[may_change]\nball_joint_drop = [5, 5]", "may_change.ball_joint_drop", "[5 mm, 5 mm]", "lesser first"),
        ("[may_change]\nball_joint_drop = [-5, 10]", "may_change.ball_joint_drop[0]", "-5 mm", "from 0 mm to 100 mm"),
        ("[may_change]\nrack_up = 5", "may_change.rack_up", "5 mm", "a list of two"),
        ("[may_change]\nrack_up = []", "may_change.rack_up", "an empty list", "a list of two"),
        ("[may_change]\nrack_up = [1, 2, 3]", "may_change.rack_up", "[1 mm, 2 mm, 3 mm]", "a list of two"),
        ('[may_change]\nrack_up = ["5 deg", 6]', "may_change.rack_up[0]", "which is an angle", "a length"),
        ("[may_change]\nrack_forward = [nan, 6]", "may_change.rack_forward[0]", "nan", "a length"),
        ("[may_change]\nrack_forward = [-1, inf]", "may_change.rack_forward[1]", "inf", "a length"),
        ("[may_change]\nrack_forward = [-1e300, 1]", "may_change.rack_forward[0]", "-1e+300", "a length"),
        ("[may_change]\nrack_sideways = [0, 5]", "may_change.rack_sideways", "not known", "rack_forward"),
        ("[may_change]\nrack_spacer = [0, 5]", "may_change.rack_spacer", "not known", "rack_forward"),
        ("[may_change]\nstrut_top = {}", "may_change.strut_top", "without a length", "forward or outward"),
        ("[may_change]\nstrut_top = { up = [0, 5] }", "may_change.strut_top.up", "not known", "forward, outward"),
        ("[may_change]\nstrut_top = [0, 5]", "may_change.strut_top", "a list of 2", "the table"),
        ("[may_change]\nstrut_top_places = []", "may_change.strut_top_places", "an empty list", "one to 12"),
        ("[may_change]\nstrut_top_places = [[1, 2, 3]]", "may_change.strut_top_places[0]", "[1 mm,", "[forward,"),
        ("[may_change]\nstrut_top_places = [[1, 900]]", "may_change.strut_top_places[0][1]", "900 mm", "to 100 mm"),
        (
            "[may_change]\nstrut_top = { forward = [-5, 5] }\nstrut_top_places = [[1, 2]]",
            "may_change.strut_top", "strut_top_places", "not both",
        ),
        (PICKUP + '"drill"', "may_change.pickup", '"drill"', "the table"),
        (PICKUP + "{ forward = [0, 9] }", "may_change.pickup.way", "no such key", '"drill" or "weld"'),
        (PICKUP + '{ way = "bend", forward = [0, 9] }', "may_change.pickup.way", '"bend"', '"drill" or "weld"'),
        (PICKUP + '{ way = "drill" }', "may_change.pickup", "no metal_forward and no metal", "metal_outward and hole"),
        (PICKUP + f"{{ {DRILL} }}", "may_change.pickup", "no hole", "and hole"),
        (PICKUP + f"{{ {DRILL}, hole = 0 }}", "may_change.pickup.hole", "0 mm", "from 3 mm"),
        (PICKUP + f"{{ {DRILL}, hole = 13, up = [0, 3] }}", "may_change.pickup.up", "[0 mm, 3 mm]", "no up beside"),
        (PICKUP + '{ way = "weld" }', "may_change.pickup", "no forward", "at least one of"),
        (PICKUP + '{ way = "weld", forward = [0, 9], hole = 13 }', "may_change.pickup.hole", "13 mm", "no hole beside"),
        (
            PICKUP + '{ way = "drill", metal_forward = [6, 40], metal_outward = [-16, 16], hole = 13 }',
            "may_change.pickup.metal_forward", "[6 mm, 40 mm] round a hole of 13 mm", "both sides",
        ),
        (
            PICKUP + '{ way = "drill", metal_forward = [-18, 30], metal_outward = [-16, 6], hole = 13 }',
            "may_change.pickup.metal_outward", "[-16 mm, 6 mm] round a hole of 13 mm", "both sides",
        ),
        ("[[may_change]]\nrack_up = [0, 5]", "may_change", "a list of 1", "the table [may_change]"),
        (
            '[tie_rod_choice]\nname = "a"\nshortest = 300\nlongest = 340',
            "tie_rod_choice", "a table", "[[tie_rod_choice]]",
        ),
        (
            '[[tie_rod_choice]]\nname = "a"\nshortest = 400\nlongest = 340',
            "tie_rod_choice[0].longest", "340 mm", "more than shortest, 400 mm",
        ),
        (
            '[[tie_rod_choice]]\nname = "a"\nshortest = 340\nlongest = 340',
            "tie_rod_choice[0].longest", "340 mm", "more than shortest, 340 mm",
        ),
        (rod("a", 'taper = "10"'), "tie_rod_choice[0].taper", '"10"', '"1:N"'),
        (rod("a", 'taper = "7.15 deg"'), "tie_rod_choice[0].taper", '"7.15 deg"', '"1:N"'),
        (rod("a", 'taper = "1:nan"'), "tie_rod_choice[0].taper", '"1:nan"', "from 2 to 50"),
        (rod("a", "taper = 0.1"), "tie_rod_choice[0].taper", "0.1", '"1:N"'),
        (rod("a", 'thread = "coarse"'), "tie_rod_choice[0].thread", '"coarse"', "a thread"),
        (rod("a", "articulation = 90"), "tie_rod_choice[0].articulation", "90 deg", "to 80 deg"),
        (rod("a") + "\n" + rod("a"), "tie_rod_choice[1].name", "as in tie_rod_choice[0]", "a name of its own"),
        (rod("a") + "\n" + rod(" a "), "tie_rod_choice[1].name", "as in tie_rod_choice[0]", "a name of its own"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_named(lines: str, key: str, found: str, expected: str) -> None:
    """One finding with the key, its line, the value with its unit and what was expected."""
    (finding,) = refused(lines)
    assert key == finding.key
    assert found in finding.found
    assert expected in finding.expected


def test_metal_that_is_just_enough_and_a_hair_too_narrow() -> None:
    """A drilled hole keeps its edge distance, a share of the hole, to both edges, and no less metal will do."""
    (row,) = [row for row in rows("edge_distances") if row["hole"] == "drilled"]
    half = 13 * float(row["share"])
    pickup = 'pickup = {{ way = "drill", metal_forward = [-18, 30], metal_outward = [{}, {}], hole = 13 }}'
    lines = f"[may_change]\n{pickup}"
    assert read(lines.format(-half, half)).pickup
    assert pickup_freedoms(read(lines.format(-half, half)).pickup)
    (finding,) = refused(lines.format(-half, half - 0.01))
    assert "may_change.pickup.metal_outward" == finding.key
    assert f"{2 * half:.1f} mm from edge to edge" in finding.expected
    in_inches = (
        PICKUP + '{ way = "drill", metal_forward = [-1, 1], metal_outward = ["-1/2", "1/2"], hole = "1/2" }'
    )
    (finding,) = refused(in_inches, name="birch-coupe")
    assert f"{float(row['share']):.3f} in from edge to edge" in finding.expected


def test_a_tie_rod_without_a_length() -> None:
    """What a tie rod must have is named on the line of its header."""
    (finding,) = refused('[[tie_rod_choice]]\nname = "a"\nshortest = 300')
    assert ("tie_rod_choice[0].longest", "no such key") == (finding.key, finding.found)


def test_a_change_that_is_always_open_is_told_where_it_belongs() -> None:
    """Spacer and arms need no freeing: the hint says where they are fixed."""
    (finding,) = refused("[may_change]\narm_extension = [0, 30]")
    assert "arm_extension belongs to [changes]" in finding.hint


@pytest.mark.parametrize(
    ("goal", "key", "found"),
    [
        ("ackermann = [80, 20]", "goal.ackermann", "[80, 20]"),
        ("ackermann = [50, 50]", "goal.ackermann", "[50, 50]"),
        ("ackermann = [nan, 80]", "goal.ackermann", "[nan, 80]"),
        ("ackermann = [true, 80]", "goal.ackermann", "yes or no"),
        ('ackermann = ["20 %", 80]', "goal.ackermann", '["20 %", 80]'),
        ("ackermann = 60", "goal.ackermann", "60"),
        ("camber = 5", "goal.camber", "5 deg"),
        ('camber = ["0 deg", "-3 deg"]', "goal.camber", '["0 deg", "-3 deg"]'),
        ('camber = [-3, "1 mm"]', "goal.camber[1]", '"1 mm", which is a length'),
        ('least_caster = "4 mm"', "goal.least_caster", '"4 mm", which is a length'),
        ('bump_steer = "3 mm"', "goal.bump_steer", '"3 mm", which is a length'),
        ("bump_steer = 0", "goal.bump_steer", "0 deg"),
        ("inclination_kept = -1", "goal.inclination_kept", "-1 deg"),
    ],
)
def test_goals_that_are_none(goal: str, key: str, found: str) -> None:
    """A bad goal is told with its key and its value."""
    (finding,) = refused("", goal=goal)
    assert key == finding.key
    assert found in finding.found


FREE = {
    "pickup": '{ way = "weld", forward = [0, 20] }',
    "ball_joint_drop": "[0, 9]",
    "strut_top": "{ forward = [-5, 5] }",
    "strut_top_places": "[[1, 2]]",
    "rack_forward": "[-5, 5]",
    "rack_up": "[-5, 5]",
}


@pytest.mark.parametrize("key", FREE)
def test_what_is_fixed_is_not_open(key: str) -> None:
    """A change that is both open and fixed, be it at 0, is told with both keys."""
    fixed = FIXED_TOO[key]
    value = "0" if fixed == "ball_joint_drop" else "{ up = 0 }"
    (finding,) = refused(f"[may_change]\n{key} = {FREE[key]}", changes=f"{fixed} = {value}")
    assert f"may_change.{key}" == finding.key
    assert f"either may_change.{key} or changes.{fixed}, not both" == finding.expected


def test_every_open_change_has_one_that_would_fix_it() -> None:
    """No key of [may_change] goes unchecked against [changes]."""
    assert set(FREE) == set(FIXED_TOO)


def test_all_findings_come_together_in_file_order() -> None:
    """Bad goals, bad ranges, changes fixed as well and bad tie rods are in one message, top to bottom."""
    findings = refused(
        "[may_change]\nrack_up = [5, -5]\nrack_forward = [-5, 5]\n"
        'pickup = { way = "weld", up = [0, 3], hole = 13 }\n' + rod("a", 'taper = "steep"') + "\n" + rod("a"),
        goal="ackermann = [80, 20]",
        changes="rack_shift = { up = 2 }",
    )
    assert [
        "goal.ackermann",
        "may_change.rack_up",
        "may_change.rack_up",
        "may_change.rack_forward",
        "may_change.pickup.hole",
        "tie_rod_choice[0].taper",
        "tie_rod_choice[1].name",
    ] == [finding.key for finding in findings]


def test_a_file_in_inches_is_answered_in_inches() -> None:
    """Values, limits and examples are in the unit of the file."""
    (finding,) = refused(
        '[may_change]\npickup = { way = "weld", forward = [0, 1], hole = "1/2" }', name="birch-coupe"
    )
    assert WELDED["in"] == finding.example
    (finding,) = refused("[may_change]\nball_joint_drop = [0, 8]", name="birch-coupe")
    assert ("8 in", "a length from 0 in to 3.937 in") == (finding.found, finding.expected)


SIZES = st.floats(-100, 100).map(lambda size: round(size, 3))


@given(SIZES, SIZES, st.sampled_from(["mm", "cm", "in"]))
def test_a_range_is_read_from_the_lesser_to_the_greater(one: float, other: float, unit: str) -> None:
    """Two lengths in any unit are bounds in mm when the first is less, and an error when it is not."""
    lines = f'[may_change]\nrack_up = ["{one} {unit}", "{other} {unit}"]'
    factor = {"mm": 1.0, "cm": 10.0, "in": INCH}[unit]
    if one < other and max(abs(one), abs(other)) * factor <= 300:
        (freedom,) = read(lines).freedoms
        assert (one * factor, other * factor) == pytest.approx((freedom.low, freedom.high), rel=1e-12)
    else:
        assert {"may_change.rack_up"} == {finding.key.split("[")[0] for finding in refused(lines)}


ODD = st.recursive(
    st.one_of(
        st.floats(),
        st.integers(-(10**12), 10**12),
        st.booleans(),
        st.sampled_from(["1:10", "3/4", "4 deg", "drill"]),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.sampled_from(["forward", "outward", "up", "way", "hole", "metal_forward"]), inner),
    ),
    max_leaves=6,
)


def toml_of(value: object) -> str:
    """A value as TOML."""
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {toml_of(item)}' for key, item in value.items())} }}"
    if isinstance(value, list):
        return f"[{', '.join(map(toml_of, value))}]"
    return str(value) if isinstance(value, float) else json.dumps(value)


@given(
    st.dictionaries(st.sampled_from(sorted(FREE)), ODD, max_size=3),
    st.dictionaries(st.sampled_from(["name", "shortest", "longest", "thread", "taper", "articulation"]), ODD),
    st.dictionaries(
        st.sampled_from(["ackermann", "camber", "least_caster", "inclination_kept", "bump_steer"]),
        ODD,
        max_size=2,
    ),
)
def test_any_value_gives_a_job_or_findings_at_its_own_key(
    free: dict[str, object], bought: dict[str, object], goal: dict[str, object]
) -> None:
    """Whatever stands under these keys, nothing is blamed on other keys, and bounds of a job contain something."""
    pairs = [[f"{key} = {toml_of(value)}" for key, value in table.items()] for table in (free, bought, goal)]
    lines = "\n".join(["[may_change]", *pairs[0], "[[tie_rod_choice]]", *pairs[1]])
    try:
        job = read(lines, goal="\n".join(pairs[2]))
    except JobFindingsError as error:
        for finding in error.findings:
            assert re.match(r"may_change\.|tie_rod_choice\[0\]|goal\.", finding.key)
            assert finding.found
            assert finding.expected
    else:
        assert all(freedom.low < freedom.high for freedom in job.freedoms)
        assert all(one.shortest < one.longest for one in job.tie_rods)
