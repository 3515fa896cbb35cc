"""Flats and bends laid out, made a blank: outlines that meet, the whole outline, holes, trail."""

from __future__ import annotations

import math

import numpy as np

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.trail import TrailStep
from blankwright.develop.blank import Blank, BlankBend, BlankFlat, BlankHole
from blankwright.develop.setback import outside_setback
from blankwright.develop.unfold.cells import CellOutlines
from blankwright.develop.unfold.laid import Laid, LaidBend, LaidFlat
from blankwright.develop.unfold.skins import Skins
from blankwright.develop.unfold.snap import StripLines, snapped, stands_on
from blankwright.geom.boolean import merged, overlap
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.pose import Array
from blankwright.geom.region import Region
from blankwright.part.model import HoleKind


def _cells(
    laid: Laid, outlines: CellOutlines
) -> tuple[dict[str, Region], dict[str, list[Region]], list[StripLines]]:
    """Return the metal of each flat and of each bend, so that they meet, and the bends' strips."""
    flats = {flat.name: _flat_region(flat, outlines) for flat in laid.flats}
    cells, strips = list(flats.values()), []
    for bend in laid.bends:
        found = _bend_regions(bend, outlines)
        numbers = tuple(range(len(cells), len(cells) + len(found)))
        place = _place(bend.frame.at, bend.frame.x)
        strips.append(StripLines(place, bend.width, bend.frame.allowance, numbers))
        cells += found
    result, strips = snapped(cells, strips, outlines.model.slack.join)
    for (name, old), new in zip(flats.items(), result, strict=False):
        flats[name] = old if new is None else new
    for bend, strip in zip(laid.bends, strips, strict=True):
        for flat, upper in ((bend.parent, False), (bend.leg, True)):
            if flat.node is not None and not stands_on(flats[flat.name], strip, upper):
                raise _apart(outlines.model.name, bend.name, flat.name)
    bends = {
        bend.name: [r for i in strip.regions if (r := result[i]) is not None]
        for bend, strip in zip(laid.bends, strips, strict=True)
    }
    return flats, bends, strips


def _apart(name: str, bend: str, flat: str) -> NotPossible:
    return NotPossible(
        Problem(
            code="STEP-024",
            where=name,
            got=f"{flat} has no edge on the tangent line of {bend}",
            fix="Look at the solid there: its edges do not close",
        )
    )


def _whole(cells: list[Region], name: str, thickness: float) -> Region:
    """Return the outline that flats and bends have together; nothing may fall off."""
    pieces = merged(cells)
    outline = max(pieces, key=lambda region: region.area)
    lost = max((p for p in pieces if p is not outline), key=lambda p: p.area, default=None)
    if lost is not None and lost.area > thickness * thickness:
        x, y = lost.outer.edges[0].point(0.5)
        raise NotPossible(
            Problem(
                code="STEP-024",
                where=name,
                got=f"a piece of the blank at ({x:.2f}, {y:.2f}) on it does not meet the rest",
                fix="Look at the solid there: its edges do not close",
            )
        )
    return outline


def blank_of(laid: Laid, outlines: CellOutlines, skins: Skins, alloy: str) -> Blank:
    """Return the blank of flats and bends as they are laid out.

    Raises:
        NotPossible: STEP-024 when they do not meet
    """
    regions, strip_regions, strips = _cells(laid, outlines)
    flats = [
        BlankFlat(
            name=flat.name,
            region=regions[flat.name],
            place=_place(flat.frame.at, np.array((1.0, 0.0)))
            if flat.bend is None
            else _place(flat.frame.at, flat.bend.frame.x),
            bend="" if flat.bend is None else flat.bend.name,
        )
        for flat in laid.flats
    ]
    bends = [
        _bend(bend, tuple(strip_regions[bend.name]), strip, skins.thickness)
        for bend, strip in zip(laid.bends, strips, strict=True)
    ]
    cells = [flat.region for flat in flats if flat.region.area > 1e-6]
    cells += [region for bend in bends for region in bend.regions]
    outline = _whole(cells, outlines.model.name, skins.thickness)
    steps = [
        TrailStep(
            name="thickness",
            value=skins.thickness,
            formula="distance between the two skins",
            source="solid",
        )
    ]
    for bend in bends:
        steps += [
            TrailStep(name=f"{bend.name}: inside radius", value=bend.inside_radius, source="solid"),
            TrailStep(name=f"{bend.name}: angle", value=bend.angle, kind="angle", source="solid"),
            TrailStep(
                name=f"{bend.name}: allowance",
                value=bend.allowance,
                formula="by the part's allowance rule",
                inputs=(
                    ("inside radius", bend.inside_radius, "length"),
                    ("thickness", skins.thickness, "length"),
                    ("angle", bend.angle, "angle"),
                    ("k", bend.k, "number"),
                ),
            ),
        ]
    return Blank(
        thickness=skins.thickness,
        alloy=alloy,
        outline=outline,
        flats=tuple(flats),
        bends=tuple(bends),
        holes=_holes(outline, flats),
        trail=tuple(steps),
    )


def _place(at: Array, x: Array) -> Move:
    return Move.onto((float(at[0]), float(at[1])), (float(x[0]), float(x[1])))


def _flat_region(flat: LaidFlat, outlines: CellOutlines) -> Region:
    if flat.node is None:
        # No flat between two bends, or beyond the last: a line there and back.
        assert flat.line is not None
        (ax, ay), (dx, dy) = flat.line
        a, b = (float(ax), float(ay)), (float(ax + dx), float(ay + dy))
        return Region(Loop((Line(a, b), Line(b, a))))
    regions = outlines.regions(flat.node, flat.frame, flat.name)
    if len(regions) != 1:
        raise NotPossible(
            Problem(
                code="STEP-024",
                where=outlines.model.name,
                got=f"{flat.name} comes out in {len(regions)} pieces",
                fix="Look at the solid there: its edges do not close",
            )
        )
    return regions[0]


def _bend_regions(bend: LaidBend, outlines: CellOutlines) -> list[Region]:
    f = bend.frame
    regions: list[Region] = []
    for node in bend.nodes:
        found = outlines.regions(node, f, bend.name)
        if math.isfinite(node.window[0]) or math.isfinite(node.window[1]):
            strip = Loop.rectangle(0.0, -1.0, bend.width, f.allowance + 1.0)
            found = overlap(found, (Region.of(strip).moved(_place(f.at, f.x)),))
        regions += found
    return regions


def _bend(
    bend: LaidBend, regions: tuple[Region, ...], strip: StripLines, thickness: float
) -> BlankBend:
    f = bend.frame
    return BlankBend(
        name=bend.name,
        parent=bend.parent.name,
        leg=bend.leg.name,
        angle=f.angle,
        inside_radius=bend.inside_radius,
        up=bend.up,
        allowance=f.allowance,
        k=bend.k,
        setback=_setback(bend, thickness),
        width=strip.width,
        place=strip.place,
        regions=regions,
    )


def _setback(bend: LaidBend, thickness: float) -> float:
    if bend.frame.angle >= math.pi - 1e-9:
        return math.inf
    return outside_setback(bend.frame.angle, bend.inside_radius, thickness)


def _holes(outline: Region, flats: list[BlankFlat]) -> tuple[BlankHole, ...]:
    holes = []
    own = {_middle(loop): flat for flat in flats for loop in flat.region.holes}
    for i, loop in enumerate(outline.holes, start=1):
        ccw = loop.ccw()
        x0, y0, x1, y1 = ccw.box
        circle = ccw.as_circle
        center = circle.center if circle is not None else ((x0 + x1) / 2, (y0 + y1) / 2)
        at = ccw.edges[0].point(0.5)
        home = own.get(_middle(loop)) or min(
            flats, key=lambda flat: flat.region.distance_to_edge(at)
        )
        kind = HoleKind.CUT_OUT
        if circle is not None:
            kind = HoleKind.ROUND
        elif [type(e) for e in sorted(ccw.edges, key=_is_arc)] == [Line, Line, Arc, Arc]:
            kind = HoleKind.SLOT
        holes.append(
            BlankHole(name=f"hole {i}", kind=kind, loop=ccw, center=center, flat=home.name)
        )
    return tuple(holes)


def _middle(loop: Loop) -> tuple[float, float]:
    x0, y0, x1, y1 = loop.box
    return (round((x0 + x1) / 2, 6), round((y0 + y1) / 2, 6))


def _is_arc(edge: Line | Arc) -> bool:
    return isinstance(edge, Arc)
