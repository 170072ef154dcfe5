"""Solids that several tests look at, built once."""

from __future__ import annotations

import pytest

from parts.catalogue import build
from parts.kernel import cq
from solver.families.base import PartDimensions
from tests.parts.examples import EXAMPLES


@pytest.fixture(scope="session", params=EXAMPLES)
def example(request: pytest.FixtureRequest) -> tuple[str, PartDimensions, cq.Solid]:
    """Name, dimensions and solid of each example in turn."""
    dimensions = EXAMPLES[request.param]
    return request.param, dimensions, build(dimensions)
