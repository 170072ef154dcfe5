"""The walk that finds on which line a key stands."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from locksweep.demo_jobs import demo_names, demo_text
from locksweep.job.lines import key_lines, line_of

TEXT = '''\
# comment = 1
top = 1
a.b."c.d" = 2   # dotted = 3

[car.left]
ball = [
    1,  # first [ "
    2,
    [ 3,
      4 ],
]
text = """
fake = 1
[fake]
"""
raw = \'\'\'
also = "fake"\'\'\'
inline = { x = 1, y = { z = [7, 8] }, "q r" = "}" }
quote = "a \\" # ] = b"
when = 1979-05-27 07:32:00

[[bar]]
name = 'one'
  [bar.inner]
  deep = 1
  [[bar.list]]
  k = 1
  [[bar.list]]
  k = 2
[[bar]]
[bar.inner]
deep = 2
'''

LINES: dict[tuple[str | int, ...], int] = {
    ("top",): 2,
    ("a",): 3,
    ("a", "b", "c.d"): 3,
    ("car",): 5,
    ("car", "left"): 5,
    ("car", "left", "ball"): 6,
    ("car", "left", "ball", 0): 7,
    ("car", "left", "ball", 1): 8,
    ("car", "left", "ball", 2): 9,
    ("car", "left", "ball", 2, 1): 10,
    ("car", "left", "text"): 12,
    ("car", "left", "raw"): 16,
    ("car", "left", "inline", "y", "z", 1): 18,
    ("car", "left", "inline", "q r"): 18,
    ("car", "left", "quote"): 19,
    ("car", "left", "when"): 20,
    ("bar", 0): 22,
    ("bar", 0, "name"): 23,
    ("bar", 0, "inner", "deep"): 25,
    ("bar", 0, "list", 0, "k"): 27,
    ("bar", 0, "list", 1): 28,
    ("bar", 0, "list", 1, "k"): 29,
    ("bar", 1): 30,
    ("bar", 1, "inner", "deep"): 32,
}


def paths_in(value: Any, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    """Every path of a parsed TOML text."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    found = {path} if path else set()
    return found.union(*(paths_in(item, (*path, step)) for step, item in items))


@pytest.mark.parametrize(("path", "line"), LINES.items())
def test_lines_of_every_way_to_write_a_key(path: tuple[str | int, ...], line: int) -> None:
    """Dotted and quoted keys, tables in tables and lists, inline tables, lists and texts over many lines."""
    assert line == key_lines(TEXT)[path]


def test_nothing_but_keys_is_found() -> None:
    """The paths are those of the parser: none invented from comments or texts, none left out."""
    assert paths_in(tomllib.loads(TEXT)) == set(key_lines(TEXT))


@pytest.mark.parametrize("name", demo_names())
def test_every_key_of_the_demos_stands_on_its_line(name: str) -> None:
    """Each path of the parser has a line, and its key is written on it."""
    text = demo_text(name)
    lines = key_lines(text)
    assert paths_in(tomllib.loads(text)) == set(lines)
    for path, line in lines.items():
        if isinstance(path[-1], str):
            assert path[-1] in text.splitlines()[line - 1]


def test_a_missing_key_is_placed_at_its_table() -> None:
    """The innermost thing around it that is there; nothing at all for a missing table."""
    lines = key_lines(TEXT)
    assert 5 == line_of(("car", "left", "wheel"), lines)
    assert 30 == line_of(("bar", 1, "name"), lines)
    assert line_of(("wheel",), lines) is None


KEYS = st.one_of(st.text("abcxyz_-019", min_size=1, max_size=4), st.text(max_size=4))
LEAVES = st.one_of(st.integers(-9, 9), st.booleans(), st.text(max_size=6), st.floats(allow_nan=False))
VALUES = st.recursive(
    LEAVES, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3), max_leaves=8
)
TABLES = st.dictionaries(KEYS, VALUES | st.dictionaries(KEYS, VALUES, max_size=3), max_size=4)


def quoted(text: str) -> str:
    """A TOML basic string that holds the text."""
    plain = [c if c.isalnum() and c.isascii() else f"\\U{ord(c):08x}" for c in text]
    return f'"{"".join(plain)}"'


def written(value: Any, new_line: str) -> str:
    """A value as TOML; lists go over several lines where ``new_line`` is one."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, list):
        return f"[{new_line}{''.join(f'{written(item, new_line)},{new_line}' for item in value)}]"
    if isinstance(value, dict):
        pairs = [f"{quoted(key)} = {written(item, '')}" for key, item in value.items()]
        return f"{{{', '.join(pairs)}}}"
    return repr(value)


@given(tables=TABLES, new_line=st.sampled_from(["", " ", "\n", " # a comment = [\n  "]))
def test_paths_of_random_files_are_those_of_the_parser(tables: dict[str, Any], new_line: str) -> None:
    """Whatever the keys and values, the walk finds exactly the paths that are there."""
    top = {key: value for key, value in tables.items() if not isinstance(value, dict)}
    rows = [f"{quoted(key)} = {written(value, new_line)}" for key, value in top.items()]
    for key, table in tables.items():
        if isinstance(table, dict):
            rows.append(f"[{quoted(key)}] # header")
            rows += [f"{quoted(k)} = {written(item, new_line)}" for k, item in table.items()]
    text = "\n".join(rows)
    assert paths_in(tomllib.loads(text)) == set(key_lines(text))


@given(st.text(max_size=60) | st.text("[]{}=,.#\"'\n a1", max_size=60))
def test_text_that_is_no_toml_does_no_harm(text: str) -> None:
    """The walk ends, and tells lines that there are."""
    assert all(1 <= line <= text.count("\n") + 1 for line in key_lines(text).values())


def test_hostile_files_end_soon() -> None:
    """Endless dotted keys and deep lists stop the walk instead of the computer."""
    assert {} == key_lines("a." * 200_000 + "a = 1")
    assert 1 == key_lines("a = " + "[" * 100_000)[("a",)]
