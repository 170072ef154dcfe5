"""What the report adds to a build, and how soon it is there in a browser: python -m benchmarks.report prints JSON."""

from __future__ import annotations

import json
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from benchmarks.processes import CHECKOUT

JOB = CHECKOUT / "configs" / "alder-coupe.toml"
RUNS = 5
SOFTWARE = ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
"""WebGL without a graphics card."""
STEPS = """() => {
  const taken = [];
  for (let rack = 0; rack < locksweep.data.grid.turned_mm.length; rack++) {
    const start = performance.now();
    locksweep.state.set({ rack });
    locksweep.scene.draw();
    taken.push(performance.now() - start);
  }
  return taken;
}"""
"""Every place of the slider, everything that follows it, and the picture's drawing calls; ms."""


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Median seconds of several runs after a first that doesn't count, and what the work gave."""
    work()
    seconds = []
    for _ in range(RUNS):
        start = perf_counter()
        found = work()
        seconds.append(perf_counter() - start)
    return median(seconds), found


def adding() -> tuple[dict[str, float], str]:
    """Seconds of each thing that a build does for the report, and the page."""
    from locksweep.job import load_job
    from locksweep.report.document import report_document, with_meshes
    from locksweep.report.meshes import light_mesh
    from locksweep.report.page import page_text
    from locksweep.solved import solve_job
    from parts.catalogue import build, family_of

    solved = solve_job(load_job(JOB))
    record = solved.record()
    solid = [part for part in solved.parts if not family_of(part.dimensions).paper]
    solids = {part.name: build(part.dimensions) for part in solid}
    data, document = timed(lambda: report_document(solved, record, JOB.parent))
    meshing, meshes = timed(lambda: {name: light_mesh(solid) for name, solid in solids.items()})
    page, text = timed(lambda: page_text(with_meshes(document, solved, meshes)))
    return {"data": data, "meshes": meshing, "page": page, "bytes": len(text.encode())}, text


def opening(text: str) -> dict[str, float] | None:
    """Milliseconds from opening the page to its first frame, picture and all, and of a step; None without a browser."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        return None
    if chromium is None:
        return None
    first, steps = [], []
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as running:
        file = Path(scratch) / "report.html"
        file.write_text(text, encoding="utf-8")
        with running.chromium.launch(executable_path=chromium, args=SOFTWARE) as browser:
            for _ in range(RUNS):
                page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
                # The browser's own start is none of the page's.
                page.goto("about:blank")
                page.wait_for_timeout(500)
                page.goto(file.as_uri())
                # The picture is drawn before the first frame is, so that frame shows it.
                page.wait_for_function("() => performance.getEntriesByName('first-contentful-paint').length")
                first.append(
                    page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
                )
                page.wait_for_timeout(500)
                steps += page.evaluate(STEPS)
                page.context.close()
    return {"first": median(first), "step": median(steps), "longest step": max(steps)}


def main() -> None:
    """Measure and print."""
    added, text = adding()
    json.dump({**added, "browser": opening(text)}, sys.stdout)


if __name__ == "__main__":
    main()
