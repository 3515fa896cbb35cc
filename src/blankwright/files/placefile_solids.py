"""The structure of a place file: references, and the solids that stand in them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from blankwright.base.errors import BlankwrightError
from blankwright.develop.formed import Formed
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.shapes import Missing, need, outline_of
from blankwright.files.placefile_schema import (
    BlockTable,
    LineTable,
    MemberTable,
    OtherPartTable,
    PlaceSheetTable,
    RivetTable,
    StepSolidTable,
)
from blankwright.fit.place import Opening, PartOfPlace
from blankwright.fit.solid import Piece, Solid, drawn_out, solid_of_formed
from blankwright.geom.boolean import cut_out
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.pose import Point3, Pose
from blankwright.geom.region import Region
from blankwright.part.sizes import nearest


class Frames:
    """The references read so far."""

    def __init__(self, problems: Problems) -> None:
        self.problems = problems
        self.known: dict[str, Pose] = {"": Pose()}
        self.broken: set[str] = set()

    def add(self, name: str, pose: Pose | None) -> None:
        """Keep a reference, or that it is wrong."""
        if pose is None:
            self.broken.add(name)
        else:
            self.known[name] = pose

    def get(self, place: str, name: str) -> Pose | None:
        """Return a reference by name; nothing when it is wrong or not there (told)."""
        if name in self.known:
            return self.known[name]
        if name not in self.broken:
            names = [n for n in self.known if n]
            self.problems.add(
                "PLACE-003",
                place,
                f"no reference is named `{name}`",
                f"references: {', '.join(names) or 'none are stated'}",
                nearest(name, names),
            )
        return None

    def triple(self, numbers: Numbers, place: str, raw: Any) -> Point3 | None:
        """Return three lengths [mm]; zeros for nothing."""
        if raw is None:
            return (0.0, 0.0, 0.0)
        found = [numbers.length(f"{place}[{i + 1}]", one) for i, one in enumerate(raw)]
        if any(v is None for v in found):
            return None
        x, y, z = (need(v) for v in found)
        return (x, y, z)


class SolidBuilder:
    """Builds the solids of one place."""

    def __init__(
        self,
        numbers: Numbers,
        frames: Frames,
        formed: Callable[[str, str], Formed],
        folder: Path,
    ) -> None:
        self.numbers = numbers
        self.problems = numbers.problems
        self.frames = frames
        self.formed = formed
        self.folder = folder
        self.openings: dict[str, Opening] = {}
        self.others: dict[str, PartOfPlace] = {}

    def build(
        self, groups: Mapping[str, Mapping[str, Any]]
    ) -> tuple[list[Solid], dict[str, Opening]]:
        """Return the solids in the order of the file's kinds, and the openings by name."""
        ways: tuple[tuple[str, Callable[..., Solid]], ...] = (
            ("sheets", self._sheet),
            ("members", self._member),
            ("blocks", self._block),
            ("rivets", self._rivets),
            ("parts", self._other_part),
            ("solids", self._step_solid),
        )
        solids: list[Solid] = []
        names: dict[str, str] = {}
        for group, way in ways:
            for name, table in groups[group].items():
                place = f"{group}.{name}"
                if name in names:
                    self.problems.add(
                        "PLACE-004",
                        place,
                        f"`{name}` is named already: {names[name]}",
                        "a name of its own for each solid",
                    )
                    continue
                names[name] = place
                before = len(self.numbers.stated)
                pose = self.frames.get(f"{place}.in", table.in_)
                try:
                    if pose is not None:
                        solid = way(place, name, table, pose)
                        used = list(self.numbers.stated.values())[before:]
                        steps = dict.fromkeys(use for stated in used for use in stated.uses)
                        solids.append(replace(solid, steps=tuple(steps)))
                except Missing:
                    continue
        return solids, self.openings

    def _outline(self, place: str, table: Any, at: Any, at_place: str) -> Loop:
        loop = outline_of(self.numbers, place, table).loop
        if at is None:
            return loop
        shift = self.numbers.point(at_place, at)
        if shift is None:
            raise Missing
        return loop.moved(Move.shift(*shift))

    def _sheet(self, place: str, name: str, table: PlaceSheetTable, pose: Pose) -> Solid:
        outer = self._outline(f"{place}.outline", table.outline, table.at, f"{place}.at")
        thickness = need(self.numbers.length(f"{place}.thickness", table.thickness, over=0.0))
        loops = []
        for key, opening in table.openings.items():
            at = f"{place}.openings.{key}"
            loop = self._outline(f"{at}.outline", opening.outline, opening.at, f"{at}.at")
            loops.append(loop)
            self.openings[f"{name}.{key}"] = Opening(
                name=f"{name}.{key}", frame=pose, outline=tuple(loop.points())
            )
        regions = cut_out((Region(outer.ccw()),), loops)
        pieces = tuple(drawn_out(name, region, 0.0, thickness, pose) for region in regions)
        return Solid(name=name, material=table.material, pieces=pieces)

    def _member(self, place: str, name: str, table: MemberTable, pose: Pose) -> Solid:
        loop = self._outline(f"{place}.profile", table.profile, table.at, f"{place}.at")
        if table.line is not None:
            frame, low, high = self._along(f"{place}.line", table.line)
            pose = frame.then(pose)
        elif table.start is None or table.end is None:
            self.problems.add(
                "PART-003", place, "it is not said how long it is", "start and end, or line"
            )
            raise Missing
        else:
            low, high = 0.0, 0.0
        start = self.numbers.length(f"{place}.start", table.start) if table.start else low
        end = self.numbers.length(f"{place}.end", table.end) if table.end else high
        low, high = need(start), need(end)
        if high - low < 1e-6:
            self.problems.add(
                "PART-015", f"{place}.end", "it ends before it starts", "more than `start`"
            )
            raise Missing
        return Solid(
            name=name,
            material=table.material,
            pieces=(drawn_out(name, Region(loop.ccw()), low, high, pose),),
        )

    def _along(self, place: str, table: LineTable) -> tuple[Pose, float, float]:
        """Return the frame of a profile along a line: z along it, y leaning to `up`."""
        start = self.frames.triple(self.numbers, f"{place}.from", table.from_)
        end = self.frames.triple(self.numbers, f"{place}.to", table.to)
        if start is None or end is None:
            raise Missing
        sign = -1.0 if table.up.startswith("-") else 1.0
        up = np.zeros(3)
        up["xyz".index(table.up.lstrip("-"))] = sign
        line = np.array(end) - np.array(start)
        length = float(np.linalg.norm(line))
        side = np.cross(up, line)
        if length < 1e-6 or float(np.linalg.norm(side)) < 1e-6 * length:
            self.problems.add(
                "PART-015",
                place,
                "the line has no length, or runs along `up`",
                "two points apart, and an axis across the line",
            )
            raise Missing
        z, x = line / length, side / np.linalg.norm(side)
        y = np.cross(z, x)
        rows = [(float(v[0]), float(v[1]), float(v[2])) for v in (x, y, z)]
        return Pose(rows[0], rows[1], rows[2], start), 0.0, length

    def _block(self, place: str, name: str, table: BlockTable, pose: Pose) -> Solid:
        corner = self.frames.triple(self.numbers, f"{place}.corner", table.corner)
        sizes = [
            need(self.numbers.length(f"{place}.size[{i + 1}]", raw, over=0.0))
            for i, raw in enumerate(table.size)
        ]
        if corner is None:
            raise Missing
        x, y, z = corner
        base = Region(Loop.rectangle(x, y, x + sizes[0], y + sizes[1]))
        return Solid(
            name=name,
            material=table.material,
            pieces=(drawn_out(name, base, z, z + sizes[2], pose),),
        )

    def _rivets(self, place: str, name: str, table: RivetTable, pose: Pose) -> Solid:
        first = self.numbers.point(f"{place}.at", table.at)
        grip = self.numbers.length(f"{place}.grip", table.grip, least=0.0)
        if first is None:
            raise Missing
        points = [first]
        if table.repeat is not None:
            last = self.numbers.point(f"{place}.repeat.to", table.repeat.to)
            count = self.numbers.count(f"{place}.repeat.count", table.repeat.count)
            if last is None or count is None:
                raise Missing
            n = max(count - 1, 1)
            points = [
                (first[0] + (last[0] - first[0]) * i / n, first[1] + (last[1] - first[1]) * i / n)
                for i in range(count)
            ]
        pieces: list[Piece] = []
        for key, end in (("head", table.head), ("tail", table.tail)):
            if end is None:
                continue
            diameter = need(self.numbers.length(f"{place}.{key}.diameter", end.diameter, over=0.0))
            height = need(self.numbers.length(f"{place}.{key}.height", end.height, over=0.0))
            low = 0.0 if key == "head" else -need(grip) - height
            pieces += [
                drawn_out(key, Region(Loop.circle(p, diameter / 2)), low, low + height, pose)
                for p in points
            ]
        if not pieces:
            self.problems.add(
                "PART-003", place, "neither `head` nor `tail` is stated", "one of them or both"
            )
            raise Missing
        return Solid(name=name, material=table.material, pieces=tuple(pieces))

    def _other_part(self, place: str, name: str, table: OtherPartTable, pose: Pose) -> Solid:
        try:
            formed = self.formed(table.file, table.variant)
        except BlankwrightError as error:
            for problem in error.problems:
                self.problems.add("PLACE-005", f"{place}.file", str(problem).rstrip("."))
            raise Missing from None
        self.others[name] = PartOfPlace(
            file=table.file, variant=table.variant, material=table.material, frame=pose
        )
        return solid_of_formed(formed, pose, name=name, material=table.material)

    def _step_solid(self, place: str, name: str, table: StepSolidTable, pose: Pose) -> Solid:
        from blankwright.files.kernel.shell import shell_of_step

        try:
            shell = shell_of_step(self.folder / table.step)
        except BlankwrightError as error:
            for problem in error.problems:
                self.problems.add("PLACE-005", f"{place}.step", str(problem).rstrip("."))
            raise Missing from None
        solid = Solid(name=name, material=table.material, shell=shell)
        return solid.moved(pose)
