"""The report in a real browser: it opens offline, steers to the solver's angles, and serves who can't see or click."""

from __future__ import annotations

import json
import math
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import numpy as np
import pytest

from locksweep.building import BuildResult
from locksweep.report.page import page_text
from solver.measures import steer_angle
from tests.locksweep.test_report_document import Data, data_of

playwright = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
if CHROMIUM is None:
    pytest.skip("no chromium on this machine (Debian: apt-get install chromium)", allow_module_level=True)

SOFTWARE = ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
"""WebGL without a graphics card."""
AXE = Path("web/node_modules/axe-core/axe.min.js")
PHONE, DESKTOP = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
SMALL = {"width": 700, "height": 500}
"""Where size is of no matter: software draws fewer pixels sooner."""
READY = "() => window.locksweep"
LISTEN = (
    "window.broken = [];"
    " addEventListener('securitypolicyviolation', (event) => broken.push(event.violatedDirective));"
)


@pytest.fixture(scope="module")
def manager() -> Iterator[Any]:
    """Playwright."""
    with playwright.sync_playwright() as running:
        yield running


@pytest.fixture(scope="module")
def browser(manager: Any) -> Iterator[Any]:
    """One browser for all of this file."""
    with manager.chromium.launch(executable_path=CHROMIUM, args=SOFTWARE) as running:
        yield running


@pytest.fixture(scope="module")
def report(demo: BuildResult) -> Path:
    """The built demo job's page."""
    return demo.folder / "report.html"


class Visitor:
    """Opens pages in a browser, offline; what a page complains of or asks for is in its ``heard``."""

    def __init__(self, browser: Any) -> None:
        self.browser = browser
        self.contexts: list[Any] = []

    def open(self, path: Path, **options: Any) -> Any:
        """A page as it is when it is ready."""
        context = self.browser.new_context(**{"viewport": SMALL, "offline": True, **options})
        self.contexts.append(context)
        context.add_init_script(LISTEN)
        page = context.new_page()
        page.heard = []
        page.on("console", lambda message: page.heard.append(f"{message.type}: {message.text}"))
        page.on("pageerror", lambda error: page.heard.append(f"error: {error}"))
        page.on("dialog", lambda dialog: (page.heard.append("dialog"), dialog.dismiss()))
        page.on("request", lambda request: page.heard.append(f"request: {request.url}"))
        page.goto(path.as_uri())
        page.wait_for_function(READY)
        # The page's own file, and no other.
        assert f"request: {path.as_uri()}" == page.heard.pop(0)
        return page

    def leave(self) -> None:
        """Close all of them."""
        for context in self.contexts:
            context.close()


@pytest.fixture(scope="module")
def visitor(browser: Any) -> Iterator[Visitor]:
    """Of the one browser."""
    one = Visitor(browser)
    yield one
    one.leave()


@pytest.fixture(scope="module")
def loaded(visitor: Visitor, report: Path) -> Any:
    """The report, opened once: that takes longer than most of what is asked of it."""
    page = visitor.open(report)
    page.start = page.evaluate("locksweep.state.now")
    return page


@pytest.fixture
def page(loaded: Any) -> Iterator[Any]:
    """The report as it was when it opened; whatever a test does to it, it may not complain or ask for anything."""
    loaded.set_viewport_size(SMALL)
    loaded.emulate_media(color_scheme="light")
    loaded.evaluate(
        "(start) => { locksweep.state.set(start); scrollTo(0, 0);"
        " document.querySelectorAll('details[open]').forEach((one) => { one.open = false; }); }",
        loaded.start,
    )
    yield loaded
    assert [] == loaded.evaluate("broken")
    assert [] == loaded.heard


def slide(page: Any, name: str, value: int) -> None:
    """Move a slider as a hand does, by its input event."""
    page.evaluate(
        "([name, value]) => { const one = document.getElementById(name); one.value = value;"
        " one.dispatchEvent(new Event('input', { bubbles: true })); }",
        [name, value],
    )


def open_all(page: Any, but: str = "none") -> None:
    """Open everything that is folded away, ``but`` what a selector names."""
    page.evaluate(
        "(but) => document.querySelectorAll(`details:not(${but})`).forEach((one) => { one.open = true; })",
        but,
    )
    page.wait_for_function(
        "() => [...document.querySelectorAll('details[open]')].every((one) => one.children.length > 1)"
    )


def test_opens_offline_without_a_word(page: Any) -> None:
    """From a file, offline, with everything used and opened: no message, no error, no request, no violated policy."""
    page.evaluate(
        "() => document.querySelectorAll('.views button, #motion label input').forEach((one) => one.click())"
    )
    open_all(page)
    slide(page, "steer", 0)
    slide(page, "travel", 0)
    assert [] == page.evaluate("broken")
    assert [] == page.heard


def test_slider_steers_to_the_solvers_angles(page: Any, report: Path, demo: BuildResult) -> None:
    """At ten positions of both sliders the wheels in the scene, read back from it, stand at the solver's angles to a
    hundredth of a degree, and the page says so to a tenth."""
    front_end = demo.solved.solution.as_modified.front_end
    grid = data_of(report)["grid"]
    last, travels = len(grid["turned_mm"]) - 1, len(grid["travel_mm"])
    for number in range(10):
        rack, travel = round(number * last / 9), (3 * number) % travels
        slide(page, "steer", rack)
        slide(page, "travel", travel)
        for assembly in front_end.sides:
            displacement = np.array([grid["turned_mm"][rack] * front_end.left_sign])
            pose = front_end.poses(assembly, displacement, np.array([grid["travel_mm"][travel]]))
            expected = math.degrees(float(steer_angle(pose)[0, 0]))
            shown = page.evaluate("(side) => locksweep.scene.steerOf(side)", assembly.side)
            if math.isnan(expected):
                continue
            assert expected == pytest.approx(shown, abs=0.01)
            said = page.inner_text(".readings dd >> nth=0").replace("\u2212", "-")
            told = {side: float(angle) for angle, side in re.findall(r"(-?[\d.]+)° (left|right)", said)}
            assert expected == pytest.approx(told[assembly.side], abs=0.06)


def test_as_measured_stops_at_its_own_lock(page: Any, report: Path) -> None:
    """Shown as measured, the car turns no farther than it does, and the page says that it is at its stop."""
    data = data_of(report)
    page.check("input[name=condition][value=as_measured]")
    slide(page, "steer", 0)
    measured = data["conditions"]["as_measured"]
    ride = data["grid"]["ride_height"]
    expected = measured["curves"]["wheels"]["left"]["steer_deg"][measured["lock"]["left"]][ride]
    assert expected == pytest.approx(
        page.evaluate("locksweep.scene.steerOf('left', 'as_measured')"), abs=0.01
    )
    assert "at its stop" in page.inner_text("#steer-said")


def test_charts_follow_the_slider(page: Any, report: Path) -> None:
    """Every chart's reading and cursor change with the slider, and its numbers open as a table."""
    places = (
        "() => [...document.querySelectorAll('#charts figure')].map((one) =>"
        " [one.querySelector('.cursor').getAttribute('x1'), one.querySelector('.reading').textContent])"
    )
    before = page.evaluate(places)
    slide(page, "steer", 3)
    slide(page, "travel", 1)
    after = page.evaluate(places)
    assert 6 == len(before)
    assert all(one != other for one, other in zip(before, after, strict=True))
    page.click("#chart-steer summary")
    page.wait_for_selector("#chart-steer table")
    rows = page.query_selector_all("#chart-steer tbody tr")
    assert len(data_of(report)["grid"]["turned_mm"]) == len(rows)


def test_keyboard_steers(page: Any) -> None:
    """The slider is reached and moved by keys, and says in words where it stands."""
    page.focus("#steer")
    page.keyboard.press("Home")
    said = page.get_attribute("#steer", "aria-valuetext")
    assert said.startswith("turned left")
    page.keyboard.press("End")
    assert page.get_attribute("#steer", "aria-valuetext").startswith("turned right")


def test_keyboard_turns_the_picture(page: Any) -> None:
    """The picture is reached by keys: an arrow goes round at the same distance and height, a minus goes farther."""
    page.click("text=front three-quarter")
    centre = page.evaluate("locksweep.data.conditions.as_modified.wheels.sides.left.centre_mm")
    start = page.evaluate("locksweep.scene.seenFrom()")
    page.focus("canvas.scene")
    page.keyboard.press("ArrowRight")
    around = page.evaluate("locksweep.scene.seenFrom()")
    assert start[2] == pytest.approx(around[2])
    # Seen from before the car's left side, to the right is towards the left wheel's outside.
    assert around[1] > start[1] + 100
    page.keyboard.press("-")
    farther = page.evaluate("locksweep.scene.seenFrom()")
    assert farther[2] - centre[2] > around[2] - centre[2]


def test_plays_from_lock_to_lock(page: Any) -> None:
    """The play button moves the front end, and stops it again."""
    start = page.evaluate("locksweep.state.now.rack")
    page.click(".play")
    page.wait_for_function("(start) => locksweep.state.now.rack < start - 1", arg=start)
    page.click(".play")
    stopped = page.evaluate("locksweep.state.now.rack")
    page.wait_for_timeout(200)
    assert stopped == page.evaluate("locksweep.state.now.rack")


def test_every_link_leads_to_a_file(page: Any, report: Path) -> None:
    """What the page links to lies beside it, and nothing of the build that one opens is left out."""
    targets = page.evaluate(
        "() => [...document.querySelectorAll('a')].map((one) => one.getAttribute('href')).filter((to) => to[0] !== '#')"
    )
    linked = {unquote(target) for target in targets}
    there = {path.name for path in report.parent.iterdir()}
    assert set() == linked - there
    # Left out are what programs read, the page itself, and a drawing that caution.md shows.
    rest = {"manifest.json", "summary.schema.json", "load-paths.svg", "report.html"}
    assert rest == there - linked


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_accessible(page: Any, checkout: Path, scheme: str) -> None:
    """axe-core finds nothing serious, with the tables opened, and the colours do in the dark as well."""
    axe = checkout / AXE
    if not axe.is_file():
        pytest.skip("axe-core is not in web/node_modules: 'make bundle' brings it")
    page.emulate_media(color_scheme=scheme)
    if scheme == "light":
        # The charts' tables are long and all alike, so one of them does.
        open_all(page, but="#charts figure + figure details")
    if not page.evaluate("typeof axe === 'object'"):
        page.evaluate(axe.read_text(encoding="utf-8"))
    # Of the other scheme the colours alone are other.
    rules = {} if scheme == "light" else {"runOnly": ["color-contrast"]}
    found = page.evaluate("(rules) => axe.run(document, rules)", rules)["violations"]
    serious = [
        (one["id"], one["impact"], one["nodes"][0]["html"][:200])
        for one in found
        if one["impact"] in ("serious", "critical")
    ]
    assert [] == serious


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_fits_the_screen(page: Any, size: dict[str, int]) -> None:
    """Nothing sticks out sideways, and caution and picture are there on a phone as on a desk."""
    page.set_viewport_size(size)
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    assert page.locator(".caution-words").is_visible()
    box = page.locator("canvas.scene").bounding_box()
    assert box["width"] <= size["width"]
    assert box["height"] > 250


def test_caution_is_in_sight_wherever_one_reads(page: Any) -> None:
    """The strip that says that these numbers are no approval stays on the screen down to the last table."""
    page.set_viewport_size(PHONE)
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    box = page.locator(".strip").bounding_box()
    assert 0 <= box["y"] < 60
    assert "no approval" in page.inner_text(".strip")


def test_dark_is_dark(page: Any) -> None:
    """Paper and picture follow the reader's colour scheme."""
    shades = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        colour = page.evaluate("getComputedStyle(document.body).backgroundColor")
        shades.append(sum(int(part) for part in colour.strip("rgb()").split(",")))
    assert shades[0] > 600 > 150 > shades[1]


def test_something_is_drawn(page: Any, report: Path) -> None:
    """The scene holds a picture and not one flat colour, and so does each part's."""
    page.wait_for_timeout(300)
    colours = page.evaluate(
        """() => [...document.querySelectorAll('canvas')].map((canvas) => {
            const copy = document.createElement('canvas');
            [copy.width, copy.height] = [120, 80];
            const context = copy.getContext('2d');
            context.drawImage(canvas, 0, 0, 120, 80);
            return new Set(new Uint32Array(context.getImageData(0, 0, 120, 80).data.buffer)).size;
        })"""
    )
    shapes = [part for part in data_of(report)["parts"] if part["mesh"]]
    assert 1 + len(shapes) == len(colours)
    assert min(colours) > 40


def test_without_webgl_the_rest_remains(manager: Any, report: Path) -> None:
    """Where WebGL is turned off, flat drawings that follow the slider stand in, and charts, pictures and tables are
    there."""
    with manager.chromium.launch(executable_path=CHROMIUM, args=["--disable-3d-apis"]) as plain:
        page = Visitor(plain).open(report)
        assert page.evaluate("locksweep.scene") is None
        assert "no WebGL" in page.inner_text(".stage")
        flat = "() => document.querySelector('.flat').innerHTML"
        before = page.evaluate(flat)
        slide(page, "steer", 0)
        assert before != page.evaluate(flat)
        assert 6 == page.locator("#charts svg.chart").count()
        shapes = [part for part in data_of(report)["parts"] if part["mesh"]]
        assert len(shapes) == page.locator("canvas.picture").count()
        assert page.locator("table").count() >= 4
        assert not [line for line in page.heard if line.startswith("error: ")]


def test_scan_of_bare_points_is_seen(visitor: Visitor, report: Path, tmp_path: Path) -> None:
    """A body that is points without a mesh changes the picture when it is shown and hidden, as a mesh does."""
    data = data_of(report)
    for body in data["surroundings"]["bodies"]:
        body["triangles"] = []
    path = tmp_path / "points.html"
    path.write_text(page_text(data), encoding="utf-8")
    page = visitor.open(path)
    drawn = (
        "(body) => { locksweep.state.set({ body, parts: false, tyres: false }); locksweep.scene.draw();"
        " const { width, height } = document.querySelector('canvas.scene');"
        " const copy = new OffscreenCanvas(width, height).getContext('2d');"
        " copy.drawImage(document.querySelector('canvas.scene'), 0, 0);"
        " return [...new Uint32Array(copy.getImageData(0, 0, width, height).data.buffer)]; }"
    )
    without, shown = (page.evaluate(drawn, body) for body in (False, True))
    points = sum(len(body["clearance_mm"]) for body in data["surroundings"]["bodies"])
    # Points lie before one another; half of them seen is a picture of it.
    assert sum(one != other for one, other in zip(without, shown, strict=True)) > points / 2


def test_inch_job_is_charted_in_inches(visitor: Visitor, report: Path, tmp_path: Path) -> None:
    """For whoever measured in inches the charts' axes, readings and tables are in inches: 25.4 mm each."""
    data = data_of(report)
    data["job"]["units"] = "in"
    path = tmp_path / "inches.html"
    path.write_text(page_text(data), encoding="utf-8")
    page = visitor.open(path)
    assert " mm" not in page.inner_text("#charts")
    page.click("#chart-bump summary")
    page.wait_for_selector("#chart-bump table")
    first = page.inner_text("#chart-bump tbody th >> nth=0").replace("\u2212", "-")
    assert data["grid"]["travel_mm"][0] / 25.4 == pytest.approx(float(first), abs=0.005)


HOSTILE = (
    "</script><script>document.title='broken'</script>",
    "<img src=x onerror=alert(1)> \" ' & `",
    "\u202eright to left \u05d0\u05d1\u05d2 \u0639\u0631\u0628\u064a",
    "w" * 400,
)


def test_hostile_names_stay_text(report: Path, tmp_path: Path, visitor: Visitor) -> None:
    """Names that are markup, written the other way, or endless are shown as they stand and break nothing."""
    script, markup, backwards, endless = HOSTILE
    text = json.dumps(data_of(report)).replace("frame rail", json.dumps(markup)[1:-1])
    data: Data = json.loads(text.replace("rear inner panel", json.dumps(script)[1:-1]))
    data["job"]["name"] = script + endless
    data["parts"][0]["fits"], data["parts"][1]["fits"] = backwards, markup
    path = tmp_path / "hostile.html"
    path.write_text(page_text(data), encoding="utf-8")
    page = visitor.open(path, viewport=PHONE)
    assert script + endless == page.locator("h1").text_content()
    assert backwards in page.locator("article .what").nth(0).text_content()
    assert markup in page.locator("article .what").nth(1).text_content()
    assert f"{script}{endless}: locksweep report" == page.title()
    assert 0 == page.locator("main script, main img").count()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert [] == page.evaluate("broken")
    assert [] == page.heard
