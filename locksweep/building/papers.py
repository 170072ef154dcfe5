"""What a build writes about the parts: the job as used, summary, caution note, and the manifest over all files."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

from locksweep import __version__
from locksweep.building.part_files import FileOptions, PartFiles
from locksweep.documents.caution import PICTURES, SHEETS, caution_text
from locksweep.documents.summary import summary_text
from locksweep.folder import sha256, write_text
from locksweep.revisions import MANIFEST, identity
from locksweep.schemas import schema_text
from locksweep.solved import Solved, json_text
from parts.files import write_bytes
from solver.part import Part


def write_documents(folder: Path, job_text: str, solved: Solved, record: dict[str, Any]) -> None:
    """The job file as used, the summary for people and for programs, the caution note and the work order."""
    # What lays out sheets takes a tenth of a second to import, and most commands need none of it.
    from locksweep.note.write import note
    from locksweep.work_order.write import write_work_order

    sheets = note(solved.context, solved.parts, record)
    write_text(folder / "job.toml", job_text)
    write_text(folder / "summary.md", summary_text(record))
    write_text(folder / "caution.md", caution_text(record, sheets.pages))
    write_text(folder / PICTURES, sheets.svg)
    write_bytes(folder / SHEETS, sheets.pdf)
    write_work_order(folder, solved, record)
    write_text(folder / "summary.json", json_text(record))
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


def inputs_of(job_text: str, options: FileOptions) -> str:
    """Hash of all that a build's files depend on."""
    key = json.dumps([job_text, options.schema, options.single_layer, __version__])
    return hashlib.sha256(key.encode()).hexdigest()
