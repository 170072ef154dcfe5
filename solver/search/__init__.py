"""Sizing as a constrained search: the least change of the front end that meets a goal.

`size.sizings` is the way in. `variables` and `design` say what may change, `outcome` what comes of it, `goals` what
must be kept, `optimise` finds the least effort from where `starts` says, `rounding` the sizes that can be had,
`reasons` the words. `ladder` shows how far each kind of work gets.
"""

from solver.search.size import Sized, sizings
from solver.search.variables import thickest_spacer

__all__ = ["Sized", "sizings", "thickest_spacer"]
