"""What a marking template shows, in mm on paper: lines, crosses and words; how they are printed is another matter."""

from __future__ import annotations

import itertools

import numpy as np

from locksweep.body.strokes import Stroke, Template, Words, bars
from locksweep.units import Units, length_text
from solver.body.cut_line import CutLine
from solver.vectors import Array, Mask

BAR = 100.0
"""mm; length of the bars that tell whether a print is to scale."""
CROSS = 4.0
NEAR_HOLE = 12.0
"""mm from the line, up to which a bridged hole is told."""
CLEAR = 14.0
"""Between the drawing and what is written beside it, mm."""


def template_of(line: CutLine, units: Units) -> Template:
    """The template of a cut line, as seen from the tyre, the car's up direction upwards."""
    strokes, words = list(_outlines(line)), []
    for mark in line.marks:
        strokes += _cross(mark.flat)
        words.append(_beside(str(mark.number), mark.flat))
    for letter, reference in zip("AB", line.references, strict=False):
        if reference.flat is not None:
            strokes += _cross(reference.flat, 3 * CROSS)
            words.append(_beside(letter, reference.flat))
    words += [Words("no scan here", float(x), float(y), 2.0) for x, y in _holes_at(line)]
    low = np.min([stroke.points.min(axis=0) for stroke in strokes], axis=0)
    high = np.max([stroke.points.max(axis=0) for stroke in strokes], axis=0)
    shift = -low + [0.0, CLEAR + BAR / 4]
    strokes = [Stroke(s.style, s.points + shift, s.closed) for s in strokes]
    words = [Words(w.text, w.x + float(shift[0]), w.y + float(shift[1]), w.height) for w in words]
    width, height = (float(x) for x in high + shift)
    width = max(width, BAR + CLEAR)
    strokes += [*bars(BAR, BAR / 4), *_arrows(line, width)]
    words += [
        Words(f"{BAR:.0f} mm", BAR / 2 - 6, 3.0),
        Words("print at 100 %, then measure both bars", 8.0, BAR / 4 - 2.0, 2.5),
        *_arrow_words(line, width),
    ]
    notes = tuple(_notes(line, units))
    return Template(line.name, width, height, tuple(strokes), tuple(words), notes, _table(line, units))


def _holes_at(line: CutLine) -> Array:
    """Middles of bridged holes that the line may run across, in the layout (h, 2)."""
    if not len(line.bridged):
        return np.empty((0, 2))
    holes = line.layout.place(line.bridged)[0]
    drawn = np.vstack(line.flat)
    near = [bool((np.hypot(*(drawn - hole).T) < NEAR_HOLE).any()) for hole in holes]
    return holes[near]


def _outlines(line: CutLine) -> list[Stroke]:
    found = [Stroke("edge", edge, True) for edge in line.edges]
    for loop, flat in zip(line.loops, line.flat, strict=True):
        found += _runs(flat, loop.on_edge)
    return found


def _runs(flat: Array, on_edge: Mask) -> list[Stroke]:
    """The line in stretches of one style; one closed stroke where it has one style all round."""
    if not on_edge.any() or on_edge.all():
        return [Stroke("rim" if on_edge.all() else "cut", flat, True)]
    first = int(np.flatnonzero(on_edge != np.roll(on_edge, 1))[0])
    flat, on_edge = np.roll(flat, -first, axis=0), np.roll(on_edge, -first)
    flat = np.vstack([flat, flat[:1]])
    changes = [0, *(np.flatnonzero(on_edge[1:] != on_edge[:-1]) + 1), len(on_edge)]
    return [Stroke("rim" if on_edge[a] else "cut", flat[a : b + 1]) for a, b in itertools.pairwise(changes)]


def _cross(at: Array, size: float = CROSS) -> list[Stroke]:
    half = size / 2
    return [
        Stroke("mark", np.array([at - way, at + way]))
        for way in (np.array([half, 0.0]), np.array([0.0, half]))
    ]


def _beside(text: str, at: Array) -> Words:
    return Words(text, float(at[0]) + 0.6 * CROSS, float(at[1]) + 0.4 * CROSS)


def _directions(line: CutLine) -> list[tuple[str, Array]]:
    """The car's forward and up as they run in the layout, by least squares over the piece; unit vectors (2,)."""
    points = line.layout.coarse.points
    flat = line.layout.flat - line.layout.flat.mean(axis=0)
    slope = np.linalg.lstsq(flat, points - points.mean(axis=0), rcond=None)[0]
    found: list[tuple[float, str, Array]] = []
    for word, axis in (("forward", 0), ("up", 2)):
        way = slope[:, axis]
        found.append((float(np.hypot(way[0], way[1])), word, way))
    found.sort(key=lambda one: -one[0])
    # A direction that stands nearly square to the piece has none in it; on a bent one both may run alike.
    best = found[0][2] / found[0][0]
    return [
        (word, way / size)
        for size, word, way in found
        if size > 0.3 and (way is found[0][2] or abs(float(best @ way)) < 0.7 * size)
    ]


def _arrows(line: CutLine, width: float) -> list[Stroke]:
    found = []
    for _, way in _directions(line):
        start = np.array([width - CLEAR, CLEAR])
        end = start + 10.0 * way
        side = np.array([-way[1], way[0]])
        found.append(Stroke("mark", np.array([start, end])))
        found.append(Stroke("mark", np.array([end - 2.5 * way + side, end, end - 2.5 * way - side])))
    return found


def _arrow_words(line: CutLine, width: float) -> list[Words]:
    return [
        Words(word, float(width - CLEAR + 12.0 * way[0] - 5.0), float(CLEAR + 12.0 * way[1]), 2.5)
        for word, way in _directions(line)
    ]


def _notes(line: CutLine, units: Units) -> list[str]:
    width, height = line.size
    notes = [
        f"Seen from the tyre. The thick line is where the clearance to the swept tyre is "
        f"{length_text(line.gap, units)}; inside of it there is less.",
        f"The line is {length_text(width, units, 0)} wide and {length_text(height, units, 0)} high and holds "
        f"{line.area / 100:.0f} cm².",
        "Cut small, try the fit, cut again. Look behind the panel for lines, wiring and seams before cutting.",
    ]
    if line.edge_share > 0:
        notes.append(
            f"{100 * line.edge_share:.0f} % of the line, dashed, follow the edge of what was measured: the cut may go "
            "on beyond it. Measure or scan farther."
        )
    if line.layout.developed:
        notes.append(
            f"Laid flat by developing the surface; lengths are right within {100 * line.layout.stretch:.1f} %."
        )
    else:
        notes.append(
            f"Projected onto the panel's mean plane; lengths are right within {100 * line.layout.stretch:.1f} %."
        )
    if holes := len(_holes_at(line)):
        notes.append(f"The line runs across {holes} small holes of the scan, marked; it is a guess there.")
    if line.second_shells:
        notes.append(f"{line.second_shells} second layers of the scan were left out of the line.")
    return notes


def _table(line: CutLine, units: Units) -> tuple[tuple[str, ...], ...]:
    named = list(zip("AB", line.references, strict=False))
    rows = [("point", "x", "y", "z", *(f"from {letter}" for letter, _ in named))]
    rows += [
        (letter, *(_short(value, units) for value in reference.point), reference.name)
        for letter, reference in named
    ]
    for mark in line.marks:
        cells = [str(mark.number), *(_short(value, units) for value in mark.point)]
        rows.append((*cells, *(_short(value, units) for value in mark.distances)))
    return tuple(rows)


def _short(value: float, units: Units) -> str:
    return f"{value:.0f} mm" if units == "mm" else f"{value / 25.4:.2f} in"
