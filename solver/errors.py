"""Every error that locksweep raises on purpose.

One root, so that a caller can catch all of them at once; each child also inherits the builtin that a
Python programmer would expect, so that ``except ValueError`` works without knowing this module.
"""


class LocksweepError(Exception):
    """Root of all errors that locksweep raises on purpose. The message is written for the builder."""


class JobFileError(LocksweepError, ValueError):
    """A job file can't be used as it stands. The message lists every finding of the file."""


class DimensionError(LocksweepError, ValueError):
    """A part's dimensions break a limit written next to them, so the kernel is not asked at all."""


class GeometryError(LocksweepError, ValueError):
    """The measured points describe a front end that can't exist or can't be assembled."""


class TyreSizeError(LocksweepError, ValueError):
    """A string that should be a tyre size is none, or lies outside of the table's range."""


class SolidError(LocksweepError, RuntimeError):
    """The CAD kernel refused a part, or returned a solid that did not pass the gate."""


class WriteError(LocksweepError, OSError):
    """A file or folder could not be written or did not read back as it was written."""


class MissingLibraryError(LocksweepError, ImportError):
    """A library of the operating system that the CAD kernel needs is not installed."""


class ScanError(LocksweepError, ValueError):
    """A file that should hold a piece of the body can't be read as one, or can't lie where the job says."""
