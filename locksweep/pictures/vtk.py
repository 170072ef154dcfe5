"""From a layout to a PNG file, by VTK without a display.

VTK may take its process with it where a system library is missing: this runs in `locksweep.pictures.child` only.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from locksweep.offscreen import (
    FAINT,
    FONT,
    INK,
    OVERSAMPLING,
    Colour,
    new_renderer,
    rendered,
    text,
    write_png,
)
from locksweep.pictures.layout import LABEL, USUAL_SCALE, Layout, Placed
from locksweep.pictures.seen import Numbers

SCALE_BARS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
"""mm; the longest that is shorter than a fifth of the picture."""

LIGHTS = (
    ((0.05, 0.9, 1.0), 0.58),
    ((1.0, 0.0, 0.4), 0.30),
    ((-1.0, 0.1, 0.5), 0.24),
    ((0.0, -1.0, 0.5), 0.30),
)
"""Where each shines from as seen by the viewer, and how strongly."""


def draw(layout: Layout, pixels: int, out: Path) -> None:
    """Draw a layout so many pixels wide."""
    from vtkmodules.vtkRenderingCore import vtkLight

    width, height = layout.width, layout.height
    # Of the window's px for each mm.
    scale = pixels * OVERSAMPLING / width
    renderer = new_renderer()
    renderer.AutomaticLightCreationOff()
    for direction, strength in LIGHTS:
        light = vtkLight()
        light.SetLightTypeToSceneLight()
        light.SetPosition(*direction)
        light.SetFocalPoint(0, 0, 0)
        light.SetIntensity(strength)
        renderer.AddLight(light)
    for item in layout.placed:
        for actor in _actors(item):
            renderer.AddActor(actor)
        if item.label_at:
            x, y = item.label_at
            renderer.AddViewProp(_text(item.part.label, x, y + LABEL * 0.42, scale))
            renderer.AddViewProp(_text(f"quantity {item.part.copies}", x, y, scale, FAINT))
    for prop in _scale_bar(layout, scale):
        renderer.AddViewProp(prop)
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetFocalPoint(width / 2, height / 2, 0)
    nearest = max(float(item.part.triangles[..., 2].max()) for item in layout.placed) + 1
    camera.SetPosition(width / 2, height / 2, 2 * nearest)
    camera.SetParallelScale(height / 2)
    camera.SetClippingRange(0.5 * nearest, 3 * nearest)

    write_png(rendered(renderer, pixels, round(height * scale / OVERSAMPLING)), out)


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


def _text(words: str, x: float, y: float, scale: float, colour: Colour = INK) -> Any:
    """A line of text whose middle stands at a place in mm."""
    # In a picture of fewer pixels for each millimetre words keep to their room.
    size = FONT * min(1.0, scale / (USUAL_SCALE * OVERSAMPLING))
    actor = text(words, x * scale, y * scale, colour, size)
    actor.GetTextProperty().SetJustificationToCentered()
    return actor


def _scale_bar(layout: Layout, scale: float) -> list[Any]:
    """A bar at the lower right corner with its length above it."""
    length = max((bar for bar in SCALE_BARS if bar < layout.width / 5), default=SCALE_BARS[0])
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    end, y, tick = layout.width - layout.margin, layout.margin * 0.6, 0.09 * layout.margin
    start = end - length
    bar = [[start, y, 0], [end, y, 0]]
    ticks = [[[x, y - tick, 0], [x, y + tick, 0]] for x in (start, end)]
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(_poly_data([np.array(line, float) for line in [bar, *ticks]], closed=False))
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().LightingOff()
    actor.GetProperty().SetColor(*FAINT)
    actor.GetProperty().SetLineWidth(1.2 * OVERSAMPLING)
    words = _text(f"{length} mm", (start + end) / 2, y + tick, scale, FAINT)
    return [actor, words]
