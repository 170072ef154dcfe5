"""The strut: force along the damper, side force at its top, and the bending that this puts into the rod."""

from __future__ import annotations

import numpy as np

from solver.corner import Pose
from solver.vectors import Array, apply, dot, length


def strut_loads(tube_length: float, pose: Pose, on_body: Array) -> tuple[Array, Array, Array]:
    """From the force of the strut on the body, (..., 3): along the damper, square to it, and bending of the rod.

    N and N mm, (...). Along the damper positive pressed together; spring, damper and bump stop share it. The bending
    is that of the side force about the tube's upper end, where the rod leaves its guide: the rod is a cantilever from
    there to the strut top. A spring that is set at an angle to take side force off the rod is not credited.
    """
    damper = apply(pose.rotation, pose.corner.damper_direction)
    axial = dot(on_body, damper)
    side = length(on_body - axial[..., None] * damper)
    return axial, side, side * np.maximum(pose.damper_length - tube_length, 0.0)
