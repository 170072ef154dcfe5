"""STEP files as a shop's program reads them, and that faults in them are seen."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from OCP.Quantity import Quantity_Color
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDF import TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

from parts import measure
from parts.catalogue import build, family_of
from parts.kernel import cq
from parts.step import SCHEMAS, check_step, undefined_references, write_step
from solver.errors import WriteError
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.families.base import PartDimensions
from tests.parts.examples import EXAMPLES, RING
from tests.parts.strategies import arm_sleeves

FILE_SCHEMAS = {
    "AP242": "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF",
    "AP214": "AUTOMOTIVE_DESIGN",
    "AP203": "CONFIG_CONTROL_DESIGN",
}


def _text(path: Path) -> str:
    """Without the line breaks that the format puts anywhere."""
    return re.sub(r"\n\s*", "", path.read_text(encoding="utf-8"))


def _write(solid: cq.Solid, path: Path, schema: str = "AP242", revision: str = "B") -> None:
    write_step(
        solid,
        path,
        name="test-part",
        revision=revision,
        colour=(0.72, 0.53, 0.2),
        originating_system="locksweep 1.2.3",
        schema=schema,
    )


@pytest.mark.parametrize("schema", SCHEMAS)
def test_read_back(example: tuple[str, PartDimensions, cq.Solid], schema: str, tmp_path: Path) -> None:
    """One valid solid of the closed-form volume and envelope, in millimetres, whatever the schema."""
    _, dimensions, solid = example
    path = tmp_path / "part.step"
    _write(solid, path, schema)
    (found,) = cq.importers.importStep(str(path)).solids().vals()
    assert found.isValid()
    # Edges where two cylinders cross are projected anew on reading, which moves the volume by up to 1.1e-7.
    assert dimensions.volume == pytest.approx(measure.volume(found), rel=1e-6)
    assert dimensions.envelope == pytest.approx(measure.box(found).size, abs=1e-5)


@given(arm_sleeves("round"))
@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_round_sleeve_reads_back(tmp_path: Path, dimensions: ArmSleeveDimensions) -> None:
    """Any tube with plug holes, whose edges a reader has to find anew, passes the writer's own check."""
    path = tmp_path / "sleeve.step"
    _write(build(dimensions), path)
    assert 0 < path.stat().st_size


@pytest.mark.parametrize("schema", SCHEMAS)
def test_header_and_product(schema: str, tmp_path: Path) -> None:
    """Schema, time stamp, originating system, product name, revision and unit are in the text."""
    path = tmp_path / "ring.step"
    _write(build(RING), path, schema)
    text = _text(path)
    assert f"FILE_SCHEMA(('{FILE_SCHEMAS[schema]}" in text
    assert "FILE_NAME('test-part','2000-01-01T00:00:00',(''),('')," in text
    assert "'locksweep 1.2.3','');" in text
    assert "FILE_DESCRIPTION(('test-part revision B'),'2;1');" in text
    assert 1 == len(re.findall(r"= PRODUCT\('test-part','test-part',", text))
    assert 1 == len(re.findall(r"= PRODUCT_DEFINITION_FORMATION\w*\('B',", text))
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert "PRESENTATION_LAYER_ASSIGNMENT('test-part'" in text
    assert "PCURVE" not in text


def test_nothing_of_login_machine_or_clock(tmp_path: Path) -> None:
    """AP203 demands a person, an organization and a date; none of them is the builder's."""
    path = tmp_path / "ring.step"
    _write(build(RING), path, "AP203")
    text = _text(path)
    assert "PERSON('unspecified','unspecified','',$,$,$)" in text
    assert "ORGANIZATION('unspecified','unspecified','')" in text
    assert ["2000,1,1"] == re.findall(r"CALENDAR_DATE\(([^)]*)\)", text)
    assert ["0,0"] == re.findall(r"LOCAL_TIME\((\d+,\d+)", text)


@pytest.mark.parametrize("name", EXAMPLES)
def test_colour_and_stored_properties(name: str, tmp_path: Path) -> None:
    """Colour, and volume, area and centroid as validation properties, read back as they were given."""
    dimensions = EXAMPLES[name]
    solid, colour = build(dimensions), family_of(dimensions).colour
    path = tmp_path / "part.step"
    write_step(solid, path, name=name, revision="A", colour=colour, originating_system="x")
    reader = STEPCAFControl_Reader()
    reader.SetColorMode(True)
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    reader.ReadFile(str(path))
    assert reader.Transfer(document)
    labels = TDF_LabelSequence()
    tools = XCAFDoc_DocumentTool
    tools.ShapeTool_s(document.Main()).GetFreeShapes(labels)
    shape = tools.ShapeTool_s(document.Main()).GetShape_s(labels.Value(1))
    found = Quantity_Color()
    assert tools.ColorTool_s(document.Main()).GetColor(shape, XCAFDoc_ColorType.XCAFDoc_ColorSurf, found)
    # The kernel keeps linear channels in single precision.
    linear = [((c + 0.055) / 1.055) ** 2.4 for c in colour]
    assert linear == pytest.approx([found.Red(), found.Green(), found.Blue()], abs=1e-6)
    text = _text(path)
    volume, area = (
        float(re.search(rf"MEASURE_REPRESENTATION_ITEM\('[^']*',{kind}_MEASURE\(([\d.E+]+)\)", text)[1])
        for kind in ("VOLUME", "AREA")
    )
    assert dimensions.volume == pytest.approx(volume, rel=1e-8)
    assert solid.Area() == pytest.approx(area, rel=1e-4)  # the kernel's plain integration is that coarse


def _tampered(tmp_path: Path, old: str, new: str) -> Path:
    path = tmp_path / "ring.step"
    _write(build(RING), path)
    text = path.read_text(encoding="utf-8")
    changed = re.sub(old, new, text)
    assert changed != text
    path.write_text(changed, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (r"PRODUCT\('test-part','test-part'", "PRODUCT('other','other'", "product name 'other'"),
        (r"FORMATION\('B'", "FORMATION('C'", "revision 'C', it must be 'B'"),
        (r"3\.64424", "3.64434", r"stored volume of 3644\.3"),
        (r"(CYLINDRICAL_SURFACE\('',#\d+,)15\.", r"\g<1>15.001", r"recomputed volume of 3644\.\d+ mm³"),
        (r"\.MILLI\.,\.METRE\.", "$,.METRE.", r"a (stored|recomputed) volume of \d"),
    ],
)
def test_faults_are_seen(old: str, new: str, message: str, tmp_path: Path) -> None:
    """A file whose name, revision, volume, radius or unit was changed does not pass."""
    path = _tampered(tmp_path, old, new)
    with pytest.raises(WriteError, match=message):
        check_step(path, name="test-part", revision="B", volume=measure.volume(build(RING)))


def test_no_step_at_all(tmp_path: Path) -> None:
    """Text that is no STEP is refused by path."""
    path = tmp_path / "ring.step"
    path.write_text("nothing of the kind", encoding="ascii")
    with pytest.raises(WriteError, match=r"ring\.step does not read back as STEP"):
        check_step(path, name="test-part", revision="B", volume=1.0)


def test_undefined_references() -> None:
    """A reference without a definition is found; one inside a quoted name is none."""
    data = b"#1 = POINT('a #9 it''s #8',(0.,1.));\n#2 = LINE('',#1,\n  #3);\n#10 = X(#2);\n"
    assert {3} == undefined_references(data)
    assert set() == undefined_references(data + b"#3 = VECTOR('');\n")


def test_unknown_schema(tmp_path: Path) -> None:
    """A schema that nobody writes is named, and nothing is written."""
    path = tmp_path / "ring.step"
    with pytest.raises(WriteError, match="the STEP schema 'AP999' is none of AP242, AP214, AP203"):
        _write(build(RING), path, "AP999")
    assert not path.exists()


def test_settings_of_others_do_not_matter(tmp_path: Path) -> None:
    """The kernel's settings are global; a schema or unit that someone else set leaves no trace."""
    _write(build(RING), tmp_path / "before.step")
    cq.exporters.export(cq.Workplane(obj=build(RING)), str(tmp_path / "inch.step"), unit="INCH")
    _write(build(RING), tmp_path / "other.step", "AP203")
    _write(build(RING), tmp_path / "after.step")
    assert (tmp_path / "before.step").read_bytes() == (tmp_path / "after.step").read_bytes()
    assert (tmp_path / "before.step").read_bytes() != (tmp_path / "other.step").read_bytes()
