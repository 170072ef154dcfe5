"""Surveyed points in a job file: the values change and nothing else does."""

from __future__ import annotations

import os
import re
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner

from locksweep.cli import app
from locksweep.demo_jobs import demo_names, demo_text
from locksweep.job.findings import JobFindingsError
from locksweep.job.load import parse_job
from locksweep.survey.blank import blank_text
from locksweep.survey.into_job import update_job, updated_text
from locksweep.survey.points import ACROSS_THE_CAR, CORNER_POINTS, LENGTHS
from locksweep.survey.report import what_is_wrong
from locksweep.survey.sheet import read_sheet
from solver.errors import LocksweepError, WriteError
from solver.survey import adjust
from tests.solver.surveys import reading, truth

MOVED = {"left.ball_joint": (9.26, 667.1, 173.0), "left.wheel_centre": (0.0, 734.0, 301.5)}
POINTS = truth()


def test_blank_text_is_a_sheet_of_every_point() -> None:
    """The blank sheet is TOML and asks for height, distance ahead and distance across of all 16 points."""
    tables = tomllib.loads(blank_text())
    for kind in ("height", "ahead", "across"):
        assert set(CORNER_POINTS) == set(tables[kind]["left"]) == set(tables[kind]["right"])
    assert 2 * len(LENGTHS) + len(ACROSS_THE_CAR) == len(tables["length"])


def filled() -> str:
    """The blank sheet filled in with what the invented car reads, to a tenth of a millimetre."""
    lines, kind = [], ""
    for line in blank_text().split("\n"):
        if line.startswith("["):
            kind = line.strip("[]").replace(".", " ")
        match = re.fullmatch(r'("?)(left|right)\.(.*?)("?) = (?:""|0 .*|(\["", ""\]))', line)
        if match:
            names = f"{match[2]}.{match[3]}".split(" to ")
            value = reading(kind, POINTS, names[-1], names[0] if len(names) == 2 else None)  # type: ignore[arg-type]
            value = value * 57.29577951308232 if kind.startswith("angle") else value
            line = f"{line.split(' = ')[0]} = " + (
                f"[{value:.1f}, {value:.1f}]" if match[5] else f"{value:.1f}"
            )
        lines.append(line)
    return "\n".join(lines)


def test_filled_blank_sheet_is_enough(tmp_path: Path) -> None:
    """Whoever fills in the blank sheet gets every point, and a slip of 20 mm in a tape length is found."""
    file = tmp_path / "sheet.toml"
    file.write_text(filled(), encoding="utf-8")
    sheet = read_sheet(file)
    survey = adjust(sheet.measurements)
    assert what_is_wrong(sheet, survey) is None
    assert 0 == sheet.empty
    assert set(POINTS) == set(survey.points)
    for name, place in zip(survey.points, survey.positions, strict=True):
        # Readings were rounded to 0.1 mm and 0.1 degrees; the latter is 0.7 mm on the damper's length.
        assert tuple(POINTS[name]) == pytest.approx(tuple(place), abs=0.8)
    name = "left.ball_joint to left.damper_point"
    length = reading("length", POINTS, "left.damper_point", "left.ball_joint")
    text = filled().replace(f'"{name}" = {length:.1f}', f'"{name}" = {length + 20:.1f}')
    file.write_text(text, encoding="utf-8")
    wrong = what_is_wrong(sheet, adjust(read_sheet(file).measurements))
    assert "length from left.ball_joint to left.damper_point" in str(wrong)


@pytest.mark.parametrize("name", demo_names())
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_comments_and_layout_stay(name: str, ends: str) -> None:
    """Every byte of a job file outside of the changed values is as it was, line ends included."""
    text = demo_text(name).replace("\n", ends)
    changed, changes = updated_text(text, MOVED)
    assert ["car.left.ball_joint", "car.left.wheel_centre"] == [key for key, _ in changes]
    before, after = text.split("\n"), changed.split("\n")
    assert len(before) == len(after)
    for old, new in zip(before, after, strict=True):
        if old != new:
            assert old.startswith(("ball_joint =", "wheel_centre ="))
            # Key and comment stay; the space between value and comment keeps the comment's column.
            assert old.split("[")[0] == new.split("[")[0]
            assert old.split("#")[1:] == new.split("#")[1:]
            assert old.index("#") == new.index("#")
    assert sum(old != new for old, new in zip(before, after, strict=True)) == 2


def test_values_arrive_in_the_file_s_unit() -> None:
    """Points arrive rounded to 0.1 mm, or to 0.005 in where the file is in inches."""
    for name in demo_names():
        text = demo_text(name)
        car = parse_job(updated_text(text, MOVED)[0]).car
        # Half of the last place: 0.05 mm, or 0.0025 in.
        assert MOVED["left.ball_joint"] == pytest.approx(car.left.ball_joint, abs=0.0636)


def test_right_side_goes_to_its_own_table() -> None:
    """Right-hand points go into [car.right], which is made if it isn't there; helper points go nowhere."""
    points = {"right.pickup": (-101.0, -651.0, 180.0), "left.mark": (1.0, 2.0, 3.0)}
    text = demo_text("alder-coupe")
    without = re.sub(r"\[car\.right\]\n.*\n", "", text)
    for start in (text, without):
        changed, changes = updated_text(start, points)
        assert [("car.right.pickup", ("not there", "[-101, -651, 180]"))] == list(changes)
        assert (-101.0, -651.0, 180.0) == parse_job(changed).car.right.pickup
        added = [line for line in changed.split("\n") if line not in start.split("\n")]
        assert added in (["pickup = [-101, -651, 180]"], ["[car.right]", "pickup = [-101, -651, 180]"])
        assert [line for line in start.split("\n") if "#" in line] == [
            line for line in changed.split("\n") if "#" in line
        ]


@pytest.mark.parametrize(
    "old",
    [
        "ball_joint = [ 8,668 , 172 ]",
        "ball_joint = [\n  8,  # ahead\n  668,\n  172,  # up\n]",
        '"ball_joint" = ["8 mm", "66.8 cm", 172]',
    ],
)
def test_other_layouts(old: str) -> None:
    """Points laid out in other ways are changed in place, with what stands between their numbers kept."""
    line = "ball_joint = [8, 668, 172] "
    text = demo_text("alder-coupe")
    assert line in text
    changed, _ = updated_text(text.replace(line, f"{old} "), MOVED)
    assert (9.3, 667.1, 173) == parse_job(changed).car.left.ball_joint
    assert old.count("#") == changed.count("#") - text.count("#")


def test_inline_table_of_points() -> None:
    """A side written as one inline table is changed too, or the file is refused and left as it is."""
    text = demo_text("alder-coupe")
    start, end = text.index("[car.right]"), text.index("[rack]\n")
    inline = text[:start] + text[end:]
    inline = inline.replace("[car]\n", "[car]\nright = { pickup = [-108, -650, 178] }\n", 1)
    changed, _ = updated_text(inline, {"right.pickup": (-101.0, -651.0, 180.0)})
    assert (-101.0, -651.0, 180.0) == parse_job(changed).car.right.pickup


def test_impossible_points_are_refused(tmp_path: Path) -> None:
    """Points that no job file may hold are refused by the job file's own checks, and the file stays as it is."""
    file = tmp_path / "job.toml"
    file.write_text(demo_text("alder-coupe"), encoding="utf-8")
    with pytest.raises(JobFindingsError, match="with the measured points"):
        update_job(file, {"left.ball_joint": (8.0, 668.0, 9000.0)})
    assert demo_text("alder-coupe") == file.read_text(encoding="utf-8")


@pytest.mark.parametrize("text", ["", "car = 3", "[car]\nleft = 3", "[car", "[[car]]", "\0"])
def test_no_job_file(text: str) -> None:
    """What is no job file ends in one of our own errors."""
    with pytest.raises(LocksweepError):
        updated_text(text, MOVED)


def test_failure_keeps_the_original(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk is full, the job file is what it was and nothing is left beside it."""
    file = tmp_path / "job.toml"
    file.write_text(demo_text("alder-coupe"), encoding="utf-8")
    update = update_job(file, MOVED)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(WriteError, match=r"No space left.*left as it is"):
        update.write()
    assert [file] == list(tmp_path.iterdir())
    assert demo_text("alder-coupe") == file.read_text(encoding="utf-8")


def test_changed_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    """A job file that an editor saved in between is left alone."""
    file = tmp_path / "job.toml"
    file.write_text(demo_text("alder-coupe"), encoding="utf-8")
    update = update_job(file, MOVED)
    file.write_text("other", encoding="utf-8")
    with pytest.raises(WriteError, match="changed meanwhile"):
        update.write()
    assert "other" == file.read_text(encoding="utf-8")


def test_mark_mode_and_link_stay(tmp_path: Path) -> None:
    """The UTF-8 mark, the file's mode and a link to it survive."""
    real, link = tmp_path / "real.toml", tmp_path / "job.toml"
    real.write_bytes(b"\xef\xbb\xbf" + demo_text("alder-coupe").encode())
    real.chmod(0o640)
    link.symlink_to(real)
    update_job(link, MOVED).write()
    assert link.is_symlink()
    assert real.read_bytes().startswith(b"\xef\xbb\xbf# ")
    assert 0o640 == real.stat().st_mode & 0o777
    assert b"9.3, 667.1, 173" in real.read_bytes()


def test_command(tmp_path: Path) -> None:
    """The command shows the points, then writes them; run again it has nothing to do; a slip writes nothing."""
    sheet, job = tmp_path / "sheet.toml", tmp_path / "job.toml"
    sheet.write_text(filled(), encoding="utf-8")
    job.write_text(demo_text("alder-coupe"), encoding="utf-8")
    runner = CliRunner()
    shown = runner.invoke(app, ["measure", str(sheet)])
    assert 0 == shown.exit_code
    assert "left.ball_joint" in shown.output
    assert demo_text("alder-coupe") == job.read_text(encoding="utf-8")
    done = runner.invoke(app, ["measure", str(sheet), "--job", str(job)])
    assert 0 == done.exit_code, done.output
    assert "16 points are written" in done.output
    assert tuple(POINTS["right.strut_top"]) == pytest.approx(
        parse_job(job.read_text(encoding="utf-8")).car.right.strut_top, abs=0.8
    )
    written = job.read_bytes()
    assert "left as it is" in runner.invoke(app, ["measure", str(sheet), "--job", str(job)]).output
    sheet.write_text(
        filled().replace("[height]\nleft.arm_front_pivot = [1", "[height]\nleft.arm_front_pivot = [2")
    )
    failed = runner.invoke(app, ["measure", str(sheet), "--job", str(job)])
    assert "height of left.arm_front_pivot (line" in str(failed.exception)
    assert written == job.read_bytes()


def test_command_needs_a_sheet_or_a_blank() -> None:
    """Neither a sheet nor --blank, or both, is not understood: exit code 2."""
    runner = CliRunner()
    for arguments in (
        ["measure"],
        ["measure", "a.toml", "--blank", "b.toml"],
        ["measure", "--job", "a.toml"],
    ):
        assert 2 == runner.invoke(app, arguments).exit_code
