"""Views of a solid by the kernel's hidden-line removal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from parts.drawing.views.axes import Axes, Picture
from parts.drawing.views.curves import Curve, tidy
from parts.drawing.views.edges import curve_of
from parts.drawing.views.outlines import SMOOTH
from parts.drawing.views.ray_casting import cast_rays
from parts.kernel import BRepLib, HLRAlgo, HLRBRep, cq, gp


def project(solid: cq.Shape, axes: Axes, *, hidden: bool = True) -> Picture:
    """The solid as seen along ``axes``.

    hidden: whether edges behind others are wanted
    """
    if any(edge.geomType() not in ("LINE", "CIRCLE", "ELLIPSE") for edge in solid.Edges()):
        # Where two cylinders cross, the kernel's algorithm takes up to 14 s for a view.
        return cast_rays(solid, axes, hidden)
    shape = solid.copy().wrapped
    # What was joined from pieces does not know of its edges which are smooth.
    BRepLib.BRepLib.EncodeRegularity_s(shape, SMOOTH)
    algorithm = HLRBRep.HLRBRep_Algo()
    algorithm.Add(shape)
    frame = gp.gp_Ax2(gp.gp_Pnt(0, 0, 0), gp.gp_Dir(*axes.towards), gp.gp_Dir(*axes.right))
    algorithm.Projector(HLRAlgo.HLRAlgo_Projector(frame))
    algorithm.Update()
    algorithm.Hide()
    result = HLRBRep.HLRBRep_HLRToShape(algorithm)
    seen = tidy(_curves(result.VCompound(), result.OutLineVCompound()))
    behind = tidy(_curves(result.HCompound(), result.OutLineHCompound()), less=seen) if hidden else ()
    return Picture(seen, behind, tidy(_curves(result.Rg1LineVCompound()), less=seen))


def _curves(*compounds: Any) -> Iterator[Curve]:
    for compound in compounds:
        if compound is None or compound.IsNull():
            continue
        BRepLib.BRepLib.BuildCurves3d_s(compound)
        for edge in cq.Shape.cast(compound).Edges():
            yield from curve_of(edge, lambda x, y, _: (x, y))
