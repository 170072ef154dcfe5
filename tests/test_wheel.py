"""The wheel: complete, reproducible, and at work in an environment that has never seen the checkout."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import venv
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

PACKAGES = ("solver", "parts", "locksweep")
LEFT_BEHIND = shutil.ignore_patterns(".*", "__pycache__", "output", "dist", "build")


def environment() -> dict[str, str]:
    """This process's environment without what points Python or pip elsewhere."""
    dropped = ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")
    return {k: v for k, v in os.environ.items() if k not in dropped} | {"PYTHONUTF8": "1"}


def run(command: list[str | Path], folder: Path) -> str:
    """Output of a command that has to succeed; its output is shown when it doesn't."""
    done = subprocess.run(
        [str(word) for word in command],
        cwd=folder,
        env=environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
    )
    assert done.returncode == 0, f"{' '.join(map(str, command))}\n{done.stdout}"
    return done.stdout


def build_wheel(checkout: Path, scratch: Path) -> Path:
    """Build from a copy of the checkout, so that the checkout stays as it was."""
    tree = scratch / "tree"
    shutil.copytree(checkout, tree, ignore=LEFT_BEHIND)
    shutil.copy(checkout / ".gitignore", tree)
    run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", scratch / "dist", tree],
        scratch,
    )
    (wheel,) = (scratch / "dist").glob("*.whl")
    return wheel


@pytest.fixture(scope="module")
def wheel(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built once for this module."""
    return build_wheel(checkout, tmp_path_factory.mktemp("wheel"))


@dataclass(frozen=True)
class Installed:
    """A fresh environment with the wheel in it: its root, and the folder of its programs."""

    root: Path
    programs: Path

    @property
    def python(self) -> Path:
        """The environment's interpreter."""
        return self.programs / ("python.exe" if os.name == "nt" else "python")


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Installed:
    """The wheel in a fresh environment, which borrows the dependencies of this one.

    A path in a .pth file is searched, but .pth files that lie there are not obeyed: that is how an
    editable install of the checkout stays invisible.
    """
    root = tmp_path_factory.mktemp("fresh") / "environment"
    builder = venv.EnvBuilder(with_pip=True, symlinks=os.name != "nt")
    context = builder.ensure_directories(root)
    builder.create(root)
    fresh = Installed(root, Path(context.bin_path))
    borrowed = [path for path in sys.path if Path(path).name in ("site-packages", "dist-packages")]
    site = Path(
        run([fresh.python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"], root).strip()
    )
    pip = [fresh.python, "-m", "pip", "--disable-pip-version-check"]
    run([*pip, "install", "--no-deps", "--no-index", wheel], root)
    (site / "borrowed.pth").write_text("\n".join(borrowed) + "\n", encoding="utf-8")
    return fresh


def test_wheel_holds_all_that_is_needed_and_nothing_else(checkout: Path, wheel: Path) -> None:
    """The wheel holds every file of the packages and every job file, and besides only its own records."""
    expected = set()
    for package in PACKAGES:
        for path in (checkout / package).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts:
                expected.add(path.relative_to(checkout).as_posix())
    for path in (checkout / "configs").rglob("*"):
        if path.is_file():
            expected.add("locksweep/" + path.relative_to(checkout).as_posix())
    with zipfile.ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if ".dist-info/" not in name}
    assert expected == held
    assert any(name.startswith("locksweep/configs/") for name in held)


def test_same_tree_gives_the_same_wheel(checkout: Path, wheel: Path, tmp_path: Path) -> None:
    """Built a second time, somewhere else, the wheel has the same name and the same bytes."""
    again = build_wheel(checkout, tmp_path)
    assert wheel.name == again.name
    assert wheel.read_bytes() == again.read_bytes()


def test_packages_come_from_the_wheel(installed: Installed, tmp_path: Path) -> None:
    """In the fresh environment all packages are imported from it, none from the checkout."""
    code = f"import {', '.join(PACKAGES)}; print(*(m.__file__ for m in ({', '.join(PACKAGES)})), sep='\\n')"
    files = run([installed.python, "-c", code], tmp_path).split("\n")[: len(PACKAGES)]
    assert [] == [name for name in files if installed.root.resolve() not in Path(name).resolve().parents]


def test_demo_runs_from_the_wheel(installed: Installed, tmp_path: Path) -> None:
    """The installed command builds the demo jobs outside the checkout: at least four parts, STEP and STL."""
    run([installed.programs / "locksweep", "demo", "--out", tmp_path / "sets"], tmp_path)
    written = [path.suffix for path in (tmp_path / "sets").rglob("*") if path.is_file()]
    assert written.count(".step") >= 4
    assert written.count(".stl") >= 4
    assert written.count(".dxf") >= 1
    assert [tmp_path / "sets"] == list(tmp_path.iterdir())
