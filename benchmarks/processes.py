"""Whole processes, measured from outside: how long, and how large at their largest."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import perf_counter

CHECKOUT = Path(__file__).resolve().parent.parent
JOB = CHECKOUT / "configs" / "alder-coupe.toml"

INCOMPLETE = 3
"""Exit code of a job of which something could not be had; it took its time all the same."""

ONE_THREAD = dict.fromkeys(
    ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS"), "1"
)


@dataclass(frozen=True)
class Run:
    """One process: seconds, and peak memory in MB, None where the system doesn't tell."""

    seconds: float
    megabytes: float | None


Command = Callable[[], list[str]]
"""Makes the arguments after `python` for a run, such as a folder that doesn't exist yet."""


def environment() -> dict[str, str]:
    """Of the processes: this checkout's packages, and byte code kept as an installed application has it."""
    # Where the caller's environment forbids to keep byte code, each run would compile our sources anew: a fifth of
    # a short one.
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPATH": str(CHECKOUT)}


def measured(arguments: list[str]) -> Run:
    """Run Python with arguments and wait for its end.

    Raises:
        SystemExit: the process failed; its last words are printed.
    """
    start = perf_counter()
    process = subprocess.Popen(
        [sys.executable, *arguments],
        cwd=CHECKOUT,
        env=environment(),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stderr is not None
    said = process.stderr.read()
    megabytes = None
    if hasattr(os, "wait4"):
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        # Kilobytes, but bytes on macOS.
        megabytes = usage.ru_maxrss / (1024**2 if sys.platform == "darwin" else 1024)
    else:
        process.wait()
    seconds = perf_counter() - start
    if process.returncode not in (0, INCOMPLETE):
        sys.exit(f"python {' '.join(arguments)} ended with {process.returncode}:\n{said[-2000:]}")
    return Run(seconds, megabytes)


def interleaved(commands: Mapping[str, Command], runs: int) -> dict[str, Run]:
    """Medians of several runs of each command in turn, after a first round that doesn't count."""
    found: dict[str, list[Run]] = {name: [] for name in commands}
    for number in range(runs + 1):
        for name, command in commands.items():
            run = measured(command())
            if number:
                found[name].append(run)
    return {name: _median(listed) for name, listed in found.items()}


def _median(runs: list[Run]) -> Run:
    sizes = [run.megabytes for run in runs if run.megabytes is not None]
    return Run(median(run.seconds for run in runs), median(sizes) if sizes else None)
