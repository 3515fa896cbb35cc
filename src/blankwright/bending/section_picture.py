"""The section at the tool in one step, as a drawing: held, before and after the stroke."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from blankwright.bending.convex import clip
from blankwright.bending.motion import Kind, Motions
from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.sections import Role
from blankwright.bending.shadows import cut_shadows
from blankwright.drawing.layers import (
    FRAME,
    NOTES,
    SIGHT_LINE,
    TOOL,
    TOOL_MOVED,
    VIEW_EDGE,
    Layer,
)
from blankwright.drawing.model import Anchor, Drawing, Fill, Item, Ring, Stroke, Text
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Array

REACH = (62.0, 72.0, 26.0)
"""How much the page shows behind and before the bend, above it and under it, at most [mm]."""

_VIEW = (46.0, 54.0, 16.0)
"""How much a card shows, at most [mm]."""

_LEAST_VIEW = 0.5
"""A small part is shown larger: no less than this share of that is shown [-]."""

_LETTERS = 3.5
"""Height of lettering [mm], at full size in a picture of the whole `_VIEW`."""

_SLICE = 0.05
_TOOL_SHADE, _BEFORE_SHADE, _AFTER_SHADE = 0.9, 0.62, 0.0


def section_picture(plan: BendPlan, step: Step) -> Drawing:
    """Draw the section at the tool at the middle of the bend, in a frame, at full size [mm].

    The tool is light; the part is black after the stroke, grey before it. The tool's frame: y to
    the right over the leaf, z up.
    """
    share = _share_shown(plan, step)
    view = tuple(share * reach for reach in _VIEW)
    letters = share * _LETTERS
    before, after = (_cut(part_sections(plan, step, s, whole=200.0), view) for s in (0.0, 1.0))
    items: list[Item] = []
    names: list[Item] = []
    for name, polygons in tool_sections(step, view).items():
        items += _filled(polygons, _TOOL_SHADE, TOOL)
        names += named(name, polygons, letters)
    was = [part for held, part in before if not held]
    items += _filled(was, _BEFORE_SHADE, TOOL_MOVED)
    items += _filled([p for _, p in after], _AFTER_SHADE, VIEW_EDGE)
    across, above, under = view
    frame = Loop.rectangle(-across, -under, across, above)
    arc = _bend_arc(plan, step, share, letters)
    items = [*items, *names, *arc, Ring(layer=FRAME, loop=frame)]
    return Drawing(title=f"section at {' and '.join(step.bends)}", items=tuple(items))


def _share_shown(plan: BendPlan, step: Step) -> float:
    """Return how much of `_VIEW` is shown: less for a small part [-]."""
    reach = max(
        (
            float(np.abs(polygon).max())
            for share in (0.0, 1.0)
            for _, polygon in part_sections(plan, step, share, whole=200.0)
        ),
        default=0.0,
    )
    return min(1.0, max(_LEAST_VIEW, 1.25 * reach / _VIEW[0]))


def _cut(sections: list[tuple[bool, Array]], view: Sequence[float]) -> list[tuple[bool, Array]]:
    cut = [(held, _window(polygon, view)) for held, polygon in sections]
    return [(held, polygon) for held, polygon in cut if len(polygon) > 2]


def tool_sections(step: Step, view: Sequence[float] = REACH) -> dict[str, list[Array]]:
    """Return the convex sections of the tool by body's name, cut to what is shown; (n, 2) [mm]."""
    angle = step.way.stroke.angle
    found: dict[str, list[Array]] = {}
    for body in step.way.set_up.bodies:
        corners = body.corners
        if body.role is Role.LEAF:
            c, s = math.cos(angle), math.sin(angle)
            y, z = corners[:, 0] - step.way.set_up.hinge, corners[:, 1]
            corners = np.column_stack((c * y - s * z + step.way.set_up.hinge, s * y + c * z))
        if body.role is Role.DIE:
            corners = corners + np.array((0.0, step.way.set_up.opening / 2 * math.tan(angle / 2)))
        cut = _window(corners, view)
        if len(cut) > 2:
            found.setdefault(body.name, []).append(cut)
    return found


def part_sections(
    plan: BendPlan, step: Step, share: float, whole: float | None = None
) -> list[tuple[bool, Array]]:
    """Return the part's sections: whether each is on the held side, and its corners (n, 2) [mm].

    Args:
        plan: the plan
        step: the step
        share: of the stroke that is done, 0 to 1 [-]
        whole: show so much on all sides in place of what cards show [mm]
    """
    way = step.way
    pool = plan.rooms.tables.pool(way.lay)
    some = pool.rows_of(pool.slots_of(np.array([step.before]))[:, 0])
    middle = sum(way.lay.stretch) / 2
    n = len(some)
    cut, there = cut_shadows(
        pool.points[some], np.full(n, middle - _SLICE), np.full(n, middle + _SLICE)
    )
    angle = way.stroke.angle * share
    found: list[tuple[bool, Array]] = []
    for i in np.flatnonzero(there):
        held = bool(pool.held[some[i]])
        limits = REACH if whole is None else (whole, whole, whole)
        polygon = _window(_moved(hull(cut.points[i]), step, angle, held), limits)
        if len(polygon) > 2:
            found.append((held, polygon))
    found += [(False, p) for p in _strip(step, angle)]
    return found


def _moved(points: Array, step: Step, angle: float, held: bool) -> Array:
    stroke = step.way.stroke
    if held and stroke.share == 1.0:
        return points
    kind = Kind.SWING_HELD if held else Kind.SWING
    motions = Motions(kind=np.array([int(kind)]), numbers=np.array([Motions.row(stroke, False)]))
    cos, sin, dy, dz = (float(v[0]) for v in motions.at(np.array([0]), np.array([angle])))
    y, z = points[:, 0], points[:, 1]
    return np.column_stack((cos * y - sin * z + dy, sin * y + cos * z + dz))


def _strip(step: Step, angle: float) -> list[Array]:
    """Return the section of the bend itself, in short convex stretches."""
    stroke = step.way.stroke
    thickness = stroke.thickness
    count = max(1, math.ceil(angle / math.radians(10)))
    if angle < 1e-6:
        y0 = 0.0 if stroke.share == 1.0 else -stroke.allowance / 2
        y1 = y0 + stroke.allowance
        return [np.array([(y0, 0.0), (y1, 0.0), (y1, thickness), (y0, thickness)])]
    inner = stroke.allowance / angle - stroke.k * thickness
    turn = angle * (1.0 - stroke.share)
    found = []
    for i in range(count):
        a, b = (angle * (i + d) / count - turn for d in (0, 1))
        corners = []
        for r, phi in (
            (inner + thickness, a),
            (inner + thickness, b),
            (inner, b),
            (inner, a),
        ):
            corners.append((r * math.sin(phi), thickness + inner - r * math.cos(phi)))
        found.append(np.array(corners))
    return found


def _bend_arc(plan: BendPlan, step: Step, share: float, letters: float) -> list[Item]:
    """Mark the angle that the tool bends to, and the nose line."""
    aim = plan.aims[step.bends[0]]
    if aim.angle <= 0.01 or step.way.stroke.share < 1.0:
        return []
    radius = 24.0 * share
    hinge = step.way.set_up.hinge
    arc = Arc((hinge, 0.0), radius, 0.0, aim.angle)
    turn = min(aim.angle / 2, math.radians(40))
    at = (hinge + (radius + letters) * math.cos(turn), (radius + letters) * math.sin(turn))
    words = f"{math.degrees(aim.angle):.1f}°"
    nose = step.way.stroke.radius
    mark = Line((nose, -4.0 * share), (nose, step.way.stroke.thickness + 12.0 * share))
    tip = (hinge + radius * math.cos(aim.angle), radius * math.sin(aim.angle))
    return [
        Stroke(layer=NOTES, edge=arc),
        _arrow(tip, aim.angle + math.pi / 2, letters),
        Text(layer=NOTES, text=words, at=at, height=1.25 * letters, bold=True),
        Stroke(layer=SIGHT_LINE, edge=mark),
    ]


def _arrow(tip: tuple[float, float], angle: float, size: float) -> Fill:
    """Return an arrowhead that points along an angle [rad]."""
    c, s = math.cos(angle), math.sin(angle)
    corners = ((0.0, 0.0), (-size, 0.32 * size), (-size, -0.32 * size))
    return Fill(
        layer=NOTES,
        corners=tuple((tip[0] + c * x - s * y, tip[1] + s * x + c * y) for x, y in corners),
    )


def hull(points: Array) -> Array:
    """Return the convex hull of points (n, 2), counter-clockwise [mm]."""
    ordered = sorted({(round(float(y), 9), round(float(z), 9)) for y, z in points})
    if len(ordered) < 3:
        return np.array(ordered)

    def half(some: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for p in some:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], p) <= 1e-12:
                kept.pop()
            kept.append(p)
        return kept

    lower, upper = half(ordered), half(reversed(ordered))
    return np.array(lower[:-1] + upper[:-1])


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _window(polygon: Array, view: Sequence[float]) -> Array:
    """Cut a convex polygon to what is shown: before and behind, above, under [mm]."""
    across, up, under = view
    for normal, most in (
        ((1.0, 0.0), across),
        ((-1.0, 0.0), across),
        ((0.0, 1.0), up),
        ((0.0, -1.0), under),
    ):
        if len(polygon) < 3:
            return polygon
        polygon = clip(polygon, normal, most)
    return polygon


def _filled(polygons: Sequence[Array], shade: float, layer: Layer) -> list[Item]:
    items: list[Item] = [
        Fill(layer=layer, corners=tuple((float(y), float(z)) for y, z in p), shade=shade)
        for p in polygons
    ]
    if layer is TOOL:
        items += outline(polygons, TOOL)
    return items


def outline(polygons: Sequence[Array], layer: Layer) -> list[Item]:
    """Return the sides that no two polygons share."""
    sides: dict[frozenset[tuple[float, float]], Line] = {}
    twice: set[frozenset[tuple[float, float]]] = set()
    for polygon in polygons:
        for i in range(len(polygon)):
            a, b = polygon[i], polygon[(i + 1) % len(polygon)]
            key = frozenset(
                {
                    (round(float(a[0]), 4), round(float(a[1]), 4)),
                    (round(float(b[0]), 4), round(float(b[1]), 4)),
                }
            )
            if len(key) < 2:
                continue
            if key in sides:
                twice.add(key)
            sides[key] = Line((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
    return [Stroke(layer=layer, edge=line) for key, line in sides.items() if key not in twice]


def named(name: str, polygons: Sequence[Array], letters: float) -> list[Item]:
    """Letter a body where it is widest, upright if it is slender; not where there is no room."""
    text = Text(layer=NOTES, text=name, at=(0.0, 0.0), height=letters, anchor=Anchor.CENTER)
    for angle in (0.0, math.pi / 2):
        c, s = math.cos(angle), math.sin(angle)
        turned = [p @ np.array([[c, -s], [s, c]]) for p in polygons]
        room, y, z = max((_widest(p, letters) for p in turned), key=lambda r: round(r[0], 6))
        if room >= text.width + letters:
            at = (c * y - s * (z - letters / 2), s * y + c * (z - letters / 2))
            return [replace(text, at=at, angle=angle)]
    return []


def _widest(polygon: Array, height: float) -> tuple[float, float, float]:
    """Return the longest level strip of a height in a convex polygon, and its middle [mm]."""
    best = (0.0, 0.0, 0.0)
    low, high = float(polygon[:, 1].min()), float(polygon[:, 1].max())
    for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
        middle = low + share * (high - low)
        ends = [_level(polygon, middle + d * height * 0.8) for d in (-1.0, 1.0)]
        begin, end = max(e[0] for e in ends), min(e[1] for e in ends)
        if end - begin > best[0] + 1e-6:
            best = (end - begin, (begin + end) / 2, middle)
    return best


def _level(polygon: Array, z: float) -> tuple[float, float]:
    """Return from where to where a convex polygon reaches at a height [mm]; empty outside it."""
    ys = []
    for (y0, z0), (y1, z1) in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
        if (z0 - z) * (z1 - z) <= 0 and z0 != z1:
            ys.append(float(y0 + (z - z0) / (z1 - z0) * (y1 - y0)))
    return (min(ys), max(ys)) if ys else (math.inf, -math.inf)
