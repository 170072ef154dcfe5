"""The page as one file: data, code and style in it, and a policy that lets it fetch nothing and run nothing else."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from collections.abc import Mapping
from importlib import resources
from typing import Any

REPORT = "report.html"
"""Name of the page among a build's files."""

TEMPLATE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
<noscript>
<p><strong>{caution}</strong></p>
<p>This page draws itself with JavaScript, which is turned off here. The same numbers are in summary.md, and what
must be known before anything is cut is in caution.md, both beside this file.</p>
</noscript>
<main id="report"></main>
<script type="application/json" id="report-data">{data}</script>
<script>{code}</script>
</body>
</html>
"""

DATA = re.compile(r'<script type="application/json" id="report-data">(.*?)</script>', re.DOTALL)


def page_text(document: Mapping[str, Any]) -> str:
    """The page that shows a document (`locksweep.report.document`)."""
    bundle = resources.files("locksweep.report").joinpath("bundle")
    code = bundle.joinpath("report.js").read_text(encoding="utf-8")
    style = bundle.joinpath("report.css").read_text(encoding="utf-8")
    return TEMPLATE.format(
        policy=_policy(code, style),
        title=html.escape(f"{document['job']['name']}: locksweep report"),
        style=style,
        caution=html.escape(document["caution"]),
        data=embedded(document),
        code=code,
    )


def data_in(page: str) -> dict[str, Any]:
    """The document that a page shows, read back."""
    found = DATA.search(page)
    if found is None:
        raise ValueError("this page holds no data of a report")
    document: dict[str, Any] = json.loads(found[1])
    return document


def embedded(document: Mapping[str, Any]) -> str:
    """A document as JSON in which nothing can end the element that it stands in."""
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    # Within JSON these three stand in strings only, where they may be written as escapes.
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")


def _policy(code: str, style: str) -> str:
    """Nothing but this very script and this very style."""
    return (
        f"default-src 'none'; script-src '{_hash(code)}'; style-src '{_hash(style)}'; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode()
