"""The whole set in one STEP file, each part where it sits on the car."""

from __future__ import annotations

from collections.abc import Sequence

from locksweep import __version__
from locksweep.building.part_files import PartFiles, remark_on
from locksweep.file_names import file_name
from parts.catalogue import family_of
from solver.part import Part

ASSEMBLY = "assembly.step"


def write_set(files: PartFiles, parts: Sequence[Part], revision: str) -> None:
    """Write every part that stays on the car, in the car's axes; no file where none does.

    Written anew, it holds these parts alone, whatever it held before.
    """
    from parts.assembly import Placed, write_assembly
    from solver.sizing.places import places

    target, solution = files.folder / ASSEMBLY, files.solved.solution
    staying = [(part, where) for part in parts if (where := places(solution, part))]
    target.unlink(missing_ok=True)
    if not staying:
        return
    remarks = (f"{part.name}: {remark}" for part, _ in staying if (remark := remark_on(part)))
    write_assembly(
        [
            Placed(
                part.name,
                files.revisions[part.name],
                files.solid(part),
                family_of(part.dimensions).colour,
                where,
            )
            for part, where in staying
        ],
        target,
        name=file_name(files.solved.job.name),
        revision=revision,
        originating_system=f"locksweep {__version__}",
        schema=files.options.schema,
        remark="; ".join(remarks),
    )
