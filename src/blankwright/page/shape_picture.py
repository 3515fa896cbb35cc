"""The drawing of a starting shape, for the page: which size is which."""

from __future__ import annotations

import math
from typing import Any

from blankwright.geom.vec import Point
from blankwright.jobs.shapes import SHAPES, SHEET, Ask, Call, Shape

Json = dict[str, Any]

_SCALE = 2.6
_MARGIN = 66.0
_HEAD = 8.0


def shapes_json() -> list[Json]:
    """Return every starting shape with its sizes and its drawing."""
    return [
        {
            "key": shape.key,
            "title": shape.title,
            "about": shape.about,
            "asks": [_ask(ask) for ask in (*shape.asks, *_sheet(shape))],
            **_picture(shape),
        }
        for shape in SHAPES
    ]


def _sheet(shape: Shape) -> tuple[Ask, ...]:
    return SHEET if "[bends." in shape.body else SHEET[:1]


def _ask(ask: Ask) -> Json:
    return {"key": ask.key, "label": ask.label, "in": ask.inch, "mm": ask.metric}


def _picture(shape: Shape) -> Json:
    points = [p for line in shape.lines for p in line]
    for call in shape.calls:
        points.extend(_ends(call))
    x0, y1 = min(p[0] for p in points), max(p[1] for p in points)
    x1, y0 = max(p[0] for p in points), min(p[1] for p in points)

    def at(p: Point) -> Point:
        return ((p[0] - x0) * _SCALE + _MARGIN, (y1 - p[1]) * _SCALE + _MARGIN / 2)

    labels = {ask.key: ask.label for ask in shape.asks}
    return {
        "box": [
            0,
            0,
            round((x1 - x0) * _SCALE + 2 * _MARGIN),
            round((y1 - y0) * _SCALE + _MARGIN),
        ],
        "lines": [
            "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in map(at, line)) for line in shape.lines
        ],
        "calls": [_call(call, at, labels[call.key]) for call in shape.calls],
    }


def _ends(call: Call) -> tuple[Point, Point]:
    (ax, ay), (bx, by) = call.start, call.end
    size = math.hypot(bx - ax, by - ay)
    nx, ny = -(by - ay) / size * call.off, (bx - ax) / size * call.off
    return (ax + nx, ay + ny), (bx + nx, by + ny)


def _call(call: Call, at: Any, label: str) -> Json:
    a, b = (at(p) for p in _ends(call))
    s, e = at(call.start), at(call.end)
    size = math.hypot(b[0] - a[0], b[1] - a[1])
    ux, uy = (b[0] - a[0]) / size, (b[1] - a[1]) / size

    def head(tip: Point, way: float) -> str:
        bx, by = tip[0] - ux * _HEAD * way, tip[1] - uy * _HEAD * way
        px, py = -uy * 3, ux * 3
        return (
            f"M{tip[0]:.1f} {tip[1]:.1f}L{bx + px:.1f} {by + py:.1f}L{bx - px:.1f} {by - py:.1f}Z"
        )

    away = (a[0] - s[0], a[1] - s[1])
    off = math.hypot(*away) or 1.0
    wx, wy = away[0] / off, away[1] / off
    mx, my = (a[0] + b[0]) / 2 + wx * 8, (a[1] + b[1]) / 2 + wy * 8
    anchor = "middle" if abs(wx) < 0.35 else ("start" if wx > 0 else "end")
    return {
        "key": call.key,
        "label": label,
        "lines": (
            f"M{s[0]:.1f} {s[1]:.1f}L{a[0] + wx * 4:.1f} {a[1] + wy * 4:.1f}"
            f"M{e[0]:.1f} {e[1]:.1f}L{b[0] + wx * 4:.1f} {b[1] + wy * 4:.1f}"
            f"M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}"
        ),
        "heads": head(a, -1.0) + head(b, 1.0),
        "x": round(mx, 1),
        "y": round(my + 4 + (6 if wy > 0.5 else 0), 1),
        "anchor": anchor,
    }
