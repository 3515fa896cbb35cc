"""A blank restated as a part, drawn to its bend tangent lines: it develops into that blank again.

So a part that came from a drawing can carry holes, checks, plans and fits like any other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from blankwright.base.tolerance import ANGLE, TOUCH
from blankwright.develop.blank import Blank, BlankBend, BlankFlat
from blankwright.geom.boolean import difference, overlap
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point
from blankwright.part.model import (
    Corner,
    CornerRule,
    DrawnBend,
    DrawnFlat,
    DrawnHole,
    DrawnTo,
    HoleKind,
    Part,
    Relief,
    ReliefRule,
    Sheet,
)

_NO_RELIEF = Relief(rule=ReliefRule.NONE)
_NEAR = 10 * TOUCH


MIDDLE = " middle"
"""What the first half of a bend of more than 180° is called behind the bend's own name."""

_GAP, _GAP_OF = "bend ", " cut-out["


def is_gap_in_bend(name: str) -> bool:
    """Say whether a hole is what is missing from the strip of a bend, cut away in the drawing: the
    middle of an opening that runs across it, or what relief and slanted ends leave off."""
    return name.startswith(_GAP) and _GAP_OF in name


def part_of_blank(blank: Blank, name: str, title: str, drawing: str = "") -> Part:
    """Return a part whose blank is this one.

    Args:
        blank: the blank
        name: name of the part
        title: its title
        drawing: drawing number and revision

    Returns:
        A part with every flat drawn to its tangent lines, k stated for each bend, no corner rules
        and no relief of its own: what was cut away is drawn as cut away.
    """
    bend_of = {bend.leg: bend for bend in blank.bends}
    frames = {flat.name: _frame(flat, bend_of.get(flat.name)) for flat in blank.flats}
    flats = {flat.name: _drawn(blank, flat, frames[flat.name]) for flat in blank.flats}
    bends = tuple(_bend(blank, bend, flats, frames) for bend in blank.bends)
    corners = tuple(
        Corner(first=a.name, second=b.name, rule=CornerRule.AS_DRAWN, relief=_NO_RELIEF)
        for i, a in enumerate(blank.bends)
        for b in blank.bends[i + 1 :]
        if {a.parent, a.leg} & {b.parent, b.leg}
    )
    return Part(
        name=name,
        title=title,
        drawing=drawing,
        sheet=Sheet(alloy=blank.alloy, thickness=blank.thickness, grain=blank.grain),
        sizes=(),
        root=flats[blank.root.name],
        bends=bends,
        corners=corners,
        holes=tuple(_holes(blank, frames)),
    )


def wide_bends_halved(blank: Blank) -> Blank:
    """Return a blank with each bend of more than 180° made two that meet in a line.

    A part states bends up to 180°; a roll of more is the same metal, bent twice about one axis.
    """
    flats = list(blank.flats)
    bends: list[BlankBend] = []
    for bend in blank.bends:
        if bend.angle <= math.pi + ANGLE:
            bends.append(bend)
            continue
        half = bend.allowance / 2
        middle = f"{bend.name}{MIDDLE}"
        line = bend.line_at(half)
        place = Move.shift(0.0, half).then(bend.place)
        flat = BlankFlat(
            name=middle,
            region=Region(Loop((line, line.reversed()))),
            place=place,
            bend=middle,
        )
        flats.insert(next(i for i, f in enumerate(flats) if f.name == bend.leg), flat)
        for name, parent, leg, own in (
            (middle, bend.parent, middle, bend.place),
            (bend.name, middle, bend.leg, place),
        ):
            band = Region(Loop.rectangle(-1.0, 0.0, bend.width + 1.0, half).moved(own))
            bends.append(
                replace(
                    bend,
                    name=name,
                    parent=parent,
                    leg=leg,
                    angle=bend.angle / 2,
                    allowance=half,
                    place=own,
                    regions=overlap(bend.regions, (band,)),
                )
            )
    return replace(blank, flats=tuple(flats), bends=tuple(bends))


def _frame(flat: BlankFlat, bend: BlankBend | None) -> Move:
    """Carry the restated flat's frame onto the blank: the root's own, a leg's from its strip."""
    if bend is None:
        return flat.place
    return Move.shift(0.0, bend.allowance).then(bend.place)


def _drawn(blank: Blank, flat: BlankFlat, frame: Move) -> DrawnFlat:
    """Draw a flat by its outer loop, each edge named, those on tangent lines by their bend."""
    loop = flat.region.outer.moved(frame.inverse())
    edges = list(loop.edges)
    names: list[str] = []
    for i, edge in enumerate(edges):
        name = f"e{i + 1}"
        if flat.bend and isinstance(edge, Line) and _on_base(edge, blank.bend_by_name[flat.bend]):
            name = "bend" if "bend" not in names else name
        names.append(name)
    return DrawnFlat(
        name=flat.name,
        outline=Loop(tuple(edges)),
        edges=tuple(names),
        drawn_to=DrawnTo.TANGENT_LINE,
    )


def _on_base(edge: Line, bend: BlankBend) -> bool:
    (ax, ay), (bx, by) = edge.start, edge.end
    on_line = abs(ay) < _NEAR and abs(by) < _NEAR and bx > ax
    return on_line and bx > _NEAR and ax < bend.width - _NEAR


def _bend(
    blank: Blank, bend: BlankBend, flats: dict[str, DrawnFlat], frames: dict[str, Move]
) -> DrawnBend:
    parent = flats[bend.parent]
    strip = bend.place.then(frames[bend.parent].inverse())
    edge, start = _edge_under(parent, strip, bend)
    return DrawnBend(
        name=bend.name,
        parent=bend.parent,
        edge=edge,
        start=start,
        end=start + bend.width,
        angle=bend.angle,
        inside_radius=bend.inside_radius,
        up=bend.up,
        leg=flats[bend.leg],
        drawn_to=DrawnTo.TANGENT_LINE,
        k=bend.k,
        end_relief=_NO_RELIEF,
        last=bend.last,
        whole=True,
    )


def _edge_under(parent: DrawnFlat, strip: Move, bend: BlankBend) -> tuple[str, float]:
    """Return the parent's edge that a strip stands on, and where on it the strip begins.

    An edge that relief has parted is as good as whole: what counts is the line it lies on.
    """
    back = strip.inverse()
    best: tuple[float, str, float] | None = None
    for name, edge in zip(parent.edges, parent.outline.edges, strict=True):
        if not isinstance(edge, Line):
            continue
        (ax, ay), (bx, by) = back(edge.start), back(edge.end)
        if abs(ay) > _NEAR or abs(by) > _NEAR or bx >= ax:
            continue
        shared = min(ax, bend.width) - max(bx, 0.0)
        # The leg's left end is the edge's end: start is measured from there.
        if best is None or shared > best[0]:
            best = (shared, name, -bx)
    assert best is not None, f"bend {bend.name} stands on no edge of {parent.name}"
    return best[1], best[2]


def _holes(blank: Blank, frames: dict[str, Move]) -> list[DrawnHole]:
    """Openings in flats as they are, and what is missing from the strips as cut-outs."""
    holes: list[DrawnHole] = []
    known = {_key(hole.loop): hole for hole in blank.holes}
    for flat in blank.flats:
        back = frames[flat.name].inverse()
        for i, loop in enumerate(flat.region.holes):
            hole = known.get(_key(loop))
            circle = loop.as_circle
            center: Point = circle.center if circle else _middle(loop)
            holes.append(
                DrawnHole(
                    name=hole.name if hole else f"{flat.name} opening[{i + 1}]",
                    flat=flat.name,
                    kind=hole.kind if hole else HoleKind.CUT_OUT,
                    loop=loop.ccw().moved(back),
                    center=back(center),
                    drill=hole.drill if hole else "",
                    note=hole.note if hole else "",
                )
            )
    for bend in blank.bends:
        whole = Region(Loop.rectangle(0.0, 0.0, bend.width, bend.allowance))
        local = tuple(region.moved(bend.place.inverse()) for region in bend.regions)
        back = bend.place.then(frames[bend.parent].inverse())
        for i, gone in enumerate(_gaps(whole, local)):
            loop = gone.moved(back)
            holes.append(
                DrawnHole(
                    name=f"{_GAP}{bend.name}{_GAP_OF}{i + 1}]",
                    flat=bend.parent,
                    kind=HoleKind.CUT_OUT,
                    loop=loop,
                    center=_middle(loop),
                )
            )
    return holes


def _gaps(whole: Region, metal: Sequence[Region]) -> list[Loop]:
    return [gone.outer for gone in difference((whole,), metal) if gone.area > 1e-6]


def _key(loop: Loop) -> tuple[int, ...]:
    return tuple(round(x * 1e4) for x in loop.box)


def _middle(loop: Loop) -> Point:
    x0, y0, x1, y1 = loop.box
    return ((x0 + x1) / 2, (y0 + y1) / 2)
