"""Volume, area, centroid and box of a shape, finer than the kernel's defaults.

Plain integration is off by some 2e-5 on curved and trimmed faces. Asked for a tolerance it integrates
adaptively and is right to 1e-10 on cylinders and cones, which closed forms can be held against.
"""

from __future__ import annotations

from dataclasses import dataclass
from weakref import WeakKeyDictionary

from parts.kernel import Bnd, BRepBndLib, BRepGProp, GProp, cq

INTEGRATION = 1e-6
"""Relative error that the adaptive integration is asked for."""


@dataclass(frozen=True)
class Box:
    """Smallest and largest coordinates in mm, along x, y and z."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]

    @property
    def size(self) -> tuple[float, float, float]:
        """Along x, y and z, mm."""
        (x0, y0, z0), (x1, y1, z1) = self.low, self.high
        return (x1 - x0, y1 - y0, z1 - z0)


def volume(shape: cq.Shape) -> float:
    """Volume in mm³, negative for a solid that is inside out."""
    return volume_and_centroid(shape)[0]


_measured: WeakKeyDictionary[cq.Shape, tuple[float, tuple[float, float, float]]] = WeakKeyDictionary()
"""What was measured already: gate and writers ask for the same solid, and its curved faces take long."""


def volume_and_centroid(shape: cq.Shape) -> tuple[float, tuple[float, float, float]]:
    """Volume in mm³ and its centre in mm, without the digits that rounding leaves where it should be 0."""
    found = _measured.get(shape)
    if found is None:
        found = _measured[shape] = _integrated(shape)
    return found


def _integrated(shape: cq.Shape) -> tuple[float, tuple[float, float, float]]:
    properties = GProp.GProp_GProps()
    BRepGProp.BRepGProp.VolumeProperties_s(shape.wrapped, properties, INTEGRATION, False, False)
    centre = properties.CentreOfMass()
    # Adding zero turns -0.0 into 0.0.
    x, y, z = (round(coordinate, 9) + 0.0 for coordinate in (centre.X(), centre.Y(), centre.Z()))
    return float(properties.Mass()), (x, y, z)


_areas: WeakKeyDictionary[cq.Shape, float] = WeakKeyDictionary()


def area(shape: cq.Shape) -> float:
    """Area in mm² of all faces."""
    found = _areas.get(shape)
    if found is None:
        found = _areas[shape] = _integrated_area(shape)
    return found


def _integrated_area(shape: cq.Shape) -> float:
    properties = GProp.GProp_GProps()
    BRepGProp.BRepGProp.SurfaceProperties_s(shape.wrapped, properties, INTEGRATION, False)
    return float(properties.Mass())


def box(shape: cq.Shape) -> Box:
    """The tight box along the axes.

    A mesh on the shape and the tolerances of its edges would both widen it, so neither is used.
    """
    bounds = Bnd.Bnd_Box()
    BRepBndLib.BRepBndLib.AddOptimal_s(shape.wrapped, bounds, False, False)
    low, high = bounds.CornerMin(), bounds.CornerMax()
    return Box((low.X(), low.Y(), low.Z()), (high.X(), high.Y(), high.Z()))
