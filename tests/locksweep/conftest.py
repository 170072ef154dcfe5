"""One demo job built once, and the command line within this process."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from locksweep.building import BuildResult, build_job
from locksweep.cli import main
from locksweep.demo_jobs import demo_names, demo_text
from locksweep.job import parse_job
from locksweep.solved import Solved, solve_job
from tests.locksweep.pipeline import Finished, full_job, written

Command = Callable[..., Finished]


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> BuildResult:
    """The metric demo job, built; its folder is only to be read."""
    folder = tmp_path_factory.mktemp("demo")
    result = build_job(written(folder, full_job()), folder / "sets")
    assert isinstance(result, BuildResult)
    return result


@pytest.fixture(scope="session")
def solved() -> dict[str, Solved]:
    """Both demo jobs, solved, by name."""
    return {name: solve_job(parse_job(demo_text(name))) for name in demo_names()}


@pytest.fixture
def locksweep(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Iterator[Command]:
    """The command line, run within this process, which keeps its own way with signals."""
    numbers = (signal.SIGINT, signal.SIGTERM)
    before = {number: signal.getsignal(number) for number in numbers}

    def call(*arguments: object) -> Finished:
        monkeypatch.setattr(sys, "argv", ["locksweep", *map(str, arguments)])
        capsys.readouterr()
        code: object = 0
        try:
            main()
        except SystemExit as left:
            code = left.code or 0
        out, err = capsys.readouterr()
        assert isinstance(code, int)
        return Finished(code, out, err)

    yield call
    for number, handler in before.items():
        signal.signal(number, handler)


@pytest.fixture
def job_file(tmp_path: Path) -> Callable[[str], Path]:
    """Writes a job text into the test's folder and gives the file."""
    return lambda text: written(tmp_path, text)
