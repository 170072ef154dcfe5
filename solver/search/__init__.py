"""Sizing as a constrained search: the least change of the front end that meets a goal.

`size.sizings` is the way in. `design` says what may change, `outcome` what comes of it, `goals` what must be kept,
`optimise` finds the least effort, `rounding` the sizes that can be had, `reasons` the words.
"""

from solver.search.design import thickest_spacer
from solver.search.size import Sized, sizings

__all__ = ["Sized", "sizings", "thickest_spacer"]
