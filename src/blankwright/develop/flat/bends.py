"""A flat outline with bend lines, made a blank: strips, the flats between them, their tree."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.tolerance import TOUCH
from blankwright.develop.blank import Blank, BlankBend, BlankFlat, BlankHole
from blankwright.develop.flat.strips import (
    THIN,
    BendLineKind,
    FlatBend,
    OutlineCut,
    Strip,
    bend_problem,
)
from blankwright.develop.layout import covered
from blankwright.develop.setback import outside_setback
from blankwright.geom import vec
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point
from blankwright.part.model import HoleKind


def blank_of_flat(
    outline: Region,
    bends: Sequence[FlatBend],
    *,
    thickness: float,
    alloy: str,
    root_at: Point | None = None,
    reach: float = 0.5,
) -> Blank:
    """Return the blank that a flat drawing with bend lines stands for.

    Args:
        outline: what is cut out, openings as holes [mm]
        bends: the bend lines
        thickness: [mm]
        alloy: alloy and temper
        root_at: a point on the flat that stays put [mm]; the largest flat when not stated
        reach: how far a bend line may end short of the edge, or past it [mm]

    Raises:
        NotPossible: with every bend line that does not part the outline in two, and with bends
            that run into each other or close a ring
    """
    outlines = OutlineCut(outline, thickness, reach)
    bends = _root_on_the_right(outlines, bends, root_at)
    flats, strips = outlines.cut(bends)
    bends, strips = _parted(flats, bends, strips)
    root = _root_of(flats, root_at)
    tree = _tree(flats, strips, root, {bend.name: bend for bend in bends})
    return _assemble(outline, flats, strips, tree, bends, thickness, alloy)


def _root_on_the_right(
    outlines: OutlineCut, bends: Sequence[FlatBend], root_at: Point | None
) -> Sequence[FlatBend]:
    """Turn lines that are drawn on one side of their bend so that their strip lies to the left."""
    if all(bend.kind is BendLineKind.CENTER for bend in bends):
        return bends
    thin = [replace(bend, kind=BendLineKind.CENTER, allowance=THIN) for bend in bends]
    flats, strips = outlines.cut(thin)
    thin_ones, strips = _parted(flats, thin, strips)
    names = [bend.name for bend in bends]
    tree = _tree(flats, strips, _root_of(flats, root_at), {bend.name: bend for bend in thin_ones})
    turned = {
        whole_name(branch.bend.name, names)
        for branch in tree
        if vec.dot(branch.place.vector((1.0, 0.0)), branch.bend.line.direction()) < 0
    }
    return [
        replace(bend, line=bend.line.reversed()) if bend.name in turned else bend for bend in bends
    ]


_PART = "-part-"


def whole_name(name: str, lines: Collection[str]) -> str:
    """Return the name of the bend line that a bend is on: one line may be several bends.

    Args:
        name: name of the bend
        lines: names of all bend lines
    """
    return name if name in lines else name.rpartition(_PART)[0]


def _parted(
    flats: Sequence[Region], bends: Sequence[FlatBend], strips: dict[str, Strip]
) -> tuple[list[FlatBend], dict[str, Strip]]:
    """Part bends that openings cut into pieces between different flats: a bend for each piece.

    So it is where two bend lines run through the same openings: the metal between the openings is
    one flat, that beside them others.
    """
    result: list[FlatBend] = []
    cut: dict[str, Strip] = {}
    for bend in bends:
        strip = strips[bend.name]
        below, above = _sides(flats, strip)
        if len(strip.regions) < 2 or (len(below) == 1 and len(above) == 1):
            result.append(bend)
            cut[bend.name] = strip
            continue
        groups: list[tuple[object, list[Region]]] = []
        back = strip.place.inverse()
        for piece in sorted(strip.regions, key=lambda r: r.moved(back).box[0]):
            pair = _sides(flats, _of_pieces(bend, strip, [piece]))
            for known, pieces in groups:
                if known == pair:
                    pieces.append(piece)
                    break
            else:
                groups.append((pair, [piece]))
        for number, (_, pieces) in enumerate(groups, start=1):
            name = bend.name if len(groups) == 1 else f"{bend.name}{_PART}{number}"
            own = replace(bend, name=name, of=bend.name)
            result.append(own)
            cut[name] = _of_pieces(own, strip, pieces)
    return result, cut


def _of_pieces(bend: FlatBend, strip: Strip, pieces: Sequence[Region]) -> Strip:
    back = strip.place.inverse()
    boxes = [piece.moved(back).box for piece in pieces]
    low, high = min(box[0] for box in boxes), max(box[2] for box in boxes)
    return Strip(bend, Move.shift(low, 0.0).then(strip.place), high - low, tuple(pieces))


def joined_flats(
    outline: Region, bends: Sequence[FlatBend], reach: float
) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Return for each bend the numbers of the flats on its two sides, right of its line first.

    Args:
        outline: what is cut out [mm]
        bends: bend lines that do not run into each other
        reach: how far a bend line may end short of the edge, or past it [mm]

    Raises:
        NotPossible: as `blank_of_flat`
    """
    flats, strips = OutlineCut(outline, 1.0, reach).cut(bends)
    sides = (_sides(flats, strips[bend.name]) for bend in bends)
    return [(tuple(below), tuple(above)) for below, above in sides]


def _root_of(flats: Sequence[Region], root_at: Point | None) -> int:
    if root_at is None:
        return max(range(len(flats)), key=lambda i: flats[i].area)
    for i, flat in enumerate(flats):
        if flat.outer.contains(root_at):
            return i
    raise NotPossible(
        Problem(
            code="FLAT-013",
            where=f"root at ({root_at[0]:g}, {root_at[1]:g})",
            got="this point is on no flat",
            fix="State a point on the flat that stays put, away from bends and edges",
        )
    )


@dataclass(frozen=True, slots=True)
class _Branch:
    """A bend of the tree, its strip turned so that y runs from the parent to the leg."""

    bend: FlatBend
    parent: int
    leg: int
    place: Move


def _tree(
    flats: Sequence[Region],
    strips: dict[str, Strip],
    root: int,
    bends: dict[str, FlatBend],
) -> list[_Branch]:
    sides = {name: _sides(flats, strip) for name, strip in strips.items()}
    problems = []
    for name, (below, above) in sides.items():
        if len(below) != 1 or len(above) != 1:
            problems.append(
                bend_problem(
                    "FLAT-014",
                    bends[name],
                    f"there are {len(below)} flats on one side of it and {len(above)} on the other",
                    "A bend joins two flats: draw one bend line for each pair",
                )
            )
    if problems:
        raise NotPossible(*problems)
    branches: list[_Branch] = []
    seen, used = {root}, set()
    # Which bends, by the lines they are on, lead to a flat: flats with the same lie alike.
    ways: dict[int, tuple[str, ...]] = {root: ()}
    queue = deque([root])
    while queue:
        flat = queue.popleft()
        for name, (below, above) in sides.items():
            if name in used or flat not in (below[0], above[0]):
                continue
            used.add(name)
            strip, bend = strips[name], bends[name]
            other = above[0] if below[0] == flat else below[0]
            way = (*ways[flat], bends[name].of or name)
            if other in seen and ways[other] != way:
                raise NotPossible(
                    bend_problem(
                        "FLAT-015",
                        bend,
                        "it closes a ring of bends, which can't be bent from flat",
                        "Cut the ring open along one of its bends",
                    )
                )
            place = strip.place
            if below[0] != flat:
                place = Move.onto((strip.width, bend.allowance), (-1.0, 0.0)).then(place)
            if other not in seen:
                seen.add(other)
                ways[other] = way
                queue.append(other)
            branches.append(_Branch(bend, flat, other, place))
    if len(seen) != len(flats):
        raise NotPossible(
            Problem(
                code="FLAT-016",
                where="outline",
                got=f"{len(flats) - len(seen)} pieces of it are joined to the rest by no bend",
                fix="Check the bend lines, and that the drawing is of one part",
            )
        )
    return branches


def _sides(flats: Sequence[Region], strip: Strip) -> tuple[list[int], list[int]]:
    """Return which flats end on the strip's lower and upper tangent line."""
    below: list[int] = []
    above: list[int] = []
    upper = Move.shift(0.0, strip.bend.allowance).then(strip.place)
    for i, flat in enumerate(flats):
        for line, parent, side in ((strip.place, True, below), (upper, False, above)):
            stretches = covered((flat,), line, parent=parent)
            if any(min(h, strip.width) - max(low, 0.0) > 100 * TOUCH for low, h in stretches):
                side.append(i)
    return below, above


def _assemble(
    outline: Region,
    flats: Sequence[Region],
    strips: dict[str, Strip],
    tree: Sequence[_Branch],
    bends: Sequence[FlatBend],
    thickness: float,
    alloy: str,
) -> Blank:
    root = next((b.parent for b in tree), 0)
    names = {root: "root"}
    for branch in tree:
        names.setdefault(branch.leg, branch.bend.name)
    laid = [BlankFlat(name="root", region=flats[root], place=Move())]
    made: list[BlankBend] = []
    for branch in tree:
        bend = branch.bend
        leg = names[branch.leg]
        place = Move.shift(0.0, bend.allowance).then(branch.place)
        if leg == bend.name:
            region = flats[branch.leg]
            laid.append(BlankFlat(name=leg, region=region, place=place, bend=leg))
        made.append(
            BlankBend(
                name=bend.name,
                parent=names[branch.parent],
                leg=leg,
                angle=bend.angle,
                inside_radius=bend.inside_radius,
                up=bend.up,
                allowance=bend.allowance,
                k=bend.k,
                setback=outside_setback(bend.angle, bend.inside_radius, thickness),
                width=strips[bend.name].width,
                place=branch.place,
                regions=strips[bend.name].regions,
            )
        )
    return Blank(
        thickness=thickness,
        alloy=alloy,
        outline=outline,
        flats=tuple(laid),
        bends=tuple(made),
        holes=holes_of(outline, laid, made),
    )


def holes_of(
    outline: Region, flats: Sequence[BlankFlat], bends: Sequence[BlankBend]
) -> tuple[BlankHole, ...]:
    """Name the openings of an outline: circles are round holes, others cut-outs."""
    found = []
    for i, loop in enumerate(outline.holes):
        circle = loop.as_circle
        x0, y0, x1, y1 = loop.box
        center = circle.center if circle else ((x0 + x1) / 2, (y0 + y1) / 2)
        flat = _carrier(center, flats, bends)
        kind = HoleKind.ROUND if circle else HoleKind.CUT_OUT
        found.append(
            BlankHole(
                name=f"opening[{i + 1}]", kind=kind, loop=loop.ccw(), center=center, flat=flat
            )
        )
    return tuple(found)


def _carrier(center: Point, flats: Sequence[BlankFlat], bends: Sequence[BlankBend]) -> str:
    for flat in flats:
        if flat.region.outer.contains(center):
            return flat.name
    for bend in bends:
        x, y = bend.place.inverse()(center)
        if 0 <= y <= bend.allowance and 0 <= x <= bend.width:
            return bend.parent
    nearest = min(flats, key=lambda flat: flat.region.outer.distance(center))
    return nearest.name
