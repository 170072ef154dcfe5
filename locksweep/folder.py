"""A folder that appears whole or not at all."""

from __future__ import annotations

import hashlib
import os
import shutil
import signal
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from solver.errors import WriteError

UNFINISHED = ".unfinished-"
"""Name of a folder that is being written starts with this; one left behind by a crash may be deleted."""


@contextmanager
def whole_folder(target: Path) -> Iterator[Path]:
    """A folder to write into; it takes its name when the block ends, and is gone when the block fails.

    Whatever ends the block, an error, an interrupt or a full disk, ``target`` is untouched unless everything
    was written.

    Raises:
        WriteError: the folder can't be made, or another build has made ``target`` in the meantime.
    """
    made = [folder for folder in (target.parent, *target.parent.parents) if not folder.exists()]
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        work = Path(tempfile.mkdtemp(prefix=UNFINISHED, dir=target.parent))
    except OSError as error:
        raise WriteError(
            f"{target.parent}: can't write here: {error.strerror or error}; choose another --out"
        ) from error
    try:
        yield work
        # mkdtemp lets nobody else in; the finished folder gets what any new folder would.
        work.chmod(0o777 & ~_umask())
        work.replace(target)
    except OSError as error:
        if isinstance(error, WriteError):
            raise
        hint = (
            "another build made it meanwhile; run again"
            if target.exists()
            else "free some room or choose another --out"
        )
        raise WriteError(f"{target}: {error.strerror or error}; nothing was left behind; {hint}") from error
    finally:
        with _undisturbed():
            shutil.rmtree(work, ignore_errors=True)
            for folder in made:
                # Those that hold something stay.
                with suppress(OSError):
                    folder.rmdir()


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Whoever presses Ctrl-C twice must not stop the tidying up that the first one began."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {number: signal.signal(number, signal.SIG_IGN) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def write_text(path: Path, text: str) -> None:
    """Write UTF-8 text with plain line ends.

    Raises:
        WriteError: the file can't be written.
    """
    try:
        path.write_bytes(text.encode("utf-8"))
    except OSError as error:
        raise WriteError(f"{path}: can't be written: {error.strerror or error}") from error


def copy_file(source: Path, target: Path) -> None:
    """Copy a file's bytes.

    Raises:
        WriteError: one can't be read or the other not be written.
    """
    try:
        shutil.copyfile(source, target)
    except OSError as error:
        raise WriteError(f"{source}: can't be copied to {target}: {error.strerror or error}") from error


def write_new(path: Path, data: bytes) -> bool:
    """Write a file that is not there yet, whole or not at all; False where this very file is there already.

    Raises:
        WriteError: another file is there, or it can't be written.
    """
    try:
        if path.exists() and path.read_bytes() == data:
            return False
        with path.open("xb") as file:
            try:
                file.write(data)
                file.flush()
            except BaseException:
                path.unlink(missing_ok=True)
                raise
    except FileExistsError as error:
        raise WriteError(
            f"{path}: another file of that name is there and is left as it is; name another one"
        ) from error
    except OSError as error:
        raise WriteError(f"{path}: can't be written: {error.strerror or error}") from error
    return True


def sha256(path: Path) -> str:
    """Hash of a file's bytes."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
