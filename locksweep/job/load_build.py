"""From the tables about loads to plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from solver.loading.inputs import LoadCase, LoadInputs, SteeringArm

if TYPE_CHECKING:
    from locksweep.job.load_tables import LoadCaseTable
    from locksweep.job.schema import FileTable

STEER = {"any": (-1.0, 1.0), "straight": (0.0, 0.0), "lock": (1.0, 1.0)}
TRAVEL = {"any": (-1.0, 1.0), "ride height": (0.0, 0.0), "bump": (1.0, 1.0), "droop": (-1.0, -1.0)}
OWN = "given in the job file"


def build_loads(file: FileTable) -> LoadInputs:
    """All of it, from tables in which nothing is wrong."""
    arm = file.steering_arm
    return LoadInputs(
        **({} if file.loads is None else dict(file.loads)),
        tie_rod=file.tie_rod.diameter if file.tie_rod else None,
        strut_rod=file.strut.rod_diameter,
        steering_arm=None if arm is None else SteeringArm(**dict(arm)),
        cases=tuple(map(_case, file.load_case)),
    )


def _case(table: LoadCaseTable) -> LoadCase:
    return LoadCase(
        name=table.name,
        source=OWN,
        vertical=table.vertical,
        strike_rearward=table.rearward,
        strike_inward=table.inward,
        strike_at=table.at,
        steer=STEER[table.steer],
        travel=TRAVEL[table.travel],
    )
