"""A lock sweep of each of many cars: how far it locks, how near over-centre it comes, how near the tyre comes."""

from __future__ import annotations

import numpy as np

from solver.uncertainty.by_arrays import sweep_arrays
from solver.uncertainty.task import Plan, Swept, task_of
from solver.uncertainty.variants import SIDES, Variants


def sweep_variants(
    variants: Variants, plan: Plan, *, compiled: bool = True, cores: int | None = None
) -> Swept:
    """Sweep every car; in compiled code if there is a compiler and it is wanted.

    cores: threads; as many as the machine has for this process if None
    """
    task = task_of(variants, plan)
    if compiled and _can_compile():
        from solver.uncertainty.by_kernel import sweep_kernel

        raw = sweep_kernel(task, cores)
    else:
        raw = sweep_arrays(task)
    sound = (
        variants.stack.sound & np.isfinite(raw.angles[0]).all(axis=1) & np.isfinite(raw.angles[1]).all(axis=1)
    )
    for array in (raw.lock, raw.limit, raw.margin, raw.gaps):
        array[~sound] = 0
    by_side = {
        side: raw.gaps[:, number, : len(variants.bars[side].names)] for number, side in enumerate(SIDES)
    }
    return Swept(raw.lock, raw.limit, raw.margin, by_side, sound)


def _can_compile() -> bool:
    try:
        import solver.compiled.start  # noqa: F401 - to see whether the compiler is there
    except ImportError:
        return False
    return True
