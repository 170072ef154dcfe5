"""Where the demo jobs are found."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from locksweep.demo_jobs import STARTERS, demo_names, demo_path, demo_text


def test_both_demo_jobs_are_there() -> None:
    """A rear-rack car in mm and a front-rack car in inches, and each is a starter."""
    assert ["alder-coupe", "birch-coupe"] == demo_names()
    assert set(demo_names()) == set(STARTERS.values())
    for name in demo_names():
        assert demo_path(name).read_text(encoding="utf-8") == demo_text(name)


@pytest.mark.parametrize("name", ["elm", "", "../alder-coupe", "alder-coupe.toml"])
def test_other_names_are_refused(name: str) -> None:
    """Only the names that there are, and no path out of the folder."""
    with pytest.raises(KeyError, match="alder-coupe"):
        demo_path(name)


def test_found_when_packed_with_the_package(checkout: Path, tmp_path: Path) -> None:
    """The folder is found inside of the package too, which is where an installed application has it."""
    package = tmp_path / "locksweep"
    package.mkdir()
    for file in ("__init__.py", "demo_jobs.py"):
        shutil.copy(checkout / "locksweep" / file, package / file)
    shutil.copytree(checkout / "configs", package / "configs")
    code = "from locksweep.demo_jobs import *; print(demo_path('birch-coupe'))"
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    assert package / "configs" / "birch-coupe.toml" == Path(run.stdout.strip())
