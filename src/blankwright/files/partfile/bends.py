"""Bends, legs and corners of a part file built from their tables."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from blankwright.base.quantities import BadText
from blankwright.base.tolerance import TOUCH
from blankwright.base.units import show_angle, show_mm
from blankwright.files.partfile.legs import leg_outline
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.schema import (
    BendDefaults,
    BendTable,
    FlatTable,
    LegTable,
)
from blankwright.files.partfile.shapes import (
    DRAWN_TO,
    Missing,
    outline_of,
    relief_of,
    with_notches,
)
from blankwright.files.partfile.spans import span_of
from blankwright.geom.edges import Line
from blankwright.part.model import (
    AllowanceRule,
    DrawnBend,
    DrawnFlat,
    DrawnTo,
    Relief,
)
from blankwright.part.sizes import nearest

_STRAIGHT_BACK = math.radians(179.9)


@dataclass
class Flats:
    """The flats built so far, and the names of those that could not be built."""

    root: str
    drawn: dict[str, DrawnFlat] = field(default_factory=dict)
    edge_default: dict[str, DrawnTo] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)


def root_flat(
    numbers: Numbers, name: str, table: FlatTable, defaults: BendDefaults
) -> DrawnFlat | None:
    """Return the root flat, or nothing."""
    place = f"flats.{name}"
    try:
        outline = outline_of(numbers, f"{place}.outline", table.outline)
        outline = with_notches(numbers, f"{place}.notches", outline, table.notches)
    except Missing:
        return None
    return DrawnFlat(
        name=name,
        outline=outline.loop,
        edges=outline.edges,
        drawn_to=DRAWN_TO[table.drawn_to or defaults.drawn_to or "outside mold line"],
    )


class BendBuilder:
    """Builds the bends of one part, parents before children."""

    def __init__(
        self,
        numbers: Numbers,
        flats: Flats,
        tables: Mapping[str, BendTable],
        broken: set[str],
        defaults: BendDefaults,
    ) -> None:
        self.numbers = numbers
        self.problems = numbers.problems
        self.flats = flats
        self.tables = tables
        self.defaults = defaults
        self.bends: list[DrawnBend] = []
        self.leg_names = {name: table.leg.name or name for name, table in tables.items()}
        # Tables that could not be read may carry any leg: their own name is the best guess.
        flats.broken.update(broken)
        self.default_angle = numbers.bend_angle("bend_defaults.angle", defaults.angle)
        self.default_radius = numbers.length(
            "bend_defaults.inside_radius", defaults.inside_radius, least=0.0
        )
        self.default_relief = relief_of(numbers, "bend_defaults.end_relief", defaults.end_relief)

    def build(self) -> list[DrawnBend]:
        """Return all bends that could be built, each after its parent."""
        waiting = self._with_good_names()
        while waiting:
            ready = [name for name in waiting if self._parent(name) in self.flats.drawn]
            if not ready:
                break
            # One at a time, in the order of the file, so that siblings keep that order.
            name = ready[0]
            waiting.remove(name)
            bend = self._bend(name, self.tables[name])
            if bend is None:
                self.flats.broken.add(self.leg_names[name])
            else:
                self.bends.append(bend)
                self.flats.drawn[bend.leg.name] = bend.leg
        self._tell_waiting(waiting)
        self._tell_overlaps()
        return self.bends

    def _with_good_names(self) -> list[str]:
        taken = {self.flats.root: "the root flat"}
        good: list[str] = []
        for name, leg_name in self.leg_names.items():
            place = f"bends.{name}.leg.name" if self.tables[name].leg.name else f"bends.{name}"
            if leg_name in taken:
                self.problems.add(
                    "PART-008",
                    place,
                    f"its leg is named `{leg_name}`, as {taken[leg_name]} is",
                    "a name of its own for each flat",
                    'Name the leg: leg = { name = "…", … }',
                )
                continue
            taken[leg_name] = f"the leg of bend {name}"
            good.append(name)
        return good

    def _parent(self, name: str) -> str:
        return str(self.tables[name].from_).split(".")[0]

    def _tell_waiting(self, waiting: list[str]) -> None:
        by_leg = {self.leg_names[name]: name for name in waiting}
        flats = list(self.flats.drawn)
        told: set[str] = set()
        for name in waiting:
            self.flats.broken.add(self.leg_names[name])
            self._bend(name, self.tables[name])  # only to find what else is wrong with it
        for name in waiting:
            if name in told:
                continue
            chain = [name]
            parent = self._parent(name)
            while parent in by_leg and by_leg[parent] not in chain:
                chain.append(by_leg[parent])
                parent = self._parent(chain[-1])
            if parent in by_leg:
                ring = chain[chain.index(by_leg[parent]) :]
                told.update(chain)
                shown = " → ".join((*ring, ring[0]))
                self.problems.add(
                    "PART-010",
                    f"bends.{ring[0]}.from",
                    f"the bends grow from each other: {shown}",
                    f"a tree that grows from the root flat `{self.flats.root}`",
                )
            elif len(chain) == 1 and "." in self.tables[name].from_ and self._is_unknown(parent):
                self.problems.add(
                    "PART-009",
                    f"bends.{name}.from",
                    f"no flat is named `{parent}`",
                    f"flats: {', '.join([*flats, *by_leg])}",
                    nearest(parent, [*flats, *by_leg]),
                )

    def _is_unknown(self, flat: str) -> bool:
        # Without a root flat anything may be meant.
        return flat not in self.flats.broken and self.flats.root in self.flats.drawn

    def _bend(self, name: str, table: BendTable) -> DrawnBend | None:
        place = f"bends.{name}"
        numbers = self.numbers
        values = (
            numbers.bend_angle(f"{place}.angle", table.angle)
            if table.angle is not None
            else self._default(place, "angle", self.default_angle),
            numbers.length(f"{place}.inside_radius", table.inside_radius, least=0.0)
            if table.inside_radius is not None
            else self._default(place, "inside_radius", self.default_radius),
        )
        up = self._up(place, table)
        k = numbers.number(f"{place}.k", table.k, 0.0, 1.0)
        own_relief = relief_of(numbers, f"{place}.end_relief", table.end_relief)
        edge = self._edge(name, table)
        span = None if edge is None else span_of(self.numbers, place, table, edge[1])
        drawn_leg = None
        if span is not None:
            drawn_leg = self._leg(name, table.leg, span[1] - span[0])
        else:
            self._look_at_leg(name, table.leg)
        angle, radius = values
        if edge is None or span is None or drawn_leg is None:
            return None
        if angle is None or radius is None or up is None:
            return None
        parent, _ = table.from_.split(".")
        default = self.flats.edge_default.get(parent, self._drawn_to_default())
        drawn_to = DRAWN_TO[table.edge_drawn_to] if table.edge_drawn_to else default
        if not self._can_be_drawn(place, table, angle, drawn_to, drawn_leg.drawn_to):
            return None
        return DrawnBend(
            name=name,
            parent=parent,
            edge=edge[0],
            start=span[0],
            end=span[1],
            angle=angle,
            inside_radius=radius,
            up=up,
            leg=drawn_leg,
            drawn_to=drawn_to,
            allowance=AllowanceRule(table.allowance) if table.allowance else None,
            k=k,
            end_relief=own_relief or self.default_relief or Relief(),
            last=table.last,
            note=table.note,
        )

    def _drawn_to_default(self) -> DrawnTo:
        return DRAWN_TO[self.defaults.drawn_to or "outside mold line"]

    def _default(self, place: str, key: str, value: float | None) -> float | None:
        if value is None and getattr(self.defaults, key) is None:
            self.problems.add(
                "PART-003",
                place,
                f"`{key}` is missing",
                "",
                "State it here, or for all bends under [bend_defaults]",
            )
        return value

    def _up(self, place: str, table: BendTable) -> bool | None:
        for at, source in ((place, table), ("bend_defaults", self.defaults)):
            stated = [
                (word, value)
                for word in ("up", "down")
                if (value := getattr(source, word)) is not None
            ]
            if len(stated) == 2 and stated[0][1] == stated[1][1]:
                self.problems.add(
                    "PART-006", at, "the bend goes both up and down, or neither", "one"
                )
                return None
            if stated:
                word, value = stated[0]
                return bool(value) == (word == "up")
        self.problems.add(
            "PART-003",
            place,
            "`up` or `down` is missing",
            "up = true: the leg goes to the face side; down = true: to the back",
        )
        return None

    def _edge(self, name: str, table: BendTable) -> tuple[str, Line] | None:
        place = f"bends.{name}.from"
        parts = table.from_.split(".")
        if len(parts) != 2 or not all(parts):
            self.problems.add(
                "PART-009",
                place,
                f"`{table.from_}` is no edge of a flat",
                "flat and edge with a point between, such as `floor.left`",
            )
            return None
        flat = self.flats.drawn.get(parts[0])
        if flat is None:
            return None
        straight = [
            edge_name
            for edge_name, edge in zip(flat.edges, flat.outline.edges, strict=True)
            if isinstance(edge, Line) and edge_name != "bend"
        ]
        if parts[1] not in straight:
            got = f"flat `{flat.name}` has no edge `{parts[1]}`"
            if parts[1] == "bend":
                got = f"flat `{flat.name}` hangs on its edge `bend` already"
            elif parts[1] in flat.edges:
                got = f"edge `{parts[1]}` of flat `{flat.name}` is curved; bends are straight"
            self.problems.add(
                "PART-009",
                place,
                got,
                f"edges: {', '.join(straight) or 'none is straight'}",
                nearest(parts[1], straight),
            )
            return None
        line = flat.outline.edges[flat.edges.index(parts[1])]
        assert isinstance(line, Line)
        return parts[1], line

    def _look_at_leg(self, name: str, table: LegTable) -> None:
        """Work out a leg's numbers only to find their problems: its width is not known."""
        place = f"bends.{name}.leg"
        for key in ("height", "left_height", "right_height"):
            self.numbers.length(f"{place}.{key}", getattr(table, key), over=0.0)
        for key in ("taper", "left_taper", "right_taper"):
            self.numbers.angle(f"{place}.{key}", getattr(table, key))

    def _leg(self, name: str, table: LegTable, width: float) -> DrawnFlat | None:
        place = f"bends.{name}.leg"
        try:
            outline = leg_outline(self.numbers, place, table, width)
            outline = with_notches(self.numbers, f"{place}.notches", outline, table.notches)
        except Missing:
            return None
        except BadText as error:
            self.problems.add_text(place, error)
            return None
        drawn_to = DRAWN_TO[table.drawn_to] if table.drawn_to else self._drawn_to_default()
        if table.ends_in_bend:
            drawn_to = DrawnTo.TANGENT_LINE
        return DrawnFlat(
            name=self.leg_names[name], outline=outline.loop, edges=outline.edges, drawn_to=drawn_to
        )

    def _can_be_drawn(
        self, place: str, table: BendTable, angle: float, edge: DrawnTo, on_leg: DrawnTo
    ) -> bool:
        mold = (DrawnTo.OUTSIDE_MOLD_LINE, DrawnTo.INSIDE_MOLD_LINE)
        sides = (("edge_drawn_to", edge), ("leg.drawn_to", on_leg))
        if angle > _STRAIGHT_BACK:
            wrong = [(key, to) for key, to in sides if to in mold]
            allowed = "bend tangent line, outside of bend"
            why = f"which a bend of {show_angle(angle)} does not have: its faces are parallel"
        elif angle < math.pi / 2 - 1e-9:
            wrong = [(key, to) for key, to in sides if to is DrawnTo.OUTSIDE_OF_BEND]
            allowed = "outside mold line, inside mold line, bend tangent line"
            why = "which only a bend of 90° or more has"
        else:
            return True
        if not wrong:
            return True
        keys = " and ".join(key for key, _ in wrong)
        self.problems.add(
            "PART-017",
            place,
            f"{keys}: drawn to the {wrong[0][1].value}, {why}",
            allowed,
            f"State {keys} as the drawing dimensions it",
        )
        return False

    def _tell_overlaps(self) -> None:
        for i, a in enumerate(self.bends):
            for b in self.bends[i + 1 :]:
                if (a.parent, a.edge) == (b.parent, b.edge) and (
                    min(a.end, b.end) - max(a.start, b.start) > TOUCH
                ):
                    self.problems.add(
                        "PART-018",
                        f"bends.{b.name}",
                        f"it shares {show_mm(min(a.end, b.end) - max(a.start, b.start))} of edge"
                        f" `{a.parent}.{a.edge}` with bend {a.name}",
                        "one bend at a time along an edge",
                        "Give both insets or widths that leave room for each other",
                    )
