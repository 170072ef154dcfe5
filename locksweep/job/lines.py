"""On which line each key of a job file stands; looked up only when there is something to report.

The text has been parsed before, so this walk trusts it to be TOML and only keeps track of where it is.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from contextlib import suppress

from locksweep.job.findings import KeyPath

DEEPEST = 50
"""Parts of a dotted key that are followed; a key of half a million parts would take a day."""

_SKIPPED = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\n]*")
_STRINGS = (
    re.compile(r'"""(?:[^\\"]|\\[\s\S]|"(?!""))*"{3,5}'),
    re.compile(r"'''(?:[^']|'(?!''))*'{3,5}"),
    re.compile(r'"(?:[^\\"\n]|\\.)*"'),
    re.compile(r"'[^'\n]*'"),
)


def key_lines(text: str) -> dict[KeyPath, int]:
    """Line, counted from 1, of every table, key and list item; items of a list are numbered from 0.

    A key's line is where the key stands, an item's where its value starts. Text that is no TOML gives the
    lines up to where the walk got lost.
    """
    walk = _Walk(text)
    with suppress(_LostError, RecursionError):
        walk.file()
    return walk.lines


def line_of(path: KeyPath, lines: dict[KeyPath, int]) -> int | None:
    """Line of a key or, if it is missing, of the innermost table or list around it that is there."""
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path)


class _LostError(Exception):
    """The text is not the TOML that the walk takes it for."""


class _Walk:
    def __init__(self, text: str) -> None:
        self.text = text
        self.position = 0
        self.starts = [0, *(match.end() for match in re.finditer("\n", text))]
        self.lines: dict[KeyPath, int] = {}
        self.tables_in_array: dict[KeyPath, int] = {}

    def file(self) -> None:
        table: KeyPath = ()
        while self.skip(_SKIPPED) < len(self.text):
            if self.text.startswith("[", self.position):
                table = self.header()
            else:
                self.pair(table)

    def header(self) -> KeyPath:
        line = self.line()
        is_array = self.text.startswith("[[", self.position)
        brackets = 2 if is_array else 1
        self.position += brackets
        keys = self.key()
        self.expect("]" * brackets)
        path: KeyPath = ()
        for number, key in enumerate(keys, start=1):
            path += (key,)
            self.lines.setdefault(path, line)
            last = number == len(keys)
            if last and is_array:
                count = self.tables_in_array.get(path, 0)
                self.tables_in_array[path] = count + 1
                path += (count,)
                self.lines[path] = line
            elif path in self.tables_in_array:
                path += (self.tables_in_array[path] - 1,)
        return path

    def pair(self, table: KeyPath) -> None:
        line = self.line()
        path = table
        for key in self.key():
            path += (key,)
            self.lines.setdefault(path, line)
        self.expect("=")
        self.value(path)

    def key(self) -> list[str]:
        keys = []
        while True:
            self.skip(_SPACE)
            if self.text.startswith(('"', "'"), self.position):
                token = self.string()
                keys.append(str(tomllib.loads(f"key = {token}")["key"]))
            else:
                keys.append(self.match(_BARE_KEY))
            self.skip(_SPACE)
            if len(keys) > DEEPEST:
                raise _LostError
            if not self.text.startswith(".", self.position):
                return keys
            self.position += 1

    def value(self, path: KeyPath) -> None:
        self.skip(_SPACE)
        if self.text.startswith("[", self.position):
            self.array(path)
        elif self.text.startswith("{", self.position):
            self.inline_table(path)
        elif self.text.startswith(('"', "'"), self.position):
            self.string()
        else:
            self.match(_SCALAR)

    def array(self, path: KeyPath) -> None:
        self.expect("[")
        index = 0
        while True:
            self.skip(_SKIPPED)
            if self.text.startswith("]", self.position):
                self.position += 1
                return
            self.lines[(*path, index)] = self.line()
            self.value((*path, index))
            index += 1
            self.skip(_SKIPPED)
            if not self.text.startswith("]", self.position):
                self.expect(",")

    def inline_table(self, path: KeyPath) -> None:
        self.expect("{")
        while True:
            self.skip(_SKIPPED)
            if self.text.startswith("}", self.position):
                self.position += 1
                return
            self.pair(path)
            self.skip(_SKIPPED)
            if not self.text.startswith("}", self.position):
                self.expect(",")

    def string(self) -> str:
        for pattern in _STRINGS:
            match = pattern.match(self.text, self.position)
            if match:
                self.position = match.end()
                return match[0]
        raise _LostError

    def line(self) -> int:
        return bisect_right(self.starts, self.position)

    def skip(self, pattern: re.Pattern[str]) -> int:
        match = pattern.match(self.text, self.position)
        if match:
            self.position = match.end()
        return self.position

    def match(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.position)
        if not match or not match[0]:
            raise _LostError
        self.position = match.end()
        return match[0]

    def expect(self, token: str) -> None:
        self.skip(_SPACE)
        if not self.text.startswith(token, self.position):
            raise _LostError
        self.position += len(token)
