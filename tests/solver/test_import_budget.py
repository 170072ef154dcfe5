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
    "numba",
)
COMPILED = ("solver.compiled.", "solver.uncertainty.by_kernel")
"""Modules that need the compiler: they are imported inside of functions alone."""


def test_solver_is_plain(checkout: Path) -> None:
    """Solving brings along no CAD kernel, no SciPy, and nothing of the command line or the job file."""
    code = f"import solver.solution, sys; print([name for name in {HEAVY!r} if name in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=checkout, capture_output=True, text=True, check=True
    )
    assert "[]" == run.stdout.strip()


def test_every_module_is_plain(checkout: Path) -> None:
    """The same for all modules of the solver together, but for those that hold compiled code."""
    code = (
        "import importlib, pkgutil, solver, sys\n"
        "for module in pkgutil.walk_packages(solver.__path__, 'solver.'):\n"
        f"    if not module.name.startswith({COMPILED!r}): importlib.import_module(module.name)\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules], 'solver.search' in sys.modules)"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=checkout, capture_output=True, text=True, check=True
    )
    assert "[] True" == run.stdout.strip()
