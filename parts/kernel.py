"""The one place that loads the CAD kernel.

Loading takes a second or more and several hundred megabytes, so nothing imports this module before a
solid is wanted. A bare machine lacks the libraries that the kernel's viewer links against, although
nothing is shown; that is answered with the package to install.
"""

from __future__ import annotations

import importlib
import re
import signal
import sys
import types
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from solver.errors import MissingLibraryError

PACKAGES = {
    "libGL": "libgl1",
    "libEGL": "libegl1",
    "libGLU": "libglu1-mesa",
    "libX11": "libx11-6",
    "libXext": "libxext6",
    "libXrender": "libxrender1",
    "libSM": "libsm6",
    "libICE": "libice6",
    "libfontconfig": "libfontconfig1",
    "libgomp": "libgomp1",
}
"""Debian and Ubuntu package of each system library that the kernel or its viewer links against."""


def missing_library(error: ImportError) -> MissingLibraryError | None:
    """One plain sentence for a shared library that the loader did not find; None for any other reason."""
    found = re.search(r"\b((lib\w+)\.so[.\d]*): cannot open shared object file", str(error))
    if not found:
        return None
    library, stem = found.groups()
    package = PACKAGES.get(stem)
    if package is None:
        advice = f"on Debian or Ubuntu 'apt-file search {library}' tells which package to install"
    else:
        # The viewer asks for libEGL only once the first library is there: name both at the first failure.
        names = " ".join(dict.fromkeys((package, "libgl1", "libegl1")))
        advice = f"on Debian or Ubuntu install it with 'sudo apt-get install {names}'"
    return MissingLibraryError(
        f"The CAD kernel needs the system library {library}, which is missing: {advice}."
    )


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Signals wait until the block has ended: one that cuts short the loading of a compiled library leaves half of it
    behind, which ends in another error or in the end of the process."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


class _Umbrella(types.ModuleType):
    """Stands for a package that nobody asks for anything yet, and loads it when somebody does."""

    def __getattr__(self, name: str) -> Any:
        if sys.modules.get(self.__name__) is self:
            del sys.modules[self.__name__]
        return getattr(importlib.import_module(self.__name__), name)


# The kernel loads the viewer's umbrella package, and with it 130 libraries that making parts has no use for: a fifth of
# the time that loading takes. Those it uses it names, and they are loaded as ever.
sys.modules.setdefault("vtk", _Umbrella("vtk"))

try:
    with _uninterrupted():
        import cadquery as cq
        from OCP import (
            TDF,
            APIHeaderSection,
            Bnd,
            BRep,
            BRepAdaptor,
            BRepBndLib,
            BRepBuilderAPI,
            BRepClass3d,
            BRepGProp,
            BRepLib,
            BRepMesh,
            BRepTopAdaptor,
            GProp,
            HLRAlgo,
            HLRBRep,
            IFSelect,
            Interface,
            Quantity,
            STEPCAFControl,
            STEPControl,
            TCollection,
            TDataStd,
            TDocStd,
            TopAbs,
            TopLoc,
            XCAFDoc,
            gp,
        )
except ImportError as error:
    if explained := missing_library(error):
        raise explained from error
    raise

__all__ = [
    "TDF",
    "APIHeaderSection",
    "BRep",
    "BRepAdaptor",
    "BRepBndLib",
    "BRepBuilderAPI",
    "BRepClass3d",
    "BRepGProp",
    "BRepLib",
    "BRepMesh",
    "BRepTopAdaptor",
    "Bnd",
    "GProp",
    "HLRAlgo",
    "HLRBRep",
    "IFSelect",
    "Interface",
    "Quantity",
    "STEPCAFControl",
    "STEPControl",
    "TCollection",
    "TDataStd",
    "TDocStd",
    "TopAbs",
    "TopLoc",
    "XCAFDoc",
    "cq",
    "gp",
    "is_kernel_error",
    "missing_library",
]


def is_kernel_error(error: Exception) -> bool:
    """Whether the kernel threw it. Its Python classes share no base but Exception, only where they live."""
    return type(error).__module__.startswith("OCP")
