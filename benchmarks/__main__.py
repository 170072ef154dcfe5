"""`python -m benchmarks`: one table of figures and bounds. Nothing is asserted, and nothing is a test."""

from __future__ import annotations

import argparse
import itertools
import json
import subprocess
import sys
from collections.abc import Iterator
from statistics import median
from time import perf_counter

from benchmarks.builds import building
from benchmarks.processes import CHECKOUT, JOB, ONE_THREAD, environment, interleaved
from benchmarks.table import Row
from locksweep.job import load_job
from solver.search.ladder import ladder
from solver.solution import solve


def poses() -> Iterator[Row]:
    """The closed form against root-finding, on one core."""
    run = subprocess.run(
        [sys.executable, "-m", "benchmarks.poses"],
        cwd=CHECKOUT,
        env={**environment(), **ONE_THREAD},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    found = json.loads(run.stdout)
    ratio = found["closed form"] / found["root-finding"]
    yield Row("poses per second, closed form, one core", f"{found['closed form']:,.0f}")
    yield Row("poses per second, scipy.optimize.root", f"{found['root-finding']:,.0f}")
    yield Row("closed form over root-finding", f"{ratio:,.0f} times", ratio, 500, least=True)
    yield Row("largest difference of the two, mm", f"{found['difference']:.1e}", found["difference"], 1e-6)


def solving(runs: int) -> Iterator[Row]:
    """`locksweep solve` against importing NumPy."""
    found = interleaved(
        {
            "solve": lambda: ["-m", "locksweep", "solve", str(JOB)],
            "numpy": lambda: ["-c", "import numpy"],
        },
        runs,
    )
    ratio = found["solve"].seconds / found["numpy"].seconds
    yield Row("python -c 'import numpy', s", f"{found['numpy'].seconds:.3f}")
    yield Row("locksweep solve, s", f"{found['solve'].seconds:.3f}")
    yield Row("locksweep solve over importing NumPy", f"{ratio:.2f} times", ratio, 5)


def laddering(runs: int) -> Iterator[Row]:
    """The ladder of the demo job against one sizing of it, verified on the full sweep; in one process."""
    job = load_job(JOB)
    ladder(job)
    solve(job)
    each: dict[str, list[float]] = {"ladder": [], "sizing": []}
    for _ in range(runs):
        for name, call in (("ladder", ladder), ("sizing", solve)):
            start = perf_counter()
            call(job)
            each[name].append(perf_counter() - start)
    rungs, sizing = (median(each[name]) for name in ("ladder", "sizing"))
    yield Row("one sizing, s", f"{sizing:.3f}")
    yield Row("the ladder over one sizing", f"{rungs / sizing:.2f} times", rungs / sizing, 3)


def clearances() -> Iterator[Row]:
    """A million points of a scan against the swept tyre, on one core."""
    run = subprocess.run(
        [sys.executable, "-m", "benchmarks.body"],
        cwd=CHECKOUT,
        env={**environment(), **ONE_THREAD},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    found = json.loads(run.stdout)
    near, *far = found["seconds"]
    share, *shares = found["shares"]
    yield Row(f"a million points, {found['poses']} poses, s", f"{near:.2f}", near, 5)
    yield Row("share of all distances worked out", f"{100 * share:.2f} %")
    yield Row("peak memory, MB", f"{found['megabytes']:.0f}", found["megabytes"], 2000)
    yield Row("largest difference to all poses, mm", f"{found['difference']:.1e}", found["difference"], 1e-6)
    for metres, seconds, part in zip((1, 3, 10), far, shares, strict=True):
        label = f"the same, {metres} m farther in, over the first"
        yield Row(label, f"{seconds / near:.2f} times", seconds / near, 1)
        yield Row("    share of all distances worked out", f"{100 * part:.3f} %")
    yield Row("trimesh, one point and pose, µs", f"{1e6 * found['other each']:.0f}")
    yield Row(
        "trimesh, all of them (reckoned), over ours",
        f"{found['ratio']:,.0f} times",
        found["ratio"],
        50,
        least=True,
    )
    yield Row("trimesh's mesh off the tyre by up to, mm", f"{found['other apart']:.2f}")
    changed = found["tyre change"]
    yield Row("another tyre: solved, 100 000 points mapped, s", f"{changed:.2f}", changed, 1)
    yield Row("    with worst places and all other gaps, s", f"{found['tyre change told']:.2f}")


def batches() -> Iterator[Row]:
    """Poses by the million in compiled code, and the bands of uncertainty."""
    run = subprocess.run(
        [sys.executable, "-m", "benchmarks.batches"],
        cwd=CHECKOUT,
        env={**environment(), **ONE_THREAD},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    found = json.loads(run.stdout)
    one, two = found["one core"], found["two cores"]
    yield Row("compiled poses per second, one core", f"{one:,.0f}", one, 3e6, least=True)
    if found["cores"] >= 2:
        yield Row("compiled poses per second, two cores", f"{two:,.0f}", two, 6e6, least=True)
    ratio = one / found["root-finding"]
    yield Row("compiled over root-finding, one core", f"{ratio:,.0f} times", ratio, 1000, least=True)
    ratio = one / found["four million"]
    yield Row("cost of a pose, of four million over one", f"{ratio:.2f} times", ratio, 1.2)
    yield Row("a million poses kept, peak MB", f"{found['megabytes']:.0f}", found["megabytes"], 500)
    yield Row("loading or compiling, s", f"{found['first']:.2f}")
    yield Row("largest difference to NumPy's, mm", f"{found['difference']:.1e}", found["difference"], 1e-9)
    for words, key in (("one core", "sure, one core"), ("two cores", "sure, two cores")):
        label = f"10,000 cars, lock to lock, {words}, s"
        yield Row(label, f"{found[key]:.2f}", found[key], 2 if words == "two cores" else None)


def loads() -> Iterator[Row]:
    """All load cases over the sweep of both corners, on one core."""
    run = subprocess.run(
        [sys.executable, "-m", "benchmarks.loads"],
        cwd=CHECKOUT,
        env={**environment(), **ONE_THREAD},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    found = json.loads(run.stdout)
    label = f"{found['cases']} load cases, 61 × 21 poses, both wheels, s"
    yield Row(label, f"{found['seconds']:.3f}", found["seconds"], 0.3)
    yield Row("the same on the grid of solve, s", f"{found['coarse']:.4f}")
    yield Row("    tie rods loaded more on the fine grid", f"{100 * found['found more']:.2f} %")
    yield Row("unbalanced share of the load", f"{found['residual']:.0e}", found["residual"], 1e-9)
    yield Row(
        "statics over numpy.linalg.solve, seven unknowns", f"{found['general'] / found['ours']:.1f} times"
    )
    yield Row(
        "largest difference of the two, N per N", f"{found['difference']:.0e}", found["difference"], 1e-9
    )


def reporting() -> Iterator[Row]:
    """What the report adds to a build, and how soon it is there in a browser."""
    run = subprocess.run(
        [sys.executable, "-m", "benchmarks.report"],
        cwd=CHECKOUT,
        env=environment(),
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    found = json.loads(run.stdout)
    added = found["data"] + found["meshes"] + found["page"]
    yield Row("report: data, meshes and page, s", f"{added:.2f}", added, 1)
    yield Row("    of it the data", f"{found['data']:.2f}")
    size = found["bytes"] / 1e6
    yield Row("report, MB", f"{size:.2f}", size, 3)
    browser = found["browser"]
    if browser is None:
        yield Row("report in a browser", "no chromium or Playwright")
        return
    first = browser["first"] / 1000
    yield Row("report opened, to the first picture, s", f"{first:.2f}", first, 2)
    yield Row("a step of its slider, ms of script", f"{browser['step']:.1f}", browser["step"], 50)
    yield Row("    the longest", f"{browser['longest step']:.1f}")


def main() -> None:
    """Measure everything and print the table line by line."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument("--runs", type=int, default=5, help="runs of each process of which the median counts")
    runs = max(1, parser.parse_args().runs)
    print(f"{'':<44}{'figure':>16}  {'bound':<14}")
    for row in itertools.chain(
        poses(),
        solving(2 * runs + 1),
        laddering(2 * runs + 1),
        building(runs),
        clearances(),
        batches(),
        loads(),
        reporting(),
    ):
        print(f"{row.label:<44}{row.figure:>16}  {row.bound_text:<14}{row.verdict}".rstrip(), flush=True)


if __name__ == "__main__":
    main()
