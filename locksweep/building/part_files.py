"""The files of each part: solids for the shops and for the printer, outlines for cutting, drawings, printed aids."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from locksweep import __version__
from locksweep.documents.title_data import title_data
from locksweep.revisions import Built, copy_unchanged, identity
from locksweep.solved import Solved
from parts.catalogue import build as build_solid
from parts.catalogue import family_of
from solver.part import Part

if TYPE_CHECKING:
    from parts.drawing.title_block import Issue
    from parts.kernel import cq

OVERRIDDEN = "STRENGTH CHECK OVERRIDDEN"
"""What every file of a part says that is made although a check falls short."""


@dataclass(frozen=True)
class FileOptions:
    """How files are written.

    schema: of the STEP files, AP242, AP214 or AP203
    single_layer: all of a cutting file on one layer
    """

    schema: str = "AP242"
    single_layer: bool = False


AS_USUAL = FileOptions()


@dataclass
class PartFiles:
    """Where the files of parts go, and the solids that were built for them so far; each process has its own.

    revisions: each part's letter
    """

    solved: Solved
    folder: Path
    revisions: Mapping[str, str]
    options: FileOptions
    progress: Callable[[str], None]
    solids: dict[str, cq.Solid] = field(default_factory=dict)

    def solid(self, part: Part) -> cq.Solid:
        """The part's solid, built when it is first asked for."""
        if part.name not in self.solids:
            self.progress(f"building {part.name}")
            self.solids[part.name] = build_solid(part.dimensions)
        return self.solids[part.name]

    def copy_unchanged(self, part: Part, history: Iterable[Built]) -> bool:
        """Take a part's files over from an earlier build; False when none has them as they would be written now."""
        found = copy_unchanged(part.name, self.made_from(part), self.names(part), history, self.folder)
        if found:
            self.progress(f"{part.name}: as before, its files are taken over")
        return found

    def made_from(self, part: Part) -> str:
        """Hash of all that the part's files depend on."""
        # What is printed tells how it is laid and what set it, which may change while the sheet stays as it is.
        printed = [part.fits, part.reasons, part.notes] if _is_paper(part) else []
        data = [identity(part), asdict(self._issue(part)), asdict(self.options), printed, __version__]
        return hashlib.sha256(json.dumps(data).encode()).hexdigest()

    def write_shapes(self, parts: Iterable[Part]) -> None:
        """STEP and STL, or a print at full size of what is only paper; and, for flat parts, DXF."""
        for part in parts:
            if _is_paper(part):
                self._write_print(part)
            else:
                self._write_solid(part)
            self._write_outline(part)

    def _write_solid(self, part: Part) -> None:
        from parts.mock_up import mock_up
        from parts.step import write_step
        from parts.stl import write_stl

        solid, stem, remark = self.solid(part), self._stem(part), _remark(part)
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
        write_stl(mock_up(solid).solid, self.folder / f"{stem}.stl", name=f"{stem} {remark}".rstrip())

    def _write_print(self, part: Part) -> None:
        from locksweep.paper import write_paper

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
                remark=_remark(part),
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
        """Names of all files of a part."""
        kinds = ["pdf"] if _is_paper(part) else ["step", "stl"]
        if part.dimensions.flat_pattern() is not None:
            kinds.append("dxf")
        return (*(f"{self._stem(part)}.{kind}" for kind in kinds), *self._drawing_names(part))

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
        return title_data(part, self.revisions[part.name], job.name, job.stock_units, _remark(part))


def _is_paper(part: Part) -> bool:
    return family_of(part.dimensions).paper


def _remark(part: Part) -> str:
    return OVERRIDDEN if part.overridden else ""
