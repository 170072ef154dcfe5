"""The process that draws: what is asked for comes on its standard input, what it has to say goes to its output.

Usage: python -m locksweep.pictures.child FOLDER < pickled parts
"""

from __future__ import annotations

import pickle
import sys
from pathlib import Path

from locksweep.pictures.layout import USUAL_SCALE, of_part, of_set
from locksweep.pictures.seen import Asked, seen

SET, SET_WIDTH, WIDEST, PART_WIDTH = "set.png", 1600, 3200, 1000
"""Name of the picture of all parts; widths in px, of a small and a large set and of one part."""
CANNOT = 3
"""Exit code of a machine that can't draw; the reason is then on standard output."""


def main(folder: Path) -> int:
    """Draw every part by itself and all of them together; returns the exit code."""
    # Written a moment ago by this very program.
    parts: list[Asked] = pickle.loads(sys.stdin.buffer.read())
    try:
        from locksweep.pictures.vtk import draw
        from parts.kernel import missing_library

        looks = [seen(part) for part in parts]
        for part, look in zip(parts, looks, strict=True):
            draw(of_part(look), PART_WIDTH, folder / part.file)
        layout = of_set(looks)
        width = min(max(round(USUAL_SCALE * layout.width), SET_WIDTH), WIDEST)
        draw(layout, width, folder / SET)
    except ImportError as error:
        sys.stdout.write(str(missing_library(error) or error))
        return CANNOT
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
