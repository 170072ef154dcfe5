"""The published JSON Schemas describe what is written, and refuse what is not."""

from __future__ import annotations

import copy
import dataclasses
import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from locksweep.building import BuildResult
from locksweep.demo_jobs import demo_names
from locksweep.job import parse_job
from locksweep.schemas import schema_text
from locksweep.solved import Solved, json_text, solve_job
from parts.catalogue import ROWS
from tests.locksweep.pipeline import edited, full_job

NAMES = ("summary", "manifest")
PUBLISHED = (*NAMES, "compare", "nest", "pack")


def schema(name: str) -> dict[str, Any]:
    """One of the schemas."""
    found: dict[str, Any] = json.loads(schema_text(name))
    return found


def faults(name: str, data: object) -> list[str]:
    """What a validator has against the data, as it is read back from a file."""
    errors = Draft202012Validator(schema(name)).iter_errors(json.loads(json_text(data)))
    return [f"{error.json_path}: {error.message}" for error in errors]


def described(node: object) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every named property of a schema with its own schema."""
    if isinstance(node, dict):
        if node.get("type") == "object":
            yield from node.get("properties", {}).items()
        for value in node.values():
            yield from described(value)
    elif isinstance(node, list):
        for value in node:
            yield from described(value)


@pytest.mark.parametrize("name", PUBLISHED)
def test_schema_is_valid(name: str) -> None:
    """The schema itself is one by the 2020-12 draft, and names no address of its own to be fetched from."""
    Draft202012Validator.check_schema(schema(name))
    assert "https://json-schema.org/draft/2020-12/schema" == schema(name)["$schema"]
    assert "$id" not in schema_text(name)


@pytest.mark.parametrize("name", PUBLISHED)
def test_every_key_is_described(name: str) -> None:
    """Every key has a title and a description, its own or that of what it refers to."""
    whole = schema(name)
    bare = []
    for key, found in described(whole):
        target = whole["$defs"][found["$ref"].rpartition("/")[2]] if "$ref" in found else {}
        if not {"title", "description"} <= target.keys() | found.keys():
            bare.append(key)
    assert [] == bare


@pytest.mark.parametrize("name", PUBLISHED)
def test_objects_are_closed(name: str) -> None:
    """An object with fixed keys allows no others and demands all of its keys."""

    def objects(node: object) -> Iterator[dict[str, Any]]:
        if isinstance(node, dict):
            if node.get("type") == "object" and "properties" in node:
                yield node
            for value in node.values():
                yield from objects(value)
        elif isinstance(node, list):
            for value in node:
                yield from objects(value)

    found = list(objects(schema(name)))
    assert len(found) >= 2
    for item in found:
        assert item["additionalProperties"] is False, item["title"]
        assert list(item["properties"]) == item["required"], item["title"]


def test_every_family_is_spelled_out() -> None:
    """For each family of the catalogue the schema demands exactly the fields of its dimension type."""
    definitions = schema("summary")["$defs"]
    ruled = {
        rule["if"]["properties"]["family"]["const"]: rule["then"]["properties"]["dimensions"]["$ref"]
        for rule in definitions["part"]["allOf"]
        if "family" in rule["if"]["properties"]
    }
    for row in ROWS:
        fields = [field.name for field in dataclasses.fields(row.dimensions)]
        assert fields == definitions[ruled[row.name].rpartition("/")[2]]["required"]


@pytest.mark.parametrize("name", demo_names())
def test_record_of_a_demo_job_passes(solved: dict[str, Solved], name: str) -> None:
    """A job that has not been built, metric or in inches, gives what the schema says."""
    assert [] == faults("summary", solved[name].record())


@pytest.mark.parametrize("name", demo_names())
def test_record_of_a_built_job_passes(solved: dict[str, Solved], name: str) -> None:
    """So does one with revisions and files."""
    names = [part.name for part in solved[name].parts]
    files = {part: (f"{part}-AB.step", f"{part}-AB.stl") for part in names}
    assert [] == faults("summary", solved[name].record(revisions=dict.fromkeys(names, "AB"), files=files))


def test_record_out_of_reach_passes() -> None:
    """So does a goal that can't be reached."""
    record = solve_job(parse_job(edited(full_job(), ("lock = 50 ", "lock = 75 ")))).record()
    assert record["goal"]["met"] is False
    assert [] == faults("summary", record)


def test_record_of_a_plain_car_passes() -> None:
    """So does a job without tie rods at hand, new wheels, panels, stops or anything to keep clear of."""
    text = full_job()
    text = text[: text.index("[tie_rod]")]
    text = edited(text, ("lock = 50 ", "lock = 30 "), ("# track = 1460", "track = 1460"))
    record = solve_job(parse_job(text)).record()
    assert record["changes"]["wheel"] is None
    assert record["tie_rods"]["at_hand_mm"] is None
    assert [] == faults("summary", record)


def test_written_files_pass(demo: BuildResult) -> None:
    """What a build wrote passes the schema that lies beside it, and the manifest passes its own."""
    published = json.loads((demo.folder / "summary.schema.json").read_text(encoding="utf-8"))
    assert schema("summary") == published
    for name in NAMES:
        assert [] == faults(name, json.loads((demo.folder / f"{name}.json").read_text(encoding="utf-8")))


def _drop(*path: Any) -> Callable[[Any], None]:
    def change(data: Any) -> None:
        for step in path[:-1]:
            data = data[step]
        del data[path[-1]]

    return change


def _put(value: object, *path: Any) -> Callable[[Any], None]:
    def change(data: Any) -> None:
        for step in path[:-1]:
            data = data[step]
        data[path[-1]] = value

    return change


PLANTED = {
    "text for a number": _put("50", "goal", "lock_deg"),
    "true for a number": _put(True, "tyre", "outside_diameter_mm"),
    "no caution": _drop("caution"),
    "a measure missing": _drop("as_modified", "corners", "left", "camber_deg"),
    "a key that isn't known": _put(1, "as_measured", "turns", "left", "lock_rad"),
    "another format": _put("locksweep summary 2", "format"),
    "a third side": _put("middle", "loads", "members", 0, "side"),
    "a role of our own": _put("is pretty", "parts", 0, "role"),
    "half a part": _put(1.5, "parts", 0, "quantity"),
    "a load of one wheel alone": _put([3000.0], "loads", "wheel_loads_n"),
    "a case without a source": _drop("loads", "cases", 0, "source"),
    "a check without its formula": _drop("parts", 0, "checks", 0, "formula"),
    "a verdict of our own": _put("quite strong", "parts", 0, "verdict"),
    "a member of no name": _drop("members", 0, "name"),
    "an inspection after no event": _put(0, "parts", 0, "inspection", "events"),
    "a dimension missing": _drop("parts", 0, "dimensions", "chamfer"),
    "a dimension of another family": _put(3.0, "parts", 0, "dimensions", "wall"),
    "a negative thickness": _put(-4.0, "parts", 0, "dimensions", "thickness"),
    "a file without a revision": _put(["rack-spacer-A.step", "rack-spacer-A.stl"], "parts", 0, "files"),
    "a revision without a file": _put("A", "parts", 0, "revision"),
    "an answer to a goal that is met": _put("out of reach", "goal", "answer"),
    "a goal missed without an answer": _put(False, "goal", "met"),
}


@pytest.mark.parametrize("fault", PLANTED)
def test_planted_fault_is_refused(solved: dict[str, Solved], fault: str) -> None:
    """One wrong type, missing key or contradiction in a whole summary is found."""
    record = json.loads(json_text(solved["alder-coupe"].record()))
    assert "rack-spacer" == record["parts"][0]["name"]
    broken = copy.deepcopy(record)
    PLANTED[fault](broken)
    assert [] == faults("summary", record)
    assert [] != faults("summary", broken)


@pytest.mark.parametrize(
    "change",
    [
        _drop("inputs"),
        _put("a", "revision"),
        _put("0123", "files", "job.toml"),
        _put("0" * 64, "files", "../job.toml"),
        _put("0" * 64, "files", "manifest.json"),
        _put("b", "parts", "rack-spacer", "revision"),
        _drop("parts", "rack-spacer", "identity"),
        _put([], "files"),
    ],
)
def test_planted_fault_in_a_manifest_is_refused(demo: BuildResult, change: Callable[[Any], None]) -> None:
    """The same for the manifest."""
    manifest = json.loads((demo.folder / "manifest.json").read_text(encoding="utf-8"))
    change(manifest)
    assert [] != faults("manifest", manifest)
