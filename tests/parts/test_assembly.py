"""The assembly as another reader of the same kernel sees it: how many solids, where, what they are called."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from parts import assembly
from parts.assembly import Placed, check_assembly, write_assembly
from parts.catalogue import build
from parts.kernel import cq
from solver.errors import WriteError
from solver.part import Placement
from tests.parts.examples import PAN, RING

AT_ORIGIN = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
LEFT = Placement((10.0, 600.0, 200.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
RIGHT = Placement((10.0, -600.0, 200.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0))


def _parts() -> list[Placed]:
    return [
        Placed("rack-spacer", "B", build(RING), (0.7, 0.5, 0.2), (LEFT, RIGHT)),
        Placed("closure-plate-left", "A", build(PAN), (0.5, 0.5, 0.6), (AT_ORIGIN,)),
    ]


def _write(folder: Path, schema: str = "AP242") -> Path:
    path = folder / "assembly.step"
    write_assembly(_parts(), path, name="demo", revision="C", originating_system="locksweep 1", schema=schema)
    return path


@pytest.mark.parametrize("schema", ["AP242", "AP214", "AP203"])
def test_solids_where_they_sit(schema: str, tmp_path: Path) -> None:
    """CadQuery's own importer finds one solid a piece; rings lie along y with their middles 3 mm further out."""
    solids = cq.importers.importStep(str(_write(tmp_path, schema))).solids().vals()
    assert 3 == len(solids)
    middles = sorted(solid.Center().toTuple() for solid in solids)
    # A ring 6 mm thick about its own z axis, which points outwards: its middle lies at 600 + 3 mm.
    expected = sorted([(10.0, 603.0, 200.0), (10.0, -603.0, 200.0), build(PAN).Center().toTuple()])
    assert np.allclose(expected, middles, atol=1e-4)


def test_same_bytes_in_one_process(tmp_path: Path) -> None:
    """Writing it again gives the same bytes, whatever was written before."""
    first = _write(tmp_path).read_bytes()
    assert first == _write(tmp_path).read_bytes()


def test_names_revisions_and_colours(tmp_path: Path) -> None:
    """One product a part with its own revision, an occurrence a piece by name, and one colour a part."""
    text = _write(tmp_path).read_text(encoding="ascii").replace("\n", "")
    products = dict(re.findall(r"#(\d+) = PRODUCT\('([^']*)'", text))
    assert {"demo", "rack-spacer", "closure-plate-left"} == set(products.values())
    formations = re.findall(r"PRODUCT_DEFINITION_FORMATION\w*\('([^']*)','[^']*',#(\d+)", text)
    assert {"demo": "C", "rack-spacer": "B", "closure-plate-left": "A"} == {
        products[number]: revision for revision, number in formations
    }
    occurrences = re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('[^']*','([^']*)'", text)
    assert ["rack-spacer 1 of 2", "rack-spacer 2 of 2", "closure-plate-left"] == occurrences
    assert 2 == text.count("COLOUR_RGB")


def test_faults_are_seen(tmp_path: Path) -> None:
    """A piece too few, one elsewhere, another name and another volume do not pass."""
    path = _write(tmp_path)
    ring, pan = _parts()
    check_assembly([ring, pan], path)
    wrong = {
        "3 pieces, it must be 2": [Placed(ring.name, "B", ring.solid, ring.colour, (LEFT,)), pan],
        "out of its place": [Placed(ring.name, "B", ring.solid, ring.colour, (LEFT, AT_ORIGIN)), pan],
        "it must be": [Placed("another", "B", ring.solid, ring.colour, (LEFT, RIGHT)), pan],
        "another volume": [Placed(ring.name, "B", pan.solid, ring.colour, (LEFT, RIGHT)), pan],
    }
    for message, parts in wrong.items():
        with pytest.raises(WriteError, match=message):
            check_assembly(parts, path)


def test_colours_in_order() -> None:
    """Styles that the kernel wrote in another order come out the same, and nothing else moves."""

    def file(first: int, second: int) -> bytes:
        lines = [b"#1 = BREP('a');", b"#2 = BREP('b');"]
        for number, solid in ((3, first), (6, second)):
            lines.append(
                b"#%d = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#%d));"
                % (number, number + 1)
            )
            lines.append(b"#%d = STYLED_ITEM('color',(#%d),#%d);" % (number + 1, number + 2, solid))
            lines.append(b"#%d = COLOUR('%d');" % (number + 2, solid))
        return b"\n".join([*lines, b"#9 = PROPERTY('',#1);", b"ENDSEC;", b""])

    assert file(1, 2) == assembly._styles_in_order(file(2, 1)) == assembly._styles_in_order(file(1, 2))
