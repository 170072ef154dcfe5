"""What both rooms that draw with VTK share: a child process's environment, a window without a display, text, the file.

VTK may take its process with it where a system library is missing, so all but `child_environment` is for child
processes alone.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

OVERSAMPLING = 2
"""Drawn so many times larger and averaged: multisampling, with translucency above all, is not to be had everywhere."""
BACKGROUND, INK, FAINT = (0.965, 0.965, 0.955), (0.13, 0.14, 0.16), (0.42, 0.44, 0.46)
FONT = 20
"""Of letters, px of the finished picture."""

Colour = tuple[float, ...]


def child_environment() -> dict[str, str]:
    """For a process that draws: it finds the modules that this one finds."""
    # Without a display VTK complains at length before it falls back to this by itself.
    environment = {"VTK_DEFAULT_OPENGL_WINDOW": "vtkEGLRenderWindow"} | os.environ
    return environment | {"PYTHONPATH": os.pathsep.join(filter(None, sys.path))}


def new_renderer() -> Any:
    """Nothing but the background."""
    import vtkmodules.vtkRenderingFreeType
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401
    from vtkmodules.vtkRenderingCore import vtkRenderer

    renderer = vtkRenderer()
    renderer.SetBackground(*BACKGROUND)
    return renderer


def rendered(renderer: Any, width: int, height: int) -> Any:
    """A window of so many px of the finished picture, drawn for the first time."""
    from vtkmodules.vtkRenderingCore import vtkRenderWindow

    window = vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetSize(width * OVERSAMPLING, height * OVERSAMPLING)
    window.AddRenderer(renderer)
    window.Render()
    return window


def write_png(window: Any, out: Path) -> None:
    """What a window shows, averaged."""
    from vtkmodules.vtkImagingCore import vtkImageShrink3D
    from vtkmodules.vtkIOImage import vtkPNGWriter
    from vtkmodules.vtkRenderingCore import vtkWindowToImageFilter

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


def text(words: str, x: float, y: float, colour: Colour = INK, size: float = FONT) -> Any:
    """A line of text at a place in the window's own px; ``size`` in those of the finished picture."""
    from vtkmodules.vtkRenderingCore import vtkTextActor

    actor = vtkTextActor()
    actor.SetInput(words)
    look = actor.GetTextProperty()
    look.SetFontFamilyToArial()
    look.SetFontSize(round(size * OVERSAMPLING))
    look.SetColor(*colour)
    actor.SetPosition(x, y)
    return actor
