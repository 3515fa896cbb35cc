"""The drawing of a starting shape, for the page: which size is which."""

from __future__ import annotations

import math
from typing import Any

from blankwright.geom.vec import Point
from blankwright.jobs.shapes import SHAPES, SHEET, Ask, Call, Shape

Json = dict[str, Any]

_SCALE = 2.6
_MARGIN = 10.0
_LETTER = 8.6
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
    labels = {ask.key: ask.label for ask in shape.asks}
    drawn = [_call(call, labels[call.key]) for call in shape.calls]
    lines = [[_at(p) for p in line] for line in shape.lines]
    xs = [p[0] for line in lines for p in line]
    ys = [p[1] for line in lines for p in line]
    for call in drawn:
        # A label takes up room on the side that it is written to.
        size = len(call["label"]) * _LETTER
        left = {"start": 0.0, "middle": size / 2, "end": size}[call["anchor"]]
        xs.extend((call["x"] - left, call["x"] - left + size))
        ys.extend((call["y"] - 16, call["y"] + 6))
    x0, y0 = min(xs) - _MARGIN, min(ys) - _MARGIN
    return {
        "box": [
            round(x0, 1),
            round(y0, 1),
            round(max(xs) - x0 + _MARGIN, 1),
            round(max(ys) - y0 + _MARGIN, 1),
        ],
        "icon": _icon_box(lines),
        "lines": ["M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in line) for line in lines],
        "calls": drawn,
    }


def _icon_box(lines: list[list[Point]]) -> list[float]:
    xs = [p[0] for line in lines for p in line]
    ys = [p[1] for line in lines for p in line]
    x0, y0 = min(xs) - 8, min(ys) - 8
    return [round(v, 1) for v in (x0, y0, max(xs) - x0 + 8, max(ys) - y0 + 8)]


def _at(p: Point) -> Point:
    """Return a drawing point on the page, y down."""
    return (p[0] * _SCALE, -p[1] * _SCALE)


def _ends(call: Call) -> tuple[Point, Point]:
    (ax, ay), (bx, by) = call.start, call.end
    size = math.hypot(bx - ax, by - ay)
    nx, ny = -(by - ay) / size * call.off, (bx - ax) / size * call.off
    return (ax + nx, ay + ny), (bx + nx, by + ny)


def _call(call: Call, label: str) -> Json:
    a, b = (_at(p) for p in _ends(call))
    s, e = _at(call.start), _at(call.end)
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
