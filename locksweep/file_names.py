"""Names of files and folders that any system can hold."""

from __future__ import annotations

import hashlib
import re
import unicodedata

RESERVED = re.compile(r"con|prn|aux|nul|(com|lpt)\d")
"""Names that Windows keeps for devices, whatever the folder."""


def file_name(name: str) -> str:
    """A job's name made safe for a folder on any system: letters, digits, dots and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    safe = re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-").lower()[:60].strip("-")
    digest = hashlib.sha256(name.encode()).hexdigest()[:8]
    # Names that lose all or much of what tells them apart keep a hash of the whole.
    telling = len(safe) >= len(name.strip()) * 0.6 and not RESERVED.fullmatch(safe)
    return safe if safe and telling else f"{safe or 'job'}-{digest}"
