"""Reading a part file: all of its problems at once, or the part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from blankwright.files.partfile.bends import BendBuilder, Flats, root_flat
from blankwright.files.partfile.checking import Model, said
from blankwright.files.partfile.corners import corners_of
from blankwright.files.partfile.holes import holes_of
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.opened import Opened, opened
from blankwright.files.partfile.schema import (
    BendDefaults,
    BendTable,
    CornerDefaults,
    CornerTable,
    FlatTable,
    HoleTable,
    ReliefTable,
    RivetTable,
)
from blankwright.files.partfile.sections import (
    allowance_of,
    head_of,
    many_tables,
    overrides_of,
    sheet_of,
)
from blankwright.files.partfile.source_place import Beside
from blankwright.files.partfile.syntax import read_text
from blankwright.part.mirror import mirrored
from blankwright.part.model import AllowanceRule, Corner, DrawnBend, DrawnHole, Part, Sheet
from blankwright.part.rivets import HoleField
from blankwright.part.source import Source

if TYPE_CHECKING:
    from blankwright.develop.coupons import Coupons
    from blankwright.holes.asked_row import AskedRow


def read_part(
    path: Path,
    *,
    sizes: Mapping[str, str] | None = None,
    variant: str = "",
    hand: str | None = None,
    coupons: Coupons | None = None,
) -> Part:
    """Read a part file.

    Args:
        path: the file
        sizes: texts that stand in place of those in the file, by name of the size
        variant: name of a variant of the file
        hand: ``left`` or ``right``; nothing reads the hand that is drawn
        coupons: the shop's test strips, for parts that are taken from a drawing by their k

    Raises:
        BadInput: with every problem of the file, each a `PartProblem`
        FileProblem: when there is no such file, or it is no text
    """
    return read_part_text(
        read_text(path),
        path.stem,
        file=str(path),
        sizes=sizes,
        variant=variant,
        hand=hand,
        folder=path.parent,
        coupons=coupons,
    )


def read_part_text(
    text: str,
    name: str,
    *,
    file: str = "",
    sizes: Mapping[str, str] | None = None,
    variant: str = "",
    hand: str | None = None,
    folder: Path | None = None,
    coupons: Coupons | None = None,
    drawings: Mapping[str, bytes] | None = None,
) -> Part:
    """Read a part from the text of a part file; `file` is what messages call it.

    A part that is taken from a drawing is read when `folder` says where the part file is, or when
    `drawings` has what the drawing holds.

    Raises:
        BadInput: with every problem of the text, each a `PartProblem`
    """
    file_read = opened(text, file or name)
    problems = file_read.problems
    beside = Beside(folder=folder, coupons=coupons, drawings=drawings or {})
    reader = _Reader(file_read, name, beside)
    part = reader.part(dict(sizes or {}), variant)
    if part is not None:
        part = _in_hand(part, reader, hand)
    problems.raise_if_any()
    if part is None:  # pragma: no cover - every way to no part collects a problem
        raise AssertionError("no part and no problem")
    return part


def _in_hand(part: Part, reader: _Reader, hand: str | None) -> Part | None:
    """Return the part in the hand that is asked for, named by it where there are two."""
    problems = reader.problems
    wanted = hand or part.hand
    if hand is not None and hand not in ("left", "right"):
        problems.add("PART-014", "hand", f"hand {said(hand)} is asked for", "left, right", line=0)
        return None
    if hand is not None and not part.hand:
        problems.add(
            "PART-014",
            "hand",
            f"the {hand} hand is asked for, but the file does not say which hand it draws",
            'hand = "left" or hand = "right" at the top of the file',
        )
        return None
    other = wanted != part.hand
    if other:
        part = mirrored(part)
    if other or reader.both_hands:
        part = replace(part, name=f"{part.name}-{wanted}")
    return part


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    """What a part is beside its root flat and the holes of its file."""

    bends: tuple[DrawnBend, ...] = ()
    corners: tuple[Corner, ...] = ()
    openings: tuple[DrawnHole, ...] = ()
    allowance: AllowanceRule = AllowanceRule.EMPIRICAL
    k: float | None = None
    source: Source | None = None


class _Reader:
    """Builds one part from the tables of its file."""

    def __init__(self, file_read: Opened, name: str, beside: Beside) -> None:
        self.file = file_read
        self.tables = file_read.tables
        self.name = name
        self.problems = file_read.problems
        self.beside = beside
        self.both_hands = self.tables.get("other_hand") is True

    def part(self, overrides: dict[str, str], variant: str) -> Part | None:
        head = head_of(self.tables, self.problems)
        worked, numbers = self.file.sizes(overrides, variant)
        sheet = sheet_of(self.tables, numbers)
        defaults = self.file.one("bend_defaults", BendDefaults) or BendDefaults()
        if "source" in self.tables:
            flats, shape = self._from_source(numbers, sheet, defaults)
        else:
            flats, shape = self._stated(numbers, defaults)
        hole_tables, _ = self._many("holes", HoleTable)
        root = flats.drawn.get(flats.root)
        broken = flats.broken | ({flats.root} if root is None else set())
        holes = holes_of(numbers, hole_tables, set(flats.drawn), broken)
        fields: tuple[HoleField, ...] = ()
        if any(table.field is not None for table in hole_tables.values()):
            from blankwright.files.partfile.fields import fields_of

            made, fields = fields_of(numbers, hole_tables, flats.drawn, holes)
            holes = (*holes, *made)
        rows: tuple[AskedRow, ...] = ()
        if "rivets" in self.tables:
            # Rows are laid round bends and openings: development loads here, for parts with rows.
            from blankwright.files.partfile.rivets import asked_rows, with_rows

            rivet_tables, _ = self._many("rivets", RivetTable)
            rows = asked_rows(numbers, rivet_tables, flats.drawn, broken, set(hole_tables))
        self._tell_openings(shape, hole_tables)
        reasons = overrides_of(self.tables, self.problems)
        if head is None or sheet is None or root is None or self.problems.found:
            return None
        part = Part(
            name=f"{self.name}-{variant}" if variant else self.name,
            title=head.title,
            drawing=head.drawing,
            sheet=sheet,
            sizes=tuple(worked.sizes.values()),
            root=root,
            bends=shape.bends,
            corners=shape.corners,
            holes=(*shape.openings, *holes),
            allowance=shape.allowance,
            k=shape.k,
            overrides=MappingProxyType(reasons),
            stated=MappingProxyType(numbers.stated),
            hand=head.hand or "",
            place=head.place,
            notes=tuple(head.notes),
            fields=fields,
            source=shape.source,
        )
        return with_rows(part, rows, self.problems) if rows else part

    def _stated(self, numbers: Numbers, defaults: BendDefaults) -> tuple[Flats, _Shape]:
        """Return the flats and bends that the file states."""
        flats = self._root(numbers, defaults)
        bend_tables, bad_bends = self._many("bends", BendTable)
        builder = BendBuilder(numbers, flats, bend_tables, bad_bends, defaults)
        bends = builder.build()
        built = {bend.name for bend in bends}
        root = flats.drawn.get(flats.root)
        corners: tuple[Corner, ...] = ()
        corner_defaults = self.file.one("corner_defaults", CornerDefaults) or CornerDefaults()
        corner_tables, _ = self._many("corners", CornerTable)
        if root is not None:
            unbuilt = (set(bend_tables) | bad_bends) - built
            corners = corners_of(numbers, bends, root, corner_defaults, corner_tables, unbuilt)
        allowance, k = allowance_of(numbers, defaults, bends, bend_tables)
        return flats, _Shape(bends=tuple(bends), corners=corners, allowance=allowance, k=k)

    def _from_source(
        self, numbers: Numbers, sheet: Sheet | None, defaults: BendDefaults
    ) -> tuple[Flats, _Shape]:
        """Return the flats and bends of the drawing that the file names."""
        # Readers of drawings load here, for parts that are taken from one.
        from blankwright.files.partfile.source import source_part

        flats = Flats(root="root")
        part = source_part(self.tables, numbers, sheet, defaults, self.beside, flats)
        corner_defaults = self.file.one("corner_defaults", CornerDefaults) or CornerDefaults()
        corner_tables, _ = self._many("corners", CornerTable)
        if part is None:
            return flats, _Shape()
        corners = part.corners
        if corner_tables or "corner_defaults" in self.tables:
            drawn = CornerDefaults(
                rule=corner_defaults.rule or "as drawn",
                gap=corner_defaults.gap,
                relief=corner_defaults.relief or ReliefTable(rule="none"),
            )
            stated = corners_of(numbers, list(part.bends), part.root, drawn, corner_tables, set())
            pairs = {frozenset((corner.first, corner.second)) for corner in stated}
            as_drawn = (c for c in corners if frozenset((c.first, c.second)) not in pairs)
            corners = (*stated, *as_drawn)
        return flats, _Shape(
            bends=part.bends,
            corners=corners,
            openings=part.holes,
            allowance=part.allowance,
            k=part.k,
            source=part.source,
        )

    def _tell_openings(self, shape: _Shape, tables: Mapping[str, HoleTable]) -> None:
        taken = {hole.name.split("[")[0] for hole in shape.openings}
        for name in tables:
            if name in taken:
                self.problems.add(
                    "PART-008",
                    f"holes.{name}",
                    f"openings of the drawing are called `{name}` too",
                    "a name of its own",
                )

    def _many(self, key: str, model: type[Model]) -> tuple[dict[str, Model], set[str]]:
        return many_tables(self.tables, key, model, self.problems)

    def _root(self, numbers: Numbers, defaults: BendDefaults) -> Flats:
        if "flats" not in self.tables:
            self.problems.add(
                "PART-011",
                "flats",
                "the part has no flat",
                "one root flat",
                'Add [flats.floor] with outline = { rectangle = ["5 in", "3 in"] }, say',
                line=0,
            )
            return Flats(root="")
        names = list(self.tables["flats"]) if isinstance(self.tables["flats"], dict) else []
        if "outline" in names:
            self.problems.add(
                "PART-004",
                "flats.outline",
                "the outline stands right under [flats]",
                "a heading with the flat's name: [flats.floor]",
            )
            return Flats(root="")
        tables, _ = self._many("flats", FlatTable)
        if len(names) != 1:
            got = f"{len(names)} flats are stated: {', '.join(names)}" if names else "no flat"
            self.problems.add(
                "PART-011",
                f"flats.{names[1]}" if len(names) > 1 else "flats",
                got,
                "one root flat",
                "The flat that stays put is stated here; the others are legs of bends",
            )
        flats = Flats(root=names[0] if names else "", broken=set(names[1:]))
        table = tables.get(flats.root)
        if table is not None:
            root = root_flat(numbers, flats.root, table, defaults)
            if root is not None:
                flats.drawn[root.name] = root
                flats.edge_default[root.name] = root.drawn_to
        if flats.root not in flats.drawn:
            flats.broken.add(flats.root)
        return flats
