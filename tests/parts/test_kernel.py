"""What a machine without the kernel's system libraries is told."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from parts.kernel import cq, is_kernel_error, missing_library
from solver.errors import MissingLibraryError


@pytest.mark.parametrize(
    ("library", "command"),
    [
        ("libGL.so.1", "sudo apt-get install libgl1 libegl1"),
        ("libEGL.so.1", "sudo apt-get install libegl1 libgl1"),
        ("libXrender.so.1", "sudo apt-get install libxrender1 libgl1 libegl1"),
        ("libobscure.so.7", "apt-file search libobscure.so.7"),
    ],
)
def test_missing_library_is_named_with_its_package(library: str, command: str) -> None:
    """One sentence names the library and the command that installs it."""
    found = missing_library(
        ImportError(f"{library}: cannot open shared object file: No such file or directory")
    )
    assert isinstance(found, MissingLibraryError)
    assert str(found).startswith(f"The CAD kernel needs the system library {library}, which is missing: ")
    assert command in str(found)
    assert 1 == str(found).count("\n") + 1


def test_other_import_errors_are_left_alone() -> None:
    """A package that is not installed is not a system library."""
    assert None is missing_library(ModuleNotFoundError("No module named 'cadquery'"))


def test_build_on_a_bare_machine(tmp_path: Path, checkout: Path) -> None:
    """Where loading the kernel fails for want of a library, building a part says which."""
    fake = "raise ImportError('libGL.so.1: cannot open shared object file: No such file or directory')\n"
    (tmp_path / "cadquery.py").write_text(fake, encoding="ascii")
    code = (
        "from parts.catalogue import build\n"
        "from solver.families.rack_spacer import RackSpacerDimensions\n"
        "try: build(RackSpacerDimensions(30.0, 10.0, 6.0, 1.0))\n"
        "except ImportError as error: print(type(error).__name__, error)\n"
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join((str(tmp_path), str(checkout)))}
    run = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True
    )
    assert run.stdout.startswith("MissingLibraryError The CAD kernel needs the system library libGL.so.1")
    assert "libgl1" in run.stdout


def test_viewer_is_loaded_when_it_is_asked_for() -> None:
    """Making a solid loads few of the viewer's libraries; who wants one of the others gets it."""
    code = (
        "import sys\n"
        "from parts.kernel import cq\n"
        "cq.Workplane().box(1, 2, 3).val()\n"
        "print('vtkmodules.vtkFiltersSources' in sys.modules)\n"
        "import vtk\n"
        "print(vtk.vtkSphereSource.__name__, vtk.VTK_MAJOR_VERSION > 8)\n"
        "from vtk import vtkCubeSource\n"
        "print(vtkCubeSource().GetXLength())\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ["False", "vtkSphereSource True", "1.0"] == run.stdout.splitlines()


def test_kernel_errors_are_known_by_where_they_live() -> None:
    """The kernel's own exceptions are told from Python's."""
    box = cq.Solid.makeBox(1, 1, 1)
    with pytest.raises(Exception, match="BRep_API: command not done") as caught:
        box.fillet(0.5, box.Edges())
    assert is_kernel_error(caught.value)
    assert not is_kernel_error(ValueError("of Python"))
