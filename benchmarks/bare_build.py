"""What a build can't do without: load CadQuery, build the solids, write them with CadQuery's own exporters.

Usage: python -m benchmarks.bare_build DIMENSIONS FOLDER. The dimensions come as a pickle from `dump_dimensions`,
so that nothing is solved here; no gate, no document, no mock-up lettering, no read-back.
"""

from __future__ import annotations

import pickle
import sys
from pathlib import Path

from solver.families.base import PartDimensions


def dump_dimensions(job: Path, file: Path) -> int:
    """Solve a job and put away the dimensions of its parts; how many there are."""
    from locksweep.job.load import load_job
    from locksweep.solved import solve_job

    parts = solve_job(load_job(job)).parts
    file.write_bytes(pickle.dumps([(part.name, part.dimensions) for part in parts]))
    return len(parts)


def main(dimensions: Path, folder: Path) -> None:
    """Build and write."""
    import cadquery as cq

    from parts.catalogue import family_of

    # Written a moment ago by this very program.
    listed: list[tuple[str, PartDimensions]] = pickle.loads(dimensions.read_bytes())
    for name, each in listed:
        family = family_of(each)
        if family.paper:
            continue
        solid = family.solid_function()(each)
        cq.exporters.export(cq.Workplane(solid), str(folder / f"{name}.step"))
        cq.exporters.export(
            cq.Workplane(solid), str(folder / f"{name}.stl"), tolerance=0.05, angularTolerance=0.2
        )
        if family.flat:
            cq.exporters.export(cq.Workplane(solid).section(), str(folder / f"{name}.dxf"))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
