"""Development: from the part as stated to its blank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from blankwright.base.tolerance import TOUCH
from blankwright.base.trail import TrailStep
from blankwright.develop.blank import Blank, BlankBend, BlankFlat, BlankHole, Overlap, ReliefSpot
from blankwright.develop.coupons import Coupons
from blankwright.develop.layout import (
    LaidBend,
    common,
    corner_cut,
    covered,
    edge_of,
    gross_flat,
    meeting_point,
    neighbours,
    strip_move,
)
from blankwright.develop.numbers import bend_numbers
from blankwright.develop.relief import AS_STATED, corner_relief, end_relief, relief_size
from blankwright.develop.setback import outside_setback
from blankwright.geom.boolean import cut_out, difference, merged, overlap, union_all
from blankwright.geom.edges import boxes_touch
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point
from blankwright.part.model import Corner, CornerRule, HoleKind, Part


def develop_blank(part: Part, coupons: Coupons | None = None) -> Blank:
    """Develop the blank that bends into a part.

    Args:
        part: as stated
        coupons: what the shop's own test strips taught, for the rule COUPONS

    Returns:
        The blank. One that overlaps itself or falls apart is returned too, with `overlaps` or
        `loose` filled: the checks report it.

    Raises:
        NotPossible: when a bend can't be laid out at all, such as 180° to an outside mold line
    """
    return _Development(part, coupons).blank()


_NO_SIZE = 1e-6
"""A flat of no more than this is no metal [mm²]."""


@dataclass
class _Cutter:
    """A loop to take out of the blank, in the blank's frame, and what it is called."""

    name: str
    loop: Loop
    center: Point
    flat: str
    kind: HoleKind
    drill: str = ""
    note: str = ""


@dataclass
class _Development:
    """The steps of one development, sharing what they have worked out."""

    part: Part
    coupons: Coupons | None
    trail: list[TrailStep] = field(default_factory=list)
    laid: dict[str, LaidBend] = field(default_factory=dict)
    gross: dict[str, list[Region]] = field(default_factory=dict)
    places: dict[str, Move] = field(default_factory=dict)
    cutters: list[_Cutter] = field(default_factory=list)
    spots: list[ReliefSpot] = field(default_factory=list)

    def blank(self) -> Blank:
        part = self.part
        self._lay_bends()
        self._lay_flats()
        self._cut_corners()
        strips = {name: self._strip(laid) for name, laid in self.laid.items()}
        self._relieve_ends()
        self._take_holes()
        flats: list[BlankFlat] = []
        loose: list[Region] = []
        loops = [cutter.loop for cutter in self.cutters]
        for name, place in self.places.items():
            pieces = cut_out([region.moved(place) for region in self.gross[name]], loops)
            main, others = _largest(pieces, place)
            loose.extend(others)
            flats.append(BlankFlat(name=name, region=main, place=place, bend=self._own_bend(name)))
        bends = [
            self._blank_bend(laid, cut_out(strips[name], loops)) for name, laid in self.laid.items()
        ]
        overlaps = _overlaps(flats, bends)
        metal = [flat.region for flat in flats if flat.region.area > _NO_SIZE]
        metal += [r for bend in bends for r in bend.regions]
        whole = union_all(metal) if overlaps else merged(metal)
        outline, apart = _with_root(whole, flats[0])
        return Blank(
            thickness=part.sheet.thickness,
            alloy=part.sheet.alloy,
            outline=outline,
            flats=tuple(flats),
            bends=tuple(bends),
            holes=self._blank_holes(),
            grain=part.sheet.grain,
            trail=tuple(self.trail),
            overlaps=overlaps,
            loose=(*loose, *apart),
            reliefs=tuple(self.spots),
        )

    def _lay_bends(self) -> None:
        for drawn in self.part.bends:
            numbers = bend_numbers(self.part, drawn, self.coupons)
            self.trail.extend(numbers.trail)
            edge = edge_of(self.part.flat(drawn.parent), drawn.edge)
            self.laid[drawn.name] = LaidBend(
                drawn=drawn,
                allowance=numbers.allowance,
                k=numbers.k,
                parent_setback=numbers.parent_setback,
                leg_setback=numbers.leg_setback,
                width=drawn.end - drawn.start,
                strip=strip_move(edge, drawn.start, numbers.parent_setback),
            )

    def _lay_flats(self) -> None:
        part = self.part
        self.places[part.root.name] = Move()
        self.gross[part.root.name] = gross_flat(part.root, None, self._legs_of(part.root.name))
        for name, laid in self.laid.items():
            leg = laid.drawn.leg
            self.places[leg.name] = laid.leg_move.then(self.places[laid.drawn.parent])
            self.gross[leg.name] = gross_flat(leg, self.laid[name], self._legs_of(leg.name))

    def _legs_of(self, flat: str) -> list[LaidBend]:
        return [laid for laid in self.laid.values() if laid.drawn.parent == flat]

    def _own_bend(self, flat: str) -> str:
        return next((n for n, laid in self.laid.items() if laid.drawn.leg.name == flat), "")

    def _cut_corners(self) -> None:
        """Trim legs at shared corners and set the relief where tangent lines meet."""
        thickness = self.part.sheet.thickness
        stated = {frozenset((c.first, c.second)): c for c in self.part.corners}
        for meeting in neighbours(self.part):
            flat, a, b = self.part.flat(meeting.flat), meeting.first, meeting.second
            corner = stated.get(frozenset((a, b))) or Corner(first=a, second=b)
            lines = {name: self._tangent_on(flat.name, name) for name in (a, b)}
            point = meeting_point(lines[a], lines[b])
            if point is None:
                continue
            for name, other in ((a, b), (b, a)):
                leg = self.laid[name]
                if leg.drawn.parent != flat.name:
                    continue  # the flat's own bend: its other side is a parent, not a leg
                other_is_leg = self.laid[other].drawn.parent == flat.name
                rule = corner.rule if other_is_leg else _beside_parent(corner.rule)
                cuts = corner_cut(
                    rule,
                    leg,
                    self.laid[other] if other_is_leg else self._turned(other),
                    point,
                    corner.first == name,
                    corner.gap,
                    thickness,
                )
                regions = tuple(self.gross[leg.drawn.leg.name])
                for cut in cuts:
                    regions = difference(regions, (cut,))
                self.gross[leg.drawn.leg.name] = list(regions)
            radius = max(self.laid[n].drawn.inside_radius for n in (a, b))
            size, source = relief_size(corner.relief, thickness, radius)
            loop = corner_relief(corner.relief, size, point, lines[a].vector((1.0, 0.0)))
            name = f"relief {a}/{b}"
            self._add_relief(name, flat.name, loop, point, (size, source), radius)

    def _tangent_on(self, flat: str, bend: str) -> Move:
        """Carry the frame of a bend's tangent line, on the side of a flat, into the flat."""
        laid = self.laid[bend]
        if laid.drawn.parent == flat:
            return laid.strip
        return Move.shift(0.0, laid.leg_setback)

    def _turned(self, bend: str) -> LaidBend:
        """A flat's own bend seen from the flat: the tangent line stands where it ends."""
        laid = self.laid[bend]
        turned = Move.onto((laid.width, laid.leg_setback), (-1.0, 0.0))
        return LaidBend(
            drawn=laid.drawn,
            allowance=laid.allowance,
            k=laid.k,
            parent_setback=laid.leg_setback,
            leg_setback=laid.parent_setback,
            width=laid.width,
            strip=turned,
        )

    def _add_relief(
        self,
        name: str,
        flat: str,
        loop: Loop | None,
        at: Point,
        sized: tuple[float, str],
        radius: float,
    ) -> None:
        place = self.places[flat]
        size, source = sized if loop is not None else (0.0, "left out, as stated")
        self.spots.append(
            ReliefSpot(name=name, flat=flat, point=place(at), size=size, inside_radius=radius)
        )
        if loop is None:
            return
        self.cutters.append(
            _Cutter(name, loop.moved(place), place(at), flat, HoleKind.RELIEF, note=source)
        )
        self.trail.append(
            TrailStep(
                name=f"{name}: width",
                value=size,
                kind="length",
                formula=AS_STATED
                if source == AS_STATED
                else "larger of the least diameter for T and of the rule on R",
                inputs=()
                if source == AS_STATED
                else (("R", radius, "length"), ("T", self.part.sheet.thickness, "length")),
                source="part file" if source == AS_STATED else source,
            )
        )

    def _stretches(self, laid: LaidBend) -> list[tuple[float, float]]:
        if laid.drawn.whole:
            return [(0.0, laid.width)]
        parent = covered(self.gross[laid.drawn.parent], laid.strip, parent=True)
        leg = covered(
            self.gross[laid.drawn.leg.name], Move.shift(0.0, laid.leg_setback), parent=False
        )
        return common(common(parent, leg), [(0.0, laid.width)])

    def _strip(self, laid: LaidBend) -> list[Region]:
        """Return a bend's strip on the blank: as wide as both flats reach its tangent lines."""
        place = laid.strip.then(self.places[laid.drawn.parent])
        return [
            Region(Loop.rectangle(low, 0.0, high, laid.allowance).moved(place))
            for low, high in self._stretches(laid)
        ]

    def _relieve_ends(self) -> None:
        """Set relief beside those ends of bends where the parent's metal goes on."""
        thickness = self.part.sheet.thickness
        for name, laid in self.laid.items():
            relief = laid.drawn.end_relief
            size, source = relief_size(relief, thickness, laid.drawn.inside_radius)
            stretches = self._stretches(laid)
            if not stretches:
                continue
            parent = self.gross[laid.drawn.parent]
            reach = max(0.0, laid.parent_setback)
            ends = (("left end", stretches[0][0], -1.0), ("right end", stretches[-1][1], 1.0))
            for word, at, outward in ends:
                probe = laid.strip((at + outward * 0.05, -0.05))
                if not any(region.contains(probe) for region in parent):
                    continue
                loop = end_relief(relief, size, at, outward, reach)
                middle = laid.strip((at + outward * size / 2, 0.0))
                self._add_relief(
                    f"relief {name} {word}",
                    laid.drawn.parent,
                    None if loop is None else loop.moved(laid.strip),
                    middle,
                    (size, source),
                    laid.drawn.inside_radius,
                )

    def _take_holes(self) -> None:
        for hole in self.part.holes:
            place = self.places[hole.flat]
            self.cutters.append(
                _Cutter(
                    hole.name,
                    hole.loop.ccw().moved(place),
                    place(hole.center),
                    hole.flat,
                    hole.kind,
                    hole.drill,
                    hole.note,
                )
            )

    def _blank_holes(self) -> tuple[BlankHole, ...]:
        return tuple(
            BlankHole(
                name=c.name,
                kind=c.kind,
                loop=c.loop,
                center=c.center,
                flat=c.flat,
                drill=c.drill,
                note=c.note,
            )
            for c in self.cutters
        )

    def _blank_bend(self, laid: LaidBend, regions: Sequence[Region]) -> BlankBend:
        stretches = self._stretches(laid) or [(0.0, laid.width)]
        low, high = stretches[0][0], stretches[-1][1]
        drawn = laid.drawn
        place = Move.shift(low, 0.0).then(laid.strip).then(self.places[drawn.parent])
        return BlankBend(
            name=drawn.name,
            parent=drawn.parent,
            leg=drawn.leg.name,
            angle=drawn.angle,
            inside_radius=drawn.inside_radius,
            up=drawn.up,
            allowance=laid.allowance,
            k=laid.k,
            setback=outside_setback(drawn.angle, drawn.inside_radius, self.part.sheet.thickness),
            width=high - low,
            place=place,
            regions=tuple(regions),
            last=drawn.last,
        )


def _beside_parent(rule: CornerRule) -> CornerRule:
    """A leg beside its flat's own bend is trimmed to the tangent line unless left as drawn."""
    return rule if rule is CornerRule.AS_DRAWN else CornerRule.OPEN


def _largest(pieces: Sequence[Region], place: Move) -> tuple[Region, list[Region]]:
    ordered = sorted(pieces, key=lambda region: -region.area)
    if not ordered:
        # Setbacks and cuts left nothing, or two bends meet in a line: a flat of no size keeps the
        # tree whole.
        return Region(Loop.rectangle(0.0, 0.0, 10 * TOUCH, 10 * TOUCH).moved(place)), []
    return ordered[0], ordered[1:]


def _overlaps(flats: Sequence[BlankFlat], bends: Sequence[BlankBend]) -> tuple[Overlap, ...]:
    named: list[tuple[str, tuple[Region, ...]]] = [(flat.name, (flat.region,)) for flat in flats]
    named += [(bend.label, bend.regions) for bend in bends if bend.regions]
    found: list[Overlap] = []
    for i, (first, a) in enumerate(named):
        for second, b in named[i + 1 :]:
            near = any(boxes_touch(r.box, s.box, -10 * TOUCH) for r in a for s in b)
            both = overlap(a, b) if near else ()
            both = tuple(region for region in both if region.area > 1e-4)
            if both:
                found.append(Overlap(first=first, second=second, regions=both))
    return tuple(found)


def _with_root(whole: Sequence[Region], root: BlankFlat) -> tuple[Region, list[Region]]:
    if len(whole) == 1:
        return whole[0], []
    edge = root.region.outer.edges[0]
    inside = Move.onto(edge.point(0.5), edge.direction(0.5))((0.0, 1e-3))
    for region in whole:
        if region.contains(inside):
            return region, [other for other in whole if other is not region]
    return _largest(whole, Move())
