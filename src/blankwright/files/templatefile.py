"""The template file: TOML that states a drill template or an opening, read with the part file's
reader."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final, TypeVar

from blankwright.base.errors import BlankwrightError
from blankwright.files.partfile.holes import holes_of
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.opened import Opened, opened
from blankwright.files.partfile.schema import HoleTable, Table
from blankwright.files.partfile.shapes import Missing, outline_of
from blankwright.files.partfile.syntax import read_text
from blankwright.files.templatefile_measured import diagonal_of, size_error
from blankwright.files.templatefile_parts import carried_holes, opening_of, wishes_of
from blankwright.files.templatefile_schema import (
    TEMPLATE_TABLES,
    CarryTable,
    MeasuredTable,
    OpeningTable,
    PlaceTable,
    PlateTable,
    StructureTable,
    TapeTable,
    TemplateHead,
    TemplateReferenceTable,
    WordsTable,
)
from blankwright.holes.network import MeasuredDiagonal
from blankwright.holes.placing import USUAL, Measured, Way, Wish
from blankwright.holes.template import (
    OpeningCut,
    Reference,
    Tape,
    Template,
    keep_off,
)
from blankwright.part.model import DrawnFlat, DrawnHole, HoleKind, Part, Sheet
from blankwright.part.outlines import Outline
from blankwright.part.sizes import nearest

_T = TypeVar("_T", bound=Table)

PLATE: Final = "plate"
"""Name of the template's one flat."""

ReadPart = Callable[[str, str], Part]
"""Gives a part of the project, by the name of its file and variant."""


def read_template(
    path: Path, parts: ReadPart, *, sizes: Mapping[str, str] | None = None, variant: str = ""
) -> Template:
    """Read a template file.

    Args:
        path: the file
        parts: gives the parts that it takes holes from
        sizes: texts that stand in place of those in the file, by name of the size
        variant: name of a variant of the file

    Raises:
        BadInput: with every problem of the file
        FileProblem: when there is no such file, or it is no text
    """
    return read_template_text(
        read_text(path), path.stem, parts, file=str(path), sizes=sizes, variant=variant
    )


def read_template_text(
    text: str,
    name: str,
    parts: ReadPart,
    *,
    file: str = "",
    sizes: Mapping[str, str] | None = None,
    variant: str = "",
) -> Template:
    """Read a template from the text of a template file; `file` is what messages call it.

    Raises:
        BadInput: with every problem of the text
    """
    file_read = opened(text, file or name)
    template = _Reader(file_read, name, parts).template(sizes, variant)
    file_read.problems.raise_if_any()
    if template is None:  # pragma: no cover - every way to no template collects a problem
        raise AssertionError("no template and no problem")
    return template


class _Reader:
    """Builds one template from the tables of its file."""

    def __init__(self, file_read: Opened, name: str, parts: ReadPart) -> None:
        self.file = file_read
        self.tables = file_read.tables
        self.name = name
        self.problems = file_read.problems
        self.parts = parts

    def template(self, overrides: Mapping[str, str] | None, variant: str) -> Template | None:
        head = self.file.head(TemplateHead, TEMPLATE_TABLES, "template file")
        worked, numbers = self.file.sizes(overrides, variant)
        thickness = self._structure(numbers)
        opening = self._opening(numbers)
        outline, sheet = self._plate(numbers, opening)
        references = self._references(numbers, thickness)
        tables = self.file.many("measured", MeasuredTable)
        measured = self._measured(numbers, tables, references)
        diagonals = self._diagonals(numbers, tables, references, measured)
        holes = self._holes(numbers, opening, outline)
        wishes: dict[Way, tuple[Wish, ...]] = {}
        if outline is not None:
            table = self.file.one("place", PlaceTable)
            if table is not None:
                wishes = wishes_of(numbers, table, references, measured, outline)
        tape = self._tape(numbers)
        words = self.file.one("words", WordsTable) or WordsTable()
        if head is None or outline is None or sheet is None or self.problems.found:
            return None
        return Template(
            name=f"{self.name}-{variant}" if variant else self.name,
            plate=Part(
                name=f"{self.name}-{variant}" if variant else self.name,
                title=head.title,
                drawing=head.drawing,
                sheet=sheet,
                sizes=tuple(worked.sizes.values()),
                root=DrawnFlat(name=PLATE, outline=outline.loop, edges=outline.edges),
                bends=(),
                holes=holes,
                stated=MappingProxyType(numbers.stated),
                notes=tuple(head.notes),
            ),
            references=references,
            measured=measured,
            wishes=wishes,
            diagonals=diagonals,
            words={key: word for key, word in words.model_dump().items() if word},
            tape=tape,
            mirror=head.mirror,
            opening=opening,
            paper="plate" not in self.tables,
            thickness=thickness,
            notes=tuple(head.notes),
        )

    def _structure(self, numbers: Numbers) -> float:
        table = self.file.one("structure", StructureTable)
        if table is None:
            return 0.0
        return numbers.length("structure.thickness", table.thickness, over=0.0) or 0.0

    def _opening(self, numbers: Numbers) -> OpeningCut | None:
        table = self.file.one("opening", OpeningTable)
        if table is None:
            return None
        try:
            return opening_of(numbers, table, has_plate="plate" in self.tables)
        except Missing:
            return None

    def _plate(
        self, numbers: Numbers, opening: OpeningCut | None
    ) -> tuple[Outline | None, Sheet | None]:
        if "plate" not in self.tables:
            if opening is None and "opening" not in self.tables:
                self.problems.add(
                    "PART-003",
                    "plate",
                    "there is neither [plate] nor [opening]",
                    "a plate to drill through, an opening to cut, or both",
                    'Add [plate] with outline = { rectangle = ["6 in", "4 in"] }, say',
                    line=0,
                )
            if opening is None:
                return None, None
            names = tuple(f"edge_{i + 1}" for i in range(len(opening.loop.edges)))
            return Outline(opening.loop, names), Sheet(alloy="paper", thickness=0.1)
        table = self.file.one("plate", PlateTable)
        if table is None:
            return None, None
        thickness = numbers.length("plate.thickness", table.thickness, over=0.0)
        try:
            outline = outline_of(numbers, "plate.outline", table.outline)
        except Missing:
            return None, None
        if thickness is None:
            return outline, None
        return outline, Sheet(alloy=table.material, thickness=thickness)

    def _references(self, numbers: Numbers, thickness: float) -> dict[str, Reference]:
        found: dict[str, Reference] = {}
        for name, table in self.file.many("references", TemplateReferenceTable).items():
            place = f"references.{name}"
            keep = numbers.length(f"{place}.keep", table.keep, least=0.0)
            source = "template file"
            if table.keep is None:
                try:
                    known = keep_off(table.kind, table.rivet.removesuffix("in").strip(), thickness)
                except BlankwrightError as error:
                    problem = error.problems[0]
                    self.problems.add(problem.code, f"{place}.rivet", problem.got, problem.allowed)
                    continue
                keep, source = known or (None, "")
            found[name] = Reference(
                name=name,
                kind=table.kind,
                way=Way(table.runs),
                keep=keep,
                keep_source=source,
                note=table.note,
            )
        return found

    def _diagonals(
        self,
        numbers: Numbers,
        tables: Mapping[str, MeasuredTable],
        references: Mapping[str, Reference],
        measured: Mapping[Way, tuple[Measured, ...]],
    ) -> tuple[MeasuredDiagonal, ...]:
        found = []
        for name, table in tables.items():
            if isinstance(table.from_, str) and isinstance(table.to, str):
                continue
            with contextlib.suppress(Missing):
                found.append(diagonal_of(numbers, f"measured.{name}", table, references, measured))
        return tuple(found)

    def _measured(
        self,
        numbers: Numbers,
        tables: Mapping[str, MeasuredTable],
        references: Mapping[str, Reference],
    ) -> dict[Way, tuple[Measured, ...]]:
        found: dict[Way, list[Measured]] = {way: [] for way in Way}
        for name, table in tables.items():
            place = f"measured.{name}"
            if not isinstance(table.from_, str) or not isinstance(table.to, str):
                continue  # a diagonal
            distance = numbers.length(f"{place}.distance", table.distance)
            plus_minus = numbers.length(f"{place}.plus_minus", table.plus_minus, over=0.0)
            first = self._reference(f"{place}.from", table.from_, references)
            second = self._reference(f"{place}.to", table.to, references)
            if first is None or second is None or distance is None:
                continue
            if first.way is not second.way or first is second:
                self.problems.add(
                    "TEMPLATE-002",
                    place,
                    f"`{first.name}` and `{second.name}` do not run side by side",
                    "two references that run the same way",
                )
                continue
            found[first.way].append(
                Measured(
                    name=name,
                    first=first.name,
                    second=second.name,
                    distance=distance,
                    plus_minus=plus_minus or size_error(numbers, place) or USUAL,
                    ends=(table.at,) if table.at else ("low", "high"),
                )
            )
        return {way: tuple(items) for way, items in found.items()}

    def _reference(
        self, place: str, name: str, references: Mapping[str, Reference]
    ) -> Reference | None:
        if name not in references:
            self.problems.add(
                "TEMPLATE-001",
                place,
                f"no reference is named `{name}`",
                ", ".join(references) or "none are stated",
                nearest(name, references),
            )
            return None
        return references[name]

    def _holes(
        self, numbers: Numbers, opening: OpeningCut | None, outline: Outline | None
    ) -> tuple[DrawnHole, ...]:
        tables = self.file.many("holes", HoleTable)
        stated = holes_of(numbers, tables, {PLATE}, set())
        carried = carried_holes(numbers, self.file.many("carry", CarryTable), self.parts, PLATE)
        marks: list[DrawnHole] = []
        if opening is not None and outline is not None:
            marks = _opening_holes(opening, paper="plate" not in self.tables)
        return (*stated, *carried, *marks)

    def _tape(self, numbers: Numbers) -> Tape:
        table = self.file.one("tape", TapeTable)
        if table is None:
            return Tape()
        width = numbers.length("tape.width", table.width, over=0.0)
        return Tape(edges=tuple(table.sides), width=width or 0.0)


def _opening_holes(opening: OpeningCut, *, paper: bool) -> list[DrawnHole]:
    """Return the witness hole and a small hole at the centre of each corner; or the cut-out."""
    from blankwright.geom.loop import Loop
    from blankwright.handbook.drills import find_drill

    def hole(name: str, at: tuple[float, float], note: str) -> DrawnHole:
        radius = find_drill(opening.witness_drill).diameter / 2
        return DrawnHole(
            name=name,
            flat=PLATE,
            kind=HoleKind.ROUND,
            loop=Loop.circle(at, radius),
            center=at,
            drill=opening.witness_drill,
            note=note,
        )

    if opening.in_plate and not paper:
        x0, y0, x1, y1 = opening.loop.box
        return [
            DrawnHole(
                name="opening",
                flat=PLATE,
                kind=HoleKind.CUT_OUT,
                loop=opening.loop,
                center=((x0 + x1) / 2, (y0 + y1) / 2),
                note="scribe along it",
            )
        ]
    holes = [hole("witness", opening.witness, "drill first, look from the other side")]
    holes += [
        hole(f"corner[{i + 1}]", center, "centre of the corner's radius")
        for i, (center, _) in enumerate(opening.corners)
    ]
    return holes


__all__ = ["PLATE", "ReadPart", "read_template", "read_template_text"]
