"""Putting bytes on the disk, so that every failure names the file and the operating system's reason."""

from __future__ import annotations

from pathlib import Path

from solver.errors import WriteError


def write_bytes(path: Path, data: bytes) -> None:
    """Write a whole file and read it back.

    Raises:
        WriteError: the folder is missing or closed to us, the disk is full, or the file differs from what
            was written.
    """
    try:
        path.write_bytes(data)
        stored = path.read_bytes()
    except OSError as error:
        raise WriteError(f"{path} could not be written: {error.strerror or error}") from error
    if stored != data:
        raise WriteError(
            f"{path} does not read back as it was written: {len(data)} bytes, {len(stored)} read"
        )
