"""Dimensions as the trade draws them: extension lines, dimension line, arrowheads, figure.

Figures stand over their line and are read from below or from the right (ISO 129-1). All sizes
here are on paper; what a figure says is up to the caller.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from blankwright.drawing.beside import readable
from blankwright.drawing.layers import DIMENSIONS
from blankwright.drawing.model import Anchor, Fill, Item, Stroke, Text
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class DimensionLook:
    """Sizes of a dimension's parts on paper.

    Args:
        text: height of figures [mm]
        arrow: length of arrowheads [mm]
        gap: from what is measured to the extension line [mm]
        past: of the extension line past the dimension line [mm]
    """

    text: float = 2.5
    arrow: float = 2.8
    gap: float = 0.8
    past: float = 1.5


LOOK = DimensionLook()


def linear(
    a: Point,
    b: Point,
    at: float,
    words: str,
    along: Point | None = None,
    look: DimensionLook = LOOK,
) -> tuple[Item, ...]:
    """Return a linear dimension between two points.

    Args:
        a: first point [mm]
        b: second point [mm]
        at: distance of the dimension line from `a`, to the left of `along` (negative: right) [mm]
        words: the figure
        along: direction it measures in: (1, 0) level, (0, 1) upright; from a to b unless stated
        look: sizes
    """
    d = vec.unit(vec.sub(b, a)) if along is None else along
    if vec.dot(vec.sub(b, a), d) < 0:
        d, at = vec.scale(d, -1.0), -at
    n = vec.left(d)
    length = vec.dot(vec.sub(b, a), d)
    foot_a = vec.along(a, n, at)
    foot_b = vec.along(foot_a, d, length)
    items: list[Item] = []
    for p, foot in ((a, foot_a), (b, foot_b)):
        items.extend(_extension(p, foot, look))
    text = Text(layer=DIMENSIONS, text=words, at=(0.0, 0.0), height=look.text)
    inside = text.width + 2 * look.arrow + 1.0 <= length
    if inside:
        items.append(_stroke(Line(foot_a, foot_b)))
        items.append(_arrow(foot_a, vec.scale(d, -1.0), look))
        items.append(_arrow(foot_b, d, look))
        items.append(_over(vec.middle(foot_a, foot_b), d, words, look))
    else:
        # No room: arrowheads from outside, the figure past the second one.
        tail = 2 * look.arrow
        items.append(_stroke(Line(vec.along(foot_a, d, -tail), foot_a)))
        items.append(_stroke(Line(foot_b, vec.along(foot_b, d, tail + text.width))))
        items.append(_arrow(foot_a, d, look))
        items.append(_arrow(foot_b, vec.scale(d, -1.0), look))
        items.append(_over(vec.along(foot_b, d, tail + text.width / 2), d, words, look))
    return tuple(items)


def radius(arc: Arc, at: float, words: str, look: DimensionLook = LOOK) -> tuple[Item, ...]:
    """Return a radius: a line from the centre's side to the arc, the figure beyond it.

    Args:
        arc: the arc [mm]
        at: where on it, as an angle from the x axis [rad]
        words: the figure, such as ``R 3.2``
        look: sizes
    """
    out = (math.cos(at), math.sin(at))
    tip = vec.along(arc.center, out, arc.radius)
    return _leader(tip, out, words, look)


def diameter(
    center: Point, size: float, at: float, words: str, look: DimensionLook = LOOK
) -> tuple[Item, ...]:
    """Return a diameter: across the circle where it has room, else an arrow from outside.

    Args:
        center: of the circle [mm]
        size: its diameter [mm]
        at: direction of the dimension line, from the x axis [rad]
        words: the figure, such as ``Ø 4.8``
        look: sizes
    """
    out = (math.cos(at), math.sin(at))
    a, b = vec.along(center, out, -size / 2), vec.along(center, out, size / 2)
    text = Text(layer=DIMENSIONS, text=words, at=(0.0, 0.0), height=look.text)
    if text.width + 2 * look.arrow + 1.0 <= size:
        return (
            _stroke(Line(a, b)),
            _arrow(a, vec.scale(out, -1.0), look),
            _arrow(b, out, look),
            _over(center, out, words, look),
        )
    return _leader(b, out, words, look)


def angular(
    corner: Point, begin: float, sweep: float, size: float, words: str, look: DimensionLook = LOOK
) -> tuple[Item, ...]:
    """Return an angle: an arc about the corner with arrowheads, the figure in its middle.

    Args:
        corner: where the sides meet [mm]
        begin: direction of the first side [rad]
        sweep: angle to the second side, over 0 [rad]
        size: radius of the arc [mm]
        words: the figure
        look: sizes
    """
    arc = Arc(corner, size, begin, sweep)
    items: list[Item] = [_stroke(arc)]
    for side in (begin, begin + sweep):
        out = (math.cos(side), math.sin(side))
        reach = vec.along(corner, out, size + look.past)
        items.append(_stroke(Line(vec.along(corner, out, look.gap), reach)))
    items.append(_arrow(arc.start, vec.scale(arc.direction(0.0), -1.0), look))
    items.append(_arrow(arc.end, arc.direction(1.0), look))
    middle = begin + sweep / 2
    out = (math.cos(middle), math.sin(middle))
    tangent = readable(middle - math.pi / 2)
    up = vec.left((math.cos(tangent), math.sin(tangent)))
    lift = 0.8 if vec.dot(up, out) > 0 else -0.8 - look.text
    at = vec.along(vec.along(corner, out, size), up, lift)
    items.append(
        Text(
            layer=DIMENSIONS, text=words, at=at, height=look.text, angle=tangent,
            anchor=Anchor.CENTER,
        )
    )  # fmt: skip
    return tuple(items)


def running(
    places: tuple[tuple[float, float, str], ...],
    axis: Point,
    origin: Point,
    line: float,
    look: DimensionLook = LOOK,
) -> tuple[Item, ...]:
    """Return running dimensions: all measured from one datum, one figure at each place.

    Figures stand in line with their extension lines; where they would run together they are
    spread and joined to their places by a slant.

    Args:
        places: along the axis from the origin, how far the measured point is to the left of the
            axis [mm], and the figure; the first one is the datum
        axis: unit direction of measuring: (1, 0) or (0, 1) [-]
        origin: point that places are counted from [mm]
        line: how far the dimension line is to the left of the axis, negative right [mm]
        look: sizes
    """
    n = vec.left(axis)
    side = 1.0 if line >= 0 else -1.0

    def at(t: float, out: float) -> Point:
        return vec.along(vec.along(origin, axis, t), n, out)

    ordered = sorted(places)
    spread = _spread([t for t, _, _ in ordered], 1.45 * look.text)
    low, high = ordered[0][0], ordered[-1][0]
    items: list[Item] = [_stroke(Line(at(low, line), at(high, line)))]
    datum = places[0]
    angle = readable(math.atan2(n[1], n[0]))
    forward = math.cos(angle) * n[0] + math.sin(angle) * n[1] > 0
    for (t, out, words), label in zip(ordered, spread, strict=True):
        start, bend = at(t, out + side * look.gap), at(t, line + side * 1.0)
        if (bend[0] - start[0]) * n[0] * side + (bend[1] - start[1]) * n[1] * side > 0:
            items.append(_stroke(Line(start, bend)))
        knee = at(label, line + side * 4.0)
        items.append(_stroke(Line(bend, knee)))
        if (t, out, words) == datum:
            items.append(_stroke(Arc.circle(at(t, line), 0.8)))
        else:
            away = 1.0 if t > datum[0] else -1.0
            items.append(_arrow(at(t, line), vec.scale(axis, away), look))
        foot = vec.along(at(label, line + side * 4.6), axis, 0.0)
        anchor = Anchor.LEFT if (side > 0) == forward else Anchor.RIGHT
        up = vec.left((math.cos(angle), math.sin(angle)))
        foot = vec.along(foot, up, -look.text / 2)
        items.append(
            Text(
                layer=DIMENSIONS, text=words, at=foot, height=look.text, angle=angle,
                anchor=anchor,
            )
        )  # fmt: skip
    return tuple(items)


def _spread(places: list[float], least: float) -> list[float]:
    """Return places moved apart to at least `least`, in order, each as near as can be [mm].

    Runs of labels that touch share out their displacement evenly (least squares).
    """
    groups: list[tuple[float, int]] = []  # sum of wished starts, count
    for p in places:
        total, count = p, 1
        while groups and groups[-1][0] / groups[-1][1] + groups[-1][1] * least > total / count:
            before, number = groups.pop()
            # The later labels wish to start `number` steps after the group's start.
            total, count = before + total - count * number * least, number + count
        groups.append((total, count))
    return [total / count + i * least for total, count in groups for i in range(count)]


def _stroke(edge: Edge) -> Stroke:
    return Stroke(layer=DIMENSIONS, edge=edge)


def _extension(p: Point, foot: Point, look: DimensionLook) -> tuple[Item, ...]:
    length = vec.distance(p, foot)
    if length <= look.gap:
        return ()
    d = vec.unit(vec.sub(foot, p))
    return (_stroke(Line(vec.along(p, d, look.gap), vec.along(foot, d, look.past))),)


def _arrow(tip: Point, out: Point, look: DimensionLook) -> Fill:
    """Return an arrowhead that points along `out` and ends at the tip."""
    back = vec.along(tip, out, -look.arrow)
    half = look.arrow / 6
    corners = (tip, vec.along(back, vec.left(out), half), vec.along(back, vec.left(out), -half))
    return Fill(layer=DIMENSIONS, corners=corners)


def _over(middle: Point, d: Point, words: str, look: DimensionLook) -> Text:
    angle = readable(math.atan2(d[1], d[0]))
    up = vec.left((math.cos(angle), math.sin(angle)))
    return Text(
        layer=DIMENSIONS,
        text=words,
        at=vec.along(middle, up, 0.8),
        height=look.text,
        angle=angle,
        anchor=Anchor.CENTER,
    )


def _leader(tip: Point, out: Point, words: str, look: DimensionLook) -> tuple[Item, ...]:
    """Return an arrow that touches at the tip from outside, with a level shelf for the figure."""
    knee = vec.along(tip, out, 3 * look.arrow)
    right = out[0] >= 0
    text = Text(layer=DIMENSIONS, text=words, at=(0.0, 0.0), height=look.text)
    end = (knee[0] + (text.width + 1.0) * (1 if right else -1), knee[1])
    middle = ((knee[0] + end[0]) / 2, knee[1])
    return (
        _stroke(Line(tip, knee)),
        _stroke(Line(knee, end)),
        _arrow(tip, vec.scale(out, -1.0), look),
        _over(middle, (1.0, 0.0), words, look),
    )
