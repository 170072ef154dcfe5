"""Packs the last build of a job, one archive for each kind of shop, into a folder that appears whole or not at all."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from locksweep.after_build import Left, expect_unharmed, last_build, leave
from locksweep.documents.record import units_of
from locksweep.file_names import file_name
from locksweep.job import parse_job
from locksweep.job.findings import printable
from locksweep.job.source import read_text
from locksweep.pack.archive import archive
from locksweep.pack.lists import csv_bytes, pdf_bytes
from locksweep.pack.request import request_text
from locksweep.pack.shops import SHEETS, SHOPS, Row, Shop, changed, own_prints, rows_for
from locksweep.revisions import Built, builds_of
from solver.errors import JobFileError

FOLDER = "pack-"
LIST, REQUEST = "parts-list", "request.txt"


@dataclass(frozen=True)
class Packed:
    """What was packed.

    left: where the archives are; of: the revision; parts: of each archive, with their files
    own: parts that are in no archive, since the builder prints them
    same: parts that are left out since an earlier revision has them as they are
    """

    left: Left
    of: Path
    parts: dict[Shop, list[Row]]
    own: tuple[str, ...] = ()
    same: tuple[str, ...] = ()


def pack_job(path: Path, out: Path, since: str | None = None) -> Packed:
    """Pack the last revision that was built of a job.

    since: letter of an earlier revision; what it has already as it is now is left out

    Raises:
        JobFileError: the job was never built, or its file is not the one that was built last, or there is no revision
            ``since``, or nothing changed after it
        WriteError: the revision is not as it was written, or the pack can't be written
    """
    text = read_text(path)
    job = parse_job(text, str(path))
    built = last_build(out, file_name(job.name), path, text)
    record: dict[str, Any] = json.loads((built.folder / "summary.json").read_text(encoding="utf-8"))
    names = [child.name for child in built.folder.iterdir()]
    same: tuple[str, ...] = ()
    if since is not None:
        wanted = changed(record, _earlier(built, since, path))
        same = tuple(part["name"] for part in record["parts"] if part not in wanted)
        record["parts"] = wanted
    parts = {shop: rows for shop in SHOPS if (rows := rows_for(shop, record, names))}
    own = own_prints(record)
    if not parts:
        which = f"changed since revision {since}" if since else f"is in revision {built.revision}"
        raise JobFileError(f"{printable(str(path))}: no part for a shop {which}: there is nothing to pack")
    files = {f"{shop}.zip": _archive(shop, rows, record, built, since) for shop, rows in parts.items()}
    stem = f"{FOLDER}{built.revision}" + (f"-since-{since}" if since else "")
    return Packed(leave(built, stem, files, "pack", since=since), built.folder, parts, own, same)


def _earlier(built: Built, since: str, path: Path) -> dict[str, Any]:
    """The record of an earlier revision of the same job, which must be as it was written."""
    builds = {
        each.revision: each for each in builds_of(built.folder.parent) if each.revision != built.revision
    }
    if since not in builds:
        there = ", ".join(builds) or "none"
        raise JobFileError(
            f"{printable(str(path))}: there is no revision {printable(since)} before {built.revision}; earlier ones "
            f"are: {there}"
        )
    expect_unharmed(builds[since])
    found: dict[str, Any] = json.loads((builds[since].folder / "summary.json").read_text(encoding="utf-8"))
    return found


def _archive(shop: Shop, rows: list[Row], record: dict[str, Any], built: Built, since: str | None) -> bytes:
    units, caution = units_of(record), record["caution"]
    name = printable(record["job"]["name"])
    title = f"{name}, revision {built.revision}: parts for {shop}"
    files = {file: (built.folder / file).read_bytes() for row in rows for file in row.files}
    files |= {
        sheet: (built.folder / sheet).read_bytes()
        for sheet in SHEETS[shop]
        if (built.folder / sheet).exists()
    }
    files[f"{LIST}.csv"] = csv_bytes(rows)
    files[f"{LIST}.pdf"] = pdf_bytes(shop, rows, title, caution, units)
    files[REQUEST] = request_text(shop, rows, name, built.revision, caution, units, since).encode("utf-8")
    return archive(f"{built.folder.parent.name}-{built.revision}-{shop}", files)
