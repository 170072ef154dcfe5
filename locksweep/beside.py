"""Work on a second core, next to what this process does meanwhile."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection
from pathlib import Path

from solver.errors import WriteError

THREADS = Path("/proc/self/task")


@contextmanager
def beside(work: Callable[[], None]) -> Iterator[None]:
    """Do ``work`` in a forked copy of this process while the block runs; when the block has ended both are done.

    The copy shares all that is loaded, so it takes milliseconds to make. It must be made before any solid is: from then
    on the CAD kernel keeps threads, and a copy would wait for them forever. Where forking isn't safe (outside of Linux,
    or beside other threads) or brings nothing (one core), the work is done here, after the block. What fails the block
    ends the work as well.

    Raises:
        WriteError: the copy was killed.
        Whatever the work raises.
    """
    if not _can_fork():
        yield
        work()
        return
    # What is still to be printed would be printed twice.
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    context = multiprocessing.get_context("fork")
    answer, told = context.Pipe(duplex=False)
    process = context.Process(target=_run, args=(work, told))
    process.start()
    told.close()
    try:
        yield
        try:
            fault = answer.recv()
        except EOFError:
            raise WriteError(
                "a part of the work was killed before it was done, perhaps for want of memory; run again"
            ) from None
        if fault is not None:
            raise fault
    finally:
        process.terminate()
        process.join()
        answer.close()


def _run(work: Callable[[], None], told: Connection) -> None:
    # Ctrl-C reaches both processes; the first one tidies up, and ends this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    fault: Exception | None = None
    try:
        work()
    except Exception as error:  # noqa: BLE001 - whatever it is, the other process raises it
        fault = error
    try:
        pickle.loads(pickle.dumps(fault))
    except Exception:  # noqa: BLE001 - any error's class may refuse to be copied
        fault = RuntimeError(f"{type(fault).__name__}: {fault}")
    told.send(fault)


def _can_fork() -> bool:
    try:
        return (
            sys.platform == "linux" and len(os.sched_getaffinity(0)) > 1 and len(list(THREADS.iterdir())) == 1
        )
    except OSError:
        return False
