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
from typing import Generic, TypeVar

from solver.errors import WriteError

T = TypeVar("T")

THREADS = Path("/proc/self/task")


class Answer(Generic[T]):
    """What the work gave, once the block that it was done beside has ended."""

    value: T


@contextmanager
def beside(work: Callable[[], T]) -> Iterator[Answer[T]]:
    """Do ``work`` in a forked copy of this process while the block runs; when the block has ended both are done.

    What the work gives comes back as a copy, so it must be something that pickle can carry.

    The copy shares all that is loaded, so it takes milliseconds to make. It must be made before any solid is: from then
    on the CAD kernel keeps threads, and a copy would wait for them forever. Where forking isn't safe (outside of Linux,
    or beside other threads) or brings nothing (one core), the work is done here, after the block. What fails the block
    ends the work as well.

    Raises:
        WriteError: the copy was killed.
        Whatever the work raises.
    """
    answer: Answer[T] = Answer()
    if not _can_fork():
        yield answer
        answer.value = work()
        return
    # What is still to be printed would be printed twice.
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    context = multiprocessing.get_context("fork")
    heard, told = context.Pipe(duplex=False)
    process = context.Process(target=_run, args=(work, told))
    process.start()
    told.close()
    try:
        yield answer
        try:
            value, fault = heard.recv()
        except EOFError:
            raise WriteError(
                "a part of the work was killed before it was done, perhaps for want of memory; run again"
            ) from None
        if fault is not None:
            raise fault
        answer.value = value
    finally:
        process.terminate()
        process.join()
        heard.close()


def _run(work: Callable[[], T], told: Connection) -> None:
    # Ctrl-C reaches both processes; the first one tidies up, and ends this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    try:
        told.send((work(), None))
    except Exception as error:  # noqa: BLE001 - whatever it is, the other process raises it
        told.send((None, _portable(error)))


def _portable(fault: Exception) -> Exception:
    try:
        pickle.loads(pickle.dumps(fault))
    except Exception:  # noqa: BLE001 - any error's class may refuse to be copied
        return RuntimeError(f"{type(fault).__name__}: {fault}")
    return fault


def _can_fork() -> bool:
    try:
        return (
            sys.platform == "linux" and len(os.sched_getaffinity(0)) > 1 and len(list(THREADS.iterdir())) == 1
        )
    except OSError:
        return False
