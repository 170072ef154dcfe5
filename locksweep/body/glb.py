"""GLB: what its JSON part announces, held against the file before anything is read by it.

Its numbers may describe one stretch of bytes a thousand times over, tables without any bytes, or a mesh placed a
million times; each would fill the memory from a small file.
"""

from __future__ import annotations

import json
from typing import Any, BinaryIO

MAGIC = b"glTF"
JSON_CHUNK = 0x4E4F534A
BYTES = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
"""Of the component types of glTF 2.0."""
COMPONENTS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
TIMES = 4
"""The file's size that tables together may fill: overlapping ones are legal and seldom."""
COMPRESSIONS = ("KHR_draco_mesh_compression", "EXT_meshopt_compression")


class BadGlbError(ValueError):
    """What is wrong with a GLB file, as half a sentence."""


def check_glb(file: BinaryIO, size: int) -> tuple[int, int]:
    """Points and triangles that a file announces, all its placed meshes together.

    Raises:
        BadGlbError: there is less in the file, or more of it than its size allows, or it can't be read here.
    """
    head = file.read(20)
    if len(head) < 20 or head[:4] != MAGIC:
        raise BadGlbError("it is too short")
    version, length, chunk, kind = (int.from_bytes(head[i : i + 4], "little") for i in (4, 8, 12, 16))
    if version != 2:
        raise BadGlbError(f"it is of version {version}, and only version 2 can be read")
    if length > size or chunk > size - 20 or kind != JSON_CHUNK:
        raise BadGlbError(f"it announces {length:,} bytes and has {size:,}; it is cut short or damaged")
    try:
        tree = json.loads(file.read(chunk))
        return _check_tree(tree, size)
    except BadGlbError:
        raise
    except (ValueError, KeyError, IndexError, TypeError, AttributeError, RecursionError) as error:
        raise BadGlbError("its table of contents is damaged") from error


def _check_tree(tree: dict[str, Any], size: int) -> tuple[int, int]:
    compressed = [name for name in COMPRESSIONS if name in tree.get("extensionsRequired", ())]
    if compressed:
        raise BadGlbError(f"it is compressed ({compressed[0]}); export it without compression")
    for buffer in tree.get("buffers", ()):
        if "uri" in buffer:
            raise BadGlbError("part of it lies in another file; export it as one file with all inside")
    views = tree.get("bufferViews", [])
    accessors = tree.get("accessors", [])
    filled = sum(_natural(view["byteLength"]) for view in views)
    for accessor in accessors:
        count = _natural(accessor["count"])
        taken = count * BYTES[accessor["componentType"]] * COMPONENTS[accessor["type"]]
        filled += taken
        if "bufferView" not in accessor and taken > size:
            raise BadGlbError(f"it announces a table of {count:,} rows that is not in it")
    if filled > TIMES * size + 1_000_000:
        raise BadGlbError(f"it announces tables of {filled:,} bytes, and the file has {size:,}")
    meshes = [_counts(mesh, accessors) for mesh in tree.get("meshes", [])]
    times = _placed(tree, len(meshes))
    points = sum(count * mesh[0] for count, mesh in zip(times, meshes, strict=True))
    return points, sum(count * mesh[1] for count, mesh in zip(times, meshes, strict=True))


def _counts(mesh: dict[str, Any], accessors: list[dict[str, Any]]) -> tuple[int, int]:
    points = triangles = 0
    for primitive in mesh["primitives"]:
        count = _natural(accessors[primitive["attributes"]["POSITION"]]["count"])
        points += count
        triangles += (
            _natural(accessors[primitive["indices"]]["count"]) // 3 if "indices" in primitive else count
        )
    return points, triangles


def _placed(tree: dict[str, Any], meshes: int) -> list[int]:
    """How many times each mesh is placed; a node that is below itself is refused."""
    nodes = tree.get("nodes", [])
    times = [0] * meshes
    below: dict[int, int] = {}
    for node in nodes:
        for child in node.get("children", ()):
            below[_natural(child)] = below.get(_natural(child), 0) + 1
    if any(count > 1 for count in below.values()):
        raise BadGlbError("a node of it lies below two others, which glTF does not allow")
    seen = [False] * len(nodes)
    pending = [i for i in range(len(nodes)) if i not in below]
    while pending:
        here = pending.pop()
        seen[here] = True
        if "mesh" in nodes[here]:
            times[_natural(nodes[here]["mesh"])] += 1
        pending += nodes[here].get("children", ())
    if not all(seen):
        raise BadGlbError("a node of it lies below itself")
    return times


def _natural(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or value < 0:
        raise BadGlbError("a count in it is no whole number")
    return value
