"""`locksweep build` and `locksweep pack` against the bare making of the same solids, and against CadQuery's import."""

from __future__ import annotations

import itertools
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.bare_build import dump_dimensions
from benchmarks.processes import JOB, Run, interleaved, measured
from benchmarks.table import Row

OTHER_TYRE = ('tyre = "225/45R17"', 'tyre = "215/45R17"')


def building(runs: int) -> Iterator[Row]:
    """The demo set new, packed, and after a change of tyre."""
    with tempfile.TemporaryDirectory() as scratch:
        found, count = _measured(Path(scratch), runs)
    build, pack, bare, changed, cadquery = (
        found[name] for name in ("build", "pack", "bare", "changed", "cadquery")
    )
    yield Row("python -c 'import cadquery', s", f"{cadquery.seconds:.2f}")
    yield Row(f"bare script for the same {count} solids, s", f"{bare.seconds:.2f}")
    yield Row("locksweep build, s", f"{build.seconds:.2f}")
    yield Row("locksweep build over the bare script", f"{build.seconds / bare.seconds:.2f} times")
    yield Row("locksweep pack, s", f"{pack.seconds:.2f}")
    ratio = (build.seconds + pack.seconds) / bare.seconds
    yield Row("build and pack over the bare script", f"{ratio:.2f} times", ratio, 3)
    ratio = changed.seconds / cadquery.seconds
    yield Row("build after a change of tyre, s", f"{changed.seconds:.2f}")
    yield Row("build after a change of tyre over CadQuery", f"{ratio:.2f} times", ratio, 1.3)
    if build.megabytes is None or cadquery.megabytes is None:
        yield Row("peak memory of the build over CadQuery's", "not told by this system")
        return
    ratio = build.megabytes / cadquery.megabytes
    yield Row("python -c 'import cadquery', peak MB", f"{cadquery.megabytes:.0f}")
    yield Row("locksweep build, peak MB", f"{build.megabytes:.0f}")
    yield Row("peak memory of the build over CadQuery's", f"{ratio:.2f} times", ratio, 1.3)


def _measured(scratch: Path, runs: int) -> tuple[dict[str, Run], int]:
    """Medians by name, and the number of parts."""
    numbers = itertools.count()

    def fresh() -> str:
        folder = scratch / f"run-{next(numbers)}"
        folder.mkdir()
        return str(folder)

    def with_a_build() -> str:
        folder = scratch / f"run-{next(numbers)}"
        shutil.copytree(before, folder)
        return str(folder)

    dimensions = scratch / "dimensions"
    count = dump_dimensions(JOB, dimensions)
    if not count:
        sys.exit(f"{JOB}: no part is sized, so there is nothing to build")
    before = scratch / "before"
    measured(["-m", "locksweep", "build", str(JOB), "--out", str(before)])
    text = JOB.read_text(encoding="utf-8")
    if OTHER_TYRE[0] not in text:
        sys.exit(f"{JOB}: no {OTHER_TYRE[0]} to change")
    changed = scratch / JOB.name
    changed.write_text(text.replace(*OTHER_TYRE), encoding="utf-8")
    found = interleaved(
        {
            "build": lambda: ["-m", "locksweep", "build", str(JOB), "--out", fresh()],
            "pack": lambda: ["-m", "locksweep", "pack", str(JOB), "--out", with_a_build()],
            "bare": lambda: ["-m", "benchmarks.bare_build", str(dimensions), fresh()],
            "changed": lambda: ["-m", "locksweep", "build", str(changed), "--out", with_a_build()],
            "cadquery": lambda: ["-c", "import cadquery"],
        },
        runs,
    )
    return found, count
