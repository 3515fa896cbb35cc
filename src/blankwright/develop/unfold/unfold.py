"""Unfold a bent solid: skins, graph, lay-out, then the outline of each flat and bend."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.trail import TrailStep
from blankwright.base.units import MM_PER_INCH, trimmed
from blankwright.develop.blank import Blank, BlankBend, BlankFlat, BlankHole
from blankwright.develop.setback import outside_setback
from blankwright.develop.unfold.cells import CellOutlines
from blankwright.develop.unfold.curve2d import FIT
from blankwright.develop.unfold.graph import Node, graph_of, open_corners
from blankwright.develop.unfold.laid import AllowanceRule, Laid, LaidBend, LaidFlat
from blankwright.develop.unfold.lay import lay_out
from blankwright.develop.unfold.mates import Mates
from blankwright.develop.unfold.metal import metal_kept
from blankwright.develop.unfold.model import Slack, SolidModel, place_of
from blankwright.develop.unfold.result import Unfolded
from blankwright.develop.unfold.rims import rims_of
from blankwright.develop.unfold.skins import Skins, find_skins
from blankwright.develop.unfold.snap import StripLines, snapped, stands_on
from blankwright.geom.boolean import merged, overlap
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.pose import Array, Point3
from blankwright.geom.region import Region
from blankwright.part.model import HoleKind

SLACKS: Final = (
    Slack(),
    Slack(same=1e-3, parallel=1e-4, smooth=4e-3, join=2e-3),
    Slack(same=5e-3, parallel=5e-4, smooth=1e-2, join=0.01),
    Slack(same=0.02, parallel=1e-3, smooth=2e-2, join=0.04),
    Slack(same=0.06, parallel=2e-3, smooth=3e-2, join=0.1),
)
"""How true a solid is taken to be, the best first: the first that makes sense of it holds. Files
with few digits, faces turned into splines and bends with radii not quite one thickness apart call
for more than the first."""

_FINAL: Final = ("STEP-010", "STEP-014", "STEP-016", "STEP-018")
"""Refusals that no slack can mend."""

_THIN = 0.2
"""A sheet thinner than this may be inches read as mm [mm]. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnfoldWishes:
    """How a solid shall be unfolded, where it leaves a choice.

    Args:
        rule: from inside radius, thickness and angle to allowance and k
        own: neutral-axis factors of single bends, by their names in the blank that comes out [-]
        alloy: alloy and temper, which a solid does not tell
        root_at: a point of the flat that stays put [mm]; the largest flat when nothing
        seen_from: a direction the face side of the root looks to [-]; the side to which more bends
            go up when nothing
        fit: how far arcs may stand off cut edges that are neither line nor arc [mm]
    """

    rule: AllowanceRule
    own: Mapping[str, float] = field(default_factory=dict)
    alloy: str = ""
    root_at: Point3 | None = None
    seen_from: Point3 | None = None
    fit: float = FIT


def unfold(model: SolidModel, wishes: UnfoldWishes) -> Unfolded:
    """Unfold one solid.

    Raises:
        NotPossible: when it is no sheet part; each problem names what stops it and where
    """
    for edge in model.edges:
        if len(edge.faces) != 2:
            raise NotPossible(
                Problem(
                    code="STEP-022",
                    where=model.name,
                    got=f"{len(edge.faces)} faces meet at one edge",
                    allowed="two faces at every edge",
                    fix="Repair the solid in the program it was drawn in",
                )
            )
    first: NotPossible | None = None
    for slack in SLACKS:
        model.slack = slack
        try:
            return _unfold(model, wishes)
        except (NotPossible, ValueError, ArithmeticError) as error:
            refusal = error if isinstance(error, NotPossible) else _no_sense(model, error)
            first = first or refusal
            if any(problem.code in _FINAL for problem in refusal.problems):
                break
    assert first is not None
    raise first


def _no_sense(model: SolidModel, error: Exception) -> NotPossible:
    return NotPossible(
        Problem(
            code="STEP-026",
            where=model.name,
            got=f"its faces do not fit together ({error})",
            allowed="a sound solid",
            fix="Check and repair the solid in the program it was drawn in",
        )
    )


def _unfold(model: SolidModel, wishes: UnfoldWishes) -> Unfolded:
    mates = Mates(model)
    skins = find_skins(model, mates)
    if model.slack.same > max(SLACKS[0].same, skins.thickness / 20):
        raise NotPossible(
            Problem(code="STEP-017", where=model.name, got="its faces stand off from one another")
        )
    rims = rims_of(model, skins, mates)
    nodes = graph_of(model, skins)
    flats = [node for node in nodes if node.is_flat]
    # Rolled sheet without any flat is laid out from where its largest bend begins.
    root = _root(flats or nodes, wishes)
    side = _face_side(nodes, skins, root, wishes)
    laid = lay_out(model, nodes, root, side, skins.thickness, wishes.rule, wishes.own)
    outlines = CellOutlines(model, skins, rims, side, wishes.fit)
    findings = [*laid.findings, *_suspicions(model, skins), *_open(model, skins, nodes)]
    blank = _blank(laid, outlines, skins, wishes)
    if 2 * skins.thickness > min(blank.size):
        raise NotPossible(
            Problem(
                code="STEP-016",
                where=model.name,
                got=f"a block of {blank.size[0]:.2f} × {blank.size[1]:.2f} × "
                f"{skins.thickness:.2f} mm",
                allowed="a sheet part, at least twice as wide as it is thick",
                fix="This solid is no sheet part; leave it out",
            )
        )
    result = Unfolded(
        name=model.name,
        blank=blank,
        countersinks=tuple(outlines.countersinks),
        dimples=tuple(outlines.dimples),
        marks=tuple(outlines.marks),
        broken_edges=len(outlines.broken),
        findings=(*findings, *outlines.findings, *_slack_used(model)),
    )
    return replace(result, findings=(*result.findings, *metal_kept(model, result)))


def _slack_used(model: SolidModel) -> list[Finding]:
    if model.slack.same <= SLACKS[0].same:
        return []
    within = model.slack.same
    return [
        Finding(
            code="STEP-033",
            level=Level.ASK if within > 0.005 else Level.NOTE,
            place=model.name,
            got="the faces of the solid fit one sheet with bends only to within"
            f" {trimmed(within, 4)} mm",
            fix="Compare the blank's sizes with the drawing; if they matter to that, save the solid"
            " with more digits, or draw inside and outside of its bends about one axis",
        )
    ]


def _root(flats: list[Node], wishes: UnfoldWishes) -> Node:
    if wishes.root_at is None:
        return max(flats, key=lambda node: (round(node.area, 6), -node.number))
    p = np.array(wishes.root_at)
    return min(flats, key=lambda node: (round(_distance(node, p), 6), node.number))


def _distance(node: Node, p: Array) -> float:
    """Return how far a point is from a flat [mm]: 0 on one of its faces."""
    best = math.inf
    for face in (*node.faces[0], *node.faces[1]):
        off = abs(float((p - face.origin) @ face.axis))
        foot = p - float((p - face.origin) @ face.axis) * face.axis
        x = np.cross(face.axis, np.eye(3)[int(np.argmin(np.abs(face.axis)))])
        x /= np.linalg.norm(x)
        frame = np.column_stack((x, np.cross(face.axis, x)))
        inside, beside = False, math.inf
        for edge in face.edges:
            q = (edge.points - foot) @ frame
            a, b = q[:-1], q[1:]
            # Crossings of the ray along x: an odd count is inside, in whatever order edges come.
            over = (a[:, 1] <= 0) != (b[:, 1] <= 0)
            t = np.where(over, a[:, 1] / np.where(over, a[:, 1] - b[:, 1], 1.0), 0.0)
            inside ^= bool((over & (a[:, 0] + t * (b[:, 0] - a[:, 0]) > 0)).sum() % 2)
            beside = min(beside, float(np.hypot(q[:, 0], q[:, 1]).min()))
        best = min(best, off if inside else math.hypot(off, beside))
    return best


def _face_side(nodes: list[Node], skins: Skins, root: Node, wishes: UnfoldWishes) -> int:
    if not root.is_flat:
        # Inside the roll is the face side.
        return 0 if any(face.outward < 0 for face in root.faces[0]) else 1

    def normal(side: int) -> Array:
        return root.faces[side][0].axis if root.faces[side] else -root.faces[1 - side][0].axis

    if wishes.seen_from is not None:
        return 0 if float(normal(0) @ np.array(wishes.seen_from)) > 0 else 1
    up = [0.0, 0.0]
    for node in nodes:
        for face in (*node.faces[0], *node.faces[1]):
            if not node.is_flat and face.outward < 0:
                up[0 if face.number in skins.sides[0] else 1] += face.area
    if abs(up[0] - up[1]) > 1e-6 * max(up):
        return 0 if up[0] > up[1] else 1
    # As many up as down: take the side that looks up, or else along y, or x.
    return 0 if tuple(np.round(normal(0)[::-1], 6)) > (0.0, 0.0, 0.0) else 1


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


def _blank(laid: Laid, outlines: CellOutlines, skins: Skins, wishes: UnfoldWishes) -> Blank:
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
        alloy=wishes.alloy,
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


def _open(model: SolidModel, skins: Skins, nodes: list[Node]) -> list[Finding]:
    return [
        Finding(
            code="STEP-032",
            level=Level.ASK,
            place=model.name,
            got=f"two walls touch at the sharp corner at {place_of(edge.middle)}; the blank leaves"
            " that corner open",
            fix="Bend it closed, and weld or rivet it if the drawing says so; add relief where"
            " the bends meet",
        )
        for edge in open_corners(model, skins, nodes)
    ]


def _suspicions(model: SolidModel, skins: Skins) -> list[Finding]:
    if skins.thickness >= _THIN:
        return []
    return [
        Finding(
            code="STEP-030",
            level=Level.ASK,
            place=model.name,
            got=f"the sheet is {skins.thickness:.4g} mm thick by the units of the file",
            limit=f"{skins.thickness * MM_PER_INCH:.4g} mm if the numbers were meant as inches",
            fix="Check the units the file was saved with; nothing was scaled here",
        )
    ]
