"""Strengths of materials by name, from a data table with a source for every row."""

from __future__ import annotations

from typing import NamedTuple

from solver.errors import LocksweepError
from solver.tables import rows

UNKNOWN = "unknown steel"
"""What stands for a steel that nobody knows: the weakest of the candidates."""


LEAST_OF_STEEL = 150.0
"""Modulus in GPa that tells steels from light metals."""


class Material(NamedTuple):
    """One row of `data/materials.csv`; MPa, and GPa for the modulus, kg/m³.

    condition: in which it is bought
    """

    name: str
    yield_strength: float
    ultimate: float
    welded_yield: float
    modulus: float
    density: float
    condition: str
    source: str

    @property
    def weldable(self) -> bool:
        """Whether it can be welded to a steel arm with the filler that the checks count on."""
        return self.welded_yield > 0 and self.modulus > LEAST_OF_STEEL

    @property
    def said(self) -> str:
        """The name with what has to be said about it in a check."""
        return f"{self.name}, the weakest of the candidates" if self.name == UNKNOWN else self.name


PAPER = Material(
    "paper, 80 g/m²", 0.0, 0.0, 0.0, 0.0, 800.0, "for any printer", "0.1 mm thick: common practice, no source"
)
"""Of templates, which no part is made of."""


class UnknownMaterialError(LocksweepError, KeyError):
    """The material table has no row of that name."""

    def __str__(self) -> str:
        return str(self.args[0])


def known_names() -> tuple[str, ...]:
    """Names that the table has, in its order."""
    return tuple(row["name"] for row in rows("materials"))


def material(name: str) -> Material:
    """A material by name, case and blanks ignored.

    Raises:
        UnknownMaterialError: lists the names that the table has.
    """
    if name == PAPER.name:
        return PAPER
    for row in rows("materials"):
        if row["name"].replace(" ", "").lower() == name.replace(" ", "").lower():
            return Material(
                name=row["name"],
                yield_strength=float(row["yield"]),
                ultimate=float(row["ultimate"]),
                welded_yield=float(row["welded_yield"]),
                modulus=float(row["modulus"]),
                density=float(row["density"]),
                condition=row["condition"],
                source=row["source"],
            )
    raise UnknownMaterialError(
        f"material {name!r} is not in the table; known are {', '.join(known_names())}. Take {UNKNOWN!r} when in doubt"
    )
