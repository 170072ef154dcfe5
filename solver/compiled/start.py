"""The compiler, and where it keeps what it has compiled."""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

import numba

Function = TypeVar("Function", bound=Callable[..., Any])

OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy"}
"""Threads run at the same time, and a division by zero gives infinity as in NumPy. No fast-math: NaN must stay NaN."""


def inlined(function: Function) -> Function:
    """A compiled function that is called from compiled functions only."""
    return cast(Function, numba.njit(**OPTIONS)(function))


def entry(function: Function) -> Function:
    """A compiled function that is called from Python; it is compiled once and then read from the cache."""
    compiled = numba.njit(**OPTIONS)(function)
    folder = cache_folder()
    if _ready(folder):
        # Numba looks at its setting once, here. Left changed it would move the caches of other libraries.
        settings: Any = numba.config
        before = settings.CACHE_DIR
        settings.CACHE_DIR = str(folder)
        try:
            compiled.enable_caching()
        finally:
            settings.CACHE_DIR = before
    return cast(Function, compiled)


@cache
def cache_folder() -> Path | None:
    """The user's folder for this very code, so never in the source tree; None where the user has no home.

    Numba's own cache looks at the file of the function called from Python alone and would not notice a change in a
    file that it calls. What earlier versions left beside it is deleted when it is made.
    """
    chosen = os.environ.get("NUMBA_CACHE_DIR")
    digest = hashlib.sha256()
    for file in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(file.read_bytes())
    try:
        ours = (Path(chosen) if chosen else _user_cache()) / "locksweep"
    except RuntimeError:
        return None
    return ours / digest.hexdigest()[:16]


def _ready(folder: Path | None) -> bool:
    """Whether the folder is there and can be written to; if not, Numba would fall back on the source tree."""
    if folder is None:
        return False
    try:
        if not folder.is_dir():
            shutil.rmtree(folder.parent, ignore_errors=True)
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def _user_cache() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
