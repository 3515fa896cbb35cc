"""The section at the tool in one step, as a drawing: held, before and after the stroke."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from blankwright.bending.convex import clip
from blankwright.bending.motion import Kind, Motions
from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.sections import Role
from blankwright.bending.sweep import cut_shadows
from blankwright.drawing.layers import NOTES, SIGHT_LINE, TOOL, TOOL_MOVED, VIEW_EDGE, Layer
from blankwright.drawing.model import Anchor, Drawing, Fill, Item, Stroke, Text
from blankwright.geom.edges import Arc, Line
from blankwright.geom.pose import Array

REACH = (62.0, 72.0, 26.0)
"""How much is shown behind and before the bend, above it and under it, at most [mm]."""

_LETTERS = 6.5
"""Height of lettering, at full size [mm]: the picture is printed at about a third."""

_SLICE = 0.05
_TOOL_SHADE, _BEFORE_SHADE = 0.88, 0.72


def section_picture(plan: BendPlan, step: Step) -> Drawing:
    """Draw the section at the tool at the middle of the bend, at full size [mm].

    The tool is light; the part is dark after the stroke, grey and dashed before it. The
    tool's frame: y to the right over the leaf, z up.
    """
    before, after = part_sections(plan, step, 0.0), part_sections(plan, step, 1.0)
    items: list[Item] = []
    for name, polygons in tool_sections(step).items():
        items += _filled(polygons, _TOOL_SHADE, TOOL)
        items += _named(name, polygons)
    was = [part for held, part in before if not held]
    items += _filled(was, _BEFORE_SHADE, TOOL_MOVED)
    items += _outline(was, TOOL_MOVED)
    items += _filled([p for _, p in after], 0.15, VIEW_EDGE)
    items += _bend_arc(plan, step)
    return Drawing(title=f"section at {' and '.join(step.bends)}", items=tuple(items))


def tool_sections(step: Step) -> dict[str, list[Array]]:
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
        cut = _window(corners)
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
        polygon = _window(_moved(hull(cut.points[i]), step, angle, held), whole)
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


def _bend_arc(plan: BendPlan, step: Step) -> list[Item]:
    """Mark the angle that the tool bends to, and the nose line."""
    aim = plan.aims[step.bends[0]]
    if aim.angle <= 0.01 or step.way.stroke.share < 1.0:
        return []
    radius = 30.0
    arc = Arc((step.way.set_up.hinge, 0.0), radius, 0.0, aim.angle)
    at = (
        step.way.set_up.hinge + (radius + 3) * math.cos(aim.angle / 2),
        (radius + 3) * math.sin(aim.angle / 2),
    )
    words = f"{math.degrees(aim.angle):.1f}°"
    nose = step.way.stroke.radius
    mark = Line((nose, -3.0), (nose, step.way.stroke.thickness + 12.0))
    return [
        Stroke(layer=NOTES, edge=arc),
        Text(layer=NOTES, text=words, at=at, height=_LETTERS, bold=True),
        Stroke(layer=SIGHT_LINE, edge=mark),
    ]


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


def _window(polygon: Array, whole: float | None = None) -> Array:
    """Cut a convex polygon to what is shown."""
    across, up, under = REACH if whole is None else (whole, whole, whole)
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
        items += _outline(polygons, TOOL)
    return items


def _outline(polygons: Sequence[Array], layer: Layer) -> list[Item]:
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


def _named(name: str, polygons: Sequence[Array]) -> list[Item]:
    largest = max(polygons, key=lambda p: _area(p))
    if _area(largest) < 200.0:
        return []
    y, z = largest.mean(axis=0)
    at = (float(y), float(z) - 3.0)
    return [Text(layer=NOTES, text=name, at=at, height=_LETTERS, anchor=Anchor.CENTER)]


def _area(p: Array) -> float:
    x, y = p[:, 0], p[:, 1]
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y))) / 2
