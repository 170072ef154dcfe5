"""What every writer does when the disk is full or the folder is missing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from parts.catalogue import build
from parts.dxf import write_dxf
from parts.files import write_bytes
from parts.step import write_step
from parts.stl import write_stl
from solver.errors import WriteError
from tests.parts.examples import RING


def _step(path: Path) -> None:
    write_step(build(RING), path, name="ring", revision="A", colour=(0, 0, 0), originating_system="x")


def _stl(path: Path) -> None:
    write_stl(build(RING), path, name="ring")


def _dxf(path: Path) -> None:
    write_dxf(RING.flat_pattern(), path, name="ring", revision="A")


WRITERS = pytest.mark.parametrize("write", [_step, _stl, _dxf], ids=["step", "stl", "dxf"])


@WRITERS
def test_missing_folder(write: Callable[[Path], None], tmp_path: Path) -> None:
    """A missing folder is named, and is also an OSError for callers who do not know us."""
    path = tmp_path / "nowhere" / "ring"
    with pytest.raises(WriteError, match="ring could not be written: No such file or directory") as caught:
        write(path)
    assert isinstance(caught.value, OSError)
    assert str(path) in str(caught.value)


@WRITERS
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a disk that is always full")
def test_full_disk(write: Callable[[Path], None]) -> None:
    """A full disk is told as such."""
    with pytest.raises(WriteError, match="/dev/full could not be written: No space left on device"):
        write(Path("/dev/full"))


def test_a_folder_in_the_way(tmp_path: Path) -> None:
    """A folder where the file should go is told as such."""
    with pytest.raises(WriteError, match="could not be written: Is a directory"):
        write_bytes(tmp_path, b"x")


@pytest.mark.skipif(not Path("/dev/null").exists(), reason="needs a file that forgets what is written")
def test_bytes_that_do_not_read_back() -> None:
    """A file that does not hold what was written is refused."""
    with pytest.raises(WriteError, match="/dev/null does not read back as it was written: 1 bytes, 0 read"):
        write_bytes(Path("/dev/null"), b"x")
