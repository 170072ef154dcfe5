"""Set-up for all tests: how Hypothesis draws, and where the checkout is."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

CHECKOUT = Path(__file__).resolve().parent.parent

# No deadline: a first call into the CAD kernel takes as long as a thousand later ones.
settings.register_profile(
    "local", deadline=None, print_blob=True, suppress_health_check=[HealthCheck.too_slow]
)
# The same examples on every run, so that a submission fails for what it changed.
settings.register_profile("ci", parent=settings.get_profile("local"), derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "local")


@pytest.fixture(scope="session")
def checkout() -> Path:
    """The folder that holds README.md, pyproject.toml and the packages."""
    return CHECKOUT
