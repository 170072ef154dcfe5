"""The work order: what to buy, make and modify, in which order, what to set and what to find, for one job.

Data goes one way: a solved job and its record → `facts` (what this job has, in words) → purchases, made, modified,
steps, set_up, check, service (sections of blocks) → `order` → `markdown` and `pdf`. Sentences that are the same for
every job stand in `data/`, each with its source; whether one appears, and every number in it, comes from the job.
"""

from locksweep.work_order.order import work_order

__all__ = ["work_order"]
