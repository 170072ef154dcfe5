"""The report's data: what the page shows is what the solver says, and nothing else."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from numpy.typing import NDArray

from locksweep.building import BuildResult
from locksweep.documents.markdown import escaped
from locksweep.job import parse_job
from locksweep.report.bars import tyre_section
from locksweep.report.body_gaps import least_by_pose
from locksweep.report.motion import grid_of, quaternions
from locksweep.report.swept import reach
from locksweep.report.tables import said
from locksweep.schemas import schema_text
from locksweep.solved import solve_job
from solver.body.revolved import tyre_solid
from solver.body.swept import SweptRevolved
from solver.corner import pose_corner
from solver.measures import camber_angle, steer_angle
from solver.solution import Solution, solve
from solver.tyre import Tyre
from solver.vectors import rotation_about
from tests.locksweep.pipeline import edited, full_job, tiny_job

Data = dict[str, Any]


def data_of(page: Path) -> Data:
    """The data that a page holds, read as a browser would."""
    text = page.read_text(encoding="utf-8")
    match = re.search(r'<script type="application/json" id="report-data">(.*?)</script>', text, re.DOTALL)
    assert match
    found: Data = json.loads(match[1])
    return found


@pytest.fixture(scope="module")
def data(demo: BuildResult) -> Data:
    """Of the built demo job."""
    return data_of(demo.folder / "report.html")


@pytest.fixture(scope="module")
def solution() -> Solution:
    """The demo job solved anew, past the pipeline."""
    return solve(parse_job(full_job()))


def pose(frame: Data, rack: int, travel: int) -> list[float]:
    """One pose of a frame, looked up as the page does."""
    n, m = frame["shape"]
    found: list[float] = frame["poses"][(0 if n == 1 else rack) * m + (0 if m == 1 else travel)]
    return found


def carried(placed: list[float], point: list[float]) -> NDArray[np.float64]:
    """A point through a pose, by the matrix of its quaternion (the textbook formula)."""
    x, y, z, w = placed[:4]
    matrix = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
    return np.asarray(matrix @ point + placed[4:])


def end(condition: Data, at: Data, rack: int, travel: int) -> NDArray[np.float64]:
    """Where an end of a bar is."""
    return carried(pose(condition["frames"][at["frame"]], rack, travel), at["at_mm"])


def faults(data: object) -> list[str]:
    """What the published schema has against a document."""
    errors = Draft202012Validator(json.loads(schema_text("report"))).iter_errors(data)
    return [f"{error.json_path}: {error.message}" for error in errors]


def shortened(node: Any) -> Any:
    """The same with its long lists cut, which a validator gets through in a fraction of the time."""
    if isinstance(node, dict):
        return {key: shortened(value) for key, value in node.items()}
    return [shortened(item) for item in node[:8]] if isinstance(node, list) else node


def test_data_passes_its_schema(data: Data) -> None:
    """What a build's page holds is what the published schema says."""
    assert [] == faults(data)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("caution",), ""),
        (("parts", 0, "role"), "is fine"),
        (("conditions", "as_modified", "frames", "rack", "poses", 0), [0.0, 0.0, 0.0]),
        (("grid", "centre"), 1.5),
        (("approved",), True),
    ],
)
def test_planted_fault_is_refused(data: Data, path: tuple[Any, ...], value: object) -> None:
    """A wrong type, a lost caution, or a key that isn't known is found."""
    broken = shortened(json.loads(json.dumps(data)))
    assert [] == faults(broken)
    node = broken
    for step in path[:-1]:
        node = node[step]
    node[path[-1]] = value
    assert [] != faults(broken)


def test_grid_holds_both_locks(data: Data, solution: Solution) -> None:
    """Each condition's lock is a place of the grid, so that it is shown where it stops, to a hundredth of a mm."""
    turned = data["grid"]["turned_mm"]
    assert turned == sorted(turned, reverse=True)
    assert 0.0 == turned[data["grid"]["centre"]]
    assert 0.0 == data["grid"]["travel_mm"][data["grid"]["ride_height"]]
    for name, state in (("as_measured", solution.as_measured), ("as_modified", solution.as_modified)):
        lock = data["conditions"][name]["lock"]
        assert round(state.left_turn.rack, 2) == turned[lock["left"]]
        assert round(-state.right_turn.rack, 2) == turned[lock["right"]]


@pytest.mark.parametrize("name", ["as_measured", "as_modified"])
def test_frames_are_the_solvers_poses(data: Data, solution: Solution, name: str) -> None:
    """Knuckle and wheel are where the solver has them, at corners and middle of the grid: to 0.02 mm, as numbers are
    rounded to a hundredth and quaternions to a millionth over a lever of a metre."""
    condition, state = data["conditions"][name], getattr(solution, name)
    front_end = state.front_end
    turned, travels = data["grid"]["turned_mm"], data["grid"]["travel_mm"]
    lock = condition["lock"]
    for rack in (lock["left"], data["grid"]["centre"], lock["right"]):
        for travel in (0, data["grid"]["ride_height"], len(travels) - 1):
            for assembly in front_end.sides:
                angle = front_end.arm_angles(assembly, np.array([travels[travel]]))
                posed = pose_corner(assembly.corner, angle, np.array([turned[rack] * front_end.left_sign]))
                seat = condition["wheels"]["sides"][assembly.side]
                shown = end(condition, {"frame": seat["frame"], "at_mm": seat["centre_mm"]}, rack, travel)
                assert posed.wheel_centre[0] == pytest.approx(shown, abs=0.02)
                rod = next(
                    bar
                    for bar in condition["bars"]
                    if (bar["name"], bar["side"]) == ("tie rod", assembly.side)
                )
                assert posed.inner_joint[0] == pytest.approx(
                    end(condition, rod["start"], rack, travel), abs=0.02
                )
                assert posed.pickup[0] == pytest.approx(end(condition, rod["end"], rack, travel), abs=0.02)
                wheel = condition["curves"]["wheels"][assembly.side]
                assert math.degrees(steer_angle(posed)[0]) == pytest.approx(
                    wheel["steer_deg"][rack][travel], abs=0.005
                )
                assert math.degrees(camber_angle(posed)[0]) == pytest.approx(
                    wheel["camber_deg"][rack][travel], abs=0.02
                )


def test_rods_and_links_keep_their_length(data: Data) -> None:
    """Between frames that move, a tie rod has the same length in every pose that exists, and so has the arm."""
    for condition in data["conditions"].values():
        for bar in condition["bars"]:
            if bar["kind"] not in ("tie rod", "arm"):
                continue
            lengths = [
                np.linalg.norm(
                    end(condition, bar["end"], rack, travel) - end(condition, bar["start"], rack, travel)
                )
                for rack in range(condition["lock"]["left"], condition["lock"]["right"] + 1, 6)
                for travel in range(len(data["grid"]["travel_mm"]))
            ]
            assert np.ptp(lengths) < 0.04, bar["name"]


def test_parts_sit_on_the_car(data: Data, solution: Solution) -> None:
    """Each part is shown as often as it is made; a sleeve lies on its link, a spacer on the rack, and each mesh has
    the part's size over all."""
    for part in data["parts"]:
        mesh = part["mesh"]
        if mesh is None:
            # Paper has no shape; its pattern spans the part's size.
            assert "paper" in part["material"]
            points = np.concatenate(part["pattern"]["outlines_mm"])
            assert part["envelope_mm"][:2] == pytest.approx(np.ptp(points, axis=0), abs=0.02)
            continue
        # What helps to mark or to weld does not stay on the car.
        if part["role"] != "marking aid":
            assert part["quantity"] == len(mesh["places"]), part["name"]
        points = np.reshape(mesh["vertices_mm"], (-1, 3))
        # Triangles stand off round faces by up to 0.4 mm on either side.
        assert part["envelope_mm"] == pytest.approx(np.ptp(points, axis=0), abs=0.8)
        assert max(mesh["triangles"]) == len(points) - 1
    sleeve = next(part for part in data["parts"] if part["name"] == "arm-sleeve")
    condition = data["conditions"]["as_modified"]
    for place, side in zip(sleeve["mesh"]["places"], ("left", "right"), strict=True):
        link = next(b for b in condition["bars"] if (b["name"], b["side"]) == ("lower arm's link", side))
        start, stop = np.array(link["start"]["at_mm"]), np.array(link["end"]["at_mm"])
        way = (stop - start) / np.linalg.norm(stop - start)
        for height in (0.0, sleeve["envelope_mm"][2]):
            at = carried(place["pose"], [0.0, 0.0, height]) - start
            assert 0 < at @ way < np.linalg.norm(stop - start)
            assert np.linalg.norm(at - (at @ way) * way) < 0.1
    assert solution.job.car.name == data["job"]["car"]


def test_first_bar_is_the_lock(data: Data, solution: Solution) -> None:
    """The first limit that counts in each turn is where that turn ends: here the stop bracket, short of the rack's."""
    for turn in (solution.as_modified.left_turn, solution.as_modified.right_turn):
        first = next(one for one in data["limits"] if one["turn"] == turn.turn and one["counts"])
        assert ("stop bracket", round(turn.rack, 2)) == (first["name"], first["rack_mm"])
        assert math.degrees(turn.lock) == pytest.approx(first["lock_deg"], abs=0.001)
    assert "stop bracket comes first" in data["headline"][0]["word"]


def test_gaps_to_the_body_are_those_of_its_points(data: Data, solution: Solution) -> None:
    """At both ends of the rack and of the travel, the gap of each tyre to the panel on its side is the least distance
    of the panel's points from the solver's tyre: to 0.1 mm, as points and gaps are rounded to that."""
    front_end = solution.as_modified.front_end
    tyre = front_end.tyre.grown()
    condition = data["conditions"]["as_modified"]
    lock, travels = condition["lock"], data["grid"]["travel_mm"]
    for assembly in front_end.sides:
        (shown,) = [
            one
            for one in condition["curves"]["gaps"]
            if one["name"] == "rear inner panel, uncut" and one["side"] == assembly.side
        ]
        body = next(one for one in data["surroundings"]["bodies"] if one["side"] == assembly.side)
        points = np.reshape(body["vertices_mm"], (-1, 3))
        for rack in (lock["left"], lock["right"]):
            turned = np.array([data["grid"]["turned_mm"][rack] * front_end.left_sign])
            for travel in (0, len(travels) - 1):
                posed = front_end.poses(assembly, turned, np.array([travels[travel]]))
                distance = tyre.distance(points, posed.wheel_centre[0, 0], posed.spin_axis[0, 0])
                expected = min(float(distance.min()), data["surroundings"]["far_mm"])
                assert expected == pytest.approx(shown["gap_mm"][rack][travel], abs=0.1)
        # The panel is gone through at lock, so this has something to tell.
        assert min(shown["least_mm"]) < 0


@given(st.integers(0, 2**32 - 1), st.integers(1, 300), st.floats(1, 2000))
def test_no_point_is_left_out(seed: int, count: int, size: float) -> None:
    """Whatever the cloud, the least distance in each pose is that of all points in all poses."""
    random = np.random.default_rng(seed)
    axes = random.normal(size=(20, 3))
    axes /= np.linalg.norm(axes, axis=1)[:, None]
    tyre = Tyre("test", outside_diameter=600.0, section_width=200.0, rim_diameter=400.0)
    swept = SweptRevolved(tyre_solid(tyre), random.normal(scale=50.0, size=(20, 3)), axes)
    points = random.uniform(-size, size, (count, 3))
    expected = swept.distances(points).min(axis=0)
    assert expected == pytest.approx(least_by_pose(points, swept), abs=1e-6)


def test_nothing_reads_as_approval(data: Data) -> None:
    """The caution is the first thing said, every part says that its verdict is none, and no tick is in the data."""
    assert data["caution"].startswith("Screening numbers, no approval")
    assert all(data["cautions"][key] for key in ("general", "engineer", "before_driving"))
    text = json.dumps(data, ensure_ascii=False)
    assert not set("✓✔✅☑") & set(text)
    assert not re.search(r"\b(approved|safe to drive|passed)\b", text, re.IGNORECASE)


def test_a_plain_car_has_a_report() -> None:
    """A job without body, stops or panels gives a document that passes its schema."""
    from locksweep.report.document import report_document

    solved = solve_job(parse_job(tiny_job()))
    document = report_document(solved, solved.record(), Path("nowhere"))
    assert [] == faults(json.loads(json.dumps(document)))
    assert [] == document["surroundings"]["bodies"]


def test_a_lost_scan_is_said_and_stops_nothing(tmp_path: Path) -> None:
    """A body whose file isn't there is named in the report with the reason; the rest of the report is whole."""
    from locksweep.report.document import report_document

    text = full_job() + '\n[[body]]\nname = "well"\nfile = "lost.ply"\nside = "left"\n'
    solved = solve_job(parse_job(text))
    document = report_document(solved, solved.record(), tmp_path)
    assert any("lost.ply" in remark for remark in document["surroundings"]["remarks"])
    assert [] == faults(json.loads(json.dumps(document)))


def test_inch_job_reads_in_inches() -> None:
    """The builder's units are in the data, and sentences have inches first."""
    from locksweep.demo_jobs import demo_text
    from locksweep.report.document import report_document

    solved = solve_job(parse_job(demo_text("birch-coupe")))
    document = report_document(solved, solved.record(), Path("nowhere"))
    assert "in" == document["job"]["units"]
    assert any(re.fullmatch(r"-?[\d.]+ in", one["modified"]) for one in document["headline"])
    rows = [row for table in document["tables"] for row in table["rows"]]
    assert any(" in (" in cell for row in rows for cell in row)


@given(st.text())
def test_text_comes_back_out_of_its_markup(text: str) -> None:
    """Whatever a name holds, the page says it as the job file has it, blanks apart, and without its document's bold."""
    assert " ".join(text.split()) == said(f"**{escaped(text)}**")


def test_lock_of_no_turn_is_shown() -> None:
    """A job that asks for what the car has already still has a grid with distinct, ordered places."""
    solution = solve(parse_job(edited(tiny_job(), ("lock = 50 ", "lock = 30 "))))
    turned = grid_of(solution.as_measured, solution.as_modified).turned
    assert (np.diff(turned) < -0.2).all()


@given(
    st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda axis: np.linalg.norm(axis) > 0.1),
    st.floats(-3.1, 3.1),  # at half a turn `rotation_about` fails, by its own word
)
def test_quaternions_turn_as_their_matrix(axis: tuple[float, float, float], angle: float) -> None:
    """For any axis and angle a unit quaternion that moves points as the rotation matrix does, to rounding."""
    way = np.array(axis) / np.linalg.norm(axis)
    matrix = rotation_about(way, np.array(angle))
    found = quaternions(matrix[None])[0]
    assert 1.0 == pytest.approx(np.linalg.norm(found), abs=1e-12)
    point = [3.0, -5.0, 7.0]
    assert matrix @ point == pytest.approx(carried([*found, 0.0, 0.0, 0.0], point), abs=1e-9)


def test_swept_picture_reaches_as_far_as_one_tyre() -> None:
    """For a single tyre the reach along, across and between is that of a rounded disc, by hand."""
    tyre = Tyre("test", outside_diameter=600.0, section_width=200.0, rim_diameter=400.0)
    rounding = tyre.shoulder_radius
    centre, axis = np.array([[10.0, 20.0, 30.0]]), np.array([[0.0, 1.0, 0.0]])
    slanted = np.array([300.0 - rounding, 100.0 - rounding])
    # Through the middle of the shoulder's arc the surface is its radius farther out.
    ray = slanted / np.linalg.norm(slanted)
    directions = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, -1.0], [ray[0], ray[1], 0.0]])
    expected = [300.0, 100.0, 300.0, np.linalg.norm(slanted) + rounding]
    # A tenth of a millimetre: what sphere tracing leaves after so many steps.
    assert expected == pytest.approx(reach(tyre, centre, axis, centre[0], directions), abs=0.1)


def test_tyre_section_has_the_tyres_size() -> None:
    """The half section that is turned spans the tyre's width, from its rim to its outside, alike on both sides."""
    tyre = Tyre("test", outside_diameter=600.0, section_width=200.0, rim_diameter=400.0)
    section = tyre_section(tyre)
    assert [200.0, -100.0] == pytest.approx(section.min(axis=0))
    assert [300.0, 100.0] == pytest.approx(section.max(axis=0))
    assert section == pytest.approx(section[::-1] * [1.0, -1.0])
