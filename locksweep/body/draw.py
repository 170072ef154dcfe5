"""Draws pictures and ends: python -m locksweep.body.draw VIEW.npz OUT.png, a child of `locksweep.body.picture`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np

from locksweep.offscreen import FAINT, OVERSAMPLING, new_renderer, rendered, text, write_png

WIDTH, HEIGHT = 1400, 1000
TYRE = (0.25, 0.27, 0.32)
SEEN_FROM = (0.35, 1.0, 0.28)
"""Direction of the viewer from the wheel: forward, outward, up."""
SPAN = 560.0
"""Half of the picture's height in mm at the wheel."""


def main(arguments: list[str]) -> int:
    """The whole of it; returns the exit code."""
    if not arguments or len(arguments) % 2:
        sys.stderr.write("usage: python -m locksweep.body.draw VIEW.npz OUT.png [VIEW.npz OUT.png ...]\n")
        return 2
    for view, out in zip(arguments[::2], arguments[1::2], strict=True):
        with np.load(view, allow_pickle=False) as data:
            _draw({name: data[name] for name in data.files}, out)
    return 0


def _draw(view: dict[str, np.ndarray], out: str) -> None:
    renderer = new_renderer()
    renderer.AddActor(_body(view))
    renderer.AddActor(_tyre(view))
    _look_at(renderer, view["centre"], float(view["outward"]))
    window = rendered(renderer, WIDTH, HEIGHT)
    for prop in [*_marks(renderer, view["marks"], view["labels"]), *_words(view)]:
        renderer.AddViewProp(prop)
    window.Render()
    write_png(window, Path(out))


def _look_at(renderer: Any, centre: np.ndarray, outward: float) -> None:
    way = np.array(SEEN_FROM) * [1.0, outward, 1.0]
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetFocalPoint(*centre)
    camera.SetPosition(*(centre + 3000.0 * way / np.linalg.norm(way)))
    camera.SetViewUp(0, 0, 1)
    camera.SetParallelScale(SPAN)
    camera.SetClippingRange(500, 6000)


def _poly_data(points: np.ndarray, triangles: np.ndarray) -> Any:
    """Triangles, or the bare points where there are none; points without a triangle are drawn as well."""
    from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

    data, places = vtkPolyData(), vtkPoints()
    places.SetData(numpy_to_vtk(np.ascontiguousarray(points, np.float64), deep=1))
    data.SetPoints(places)
    alone = np.ones(len(points), np.bool_)
    if len(triangles):
        alone[triangles] = False
        data.SetPolys(_cells(triangles, vtkCellArray(), numpy_to_vtkIdTypeArray))
    if alone.any():
        data.SetVerts(_cells(np.flatnonzero(alone)[:, None], vtkCellArray(), numpy_to_vtkIdTypeArray))
    return data


def _cells(rows: np.ndarray, cells: Any, converted: Any) -> Any:
    counted = np.column_stack([np.full(len(rows), rows.shape[1]), rows]).astype(np.int64)
    cells.ImportLegacyFormat(converted(np.ascontiguousarray(counted.ravel()), deep=1))
    return cells


def _body(view: dict[str, np.ndarray]) -> Any:
    from vtkmodules.util.numpy_support import numpy_to_vtk
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    data = _poly_data(view["points"], view["triangles"])
    colours = numpy_to_vtk(np.ascontiguousarray(view["colours"]), deep=1)
    # Of triangles each cell would want a colour; by point they run into each other as the clearance does.
    data.GetPointData().SetScalars(colours)
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(data)
    actor = vtkActor()
    actor.SetMapper(mapper)
    look = actor.GetProperty()
    look.SetPointSize(3.0)
    look.SetInterpolationToFlat()
    # Little of the light depends on the direction: it is the colour that tells.
    look.SetAmbient(0.65)
    look.SetDiffuse(0.35)
    return actor


def _tyre(view: dict[str, np.ndarray]) -> Any:
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    mapper = vtkPolyDataMapper()
    mapper.SetInputData(_poly_data(view["tyre_points"], view["tyre_triangles"]))
    mapper.ScalarVisibilityOff()
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(*TYRE)
    actor.GetProperty().SetOpacity(0.22)
    return actor


def _marks(renderer: Any, marks: np.ndarray, labels: np.ndarray) -> list[Any]:
    """A cross and a label at each place, in front of everything."""
    from vtkmodules.vtkRenderingCore import vtkCoordinate

    at = vtkCoordinate()
    at.SetCoordinateSystemToWorld()
    props = []
    for mark, words in zip(marks, labels, strict=True):
        at.SetValue(*mark)
        x, y = at.GetComputedDisplayValue(renderer)
        cross = text("+", x, y)
        cross.GetTextProperty().SetJustificationToCentered()
        cross.GetTextProperty().SetVerticalJustificationToCentered()
        props.append(cross)
        label = text(str(words), x + 22, y + 16)
        look = label.GetTextProperty()
        look.SetBackgroundColor(1, 1, 1)
        look.SetBackgroundOpacity(0.8)
        props.append(label)
    return props


def _words(view: dict[str, np.ndarray]) -> list[Any]:
    """Title and legend."""
    props = [text(str(view["title"]), 30 * OVERSAMPLING, (HEIGHT - 45) * OVERSAMPLING)]
    x = 30 * OVERSAMPLING
    for colour, words in zip(view["legend_colours"], view["legend_words"], strict=True):
        props.append(_patch(x, 24 * OVERSAMPLING, 24 * OVERSAMPLING, tuple(colour / 255.0)))
        props.append(text(str(words), x + 34 * OVERSAMPLING, 28 * OVERSAMPLING, FAINT))
        x += (64 + 10 * len(str(words))) * OVERSAMPLING
    return props


def _patch(x: float, y: float, size: float, colour: tuple[float, ...]) -> Any:
    """A square of one colour, its lower left corner at a place in px."""
    from vtkmodules.vtkRenderingCore import vtkActor2D, vtkPolyDataMapper2D

    corners = np.array([(x, y, 0), (x + size, y, 0), (x + size, y + size, 0), (x, y + size, 0)], float)
    mapper = vtkPolyDataMapper2D()
    mapper.SetInputData(_poly_data(corners, np.array([(0, 1, 2), (0, 2, 3)])))
    actor = vtkActor2D()
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(*colour)
    return actor


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
