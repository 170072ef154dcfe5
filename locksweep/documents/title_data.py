"""What the title block of a part's drawing says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from locksweep.units import Units, sentence_text
from solver.part import LoadRole, Part
from solver.strength.materials import material

if TYPE_CHECKING:
    from parts.drawing.title_block import Issue

SCREENING = (
    "The numbers behind it are a screening check and no approval; local codes and licensed practice decide. "
    "Read the job's caution note first."
)
CAUTIONS: dict[LoadRole, str] = {
    "carries the car": f"this part carries the car. {SCREENING}",
    "limits steering": f"this part limits steering and is hit at full lock. {SCREENING}",
    "closes a hole": "what the plate closes is cut out of the body: whether that may be is for someone qualified. Read "
    "the job's caution note first.",
    "marking aid": "a marking aid, never to be fitted to a car.",
}


def title_data(part: Part, revision: str, job: str, units: Units, remark: str) -> Issue:
    """All that a drawing says of a part besides its shape.

    job: its name; remark: in capitals above the caution, where there is one
    """
    # The sheet's modules bring the CAD kernel along.
    from parts.drawing.title_block import Issue

    steel = material(part.material)
    return Issue(
        name=part.name,
        title=part.dimensions.title,
        revision=revision,
        quantity=part.quantity,
        material=steel.name,
        condition=steel.condition,
        process=_sentence(sentence_text(part.process, units)),
        mass=part.dimensions.volume * steel.density * 1e-9,
        job=job,
        caution=CAUTIONS[part.role],
        units=units,
        remark=remark,
    )


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}." if text else ""
