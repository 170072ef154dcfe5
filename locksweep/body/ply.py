"""PLY: what its header announces, held against the file before anything is read by it.

A PLY header is text and may announce any number of anything. The body is read by a mesh library where all faces have
as many corners, and here where they have not.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import BinaryIO

import numpy as np

from solver.body.surface import NO_TRIANGLES, Triangles

LONGEST_HEADER = 65_536
CODES = {
    "char": "b", "int8": "b", "uchar": "B", "uint8": "B", "short": "h", "int16": "h", "ushort": "H", "uint16": "H",
    "int": "i", "int32": "i", "uint": "I", "uint32": "I", "float": "f", "float32": "f", "double": "d", "float64": "d",
    "int64": "q", "uint64": "Q",
}  # fmt: skip
FORMATS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}


class BadHeaderError(ValueError):
    """What is wrong with a PLY header, as half a sentence."""


@dataclass(frozen=True)
class Property:
    """One property: its name, the code of its numbers, and of the count before them if it is a list."""

    name: str
    code: str
    count_code: str = ""


@dataclass(frozen=True)
class Element:
    """One kind of thing and how many of it the header announces."""

    name: str
    count: int
    properties: tuple[Property, ...]

    @property
    def least_bytes(self) -> int:
        """That one of it takes in a binary file, lists being empty."""
        return sum(struct.calcsize("=" + (p.count_code or p.code)) for p in self.properties)


@dataclass(frozen=True)
class Header:
    """A PLY header. order: of bytes, "" for text; length: of the header in bytes"""

    order: str
    elements: tuple[Element, ...]
    length: int

    def count(self, *names: str) -> int:
        """How many of one kind are announced."""
        return sum(element.count for element in self.elements if element.name in names)


def read_header(file: BinaryIO) -> Header:
    """The header at the beginning of a file.

    Raises:
        BadHeaderError: it is none.
    """
    start = file.read(LONGEST_HEADER)
    end = start.find(b"end_header")
    newline = start.find(b"\n", end) if end >= 0 else -1
    if newline < 0:
        raise BadHeaderError(f"its header does not end within {LONGEST_HEADER} bytes")
    lines = start[:newline].decode("ascii", "replace").split("\n")
    order: str | None = None
    elements: list[tuple[str, int, list[Property]]] = []
    for line in lines[1:-1]:
        words = line.split()
        if not words or words[0] in ("comment", "obj_info"):
            continue
        if words[0] == "format" and len(words) >= 2:
            order = FORMATS.get(words[1])
        elif words[0] == "element" and len(words) == 3 and words[2].isdigit() and len(words[2]) < 19:
            elements.append((words[1], int(words[2]), []))
        elif words[0] == "property" and elements:
            elements[-1][2].append(_property(words))
        else:
            raise BadHeaderError(f'its header has the line "{line.strip()[:60]}"')
    if order is None:
        raise BadHeaderError("its header names no format that is known")
    made = tuple(Element(name, count, tuple(properties)) for name, count, properties in elements)
    return Header(order, made, newline + 1)


def _property(words: list[str]) -> Property:
    kinds = words[2:4] if words[1:2] == ["list"] else words[1:2]
    if len(words) != len(kinds) + (3 if words[1:2] == ["list"] else 2) or any(k not in CODES for k in kinds):
        raise BadHeaderError(f'its header has the line "{" ".join(words)[:60]}"')
    codes = [CODES[kind] for kind in kinds]
    return Property(words[-1], codes[-1], codes[0] if len(codes) == 2 else "")


def check_announced(header: Header, size: int) -> None:
    """Hold what a header announces against the length of the file.

    Raises:
        BadHeaderError: there is less in the file.
    """
    announced = sum(
        # In a text every value takes a digit and something after it.
        element.count * (element.least_bytes if header.order else max(2 * len(element.properties), 2))
        for element in header.elements
    )
    if announced > size - header.length + 2:
        told = ", ".join(f"{element.count:,} of {element.name}" for element in header.elements)
        raise BadHeaderError(
            f"its header announces {told}, at least {announced:,} bytes, but only {size - header.length:,} follow; "
            "the file is cut short or damaged"
        )


def has_mixed_faces(header: Header, data: bytes) -> bool:
    """Whether the faces of a binary file have unlike numbers of corners, which the library can't read."""
    if not header.order:
        return False
    at = _after_points(header)
    face = next((element for element in header.elements if element.name == "face"), None)
    if at is None or face is None or not face.count or not _one_list(face):
        return False
    (first,) = struct.unpack_from(header.order + face.properties[0].count_code, data, at)
    step = struct.calcsize("=" + face.properties[0].count_code) + first * struct.calcsize(
        "=" + face.properties[0].code
    )
    return bool(at + face.count * step != len(data))


def mixed_faces(header: Header, data: bytes) -> tuple[np.ndarray, Triangles]:
    """Points and triangles of a binary file whose faces have 3 corners or more; a face is split about its first.

    Raises:
        BadHeaderError: what follows the header is not what it announces.
    """
    points = _points(header, data)
    face = next(element for element in header.elements if element.name == "face")
    listed = face.properties[0]
    count_reader = struct.Struct(header.order + listed.count_code)
    width = struct.calcsize("=" + listed.code)
    at, triangles = _after_points(header) or 0, []
    kinds: dict[int, list[int]] = {}
    for _ in range(face.count):
        if at + count_reader.size > len(data):
            raise BadHeaderError("its faces end before their number; the file is cut short or damaged")
        (corners,) = count_reader.unpack_from(data, at)
        at += count_reader.size
        if not 0 <= corners <= 10_000 or at + corners * width > len(data):
            raise BadHeaderError(f"a face has {corners} corners; the file is damaged")
        kinds.setdefault(corners, []).append(at)
        at += corners * width
    raw = np.frombuffer(data, np.uint8)
    for corners, places in kinds.items():
        if corners < 3:
            continue
        bytes_of = raw[np.array(places)[:, None] + np.arange(corners * width)]
        rows = bytes_of.view(np.dtype(header.order + listed.code)).astype(np.int64)
        triangles += [rows[:, [0, k, k + 1]] for k in range(1, corners - 1)]
    return points, np.concatenate(triangles) if triangles else NO_TRIANGLES


def _one_list(element: Element) -> bool:
    return len(element.properties) == 1 and bool(element.properties[0].count_code)


def _after_points(header: Header) -> int | None:
    """Where the faces begin, if all before them has a fixed length."""
    at = header.length
    for element in header.elements:
        if element.name == "face":
            return at
        if any(p.count_code for p in element.properties):
            return None
        at += element.count * element.least_bytes
    return None


def _points(header: Header, data: bytes) -> np.ndarray:
    at = header.length
    for element in header.elements:
        if element.name == "vertex":
            kind = np.dtype([(p.name, header.order + p.code) for p in element.properties])
            table = np.frombuffer(data, kind, element.count, at)
            with np.errstate(invalid="ignore"):
                return np.stack([table[axis].astype(np.float64) for axis in ("x", "y", "z")], axis=1)
        at += element.count * element.least_bytes
    raise BadHeaderError("its header announces no points")
