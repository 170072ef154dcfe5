"""Pictures of the parts: drawn where they can be, said where they can't, and never in the way of a build."""

from __future__ import annotations

import sys
from collections.abc import Callable
from ctypes.util import find_library
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from locksweep.building import BuildResult, build_job
from locksweep.building.part_files import FileOptions
from locksweep.pictures import draw
from locksweep.pictures.asked import asked_of
from locksweep.pictures.draw import ENDED, drawing
from locksweep.pictures.layout import Layout, of_part, of_set
from locksweep.pictures.seen import Seen
from locksweep.solved import Solved
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import full_job, tiny_job, written

DIES = (sys.executable, "-c", "import os; os.kill(os.getpid(), 11)")
LACKS = (
    sys.executable,
    "-c",
    "print('The CAD kernel needs the system library libGL.so.1.', end=''); raise SystemExit(3)",
)


def test_build_with_pictures(tmp_path: Path) -> None:
    """Each part's and the set's are in the folder, in their size and with more than one colour in them; the summary
    shows them and the manifest knows them."""
    options = FileOptions(pictures=True)
    result = build_job(written(tmp_path, full_job()), tmp_path, only=("rack-spacer",), options=options)
    assert isinstance(result, BuildResult)
    if result.no_pictures and not find_library("EGL"):
        pytest.skip(result.no_pictures)
    assert "" == result.no_pictures
    for name, size in (("rack-spacer-A.png", (1000, 750)), ("set.png", None)):
        with Image.open(result.folder / name) as picture:
            assert size in (None, picture.size)
            colours = picture.convert("RGB").getcolors(1 << 20)
        assert colours is not None
        assert len(colours) > 20
        assert f"({name})" in (result.folder / "summary.md").read_text(encoding="utf-8")
        assert f'"{name}"' in (result.folder / "manifest.json").read_text(encoding="utf-8")


def test_dying_renderer_takes_nothing_along(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A renderer that ends by a signal leaves a whole build without pictures, and a word on what is missing."""
    monkeypatch.setattr(draw, "CHILD", DIES)
    options = FileOptions(pictures=True)
    result = build_job(written(tmp_path, full_job()), tmp_path, only=("rack-spacer",), options=options)
    assert isinstance(result, BuildResult)
    assert ENDED == result.no_pictures
    assert "rack-spacer-A.step" in result.files
    assert not [name for name in result.files if name.endswith(".png") or name.startswith(".")]
    assert ".png" not in (result.folder / "summary.md").read_text(encoding="utf-8")


def test_missing_library_is_named(
    locksweep: Command, job_file: Callable[[str], Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The child's own sentence about what it lacks is the message, with the exit code for it."""
    monkeypatch.setattr(draw, "CHILD", LACKS)
    done = locksweep("render", job_file(full_job()), "--out", tmp_path / "pictures")
    assert 5 == done.code
    assert "no picture was drawn: The CAD kernel needs the system library libGL.so.1" in done.err
    assert not list((tmp_path / "pictures").rglob("*.*"))


def test_no_part_no_picture(locksweep: Command, job_file: Callable[[str], Path], tmp_path: Path) -> None:
    """A job that needs no part is told so, and nothing is made."""
    text = tiny_job().replace("lock = 50 ", "lock = 30 ")
    done = locksweep("render", job_file(text), "--out", tmp_path / "pictures")
    assert 0 == done.code
    assert "nothing to draw" in done.out
    assert not (tmp_path / "pictures").exists()


def test_failing_block_ends_the_drawing(
    solved: dict[str, Solved], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What fails meanwhile ends the child at once and leaves nothing behind."""
    monkeypatch.setattr(draw, "CHILD", (sys.executable, "-c", "import time; time.sleep(600)"))
    parts = asked_of(solved["alder-coupe"].parts)
    with pytest.raises(KeyError), drawing(parts, tmp_path) as pictures:
        raise KeyError
    assert pictures.process is not None
    assert pictures.process.returncode is not None
    assert [] == list(tmp_path.iterdir())


def looked_at(label: str, family: str, width: float, height: float, copies: int) -> Seen:
    """A part of a size, without a shape."""
    return Seen(label, family, (0, 0, 0), np.zeros((0, 3, 3)), [], width, height, copies)


def boxes(layout: Layout) -> list[tuple[float, float, float, float]]:
    """Left, bottom, right, top of each part."""
    return [(p.x, p.y, p.x + p.part.width, p.y + p.part.height) for p in layout.placed]


@given(
    st.lists(
        st.tuples(
            st.sampled_from("abcd"),
            st.floats(1, 900),
            st.floats(1, 900),
            st.integers(1, 4),
            st.integers(1, 20),
        ),
        min_size=1,
        max_size=9,
    )
)
def test_set_has_room_for_each(parts: list[tuple[str, float, float, int, int]]) -> None:
    """Whatever the parts' sizes: as many as the set holds, all inside the picture, none on another."""
    row = sorted(parts)
    layout = of_set([looked_at("x" * n, family, w, h, copies) for family, w, h, copies, n in row])
    found = boxes(layout)
    assert sum(copies for *_, copies, _ in row) == len(found)
    for i, (left, bottom, right, top) in enumerate(found):
        assert 0 <= left < right <= layout.width
        assert 0 <= bottom < top <= layout.height
        for other in found[:i]:
            # A nanometre for rounding.
            apart = max(other[0] - right, left - other[2], other[1] - top, bottom - other[3])
            assert apart > -1e-6


@given(st.floats(0.5, 3000), st.floats(0.5, 3000))
def test_single_part_fits(width: float, height: float) -> None:
    """A part alone is inside a picture of three by four, with room round it."""
    layout = of_part(looked_at("part", "family", width, height, 1))
    (left, bottom, right, top) = boxes(layout)[0]
    assert 0.75 == pytest.approx(layout.height / layout.width)
    assert 0 < left < right < layout.width
    assert layout.margin < bottom < top < layout.height
