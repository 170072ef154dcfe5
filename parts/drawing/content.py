"""What a family puts on its sheet."""

from __future__ import annotations

from dataclasses import dataclass

from parts.drawing.layout.arrangement import Block
from parts.drawing.title_block import Surface


@dataclass(frozen=True)
class Content:
    """Blocks in the order in which they are put on the sheet, notes for the shop, and the general surface.

    least: scale below which a larger sheet is taken; largest: scale that is not exceeded; mm on paper for a mm
    """

    blocks: tuple[Block, ...]
    notes: tuple[str, ...]
    surface: Surface
    least: float
    largest: float
