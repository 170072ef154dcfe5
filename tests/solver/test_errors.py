"""Errors."""

from __future__ import annotations

import inspect

import pytest

from solver import errors
from solver.errors import LocksweepError

CHILDREN = {
    item
    for _, item in inspect.getmembers(errors, inspect.isclass)
    if item.__module__ == errors.__name__ and item is not LocksweepError
}
BUILTINS = {
    "JobFileError": ValueError,
    "DimensionError": ValueError,
    "GeometryError": ValueError,
    "TyreSizeError": ValueError,
    "ScanError": ValueError,
    "SolidError": RuntimeError,
    "WriteError": OSError,
    "MissingLibraryError": ImportError,
}


@pytest.mark.parametrize("error", sorted(CHILDREN, key=lambda e: e.__name__))
def test_root_and_builtin(error: type[Exception]) -> None:
    """Each is caught both as the root error and as the builtin that a Python programmer expects."""
    with pytest.raises(LocksweepError, match="what is wrong"):
        raise error("what is wrong")
    assert issubclass(error, BUILTINS[error.__name__])
    assert error.__doc__


def test_root_is_no_builtin() -> None:
    """The root itself is none of them, so that catching a ValueError doesn't catch every error."""
    assert (Exception,) == LocksweepError.__bases__
