"""Packs the last build of a job, one archive for each kind of shop, into a folder that appears whole or not at all."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from locksweep import __version__
from locksweep.documents.record import units_of
from locksweep.file_names import file_name
from locksweep.folder import sha256, whole_folder, write_text
from locksweep.job import parse_job
from locksweep.job.findings import printable
from locksweep.job.source import read_text
from locksweep.pack.archive import archive
from locksweep.pack.lists import csv_bytes, pdf_bytes
from locksweep.pack.request import request_text
from locksweep.pack.shops import SHEETS, SHOPS, Row, Shop, changed, own_prints, rows_for
from locksweep.revisions import MANIFEST, Built, builds_of, damaged_files
from locksweep.solved import json_text
from parts.files import write_bytes
from solver.errors import JobFileError, WriteError

FOLDER = "pack-"
LIST, REQUEST = "parts-list", "request.txt"


@dataclass(frozen=True)
class Packed:
    """What was packed.

    folder: with the archives; of: the revision; parts: of each archive, with their files; unchanged: these very
    archives were there already; others: packs of this revision that are not the same and were left as they are
    own: parts that are in no archive, since the builder prints them
    same: parts that are left out since an earlier revision has them as they are
    """

    folder: Path
    of: Path
    parts: dict[Shop, list[Row]]
    unchanged: bool
    others: tuple[str, ...]
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
    others: list[str] = []
    stem = f"{FOLDER}{built.revision}" + (f"-since-{since}" if since else "")
    target = built.folder.parent / stem
    number = 1
    while target.exists():
        if _same(target, files):
            return Packed(target, built.folder, parts, True, tuple(others), own, same)
        others.append(target.name)
        number += 1
        target = target.with_name(f"{stem}-{number}")
    with whole_folder(target) as folder:
        for name, data in files.items():
            write_bytes(folder / name, data)
        manifest = {
            "format": "locksweep pack manifest 1",
            "tool": {"name": "locksweep", "version": __version__},
            "revision": built.revision,
            "of": sha256(built.folder / MANIFEST),
            "since": since,
            "files": {name: sha256(folder / name) for name in sorted(files)},
        }
        write_text(folder / MANIFEST, json_text(manifest))
    return Packed(target, built.folder, parts, False, tuple(others), own, same)


def last_build(out: Path, job: str, path: Path, text: str) -> Built:
    """The last revision of this very job file, as it was written; ``text`` is the file's, ``job`` its folder's name.

    Raises:
        JobFileError: it was never built, or is not what was built last
        WriteError: the revision is not as it was written
    """
    builds = builds_of(out / job)
    name = printable(str(path))
    first = f"locksweep build {name} --out {printable(str(out))}"
    if not builds:
        raise JobFileError(f"{name}: was not built into {out / job}; run: {first}")
    built = builds[-1]
    _whole(built)
    if (built.folder / "job.toml").read_bytes() != text.encode("utf-8"):
        raise JobFileError(f"{name}: is not what revision {built.revision} was built from; run: {first}")
    return built


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
    _whole(builds[since])
    found: dict[str, Any] = json.loads((builds[since].folder / "summary.json").read_text(encoding="utf-8"))
    return found


def _whole(built: Built) -> None:
    damage = damaged_files(built)
    if damage:
        raise WriteError(
            f"{built.folder}: not as it was written: {'; '.join(damage)}. Restore it, or move it "
            "away and build again"
        )


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


def _same(folder: Path, files: dict[str, bytes]) -> bool:
    """Whether a folder holds these archives and no others."""
    try:
        there = {child.name for child in folder.iterdir() if child.suffix == ".zip"}
        return there == files.keys() and all(
            (folder / name).read_bytes() == data for name, data in files.items()
        )
    except OSError:
        return False
