"""The files of each part: solids for the shops, mock-ups for the printer, outlines for cutting, drawings, prints."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from locksweep import __version__
from locksweep.documents.title_data import title_data
from locksweep.documents.verdicts import OVERRIDDEN
from locksweep.revisions import SUMMARY, Built, as_written, copy_unchanged, identity
from locksweep.solved import Solved
from parts.catalogue import build as build_solid
from parts.catalogue import family_of
from solver.part import Part
from solver.printing import Printing, usual_printing

if TYPE_CHECKING:
    from locksweep.report.meshes import Mesh
    from parts.drawing.title_block import Issue
    from parts.kernel import cq


@dataclass(frozen=True)
class FileOptions:
    """How files are written.

    schema: of the STEP files, AP242, AP214 or AP203
    single_layer: all of a cutting file on one layer
    pictures: each part and the set of them as PNG files as well
    """

    schema: str = "AP242"
    single_layer: bool = False
    pictures: bool = False


AS_USUAL = FileOptions()


@dataclass
class PartFiles:
    """Where the files of parts go, and what was built for them so far; each process has its own.

    revisions: each part's letter; solids: by the part's name; mock_ups: what the record says of them, the same way
    taken_over: from which build a part's files came that is as it was
    pictured: whether there are pictures; no_pictures: why those that were asked for aren't there, a clause
    """

    solved: Solved
    folder: Path
    revisions: Mapping[str, str]
    options: FileOptions
    progress: Callable[[str], None]
    solids: dict[str, cq.Solid] = field(default_factory=dict)
    mock_ups: dict[str, dict[str, Any]] = field(default_factory=dict)
    taken_over: dict[str, Built] = field(default_factory=dict)
    pictured: bool = False
    no_pictures: str = ""

    @property
    def printing(self) -> Printing:
        """The printer that mock-ups are made for."""
        return self.solved.job.printing or usual_printing()

    @contextmanager
    def drawing_pictures(self, parts: tuple[Part, ...]) -> Iterator[None]:
        """Have pictures drawn, where they are asked for, while the block runs, and wait for them at its end.

        A machine that can't draw them builds all the same.
        """
        if not self.options.pictures:
            yield
            return
        from locksweep.pictures.asked import asked_of
        from locksweep.pictures.draw import drawing

        with drawing(asked_of(parts, self.revisions), self.folder) as pictures:
            yield
            self.progress("drawing the pictures")
            self.pictured = pictures.finish()
            self.no_pictures = pictures.missing

    def solid(self, part: Part) -> cq.Solid:
        """The part's solid, built when it is first asked for."""
        if part.name not in self.solids:
            self.progress(f"building {part.name}")
            self.solids[part.name] = build_solid(part.dimensions)
        return self.solids[part.name]

    def copy_unchanged(self, part: Part, history: Iterable[Built]) -> bool:
        """Take a part's files over from an earlier build; False when none has them as they would be written now."""
        built = copy_unchanged(part.name, self.made_from(part), history, self.folder, SUMMARY)
        if built is None:
            return False
        self.progress(f"{part.name}: as before, its files are taken over")
        self.taken_over[part.name] = built
        then = json.loads((built.folder / SUMMARY).read_text(encoding="utf-8"))
        mock_up = next(each["mock_up"] for each in then["parts"] if each["name"] == part.name)
        if mock_up:
            self.mock_ups[part.name] = mock_up
        return True

    def light_meshes(self, parts: Iterable[Part]) -> dict[str, Mesh]:
        """For the report, by the part's name; those of parts taken over come from the report that they were in."""
        from locksweep.report.meshes import light_mesh, meshes_in
        from locksweep.report.page import REPORT

        reports = {built.folder: built for built in self.taken_over.values()}
        known = {
            folder: meshes_in(folder / REPORT)
            for folder, built in reports.items()
            if as_written(built, REPORT)
        }
        found = {}
        for part in parts:
            if _is_paper(part):
                continue
            built = self.taken_over.get(part.name)
            mesh = known.get(built.folder, {}).get(part.name) if built else None
            found[part.name] = light_mesh(self.solid(part)) if mesh is None else mesh
        return found

    def made_from(self, part: Part) -> str:
        """Hash of all that the part's files depend on."""
        # What is printed tells how it is laid and what set it, which may change while the sheet stays as it is.
        printed = [part.fits, part.reasons, part.notes] if _is_paper(part) else []
        data = [
            identity(part),
            asdict(self._issue(part)),
            asdict(self.options),
            asdict(self.printing),
            printed,
            __version__,
        ]
        return hashlib.sha256(json.dumps(data).encode()).hexdigest()

    def write_shapes(self, parts: Iterable[Part]) -> None:
        """STEP and mock-up, or a print at full size of what is only paper; and, for flat parts, DXF."""
        for part in parts:
            if _is_paper(part):
                self._write_print(part)
            else:
                self._write_solid(part)
            self._write_outline(part)

    def _write_solid(self, part: Part) -> None:
        from locksweep.building.mock_up_files import mock_up_record, write_mock_up
        from parts.mock_up import mock_up
        from parts.step import write_step

        solid, stem, remark = self.solid(part), self._stem(part), remark_on(part)
        write_step(
            solid,
            self.folder / f"{stem}.step",
            name=part.name,
            revision=self.revisions[part.name],
            colour=family_of(part.dimensions).colour,
            originating_system=f"locksweep {__version__}",
            schema=self.options.schema,
            remark=remark,
        )
        if not _is_aid(part):
            made = mock_up(part.dimensions, stem, self.printing, solid)
            write_mock_up(made, self.folder, part.name, remark)
            halved = part.dimensions.halved_across is not None
            self.mock_ups[part.name] = mock_up_record(made, halves=halved)

    def _write_print(self, part: Part) -> None:
        from locksweep.building.paper import write_paper

        self.progress(f"printing {part.name}")
        units = self.solved.job.stock_units
        write_paper(
            part, self.folder / f"{self._stem(part)}.pdf", revision=self.revisions[part.name], units=units
        )

    def _write_outline(self, part: Part) -> None:
        from parts.dxf import write_dxf

        pattern = part.dimensions.flat_pattern()
        if pattern is not None:
            write_dxf(
                pattern,
                self.folder / f"{self._stem(part)}.dxf",
                name=part.name,
                revision=self.revisions[part.name],
                single_layer=self.options.single_layer,
                remark=remark_on(part),
            )

    def write_drawings(self, parts: Iterable[Part]) -> None:
        """A sheet for each part that has a solid."""
        from parts.drawing.sheet import write_drawing

        for part in parts:
            if not _is_paper(part):
                write_drawing(self.solid(part), part.dimensions, self._issue(part), self.folder)

    def remove(self, parts: Iterable[Part]) -> None:
        """Take files back, of parts that are not made after all."""
        for part in parts:
            for name in self.names(part):
                (self.folder / name).unlink(missing_ok=True)

    def names(self, part: Part) -> tuple[str, ...]:
        """Names of all files of a part, those of its mock-up once they are written."""
        from locksweep.building.mock_up_files import mock_up_names

        kinds = ["pdf"] if _is_paper(part) else ["step"]
        if part.dimensions.flat_pattern() is not None:
            kinds.append("dxf")
        if self.pictured and not _is_paper(part):
            kinds.append("png")
        printed = mock_up_names(self.mock_ups[part.name]) if part.name in self.mock_ups else ()
        return (*(f"{self._stem(part)}.{kind}" for kind in kinds), *printed, *self._drawing_names(part))

    def _stem(self, part: Part) -> str:
        return f"{part.name}-{self.revisions[part.name]}"

    def _drawing_names(self, part: Part) -> tuple[str, ...]:
        if _is_paper(part):
            return ()
        # The sheet's modules bring the CAD kernel along.
        from parts.drawing.sheet import drawing_names

        return drawing_names(self._issue(part))

    def _issue(self, part: Part) -> Issue:
        job = self.solved.job
        return title_data(part, self.revisions[part.name], job.name, job.stock_units, remark_on(part))


def _is_paper(part: Part) -> bool:
    return family_of(part.dimensions).paper


def _is_aid(part: Part) -> bool:
    return part.role == "marking aid"


def remark_on(part: Part) -> str:
    """What every file of the part says, "" for nothing."""
    return OVERRIDDEN if part.overridden else ""
