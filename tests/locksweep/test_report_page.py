"""The report's page as a file: whole in itself, bound by its policy, and deaf to hostile names."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from pathlib import Path
from typing import Any

import pytest

from locksweep.building import BuildResult
from locksweep.job import parse_job
from locksweep.report.document import report_document
from locksweep.report.page import data_in, embedded, page_text
from locksweep.solved import solve_job
from tests.locksweep.pipeline import edited, full_job

BUNDLE = "locksweep/report/bundle"


@pytest.fixture(scope="module")
def page(demo: BuildResult) -> str:
    """Of the built demo job."""
    return (demo.folder / "report.html").read_text(encoding="utf-8")


def digest(text: str) -> str:
    """As a content security policy names a script or a style."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode()


def test_page_is_small(demo: BuildResult) -> None:
    """Under three million bytes: it goes by mail and opens on a telephone."""
    assert (demo.folder / "report.html").stat().st_size < 3_000_000


def test_policy_names_the_very_script_and_style(page: str) -> None:
    """The policy allows nothing but the one script and the one style by their hashes; there is no other of either."""
    policy = re.search(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">', page)
    assert policy
    scripts = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    styles = re.findall(r"<style>(.*?)</style>", page, re.DOTALL)
    assert (1, 1) == (len(scripts), len(styles))
    assert (
        f"default-src 'none'; script-src '{digest(scripts[0])}'; style-src '{digest(styles[0])}'; base-uri 'none'; "
        "form-action 'none'"
    ) == policy[1]
    assert "unsafe" not in policy[1]
    assert page.index("Content-Security-Policy") < page.index("<style>")
    # Beside the two there is the data, which is no script.
    assert 2 == page.count("<script")
    assert not re.search(r"<[a-z]+[^>]* (style|on[a-z]+)=", page.replace(scripts[0], ""))


def test_page_points_nowhere(page: str) -> None:
    """Outside of its code the page holds no address of any server."""
    code = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)[0]
    assert "://" not in page.replace(code, "")


@pytest.mark.parametrize(
    "name",
    [
        "</script><script>alert(1)</script>",
        "<!--<script>",
        "\"quotes' & <b>ampersands</b> \\",
        "\u202eright to left \u05d0\u05d1\u05d2",
        "a" * 300,
        "\u2028\u2029",
    ],
)
def test_hostile_name_stays_text(name: str) -> None:
    """Whatever a name holds, the data reads back as it was, and the page has no element more than without it."""
    document = {"job": {"name": name}, "caution": "Careful."}
    text = embedded(document)
    assert document == json.loads(text)
    assert not set("<>&") & set(text)
    plain = page_text({"job": {"name": "plain"}, "caution": "Careful."})
    hostile = page_text(document)
    tags = re.compile(r"<[/!a-zA-Z]")
    assert len(tags.findall(plain)) == len(tags.findall(hostile))


def test_hostile_job_file_stays_text(tmp_path: Path) -> None:
    """From a job file whose every name is hostile to the page: the names are whole in the data, where sentences have
    taken them up as well, and the page has no more elements than with plain names."""
    names = {
        "Alder coupe, 50 degrees on 17s": "</script><script>alert('job')</script>",
        "Alder coupe": "<img src=x onerror=alert(1)> & `ticked` **bold** | piped",
        "frame rail": "\u05d0\u05d1\u05d2 rail <b>",
        "rear inner panel": "panel " + "long" * 13,
    }
    plain = full_job()
    hostile = edited(plain, *((f'name = "{old}"', f"name = {json.dumps(new)}") for old, new in names.items()))
    pages = []
    for text in (plain, hostile):
        solved = solve_job(parse_job(text))
        pages.append(page_text(report_document(solved, solved.record(), tmp_path)))
    document = data_in(pages[1])
    job, car, rail, panel = names.values()
    assert (job, car) == (document["job"]["name"], document["job"]["car"])
    limits = [one["name"] for one in document["limits"]]
    assert f"tyre on {rail}" in limits
    assert f"tyre on {panel}, uncut" in limits
    assert any(f"tyre on {rail}" in note for note in document["limit_notes"])
    assert any(panel in part["fits"] for part in document["parts"])
    tags = re.compile(r"<[/!a-zA-Z]")
    assert len(tags.findall(pages[0])) == len(tags.findall(pages[1]))


def test_bundle_is_made_from_its_source(checkout: Path) -> None:
    """The hash in the bundle's first line is that of the sources in web/: whoever edits them runs 'make bundle'."""
    web = checkout / "web"
    if not web.is_dir():
        pytest.skip("no web/ beside the packages")
    total = hashlib.sha256()
    for name in ["package.json", *(f"src/{path.name}" for path in sorted((web / "src").iterdir()))]:
        total.update(f"{name}\0".encode() + (web / name).read_bytes() + b"\0")
    for bundled in ("report.js", "report.css"):
        first = (checkout / BUNDLE / bundled).read_text(encoding="utf-8").partition("*/")[0]
        assert total.hexdigest() in first, bundled


def test_bundle_brings_its_licence(checkout: Path) -> None:
    """three.js is under the MIT licence, which asks to go along; the version is pinned."""
    licence = (checkout / BUNDLE / "LICENSE-three.txt").read_text(encoding="utf-8")
    assert "MIT License" in licence
    assert "three.js authors" in licence
    package: dict[str, Any] = json.loads((checkout / "web/package.json").read_text(encoding="utf-8"))
    pins = {**package["dependencies"], **package["devDependencies"]}
    assert all(re.fullmatch(r"\d+\.\d+\.\d+", version) for version in pins.values())
