"""What importing the solver brings along."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HEAVY = (
    "cadquery",
    "OCP",
    "vtk",
    "vtkmodules",
    "scipy",
    "pydantic",
    "pint",
    "typer",
    "rich",
    "ezdxf",
    "trimesh",
)


def test_solver_is_plain(checkout: Path) -> None:
    """Solving brings along no CAD kernel, no SciPy, and nothing of the command line or the job file."""
    code = f"import solver.solution, sys; print([name for name in {HEAVY!r} if name in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=checkout, capture_output=True, text=True, check=True
    )
    assert "[]" == run.stdout.strip()


def test_every_module_is_plain(checkout: Path) -> None:
    """The same for all modules of the solver together."""
    code = (
        "import importlib, pkgutil, solver, sys\n"
        "for module in pkgutil.walk_packages(solver.__path__, 'solver.'):\n"
        "    importlib.import_module(module.name)\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules], 'solver.search' in sys.modules)"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=checkout, capture_output=True, text=True, check=True
    )
    assert "[] True" == run.stdout.strip()
