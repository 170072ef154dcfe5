"""Pictures of a wheel's surroundings, coloured by clearance; drawn in a child process that may die of it.

The renderer takes its process along where a system library is missing, and a clearance map is worth having without a
picture.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from locksweep.offscreen import child_environment
from solver.body.surface import Triangles
from solver.car import Side
from solver.vectors import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

AROUND = 800.0
"""mm round the wheel's centre that a picture shows."""
LONGEST = 120.0
"""Seconds that drawing may take; a machine without a graphics card needs some seconds for millions of triangles."""
NO_PICTURE = (
    "no picture could be drawn: the renderer ended without one, most often because the system libraries libGL and "
    "libEGL are missing; on Debian or Ubuntu install them with 'sudo apt-get install libgl1 libegl1'"
)


@dataclass(frozen=True, eq=False)
class View:
    """What a picture shows; mm and car axes.

    centre: of the wheel straight ahead; side: which wheel it is
    points, triangles, colours: of all bodies together, colours (n, 3) from 0 to 255
    tyre: points and triangles of the tyre in its worst pose
    marks: places (k, 3); labels: what stands beside them
    title: above the picture; legend: clearance in mm, colour and words of what the ramp stands for
    """

    centre: Array
    side: Side
    points: Array
    triangles: Triangles
    colours: NDArray[np.uint8]
    tyre: tuple[Array, Triangles]
    marks: Array
    labels: tuple[str, ...]
    title: str
    legend: tuple[tuple[tuple[int, int, int], str], ...]


def near_only(view: View) -> View:
    """Without what lies farther from the wheel than a picture shows."""
    near = np.abs(view.points - view.centre).max(axis=1) < AROUND
    number = np.cumsum(near) - 1
    whole = near[view.triangles].all(axis=1) if len(view.triangles) else np.empty(0, np.bool_)
    return View(
        view.centre,
        view.side,
        view.points[near],
        number[view.triangles[whole]].astype(np.int64),
        view.colours[near],
        view.tyre,
        view.marks,
        view.labels,
        view.title,
        view.legend,
    )


def draw_pictures(views: Sequence[tuple[View, Path]]) -> bool:
    """Draw views into PNG files; False, and none of them, where this machine can't."""
    paths = [path for _, path in views]
    with tempfile.TemporaryDirectory() as folder:
        arguments = []
        for number, (view, path) in enumerate(views):
            data = Path(folder) / f"{number}.npz"
            _save(near_only(view), data)
            arguments += [str(data), str(path)]
        try:
            done = subprocess.run(
                [sys.executable, "-m", "locksweep.body.draw", *arguments],
                env=child_environment(),
                stdin=subprocess.DEVNULL,
                capture_output=True,
                timeout=LONGEST,
            )
            drawn = done.returncode == 0 and all(path.is_file() and path.stat().st_size > 0 for path in paths)
        except (OSError, subprocess.TimeoutExpired):
            drawn = False
    if not drawn:
        for path in paths:
            path.unlink(missing_ok=True)
    return drawn


def _save(view: View, path: Path) -> None:
    np.savez(
        path,
        centre=view.centre,
        outward=1.0 if view.side == "left" else -1.0,
        points=view.points,
        triangles=view.triangles,
        colours=view.colours,
        tyre_points=view.tyre[0],
        tyre_triangles=view.tyre[1],
        marks=view.marks,
        labels=np.array(view.labels, np.str_),
        title=np.array(view.title),
        legend_colours=np.array([colour for colour, _ in view.legend], np.uint8).reshape(-1, 3),
        legend_words=np.array([words for _, words in view.legend], np.str_),
    )
