"""The demo job files, wherever they are: packed with an installed application, or in the checkout."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

STARTERS: dict[Literal["mm", "in"], str] = {"mm": "alder-coupe", "in": "birch-coupe"}
"""Name of the demo job that a new job file in these units starts from."""


def demo_names() -> list[str]:
    """Names of the demo jobs, sorted."""
    return sorted(file.stem for file in _folder().glob("*.toml"))


def demo_path(name: str) -> Path:
    """File of one demo job.

    Raises:
        KeyError: there is no demo job of that name
    """
    file = _folder() / f"{name}.toml"
    if name not in demo_names():
        raise KeyError(f"no demo job {name!r}; there are {', '.join(demo_names())}")
    return file


def demo_text(name: str) -> str:
    """Text of one demo job file.

    Raises:
        KeyError: there is no demo job of that name
    """
    return demo_path(name).read_text(encoding="utf-8")


def _folder() -> Path:
    # A build moves the folder into the package; in a checkout it lies beside it. Either is a real folder,
    # since installing a wheel unpacks it.
    package = Path(__file__).resolve().parent
    packed = package / "configs"
    return packed if packed.is_dir() else package.parent / "configs"
