"""The place file: TOML that states the structure round a part, read with the part file's reader."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from blankwright.develop.formed import Formed
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.opened import Opened, opened
from blankwright.files.partfile.syntax import read_text
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
    file_read = opened(text, file or name)
    place = _Reader(file_read, name, source).place(sizes, variant)
    file_read.problems.raise_if_any()
    if place is None:  # pragma: no cover - every way to no place collects a problem
        raise AssertionError("no place and no problem")
    return place


class _Reader:
    """Builds one place from the tables of its file."""

    def __init__(self, file_read: Opened, name: str, source: PlaceSource) -> None:
        self.file = file_read
        self.tables = file_read.tables
        self.name = name
        self.problems = file_read.problems
        self.source = source

    def place(self, overrides: Mapping[str, str] | None, variant: str) -> Place | None:
        head = self.file.head(PlaceHead, PLACE_TABLES, "place file", "PLACE-001")
        worked, numbers = self.file.sizes(overrides, variant)
        groups: dict[str, Any] = {key: self.file.many(key, model) for key, model in GROUPS.items()}
        frames = self._frames(numbers, groups["references"])
        part = self._part(frames)
        builder = SolidBuilder(numbers, frames, self.source.formed, self.source.folder)
        solids, openings = builder.build(groups)
        materials = {solid.material for solid in solids} | ({part.material} if part else set())
        asked = asked_of(numbers, frames, groups, materials, openings)
        spring = asked.spring(numbers, self.file.one("spring", SpringTable))
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
        )

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
        table = self.file.one("part", PartTable)
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


__all__ = ["PlaceSource", "read_place", "read_place_text"]
