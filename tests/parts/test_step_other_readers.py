"""STEP files as two readers see them that had no part in writing them.

steputils parses the clear text encoding of ISO 10303-21 and knows nothing of shapes. gmsh is a mesher with its own
build of a geometry kernel, of another version; it runs in a process of its own, where two kernels can't disturb each
other.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from steputils import p21

from parts import measure
from parts.assembly import Placed, write_assembly
from parts.catalogue import build, family_of
from parts.kernel import cq
from parts.step import SCHEMAS, write_step
from solver.families.base import PartDimensions
from solver.part import Placement
from tests.parts.examples import BOLTED_STOP, PAN, RING

READ = """
import json, sys
try:
    import gmsh
except OSError as error:
    # What it draws windows with, on a machine without any.
    print(json.dumps({"missing": str(error)}))
    raise SystemExit from None
gmsh.initialize(interruptible=False)
gmsh.option.setNumber("General.Terminal", 0)
gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
gmsh.model.occ.importShapes(sys.argv[1])
gmsh.model.occ.synchronize()
solids = gmsh.model.getEntities(3)
print(json.dumps({
    "names": [gmsh.model.getEntityName(*solid) for solid in solids],
    "volumes": [gmsh.model.occ.getMass(*solid) for solid in solids],
    "centres": [gmsh.model.occ.getCenterOfMass(*solid) for solid in solids],
    "faces": len(gmsh.model.getEntities(2)),
    "colours": sorted({gmsh.model.getColor(*face) for face in gmsh.model.getEntities(2)}),
}))
"""


def _references(value: Any) -> Iterator[str]:
    """All instance names that parameters refer to, at any depth."""
    if p21.is_reference(value):
        yield str(value)
    elif p21.is_typed_parameter(value):
        yield from _references(value.param)
    elif p21.is_parameter_list(value):
        for item in value:
            yield from _references(item)


def _entities(file: p21.StepFile) -> Iterator[p21.Entity]:
    """All entities of a file, those within complex ones too."""
    for instance in file.data[0].instances.values():
        yield from instance.entities if p21.is_complex_entity_instance(instance) else [instance.entity]


def _of(file: p21.StepFile, name: str) -> list[p21.Entity]:
    return [entity for entity in _entities(file) if entity.name == name]


def _sound(path: Path) -> p21.StepFile:
    """A file with every reference to an instance that is there, each number once, lengths in mm."""
    file = p21.readfile(str(path))
    (data,) = file.data
    used = {name for entity in _entities(file) for name in _references(entity.params)}
    assert set() == used - set(data.references())
    assert len(data.references()) == len(set(data.references()))
    lengths = {
        tuple(str(p) for p in unit.params)
        for unit in _of(file, "SI_UNIT")
        if str(unit.params[1]) == ".METRE."
    }
    assert {(".MILLI.", ".METRE.")} == lengths
    return file


def _volumes(file: p21.StepFile) -> list[float]:
    """Those stored as validation properties, mm³."""
    return [
        item.params[1].param
        for item in _of(file, "MEASURE_REPRESENTATION_ITEM")
        if p21.is_typed_parameter(item.params[1]) and "VOLUME_MEASURE" == item.params[1].type_name
    ]


def _meshers_view(path: Path) -> dict[str, Any]:
    """What gmsh finds in a file; skips the test where gmsh can't be loaded."""
    run = subprocess.run(
        [sys.executable, "-c", READ, str(path)], capture_output=True, text=True, check=True, timeout=120
    )
    found: dict[str, Any] = json.loads(run.stdout)
    if "missing" in found:
        pytest.skip(f"gmsh can't be loaded here: {found['missing']}")
    return found


def _written(
    example: tuple[str, PartDimensions, cq.Solid], path: Path, schema: str = "AP242"
) -> tuple[float, float, float]:
    name, dimensions, solid = example
    colour = family_of(dimensions).colour
    write_step(
        solid, path, name=name, revision="B", colour=colour, originating_system="locksweep", schema=schema
    )
    return colour


@pytest.mark.parametrize("schema", SCHEMAS)
def test_parser_of_part_21(
    example: tuple[str, PartDimensions, cq.Solid], schema: str, tmp_path: Path
) -> None:
    """Syntax holds, every reference has its instance, no instance stands alone; one product, one solid, in mm."""
    path = tmp_path / "part.step"
    _written(example, path, schema)
    file = _sound(path)
    (product,) = _of(file, "PRODUCT")
    assert [example[0], example[0]] == list(product.params[:2])
    assert 1 == len(_of(file, "MANIFOLD_SOLID_BREP"))
    assert 1 == len(_of(file, "CLOSED_SHELL"))


def test_validation_properties_by_parser(
    example: tuple[str, PartDimensions, cq.Solid], tmp_path: Path
) -> None:
    """The stored volume is the closed-form one, and the stored centroid the solid's."""
    path = tmp_path / "part.step"
    _written(example, path)
    file = p21.readfile(str(path))
    (volume,) = _volumes(file)
    assert example[1].volume == pytest.approx(volume, rel=1e-8)
    places = [point.params[1] for point in _of(file, "CARTESIAN_POINT") if point.params[0] == "centre point"]
    (centroid,) = places
    found = example[2].Center()
    assert [found.x, found.y, found.z] == pytest.approx([float(x) for x in centroid], abs=1e-4)


def test_read_by_a_mesher(example: tuple[str, PartDimensions, cq.Solid], tmp_path: Path) -> None:
    """One solid of that name, with volume, centre, number of faces and colour as they were written."""
    path = tmp_path / "part.step"
    colour = _written(example, path)
    found = _meshers_view(path)
    name, dimensions, solid = example
    (label,) = found["names"]
    assert re.search(rf"\b{name}$", label)
    # Edges where two cylinders cross are projected anew on reading.
    assert [dimensions.volume] == pytest.approx(found["volumes"], rel=1e-6)
    assert len(solid.Faces()) == found["faces"]
    assert measure.volume(solid) == pytest.approx(found["volumes"][0], rel=1e-6)
    centre = solid.Center()
    assert [centre.x, centre.y, centre.z] == pytest.approx(found["centres"][0], abs=1e-3)
    (seen,) = found["colours"]
    assert [round(255 * c) for c in colour] == pytest.approx(seen[:3], abs=1)


SET: dict[str, tuple[PartDimensions, tuple[Placement, ...]]] = {
    "rack-spacer": (
        RING,
        (
            Placement((10.0, 600.0, 200.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
            Placement((10.0, -600.0, 200.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)),
        ),
    ),
    "closure-plate-left": (PAN, (Placement((-300.0, 500.0, 250.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)),)),
    # Its axes lie askew, 3-4-5.
    "bump-stop-left": (BOLTED_STOP, (Placement((-40.0, 610.0, 190.0), (0.6, 0.8, 0.0), (0.0, 0.0, 1.0)),)),
}
"""Parts of a set with their places, by name."""


@pytest.fixture(scope="module", params=SCHEMAS)
def assembly(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path]:
    """Schema and file of a set in its places."""
    path = tmp_path_factory.mktemp("assembly") / "assembly.step"
    parts = [
        Placed(name, "B", build(dimensions), family_of(dimensions).colour, places)
        for name, (dimensions, places) in SET.items()
    ]
    write_assembly(
        parts, path, name="the set", revision="C", originating_system="locksweep", schema=request.param
    )
    return request.param, path


def test_assembly_by_parser_of_part_21(assembly: tuple[str, Path]) -> None:
    """Syntax, references and units hold; one product and solid a part and one for the set, one occurrence a piece."""
    schema, path = assembly
    file = _sound(path)
    assert schema in str(file.header["FILE_SCHEMA"].params[0]).replace(
        "CONFIG_CONTROL_DESIGN", "AP203"
    ).replace("AUTOMOTIVE_DESIGN", "AP214")
    assert Counter(["the set", *SET]) == Counter(str(product.params[0]) for product in _of(file, "PRODUCT"))
    assert len(SET) == len(_of(file, "MANIFOLD_SOLID_BREP")) == len(_of(file, "CLOSED_SHELL"))
    pieces = [str(piece.params[1]) for piece in _of(file, "NEXT_ASSEMBLY_USAGE_OCCURRENCE")]
    expected = ["rack-spacer 1 of 2", "rack-spacer 2 of 2", "closure-plate-left", "bump-stop-left"]
    assert expected == pieces
    volumes = [dimensions.volume for dimensions, _ in SET.values()]
    assert sorted(volumes) == pytest.approx(sorted(_volumes(file)), rel=1e-8)


def test_assembly_read_by_a_mesher(assembly: tuple[str, Path]) -> None:
    """Each piece is there by name, with its closed-form volume, its centre where its place puts it, its colour."""
    _, path = assembly
    found = _meshers_view(path)
    expected = [(name, d, place) for name, (d, places) in SET.items() for place in places]
    assert len(expected) == len(found["names"])
    for (name, dimensions, place), label, volume, centre in zip(
        expected, found["names"], found["volumes"], found["centres"], strict=True
    ):
        assert label.endswith(f"/{name}")
        assert dimensions.volume == pytest.approx(volume, rel=1e-6)
        x, z = np.array(place.x_axis), np.array(place.z_axis)
        own = np.array(build(dimensions).Center().toTuple())
        wanted = np.array(place.origin) + np.column_stack([x, np.cross(z, x), z]) @ own
        assert wanted == pytest.approx(np.array(centre), abs=1e-3)
    colours = {tuple(round(255 * c) for c in family_of(d).colour) for d, _ in SET.values()}
    assert sorted(colours) == [
        pytest.approx(tuple(seen[:3]), abs=1) for seen in sorted(map(tuple, found["colours"]))
    ]
