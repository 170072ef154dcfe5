"""Writing STEP: one part, one solid, one file, named, coloured and with its volume to check against.

The kernel's plain exporter calls every product after itself, stamps the time and writes AP214. So the file
goes through an XCAF document, the entities that the kernel fills from the clock and the login are set
before anything is written, and the file is read back.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from parts import measure
from parts.files import write_bytes
from parts.kernel import (
    TDF,
    APIHeaderSection,
    IFSelect,
    Interface,
    Quantity,
    STEPCAFControl,
    STEPControl,
    TCollection,
    TDataStd,
    TDocStd,
    XCAFDoc,
    cq,
)
from solver.errors import WriteError

SCHEMAS = {"AP242": "AP242DIS", "AP214": "AP214IS", "AP203": "AP203"}
"""What shops ask for by name, and what the kernel calls it."""

TIME_STAMP = "2000-01-01T00:00:00"
"""Fixed, so that the same part gives the same bytes; the documents carry the true dates."""

UNSPECIFIED = "unspecified"
"""Stands for the person and organization that AP203 demands: the kernel would put login and machine there."""

STORED_TOLERANCE = 1e-9
"""Relative, of the volume stored as a property. Only the file's decimals stand between."""

RECOMPUTED_TOLERANCE = 1e-6
"""Relative, of the volume of the solid that was read. Planes, cylinders and cones agree to 1e-10. Where two
cylinders cross, as in a plug hole of a round tube, a reader projects the edge onto both anew, because the
file leaves that out, and gets up to 1.1e-7 over hundreds of tubes: some 0.01 mm³ of a sleeve."""


@dataclass(frozen=True)
class Product:
    """What a STEP file calls its part.

    name: product identifier and name
    revision: identifier of the product's formation
    colour: red, green, blue, 0 to 1, sRGB
    layer: the name of the layer that holds the solid
    remark: goes into the file's description after name and revision
    revisions: of products inside an assembly that have one of their own, by product name
    """

    name: str
    revision: str
    colour: tuple[float, float, float]
    layer: str
    remark: str = ""
    revisions: Mapping[str, str] = field(default_factory=dict)


def write_step(
    solid: cq.Solid,
    path: Path,
    *,
    name: str,
    revision: str,
    colour: tuple[float, float, float],
    originating_system: str,
    schema: str = "AP242",
    remark: str = "",
) -> None:
    """Write one solid in millimetres, then read the file back.

    name: product and layer name
    revision: identifier of the product's formation, such as "A"
    colour: red, green, blue, 0 to 1, sRGB
    originating_system: program and version, for the header
    schema: "AP242", "AP214" or "AP203"
    remark: for the header's description, plain ASCII

    Raises:
        WriteError: the schema is unknown, the kernel refuses, the file can't be written, or what is read
            back differs in name, revision or volume.
    """
    path = Path(path)
    if schema not in SCHEMAS:
        raise WriteError(
            f"{path} was not written: the STEP schema {schema!r} is none of {', '.join(SCHEMAS)}"
        )
    product = Product(name, revision, colour, layer=name, remark=remark)
    volume = measure.volume(solid)
    data = encode(_document(solid, product), product, originating_system, schema, path)
    write_bytes(path, data)
    check_step(path, name=name, revision=revision, volume=volume)


def check_step(path: Path, *, name: str, revision: str, volume: float) -> None:
    """Read a file of our own back and hold it against what was meant.

    volume: in mm³

    Raises:
        WriteError: it can't be read, or holds another name, revision, unit, or volume.
    """
    document, reader = read_document(path)
    shapes = XCAFDoc.XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    labels = TDF.TDF_LabelSequence()
    shapes.GetFreeShapes(labels)
    if labels.Length() != 1:
        raise WriteError(f"{path} reads back as {labels.Length()} products, it must be 1")
    label = labels.Value(1)
    found = {"product name": (stored_name(label), name), "revision": (_stored_revision(reader), revision)}
    for what, (read_back, expected) in found.items():
        if read_back != expected:
            raise WriteError(f"{path} reads back with the {what} {read_back!r}, it must be {expected!r}")
    shape = cq.Shape.cast(shapes.GetShape_s(label))
    if len(shape.Solids()) != 1:
        raise WriteError(f"{path} reads back as {len(shape.Solids())} solids, it must be 1")
    stored, recomputed = stored_volume(label), measure.volume(shape)
    for what, value, tolerance in (
        ("stored", stored, STORED_TOLERANCE),
        ("recomputed", recomputed, RECOMPUTED_TOLERANCE),
    ):
        # Asks for what is right, so that NaN fails too.
        if not abs(value - volume) <= tolerance * volume:
            raise WriteError(
                f"{path} reads back with a {what} volume of {value!r} mm³, it must be {volume!r} mm³"
            )


def read_document(path: Path) -> tuple[Any, Any]:
    """Read a file with names and properties, in mm: the document and its reader.

    Raises:
        WriteError: it can't be read.
    """
    STEPCAFControl.STEPCAFControl_Controller.Init_s()
    Interface.Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    reader = STEPCAFControl.STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetPropsMode(True)
    document = new_document()
    read = reader.ReadFile(str(path)) == IFSelect.IFSelect_ReturnStatus.IFSelect_RetDone
    if not (read and reader.Transfer(document)):
        raise WriteError(f"{path} does not read back as STEP")
    return document, reader


def undefined_references(data: bytes) -> set[int]:
    """Numbers that are referred to as ``#n`` and defined nowhere; many readers crash on these."""
    text = re.sub(rb"'(?:[^']|'')*'", b"''", data)
    defined = {int(n) for n in re.findall(rb"^#(\d+)\s*=", text, re.MULTILINE)}
    return {int(n) for n in re.findall(rb"#(\d+)", text)} - defined


def new_document() -> Any:
    """An empty document of products."""
    return TDocStd.TDocStd_Document(TCollection.TCollection_ExtendedString("BinXCAF"))


def extended(text: str) -> Any:
    """Text as a document holds it."""
    # True stands for UTF-8; anything beyond ASCII turns to rubbish without it.
    return TCollection.TCollection_ExtendedString(text, True)


def _document(solid: cq.Solid, product: Product) -> Any:
    document = new_document()
    main, tools = document.Main(), XCAFDoc.XCAFDoc_DocumentTool
    label = add_solid(document, solid, product.name, product.colour)
    tools.LayerTool_s(main).SetLayer(label, extended(product.layer))
    return document


def add_solid(document: Any, solid: cq.Solid, name: str, colour: tuple[float, float, float]) -> Any:
    """Put a solid into a document with name, colour, and its volume, area and centroid; its label."""
    main, tools = document.Main(), XCAFDoc.XCAFDoc_DocumentTool
    label = tools.ShapeTool_s(main).AddShape(solid.wrapped, False)
    TDataStd.TDataStd_Name.Set_s(label, extended(name))
    shown = Quantity.Quantity_Color(*colour, Quantity.Quantity_TypeOfColor.Quantity_TOC_sRGB)
    tools.ColorTool_s(main).SetColor(label, shown, XCAFDoc.XCAFDoc_ColorType.XCAFDoc_ColorSurf)
    volume, centroid = measure.volume_and_centroid(solid)
    XCAFDoc.XCAFDoc_Volume.Set_s(label, volume)
    XCAFDoc.XCAFDoc_Area.Set_s(label, measure.area(solid))
    XCAFDoc.XCAFDoc_Centroid.Set_s(label, cq.Vector(*centroid).toPnt())
    return label


def encode(document: Any, product: Product, originating_system: str, schema: str, path: Path) -> bytes:
    """The bytes of a file that holds a document.

    Raises:
        WriteError: the kernel refuses, or refers to what it does not define.
    """
    # The controller must be there before any setting, or the setting is ignored; settings are global to the
    # process, so others may have changed them.
    STEPCAFControl.STEPCAFControl_Controller.Init_s()
    static = Interface.Interface_Static
    accepted = [
        static.SetCVal_s("write.step.schema", SCHEMAS[schema]),
        static.SetCVal_s("write.step.unit", "MM"),
        static.SetCVal_s("xstep.cascade.unit", "MM"),
        static.SetIVal_s(
            "write.surfacecurve.mode", 0
        ),  # no pcurves: a third of the size, and readers rebuild them
    ]
    writer = STEPCAFControl.STEPCAFControl_Writer()
    for switch_on in (writer.SetColorMode, writer.SetNameMode, writer.SetLayerMode, writer.SetPropsMode):
        switch_on(True)
    if not (
        all(accepted) and writer.Transfer(document, STEPControl.STEPControl_StepModelType.STEPControl_AsIs)
    ):
        raise WriteError(f"{path} was not written: the kernel refuses to turn the solid into STEP {schema}")
    model = writer.ChangeWriter().Model()
    _fill_in(model, product)
    _fill_header(model, product, originating_system)
    stream = io.BytesIO()
    if writer.WriteStream(stream) != IFSelect.IFSelect_ReturnStatus.IFSelect_RetDone:
        raise WriteError(f"{path} was not written: the kernel failed to write STEP {schema}")
    data = stream.getvalue()
    if missing := undefined_references(data):
        listed = ", ".join(f"#{n}" for n in sorted(missing))
        raise WriteError(f"{path} was not written: the kernel refers to {listed} without defining it")
    return data


def _ascii(text: str) -> Any:
    return TCollection.TCollection_HAsciiString(text)


def _fill_in(model: Any, product: Product) -> None:
    """Set the revision, and take clock, login and machine out of what AP203 demands of every product."""
    occurrences = 0
    for number in range(1, model.NbEntities() + 1):
        entity = model.Value(number)
        match type(entity).__name__:
            case "StepRepr_NextAssemblyUsageOccurrence":
                # The kernel counts on through all that a process writes.
                occurrences += 1
                entity.SetId(_ascii(str(occurrences)))
            case (
                "StepBasic_ProductDefinitionFormation"
                | "StepBasic_ProductDefinitionFormationWithSpecifiedSource"
            ):
                name = entity.OfProduct().Id().ToCString()
                entity.SetId(_ascii(product.revisions.get(name, product.revision)))
            case "StepBasic_Person":
                entity.SetId(_ascii(UNSPECIFIED))
                entity.SetFirstName(_ascii(""))
                entity.SetLastName(_ascii(UNSPECIFIED))
            case "StepBasic_Organization":
                entity.SetId(_ascii(UNSPECIFIED))
                entity.SetName(_ascii(UNSPECIFIED))
            case "StepBasic_CalendarDate":
                entity.SetYearComponent(2000)
                entity.SetMonthComponent(1)
                entity.SetDayComponent(1)
            case "StepBasic_LocalTime":
                entity.SetHourComponent(0)
                entity.SetMinuteComponent(0)
            case "StepBasic_CoordinatedUniversalTimeOffset":
                entity.SetHourOffset(0)
                entity.SetMinuteOffset(0)


def _fill_header(model: Any, product: Product, originating_system: str) -> None:
    header = APIHeaderSection.APIHeaderSection_MakeHeader(model)
    header.SetName(_ascii(product.name))
    header.SetTimeStamp(_ascii(TIME_STAMP))
    header.SetAuthorValue(1, _ascii(""))
    header.SetOrganizationValue(1, _ascii(""))
    header.SetOriginatingSystem(_ascii(originating_system))
    header.SetAuthorisation(_ascii(""))
    description = f"{product.name} revision {product.revision}"
    header.SetDescriptionValue(1, _ascii("; ".join(filter(None, (description, product.remark)))))


def stored_name(label: Any) -> str | None:
    """The name that a label was read with."""
    name = TDataStd.TDataStd_Name()
    if not label.FindAttribute(TDataStd.TDataStd_Name.GetID_s(), name):
        return None
    return str(name.Get().ToExtString())


def stored_volume(label: Any) -> float:
    """The volume property that a label was read with, mm³; NaN without one."""
    volume = XCAFDoc.XCAFDoc_Volume()
    if not label.FindAttribute(XCAFDoc.XCAFDoc_Volume.GetID_s(), volume):
        return float("nan")
    return float(volume.Get())


def _stored_revision(reader: Any) -> str | None:
    model = reader.Reader().WS().Model()
    for number in range(1, model.NbEntities() + 1):
        entity = model.Value(number)
        if type(entity).__name__.startswith("StepBasic_ProductDefinitionFormation"):
            return str(entity.Id().ToCString())
    return None
