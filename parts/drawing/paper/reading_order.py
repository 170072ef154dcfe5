"""The order in which a writer that knows left to right only has to put characters.

Job names may be Hebrew or Arabic. A DXF file keeps such text in the order in which it is read, as every program
that shows it turns it round; a PDF file holds glyphs where they stand. Simplified from Unicode's annex 9: no
embedding, no mirrored brackets, and Arabic letters are not joined.
"""

from __future__ import annotations

import unicodedata

RIGHT_TO_LEFT = frozenset({"R", "AL"})
LEFT_TO_RIGHT = frozenset({"L", "EN", "AN"})


def visual(text: str) -> str:
    """The characters of a line from left to right as they stand on paper."""
    kinds = [unicodedata.bidirectional(c) for c in text]
    strong = [k for k in kinds if k in RIGHT_TO_LEFT or k == "L"]
    if not RIGHT_TO_LEFT & set(strong):
        return text
    base_right = strong[0] in RIGHT_TO_LEFT
    runs: list[tuple[bool, str]] = []
    for right, characters in _runs(text, kinds, base_right):
        runs.append((right, characters[::-1] if right else characters))
    return "".join(characters for _, characters in (runs[::-1] if base_right else runs))


def _runs(text: str, kinds: list[str], base_right: bool) -> list[tuple[bool, str]]:
    """Stretches of one direction; what has none takes that of both neighbours, or the line's own."""
    directions: list[bool | None] = [
        True if k in RIGHT_TO_LEFT else False if k in LEFT_TO_RIGHT else None for k in kinds
    ]
    resolved = []
    for i, direction in enumerate(directions):
        if direction is None:
            before = next((d for d in reversed(directions[:i]) if d is not None), base_right)
            after = next((d for d in directions[i:] if d is not None), base_right)
            direction = before if before == after else base_right
        resolved.append(direction)
    runs: list[tuple[bool, str]] = []
    for right, character in zip(resolved, text, strict=True):
        if runs and runs[-1][0] == right:
            runs[-1] = (right, runs[-1][1] + character)
        else:
            runs.append((right, character))
    return runs
