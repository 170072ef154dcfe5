"""Where each part goes in a picture."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from locksweep.pictures.seen import Seen

MARGIN, GAP, LABEL = 34.0, 36.0, 36.0
"""Round the picture of a set, between parts, and for the two lines of text below a part; mm at the parts' scale."""
LETTER = 5.8
"""Width of a letter, mm at the parts' scale, about."""
USUAL_SCALE = 2.6
"""px for each mm of a set, at which words have the room that is given above."""
SQUAT = 2.2
"""Width of a picture over its height, about, where many parts are to be stacked."""
ROOM = 0.12
"""Of its larger side, round a part that is alone, and below it for the scale bar."""
SHAPE = 3 / 4
"""Height of a part's own picture over its width."""


@dataclass(frozen=True)
class Placed:
    """A part at a place in the picture; mm from its lower left corner."""

    part: Seen
    x: float
    y: float
    label_at: tuple[float, float] | None


@dataclass(frozen=True)
class Layout:
    """A whole picture, mm."""

    placed: tuple[Placed, ...]
    width: float
    height: float
    margin: float = MARGIN


def of_part(part: Seen) -> Layout:
    """One part alone, as large as it goes."""
    room = ROOM * max(part.width, part.height)
    width = max(part.width + 2 * room, (part.height + 3 * room) / SHAPE)
    height = SHAPE * width
    x, y = (width - part.width) / 2, (height - part.height + room) / 2
    return Layout((Placed(part, x, y, None),), width, height, 0.5 * room)


def _rows(family: list[Seen]) -> tuple[list[Placed], float, float]:
    """One family: copies and mirrored parts side by side, long ones below each other; with width and height."""
    placed: list[Placed] = []
    x = height = 0.0
    for part in family:
        below = part.width > 1.5 * part.height
        across = part.width if below else (part.width + GAP / 2) * part.copies - GAP / 2
        tall = (part.height + GAP / 3) * part.copies - GAP / 3 if below else part.height
        width = max(across, LETTER * len(part.label))
        for copy in range(part.copies):
            dx, dy = (0.0, copy * (part.height + GAP / 3)) if below else (copy * (part.width + GAP / 2), 0.0)
            label = (x + width / 2, 0.0) if copy == 0 else None
            placed.append(Placed(part, x + (width - across) / 2 + dx, LABEL + dy, label))
        x += width + GAP
        height = max(height, tall + LABEL)
    return placed, x - GAP, height


def of_set(parts: list[Seen]) -> Layout:
    """All parts at one scale, each as often as the set holds it.

    The tallest family makes a column, the next ones are stacked beside it as long as they are no taller.
    """
    families = [list(alike) for _, alike in groupby(parts, key=lambda part: part.family)]
    blocks = sorted((_rows(family) for family in families), key=lambda block: -block[2])
    area = sum((block[1] + GAP) * (block[2] + GAP / 2) for block in blocks)
    limit = max(blocks[0][2], (area / SQUAT) ** 0.5)
    columns: list[list[tuple[list[Placed], float, float]]] = []
    for block in blocks:
        for column in columns:
            if sum(other[2] + GAP / 2 for other in column) + block[2] <= limit * 1.1:
                column.append(block)
                break
        else:
            columns.append([block])
    limit = max(sum(b[2] for b in column) + GAP / 2 * (len(column) - 1) for column in columns)
    placed: list[Placed] = []
    x = MARGIN
    bottom = MARGIN * 0.6 + LABEL
    for column in columns:
        width = max(block[1] for block in column)
        free = limit - sum(block[2] for block in column)
        space = free / (len(column) - 1) if len(column) > 1 else 0.0
        y = bottom + limit if len(column) > 1 else bottom + column[0][2]
        for items, wide, high in column:
            y -= high
            dx, dy = x + (width - wide) / 2, y
            for item in items:
                label = item.label_at and (item.label_at[0] + dx, item.label_at[1] + dy)
                placed.append(Placed(item.part, item.x + dx, item.y + dy, label))
            y -= space
        x += width + GAP
    return Layout(tuple(placed), x - GAP + MARGIN, bottom + limit + MARGIN)
