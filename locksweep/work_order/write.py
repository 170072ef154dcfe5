"""The files of the work order that a build leaves."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from locksweep.folder import write_text
from locksweep.solved import Solved
from locksweep.work_order.facts import Reckoned
from locksweep.work_order.markdown import markdown_text
from locksweep.work_order.order import work_order
from locksweep.work_order.pdf import pdf_bytes
from parts.files import write_bytes

TEXT, SHEETS = "work-order.md", "work-order.pdf"


def write_work_order(folder: Path, solved: Solved, record: Mapping[str, Any], known: Reckoned) -> None:
    """Write both files.

    Raises:
        WriteError: a file can't be written.
    """
    order = work_order(solved, record, known)
    letters = sorted({part["revision"] for part in record["parts"] if part["revision"]})
    tool = f"{record['tool']['name']} {record['tool']['version']}"
    issue = "; ".join([record["job"]["name"], tool, *([f"parts of {', '.join(letters)}"] if letters else [])])
    write_text(folder / TEXT, markdown_text(order))
    write_bytes(folder / SHEETS, pdf_bytes(order, record["job"]["name"], issue))
