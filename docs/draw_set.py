"""Draw the parts of a job side by side, all at one scale: python docs/draw_set.py JOB OUT.png

VTK may take its process with it where a system library is missing, so the drawing is done in a child process.
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from solver.errors import LocksweepError

if TYPE_CHECKING:
    from solver.part import Part

WIDTH = 1600
"""px"""
OVERSAMPLING = 2
"""Drawn so many times larger and averaged: multisampling is not to be had on every machine."""
MARGIN, GAP, LABEL = 34.0, 36.0, 36.0
"""Round the picture, between parts, and for the two lines of text below a part; mm at the parts' scale."""
LETTER = 5.8
"""Width of a letter, mm at the parts' scale, about."""
FONT = 20
"""px"""
SCALE_BAR = 100.0
"""mm"""
BACKGROUND, INK, FAINT = (0.965, 0.965, 0.955), (0.13, 0.14, 0.16), (0.42, 0.44, 0.46)
TURN, LEAN, TURN_OF_PLATE, LEAN_OF_PLATE, TURN_OF_LONG = -38.0, 30.0, 17.0, 56.0, -20.0
"""Degrees: each part is turned about its upright and then leant towards the viewer, a plate further."""
NO_PICTURE = (
    "The picture could not be drawn: the renderer ended without it, most often because the system libraries "
    "libGL and libEGL are missing. On Debian or Ubuntu install them with 'sudo apt-get install libgl1 libegl1'."
)

LIGHTS = (
    ((0.05, 0.9, 1.0), 0.58),
    ((1.0, 0.0, 0.4), 0.30),
    ((-1.0, 0.1, 0.5), 0.24),
    ((0.0, -1.0, 0.5), 0.30),
)
"""Where each shines from as seen by the viewer, and how strongly."""

Numbers = NDArray[np.float64]


@dataclass
class Drawn:
    """One part as it is seen: points in mm, x to the right, y up, z towards the viewer, lower left corner at 0.

    triangles: (n, 3, 3); edges: polylines of shape (m, 3)
    """

    label: str
    colour: tuple[float, float, float]
    triangles: Numbers
    edges: list[Numbers]
    width: float
    height: float
    copies: int


def main(arguments: list[str]) -> int:
    """The whole of it; returns the exit code."""
    if arguments[:1] == ["--here"]:
        return _draw_here(Path(arguments[1]), Path(arguments[2]))
    if len(arguments) != 2:
        sys.stderr.write("usage: python docs/draw_set.py JOB OUT.png\n")
        return 2
    job, out = map(Path, arguments)
    if not out.resolve().parent.is_dir():
        sys.stderr.write(f"There is no folder {out.parent} to write {out.name} into.\n")
        return 1
    # What was drawn before stays until there is something better.
    unfinished = out.with_name(f".{out.stem}.unfinished.png")
    unfinished.unlink(missing_ok=True)
    # Without a display VTK complains at length before it falls back to this by itself.
    environment = {"VTK_DEFAULT_OPENGL_WINDOW": "vtkEGLRenderWindow"} | os.environ
    child = subprocess.run([sys.executable, __file__, "--here", str(job), str(unfinished)], env=environment)
    if child.returncode == 0 and unfinished.is_file():
        unfinished.replace(out)
        return 0
    if child.returncode != 1:
        sys.stderr.write(NO_PICTURE + "\n")
    return 1


def _draw_here(job: Path, out: Path) -> int:
    try:
        columns = _columns(_drawn_parts(job))
        _render(columns, out)
    except LocksweepError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    except ImportError as error:
        sys.stderr.write(f"The picture could not be drawn: {error}.\n")
        return 1
    return 0


def _drawn_parts(job: Path) -> list[list[Drawn]]:
    """The parts of a job, those of one family together."""
    from locksweep.job.load import load_job
    from solver.sizing import all_parts
    from solver.solution import solve

    parts, _ = all_parts(solve(load_job(job)))
    return [
        [_drawn(part) for part in family]
        for _, family in groupby(parts, key=lambda part: part.dimensions.family)
    ]


def _drawn(part: Part) -> Drawn:
    from parts.catalogue import build, family_of
    from parts.mesh import triangles

    solid = build(part.dimensions)
    view = _view(part.dimensions.envelope)
    corners = triangles(solid, 0.02, 0.06).astype(float) @ view.T
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    edges = [points @ view.T - low for points in _true_edges(solid)]
    words = part.name.replace("-", " ")
    for side in (" left", " right"):
        words = words.replace(side, f",{side}")
    return Drawn(
        label=words,
        colour=family_of(part.dimensions).colour,
        triangles=corners - low,
        edges=edges,
        width=float(high[0] - low[0]),
        height=float(high[1] - low[1]),
        copies=part.quantity,
    )


def _view(envelope: tuple[float, float, float]) -> Numbers:
    """Rotation from the part's frame to the viewer's; what stands tallest is laid down."""
    turn, lean, lay = np.radians(TURN), np.radians(LEAN), np.eye(3)
    if envelope[2] < 0.2 * max(envelope):
        turn, lean = np.radians(TURN_OF_PLATE), np.radians(LEAN_OF_PLATE)
    elif envelope[2] == max(envelope) > 2 * min(envelope):
        turn, lay = np.radians(TURN_OF_LONG), np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])
    about_z = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    upright = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
    towards = np.array([[1, 0, 0], [0, np.cos(lean), -np.sin(lean)], [0, np.sin(lean), np.cos(lean)]])
    view: Numbers = towards @ upright @ about_z @ lay
    return view


def _true_edges(solid: Any) -> list[Numbers]:
    """Edges of the solid as polylines; the seams of round faces are none."""
    from parts.kernel import BRep

    tool = BRep.BRep_Tool
    edges = {}
    seams = set()
    for face in solid.Faces():
        for edge in face.Edges():
            edges[edge.hashCode()] = edge
            if tool.IsClosed_s(edge.wrapped, face.wrapped):
                seams.add(edge.hashCode())
    found = []
    for key, edge in edges.items():
        if key not in seams and not tool.Degenerated_s(edge.wrapped):
            count = 2 if edge.geomType() == "LINE" else 49
            found.append(np.array([p.toTuple() for p in edge.positions(np.linspace(0, 1, count).tolist())]))
    return found


@dataclass
class Placed:
    """A part at a place in the picture; mm from its lower left corner."""

    part: Drawn
    x: float
    y: float
    label_at: tuple[float, float] | None


def _rows(family: list[Drawn]) -> tuple[list[Placed], float, float]:
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


def _columns(families: list[list[Drawn]]) -> tuple[list[Placed], float, float]:
    """Everything in its place, with the picture's width and height in mm.

    The tallest family makes a column, the next ones are stacked beside it as long as they are no taller.
    """
    blocks = sorted((_rows(family) for family in families), key=lambda block: -block[2])
    limit = blocks[0][2]
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
    return placed, x - GAP + MARGIN, bottom + limit + MARGIN


def _render(layout: tuple[list[Placed], float, float], out: Path) -> None:
    import vtkmodules.vtkRenderingFreeType
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401
    from vtkmodules.vtkImagingCore import vtkImageShrink3D
    from vtkmodules.vtkIOImage import vtkPNGWriter
    from vtkmodules.vtkRenderingCore import vtkLight, vtkRenderer, vtkRenderWindow, vtkWindowToImageFilter

    placed, width, height = layout
    scale = WIDTH * OVERSAMPLING / width
    renderer = vtkRenderer()
    renderer.SetBackground(*BACKGROUND)
    renderer.AutomaticLightCreationOff()
    for direction, strength in LIGHTS:
        light = vtkLight()
        light.SetLightTypeToSceneLight()
        light.SetPosition(*direction)
        light.SetFocalPoint(0, 0, 0)
        light.SetIntensity(strength)
        renderer.AddLight(light)
    for item in placed:
        for actor in _actors(item):
            renderer.AddActor(actor)
        if item.label_at:
            x, y = item.label_at
            renderer.AddViewProp(_text(item.part.label, x, y + LABEL * 0.42, scale))
            renderer.AddViewProp(_text(f"quantity {item.part.copies}", x, y, scale, FAINT))
    for prop in _scale_bar(width, scale):
        renderer.AddViewProp(prop)
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetFocalPoint(width / 2, height / 2, 0)
    camera.SetPosition(width / 2, height / 2, 2000)
    camera.SetParallelScale(height / 2)
    camera.SetClippingRange(500, 3000)

    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetSize(WIDTH * OVERSAMPLING, round(height * scale / OVERSAMPLING) * OVERSAMPLING)
    window.AddRenderer(renderer)
    window.Render()
    image = vtkWindowToImageFilter()
    image.SetInput(window)
    image.ReadFrontBufferOff()
    smaller = vtkImageShrink3D()
    smaller.SetInputConnection(image.GetOutputPort())
    smaller.SetShrinkFactors(OVERSAMPLING, OVERSAMPLING, 1)
    smaller.MeanOn()
    writer = vtkPNGWriter()
    writer.SetCompressionLevel(9)
    writer.SetFileName(str(out))
    writer.SetInputConnection(smaller.GetOutputPort())
    writer.Write()


def _actors(item: Placed) -> list[Any]:
    """Faces and true edges of one part at its place."""
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    place = np.array([item.x, item.y, 0.0])
    triangles = item.part.triangles
    faces = _poly_data(list(triangles + place), closed=True)
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(faces)
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(1.0, 1.0)
    body = vtkActor()
    body.SetMapper(mapper)
    look = body.GetProperty()
    look.SetInterpolationToFlat()
    look.SetColor(*item.part.colour)
    look.SetAmbient(0.3)
    look.SetDiffuse(0.8)

    lines = vtkPolyDataMapper()
    lines.SetInputData(_poly_data([edge + place for edge in item.part.edges], closed=False))
    edges = vtkActor()
    edges.SetMapper(lines)
    look = edges.GetProperty()
    look.LightingOff()
    look.SetColor(*INK)
    look.SetLineWidth(1.1 * OVERSAMPLING)
    return [body, edges]


def _poly_data(pieces: list[Numbers], *, closed: bool) -> Any:
    """Polygons or polylines."""
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

    points, cells = vtkPoints(), vtkCellArray()
    for piece in pieces:
        cells.InsertNextCell(len(piece))
        for point in piece:
            cells.InsertCellPoint(points.InsertNextPoint(*point))
    data = vtkPolyData()
    data.SetPoints(points)
    (data.SetPolys if closed else data.SetLines)(cells)
    return data


def _text(words: str, x: float, y: float, scale: float, colour: tuple[float, float, float] = INK) -> Any:
    """A line of text whose middle stands at a place in mm."""
    from vtkmodules.vtkRenderingCore import vtkTextActor

    text = vtkTextActor()
    text.SetInput(words)
    look = text.GetTextProperty()
    look.SetFontFamilyToArial()
    look.SetFontSize(FONT * OVERSAMPLING)
    look.SetColor(*colour)
    look.SetJustificationToCentered()
    text.SetPosition(x * scale, y * scale)
    return text


def _scale_bar(width: float, scale: float) -> list[Any]:
    """A bar at the lower right corner with its length above it."""
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    end, y, tick = width - MARGIN, MARGIN * 0.6, 3.0
    start = end - SCALE_BAR
    bar = [[start, y, 0], [end, y, 0]]
    ticks = [[[x, y - tick, 0], [x, y + tick, 0]] for x in (start, end)]
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(_poly_data([np.array(line, float) for line in [bar, *ticks]], closed=False))
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().LightingOff()
    actor.GetProperty().SetColor(*FAINT)
    actor.GetProperty().SetLineWidth(1.2 * OVERSAMPLING)
    words = _text(f"{SCALE_BAR:.0f} mm", (start + end) / 2, y + tick, scale, FAINT)
    return [actor, words]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
