"""How sure the answer is: what the uncertainties of the measurements do to lock, margin and clearances.

Data goes one way: what is uncertain (`sources`) → many cars that the measurements allow (`variants`) → a lock sweep of
each (`sweep`) → bands, chances and shares (`bands`) → what to do about it (`advice`). `assess` is the way in.
"""

from solver.uncertainty.assess import Assessment, assess

__all__ = ["Assessment", "assess"]
