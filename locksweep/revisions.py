"""Revisions of a job and of its parts: unchanged parts keep their letter, changed ones take the next.

A part's identity is its dimensions and material. Earlier builds are found by their manifests.
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from locksweep.folder import copy_file, sha256
from solver.errors import WriteError
from solver.part import Part

MANIFEST = "manifest.json"
SUMMARY = "summary.json"
FOLDER = re.compile(r"[A-Z]+")
DIGEST = re.compile(r"[0-9a-f]{64}")
LITTER = re.compile(r"\..*|Thumbs\.db|desktop\.ini", re.IGNORECASE)
PARTIAL = "only-"
"""Name of a folder that holds some parts of a job alone starts with this."""


@dataclass(frozen=True)
class Built:
    """A finished revision on disk.

    revision: its letter; inputs: hash of job file, options and tool version; parts: name to letter and identity
    made_from: name to a hash of all that a part's files depend on; digests: of its files, by their names
    """

    folder: Path
    revision: str
    inputs: str
    parts: Mapping[str, tuple[str, str]]
    made_from: Mapping[str, str] = field(default_factory=dict)
    digests: Mapping[str, str] = field(default_factory=dict)


def next_letter(letter: str) -> str:
    """A, B … Z, AA, AB …"""
    head, last = letter[:-1], letter[-1:]
    if not last:
        return "A"
    if last != "Z":
        return head + chr(ord(last) + 1)
    return next_letter(head) + "A"


def identity(part: Part) -> str:
    """Hash of what makes a part the part it is; one made by override has files that say so, and is another."""
    described: dict[str, Any] = {
        "family": part.dimensions.family,
        "material": part.material,
        "dimensions": {
            f.name: _exact(getattr(part.dimensions, f.name)) for f in dataclasses.fields(part.dimensions)
        },
    }
    if part.overridden:
        described["overridden"] = True
    return hashlib.sha256(json.dumps(described, sort_keys=True).encode()).hexdigest()


def builds_of(folder: Path) -> list[Built]:
    """The finished revisions of a job, oldest first.

    Raises:
        WriteError: a revision's manifest is missing or can't be read, so that history can't be continued.
    """
    found = [child for child in _folders(folder) if FOLDER.fullmatch(child.name)]
    return [read_build(child) for child in sorted(found, key=lambda child: (len(child.name), child.name))]


def partial_builds_of(folder: Path) -> list[Built]:
    """What was built of some parts of a job alone, in no order that means anything.

    Raises:
        WriteError: a manifest is missing or can't be read.
    """
    return [read_build(child) for child in sorted(_folders(folder)) if child.name.startswith(PARTIAL)]


def revisions_for(parts: Iterable[Part], builds: list[Built]) -> dict[str, str]:
    """The letter of each part, by its name: the one it had when it was last the same, else the next one."""
    letters = {}
    for part in parts:
        mine = identity(part)
        known = [built.parts[part.name] for built in builds if part.name in built.parts]
        same = [letter for letter, other in known if other == mine]
        newest = max((letter for letter, _ in known), key=lambda x: (len(x), x), default="")
        letters[part.name] = same[-1] if same else next_letter(newest)
    return letters


def copy_unchanged(
    part: str, made_from: str, builds: Iterable[Built], folder: Path, beside: str
) -> Built | None:
    """Copy a part's files from an earlier build that made them from the same, and say which; None where no build has
    them all unharmed.

    beside: name of a file that must be unharmed too, and is not copied

    Raises:
        WriteError: a file can't be written.
    """
    for built in builds:
        if built.made_from.get(part) != made_from:
            continue
        stem = f"{part}-{built.parts[part][0]}"
        names = [name for name in built.digests if name.startswith((f"{stem}.", f"{stem}-"))]
        if names and all(as_written(built, name) for name in (*names, beside)):
            for name in names:
                copy_file(built.folder / name, folder / name)
            return built
    return None


def as_written(built: Built, name: str) -> bool:
    """Whether a file of a build is there, and as it was written."""
    path = built.folder / name
    return name in built.digests and path.is_file() and _digest(path) == built.digests[name]


def damaged_files(built: Built) -> list[str]:
    """How a revision's files differ from its manifest, in words: missing, changed, or put there by hand."""
    manifest = json.loads((built.folder / MANIFEST).read_text(encoding="utf-8"))
    found: list[str] = []
    for name, digest in manifest["files"].items():
        path = built.folder / name
        if not path.is_file():
            found.append(f"{name} is missing")
        elif _digest(path) != digest:
            found.append(f"{name} was changed")
    added = sorted(child.name for child in built.folder.iterdir() if child.name not in manifest["files"])
    # What file managers leave behind on their own is nobody's edit.
    found += [f"{name} was added" for name in added if name != MANIFEST and not LITTER.fullmatch(name)]
    return found


def _digest(path: Path) -> str:
    try:
        return sha256(path)
    except OSError as error:
        raise WriteError(f"{path}: can't be read: {error.strerror or error}") from error


def read_build(folder: Path) -> Built:
    """A revision's folder by its manifest.

    Raises:
        WriteError: the manifest is missing or can't be read.
    """
    try:
        manifest: dict[str, Any] = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        parts = {name: (p["revision"], p["identity"]) for name, p in manifest["parts"].items()}
        unlikely = [letter for letter, _ in parts.values() if not FOLDER.fullmatch(letter)]
        unlikely += [digest for digest in manifest["files"].values() if not DIGEST.fullmatch(digest)]
        if unlikely:
            raise ValueError(f"{unlikely[0]!r} is neither a revision nor a hash")
        made_from = {name: p["made_from"] for name, p in manifest["parts"].items() if "made_from" in p}
        return Built(folder, folder.name, manifest["inputs"], parts, made_from, manifest["files"])
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise WriteError(
            f"{folder / MANIFEST}: not a manifest that can be read ({error}); restore it, or move the folder away"
        ) from error


def _folders(folder: Path) -> list[Path]:
    try:
        return [child for child in folder.iterdir() if child.is_dir()] if folder.is_dir() else []
    except OSError as error:
        raise WriteError(f"{folder}: can't be looked into: {error.strerror or error}") from error


def _exact(value: Any) -> Any:
    # Numbers to a hundredth of a micrometre: finer differences are rounding of another machine, not a change.
    if isinstance(value, float):
        return f"{value:.5f}"
    if isinstance(value, tuple):
        return [_exact(item) for item in value]
    return value
