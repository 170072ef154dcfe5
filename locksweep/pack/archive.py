"""Archives whose bytes hang on nothing but what is in them."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

EPOCH = (1980, 1, 1, 0, 0, 0)
"""The earliest time that the format knows: stands for none."""
UNIX = 3
READABLE = 0o100644 << 16


def archive(folder: str, files: Mapping[str, bytes]) -> bytes:
    """Files in one folder of a zip archive, sorted by name, without times, owners or paths of any machine."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        for name in sorted(files):
            entry = zipfile.ZipInfo(f"{folder}/{name}", EPOCH)
            entry.create_system, entry.external_attr = UNIX, READABLE
            entry.compress_type = zipfile.ZIP_DEFLATED
            packed.writestr(entry, files[name], compresslevel=9)
    return stream.getvalue()
