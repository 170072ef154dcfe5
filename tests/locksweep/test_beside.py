"""Work next to this process: done when the block ends, its faults raised, its copy ended with the block's own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from locksweep.beside import beside
from tests.locksweep.pipeline import environment

ALONE = """
import os, sys, time
from locksweep import beside as room
from solver.errors import GeometryError, WriteError

here = os.getpid()
assert room._can_fork() or {single!r}

def fails():
    raise GeometryError("no such arm")

class Odd(Exception):
    def __init__(self, one, two):
        super().__init__(one)

def odd():
    raise Odd(1, 2)

def killed():
    if os.getpid() != here:
        os.kill(os.getpid(), 9)
    raise WriteError("killed")

def writes():
    with open("beside.txt", "w") as file:
        file.write(str(os.getpid()))

with room.beside(lambda: [os.getpid(), "a copy"]) as answer:
    pass
assert "a copy" == answer.value[1]
with room.beside(writes):
    pass
assert (answer.value[0] == here) is {single!r}
apart = int(open("beside.txt").read()) != here
for work, kind in ((fails, GeometryError), (odd, (RuntimeError, Odd)), (killed, WriteError)):
    try:
        with room.beside(work):
            pass
    except kind as error:
        print("raised", error)
    else:
        raise SystemExit("nothing raised")

def endless():
    time.sleep(600)

try:
    with room.beside(endless):
        raise KeyboardInterrupt if apart else KeyError
except (KeyboardInterrupt, KeyError):
    print("block ended")
print("apart" if apart else "in turn")
"""


def run_alone(folder: Path) -> str:
    """What a process of its own, with no other threads, prints."""
    single = sys.platform != "linux" or len(os.sched_getaffinity(0)) == 1
    done = subprocess.run(
        [sys.executable, "-c", ALONE.format(single=single)],
        cwd=folder,
        env=environment(OPENBLAS_NUM_THREADS="1"),
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert 0 == done.returncode, done.stderr
    return done.stdout


def test_in_a_copy_of_the_process(tmp_path: Path) -> None:
    """The work is done, each fault is raised here, a killed copy is told, and a failed block ends the copy at once."""
    told = run_alone(tmp_path)
    assert "raised no such arm" in told
    assert "block ended" in told
    if sys.platform == "linux" and len(os.sched_getaffinity(0)) > 1:
        assert told.endswith("apart\n")
        assert "killed before it was done" in told


def test_in_turn_where_it_cannot_fork(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a second process the work comes after the block, and not at all when the block failed."""
    monkeypatch.setattr("locksweep.beside._can_fork", lambda: False)
    done: list[str] = []
    with beside(lambda: done.append("work") or "given") as answer:
        done.append("block")
    assert (["block", "work"], "given") == (done, answer.value)
    with pytest.raises(KeyError), beside(lambda: done.append("never")):
        raise KeyError
    assert ["block", "work"] == done
