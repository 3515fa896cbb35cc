"""The place file: TOML that states the structure round a part, read with the part file's reader."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from blankwright.develop.formed import Formed
from blankwright.files.partfile.checking import checked, said
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.positions import positions
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.schema import Table
from blankwright.files.partfile.size_tables import read_sizes
from blankwright.files.partfile.syntax import read_tables, read_text
from blankwright.files.placefile_asked import asked_of
from blankwright.files.placefile_schema import (
    GROUPS,
    PLACE_TABLES,
    PartTable,
    PlaceHead,
    ReferenceTable,
    SpringTable,
)
from blankwright.files.placefile_solids import Frames, SolidBuilder
from blankwright.fit.place import PartOfPlace, Place
from blankwright.geom.pose import Pose
from blankwright.part.sizes import nearest

_NAME: Final = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_-]*")

ReadFormed = Callable[[str, str], Formed]
"""Gives the formed part of a part file, by its name and variant."""


@dataclass(frozen=True, slots=True)
class PlaceSource:
    """What a place file refers to.

    Args:
        formed: gives other formed parts
        folder: where STEP files are
    """

    formed: ReadFormed
    folder: Path


def read_place(
    path: Path,
    source: PlaceSource,
    *,
    sizes: Mapping[str, str] | None = None,
    variant: str = "",
) -> Place:
    """Read a place file.

    Args:
        path: the file
        source: gives what the file refers to
        sizes: texts that stand in place of those in the file, by name of the size
        variant: name of a variant of the file

    Raises:
        BadInput: with every problem of the file
        FileProblem: when there is no such file, or it is no text
    """
    return read_place_text(
        read_text(path), path.stem, source, file=str(path), sizes=sizes, variant=variant
    )


def read_place_text(
    text: str,
    name: str,
    source: PlaceSource,
    *,
    file: str = "",
    sizes: Mapping[str, str] | None = None,
    variant: str = "",
) -> Place:
    """Read a place from the text of a place file; `file` is what messages call it.

    Raises:
        BadInput: with every problem of the text
    """
    problems = Problems(file or name)
    tables = read_tables(text, problems)
    if tables is None:
        problems.raise_if_any()
    assert tables is not None
    problems.positions = positions(text)
    place = _Reader(tables, name, problems, source).place(dict(sizes or {}), variant)
    problems.raise_if_any()
    if place is None:  # pragma: no cover - every way to no place collects a problem
        raise AssertionError("no place and no problem")
    return place


class _Reader:
    """Builds one place from the tables of its file."""

    def __init__(
        self, tables: dict[str, Any], name: str, problems: Problems, source: PlaceSource
    ) -> None:
        self.tables = tables
        self.name = name
        self.problems = problems
        self.source = source

    def place(self, overrides: dict[str, str], variant: str) -> Place | None:
        from blankwright.handbook.drills import find_drill

        head = self._head()
        worked = read_sizes(self.tables, self.problems, find_drill, overrides, variant)
        numbers = Numbers(self.problems, worked.sizes, worked.broken, find_drill)
        groups = {key: self._many(key, model) for key, model in GROUPS.items()}
        frames = self._frames(numbers, groups["references"])
        part = self._part(frames)
        builder = SolidBuilder(numbers, frames, self.source.formed, self.source.folder)
        solids, openings = builder.build(groups)
        materials = {solid.material for solid in solids} | ({part.material} if part else set())
        asked = asked_of(numbers, frames, groups, materials, openings)
        spring = asked.spring(numbers, self._one("spring", SpringTable))
        keep_off = numbers.length("keep_off", head.keep_off, least=0.0) if head else None
        if head is None or part is None or keep_off is None or self.problems.found:
            return None
        return Place(
            name=f"{self.name}-{variant}" if variant else self.name,
            title=head.title,
            sizes=tuple(worked.sizes.values()),
            part=part,
            solids=tuple(solids),
            pairs=asked.pairs,
            keep_off=keep_off,
            sections=asked.sections,
            motions=asked.motions,
            forces=asked.forces,
            spring=spring,
            openings=MappingProxyType(openings),
            others=MappingProxyType(builder.others),
            removable=head.removable,
        )

    def _head(self) -> PlaceHead | None:
        top = {key: value for key, value in self.tables.items() if key not in PLACE_TABLES}
        known = {*PlaceHead.model_fields, *PLACE_TABLES}
        for key in [key for key in top if key not in known]:
            self.problems.add(
                "PLACE-001",
                key,
                f"there is no `{key}` in a place file",
                ", ".join(sorted(known)),
                nearest(key, known) or "Remove it, or put # before it to make it a comment",
            )
            del top[key]
        return checked(PlaceHead, top, "", self.problems, 'Write title = "…"')

    def _frames(self, numbers: Numbers, tables: Mapping[str, Any]) -> Frames:
        frames = Frames(self.problems)
        waiting = dict(tables)
        while waiting:
            ready = [n for n, t in waiting.items() if not t.in_ or t.in_ in frames.known]
            if not ready:
                for name, table in waiting.items():
                    if table.in_ not in waiting and table.in_ not in frames.broken:
                        frames.get(f"references.{name}.in", table.in_)
                    elif table.in_ in waiting:
                        self.problems.add(
                            "PLACE-003",
                            f"references.{name}.in",
                            f"`{name}` stands in `{table.in_}`, which stands in it again",
                            "references that end in the place itself",
                        )
                    frames.broken.add(name)
                break
            name = ready[0]
            frames.add(name, self._frame(numbers, f"references.{name}", waiting.pop(name), frames))
        return frames

    def _frame(
        self, numbers: Numbers, place: str, table: ReferenceTable, frames: Frames
    ) -> Pose | None:
        pose = Pose()
        axes = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}
        for i, turn in enumerate(table.turn):
            at = f"{place}.turn[{i + 1}].by"
            angle = numbers.angle(
                at if at in self.problems.positions.lines else f"{place}.turn.by", turn.by
            )
            if angle is None:
                return None
            pose = pose.then(Pose.turn((0.0, 0.0, 0.0), axes[turn.about], angle))
        origin = frames.triple(numbers, f"{place}.at", table.at)
        if origin is None:
            return None
        return pose.then(Pose(origin=origin)).then(frames.known.get(table.in_, Pose()))

    def _part(self, frames: Frames) -> PartOfPlace | None:
        table = self._one("part", PartTable)
        if table is None:
            if "part" not in self.tables:
                self.problems.add(
                    "PLACE-002",
                    "part",
                    "the table [part] is missing",
                    "file, variant, in, material",
                    'Add [part] with file = "…": the name of the part file that goes in here',
                    line=0,
                )
            return None
        frame = frames.get("part.in", table.in_)
        if frame is None:
            return None
        return PartOfPlace(
            file=table.file, variant=table.variant, material=table.material, frame=frame
        )

    def _one(self, key: str, model: type[Any]) -> Any:
        return checked(model, self.tables[key], key, self.problems) if key in self.tables else None

    def _many(self, key: str, model: type[Table]) -> dict[str, Any]:
        data = self.tables.get(key, {})
        if not isinstance(data, dict):
            self.problems.add("PART-004", key, f"{said(data)} stands here", f"tables: [{key}.NAME]")
            return {}
        good: dict[str, Any] = {}
        for name, table in data.items():
            place = f"{key}.{name}" if _NAME.fullmatch(name) else f'{key}."{name}"'
            if not _NAME.fullmatch(name):
                self.problems.add(
                    "PART-007", place, f"`{name}` can't be a name", "letters, digits, - and _"
                )
                continue
            found = checked(model, table, place, self.problems)
            if found is not None:
                good[name] = found
        return good


__all__ = ["PlaceSource", "read_place", "read_place_text"]
