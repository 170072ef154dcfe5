"""A plate cut square through: the solid of every family that is its flat pattern and nothing else."""

from __future__ import annotations

from parts.kernel import cq
from parts.profiles import prism
from solver.errors import SolidError
from solver.families.base import PartDimensions


def plate(dimensions: PartDimensions) -> cq.Solid:
    """The flat pattern on z = 0, as thick as its plate; marks are left to the cutting file.

    Raises:
        SolidError: the part has no flat pattern of one outline.
    """
    pattern = dimensions.flat_pattern()
    if pattern is None or len(pattern.outer) != 1:
        raise SolidError("it has no flat pattern of one outline")
    return prism(pattern.outer[0], pattern.thickness, cutouts=pattern.inner)
