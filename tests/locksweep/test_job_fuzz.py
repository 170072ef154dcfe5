"""Whatever is done to a job file, it gives a job or the one error."""

from __future__ import annotations

import math
import re

from hypothesis import given, settings
from hypothesis import strategies as st

from locksweep.demo_jobs import demo_names, demo_text
from locksweep.job import JobFindingsError, parse_job
from locksweep.job.starter import example_values
from tests.locksweep.pipeline import opened

TEXTS = [text for name in demo_names() for text in (demo_text(name), opened(demo_text(name)))]
# Without comments, so that nearly every change hits something that counts.
BARE = [re.sub(r"(?m)\s*#[^\n\"]*$", "", text) for text in TEXTS]

SCRAPS = st.one_of(
    st.sampled_from(
        [
            "", " ", "\n", "[", "]", "{", "}", '"', "'", "=", ",", ".", "#", "-", "nan", "inf", "true",
            "1e400", "[]", "{}", "[[[]]]", '""', "0", "-1", "1979-05-27", "07:32:00", "0xff", "[rack]",
            "[[stop]]", "[car.left]", "[car]", "[changes]", "a.b.c = 1", '"5 deg"', '"1/0 in"', '"٣"',
            "\x00", "\ufeff", "\r", "\r\n",
            '"""', "'''", '"\\u0000unreadable value on line 3"', "[car.corner_masses]\n",
            "side = 3\n", "name = []\n", "panel = [[1,2,3]]\n", "from = 1\n", "inf, inf, inf", "[nan, 1, 1]",
            "[5, -5]", "[0, 1e9]", "[[1, 2]]", "[may_change]", "[[tie_rod_choice]]", "way = 1\n", "pickup = {}\n",
        ]
    ),
    st.text(max_size=8),
    st.floats().map(repr),
    st.integers(-(10**6), 10**6).map(str),
)  # fmt: skip


@st.composite
def damaged(draw: st.DrawFn) -> str:
    """A demo job with some spans replaced by scraps or by spans from elsewhere, or lines moved about."""
    text = draw(st.sampled_from(BARE))
    for _ in range(draw(st.integers(1, 4))):
        kind = draw(st.sampled_from(["span", "value", "line"]))
        if kind == "span":
            start = draw(st.integers(0, len(text)))
            end = min(len(text), start + draw(st.integers(0, 12)))
            text = text[:start] + draw(SCRAPS) + text[end:]
        elif kind == "value":
            places = list(re.finditer(r"= *([^\n]*)", text))
            if places:
                place = draw(st.sampled_from(places))
                text = text[: place.start(1)] + draw(SCRAPS) + text[place.end(1) :]
        else:
            lines = text.split("\n")
            line = lines.pop(draw(st.integers(0, len(lines) - 1)))
            lines.insert(draw(st.integers(0, len(lines))), draw(st.sampled_from([line, ""])))
            text = "\n".join(lines)
    return text


@settings(max_examples=400)
@given(damaged())
def test_a_damaged_file_gives_a_job_or_the_one_error(text: str) -> None:
    """No other exception, and no number in a job that is not finite."""
    findings = []
    numbers = []
    try:
        numbers = numbers_in(parse_job(text))
    except JobFindingsError as error:
        findings = error.findings
    assert bool(findings) != bool(numbers)
    assert all(map(math.isfinite, numbers))
    lines = text.count("\n") + 1
    for finding in findings:
        assert finding.line is None or 1 <= finding.line <= lines
        assert finding.found
        assert finding.expected


@given(damaged())
def test_looking_for_example_values_never_fails(text: str) -> None:
    """Any text has a list of what is still the starter's, if only an empty one."""
    assert all(value.key for value in example_values(text))


def numbers_in(value: object) -> list[float]:
    """Every number of nested dataclasses and tuples."""
    if isinstance(value, float):
        return [value]
    if isinstance(value, tuple):
        return [number for item in value for number in numbers_in(item)]
    if hasattr(value, "__dataclass_fields__"):
        return [number for item in vars(value).values() for number in numbers_in(item)]
    return []
