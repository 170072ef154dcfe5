"""Examples of the tables about the body, which no demo job has; each key with a right value, in either unit."""

from __future__ import annotations

import tomllib
from typing import Any

from locksweep.job.units import FileUnits

TABLES = ("body", "ring", "reference", "sweep")

_MM = """
[[body]]
name = "left wheel well"
side = "left"
file = "scans/left-well.ply"
units = "mm"
fixed_to = "body"
tolerance = 6
points = [[-380, 610, 240], [-395, 618, 300]]
panel = [[-420, 618, 45], [-424, 618, 300], [-191, 386, 520]]
box = [[-60, 600, 420], [-20, 600, 420], [-60, 640, 420], [-60, 600, 500]]
[[body.place]]
name = "front bolt of the strut top"
scan = [0.412, -0.033, 1.208]
car = [-12, 512, 706]
[[ring]]
name = "rim's barrel"
inside_diameter = 380
outside_diameter = 406
inner_face = -95
outer_face = 20
side = "both"
[[reference]]
name = "wing's rear bolt"
at = [-310, 640, 720]
side = "both"
[sweep]
rolls = [2, 4]
drops = [15]
confidence = "90 %"
tie_rod_diameter = 18
tie_rod_end_diameter = 34
"""

_IN = """
[[body]]
name = "left wheel well"
side = "left"
file = "scans/left-well.ply"
units = "in"
fixed_to = "body"
tolerance = "1/4 in"
points = [[-15, 24, "9 1/2 in"], ["-15 1/2 in", 24, 12]]
panel = [["-16 1/2 in", 24, 2], ["-16 3/4 in", 24, 12], ["-7 1/2 in", 15, 20]]
box = [[-2, 24, 16], [-1, 24, 16], [-2, 25, 16], [-2, 24, 20]]
[[body.place]]
name = "front bolt of the strut top"
scan = [0.412, -0.033, 1.208]
car = ["-1/2 in", "20 1/8 in", "27 3/4 in"]
[[ring]]
name = "rim's barrel"
inside_diameter = 15
outside_diameter = 16
inner_face = "-3 3/4 in"
outer_face = "3/4 in"
side = "both"
[[reference]]
name = "wing's rear bolt"
at = ["-12 1/4 in", "25 1/4 in", "28 3/8 in"]
side = "both"
[sweep]
rolls = [2, 4]
drops = ["5/8 in"]
confidence = "90 %"
tie_rod_diameter = "11/16 in"
tie_rod_end_diameter = "1 3/8 in"
"""


def body_examples(units: FileUnits) -> dict[str, Any]:
    """The tables, as a job file in these units would have them."""
    return tomllib.loads(_IN if units == "in" else _MM)
