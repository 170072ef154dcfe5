"""Pictures are drawn in a child process, so that a renderer that dies takes nothing along."""

from __future__ import annotations

import pickle
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from locksweep.offscreen import child_environment
from locksweep.pictures.child import CANNOT, SET
from locksweep.pictures.seen import Asked
from solver.errors import WriteError

CHILD = (sys.executable, "-m", "locksweep.pictures.child")
ENDED = (
    "the renderer ended without them, most often because the system libraries libGL and libEGL are missing: on Debian "
    "or Ubuntu install them with 'sudo apt-get install libgl1 libegl1'"
)


@dataclass
class Pictures:
    """Of some parts, being drawn or done.

    missing: after `finish`, why there are none, a clause; empty when all are there
    """

    parts: tuple[Asked, ...]
    folder: Path
    process: subprocess.Popen[bytes] | None
    scratch: Path
    missing: str = ""

    def finish(self) -> bool:
        """Wait until all are drawn; then they are in the folder, or none is."""
        if self.process is None:
            return False
        told = self.process.communicate()[0].decode("utf-8", "replace").strip()
        names = (*(part.file for part in self.parts), SET)
        if self.process.returncode == 0 and all((self.scratch / name).is_file() for name in names):
            try:
                for name in names:
                    (self.scratch / name).replace(self.folder / name)
            except OSError as error:
                raise WriteError(f"{self.folder}: can't be written: {error.strerror or error}") from error
            return True
        self.missing = (told.rstrip(".") if self.process.returncode == CANNOT else "") or ENDED
        return False


@contextmanager
def drawing(parts: Iterable[Asked], folder: Path) -> Iterator[Pictures]:
    """Draw each part and the set of them into ``folder`` while the block runs; a block that fails ends the drawing.

    Raises:
        WriteError: the folder can't be written into.
    """
    asked = tuple(parts)
    try:
        scratch = tempfile.TemporaryDirectory(dir=folder, prefix=".pictures-")
    except OSError as error:
        raise WriteError(f"{folder}: can't be written: {error.strerror or error}") from error
    with scratch as name:
        if not asked:
            yield Pictures(asked, folder, None, Path(name), "no part has a shape to draw")
            return
        job = Path(name) / "parts.pickle"
        job.write_bytes(pickle.dumps(asked))
        with (
            job.open("rb") as given,
            subprocess.Popen(
                [*CHILD, name],
                stdin=given,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env=child_environment(),
            ) as process,
        ):
            try:
                yield Pictures(asked, folder, process, Path(name))
            finally:
                process.kill()
