"""What a build writes about the parts: the job as used, summary, caution note, what to print, and the manifest."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from locksweep import __version__
from locksweep.building.part_files import FileOptions, PartFiles
from locksweep.documents.caution import PICTURES, SHEETS, caution_text
from locksweep.documents.mock_ups import MOCK_UPS, mock_ups_text
from locksweep.documents.summary import summary_text
from locksweep.folder import sha256, write_text
from locksweep.pictures.child import SET
from locksweep.revisions import MANIFEST, SUMMARY, identity
from locksweep.schemas import schema_text
from locksweep.solved import Solved, json_text
from parts.files import write_bytes
from solver.car import Job
from solver.part import Part

if TYPE_CHECKING:
    from locksweep.note.write import Note
    from locksweep.work_order.facts import Reckoned


def note_of(solved: Solved, revisions: Mapping[str, str]) -> Note:
    """The caution note's sheets, laid out."""
    # What lays out sheets takes a tenth of a second to import, and most commands need none of it.
    from locksweep.note.write import note

    return note(solved.context, solved.parts, solved.record(revisions=revisions))


def write_documents(
    files: PartFiles,
    job_text: str,
    solved: Solved,
    record: dict[str, Any],
    sheets: Note,
    reckoned: Reckoned,
) -> None:
    """The job file as used, the summary for people and for programs, caution note, work order, and what to print.

    files: after those of the parts are written; solved: with the parts that were made; reckoned: for the work order
    """
    from locksweep.work_order.write import write_work_order

    folder = files.folder
    if files.mock_ups:
        write_text(folder / MOCK_UPS, mock_ups_text(record, files.printing))
    write_text(folder / "job.toml", job_text)
    write_text(folder / "summary.md", summary_text(record, SET if files.pictured else None))
    write_text(folder / "caution.md", caution_text(record, sheets.pages))
    write_text(folder / PICTURES, sheets.svg)
    write_bytes(folder / SHEETS, sheets.pdf)
    write_work_order(folder, solved, record, reckoned)
    write_text(folder / SUMMARY, json_text(record))
    write_text(folder / "summary.schema.json", schema_text("summary"))


def write_manifest(files: PartFiles, parts: tuple[Part, ...], inputs: str, revision: str) -> None:
    """A hash of every file that is in the folder, what each part is, and what the build was made from."""
    manifest = {
        "format": "locksweep manifest 1",
        "tool": {"name": "locksweep", "version": __version__},
        "revision": revision,
        "inputs": inputs,
        "parts": {
            part.name: {
                "revision": files.revisions[part.name],
                "identity": identity(part),
                "made_from": files.made_from(part),
            }
            for part in parts
        },
        "files": {child.name: sha256(child) for child in sorted(files.folder.iterdir())},
    }
    write_text(files.folder / MANIFEST, json_text(manifest))


def inputs_of(job_text: str, job: Job, folder: Path, options: FileOptions) -> str:
    """Hash of all that a build's files depend on, the job's scans in ``folder`` among them."""
    key = json.dumps(
        [job_text, options.schema, options.single_layer, options.pictures, __version__, *_scans(job, folder)]
    )
    return hashlib.sha256(key.encode()).hexdigest()


def _scans(job: Job, folder: Path) -> list[str]:
    """Hashes of the scans that the report shows; one that isn't there has none."""
    bodies = job.surroundings.bodies if job.surroundings else ()
    paths = [folder / body.file for body in bodies if body.file is not None]
    return [sha256(path) if path.is_file() else "" for path in paths]
