"""Clearance against travel as a picture."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from blankwright.base.units import degrees, fixed
from blankwright.fit.motion import Travel

_WIDE, _HIGH, _AREA_HIGH = 180.0, 100.0, 60.0
_LEFT, _RIGHT, _TOP, _FOOT = 16.0, 42.0, 8.0, 14.0
_APART = 4.4
"""Least distance of names one over another [mm]."""

_DASHES = ("", "3 1.2", "1 1", "5 1.2 1 1.2", "8 2", "2 2 6 2")


def travel_plot(travel: Travel, most: float = 10.0) -> bytes:
    """Return clearance against travel as an SVG plot, walls told apart by dashes and names.

    Args:
        travel: the motion, looked at
        most: clearances over this are cut off [mm]
    """
    motion = travel.motion
    end = motion.length
    shown = [
        (wall, values)
        for wall, values in sorted(travel.clearances.items())
        if float(values.min()) < most and float(values.max()) > 1e-6
    ]
    top = min(most, max((float(v.max()) for _, v in shown), default=most))
    top = max(1.0, math.ceil(top))

    def x(t: float) -> float:
        return _LEFT + (_WIDE - _LEFT - _RIGHT) * t / end

    def y(c: float) -> float:
        return _HIGH - _FOOT - (_HIGH - _TOP - _FOOT) * min(max(c, 0.0), top) / top

    rows = [*_axes(travel, top, x, y)]
    high = _HIGH
    if travel.opening_area:
        high += _AREA_HIGH
        rows.extend(_area(travel, x))
    taken: list[float] = []
    for k, (wall, values) in enumerate(shown):
        line = " ".join(
            f"{x(t):.2f},{y(c):.2f}"
            for t, c in zip(
                travel.travel[travel.inside].tolist(),
                np.minimum(values[travel.inside], top).tolist(),
                strict=True,
            )
        )
        dash = _DASHES[k % len(_DASHES)]
        rows.append(f'<polyline class="fit-line" stroke-dasharray="{dash}" points="{line}"/>')
        at = y(float(values[travel.inside][-1])) + 1
        while any(abs(at - other) < _APART for other in taken):
            at -= _APART
        taken.append(at)
        rows.append(f'<text x="{x(travel.end) + 2:.2f}" y="{at:.2f}">{_plain(wall)}</text>')
    if travel.stop is not None:
        at = x(travel.stop.travel)
        rows.append(
            f'<line class="fit-stop" x1="{at:.2f}" y1="{_TOP}" x2="{at:.2f}" y2="{_HIGH - _FOOT}"/>'
        )
        words = f"stop: {travel.stop.wall}, {_shown(travel.stop.travel, motion.unit)}"
        anchor = "end" if abs(travel.stop.travel) > abs(end) / 2 else "start"
        rows.append(
            f'<text x="{at + (-1 if anchor == "end" else 1):.2f}" y="{_TOP - 2}"'
            f' text-anchor="{anchor}">{_plain(words)}</text>'
        )
    style = (
        ".fit-line{fill:none;stroke:#111;stroke-width:.45}.fit-axis{stroke:#111;stroke-width:.3}"
        ".fit-grid{stroke:#999;stroke-width:.12}.fit-stop{stroke:#111;stroke-width:.6}"
        "text{font:3.2px sans-serif;fill:#111}"
    )
    body = "\n".join(rows)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDE}mm" height="{high}mm"'
        f' viewBox="0 0 {_WIDE} {high}">\n<title>{_plain(motion.name)}: clearance against travel'
        f"</title>\n<style>{style}</style>\n{body}\n</svg>\n"
    ).encode()


def _area(travel: Travel, x: Callable[[float], float]) -> Iterator[str]:
    """Yield how much of the opening is clear against travel, beneath the clearances."""
    foot, top = _HIGH + _AREA_HIGH - 8.0, _HIGH + 6.0
    whole = travel.opening_area

    def y(area: float) -> float:
        return foot - (foot - top) * area / whole

    step = _nice(whole)
    level = 0.0
    while level <= whole + 1e-9:
        yield (
            f'<line class="fit-grid" x1="{_LEFT}" y1="{y(level):.2f}" x2="{_WIDE - _RIGHT}"'
            f' y2="{y(level):.2f}"/><text x="{_LEFT - 1.5}" y="{y(level) + 1.1:.2f}"'
            f' text-anchor="end">{fixed(level, 0)}</text>'
        )
        level += step
    inside = travel.inside
    points = " ".join(
        f"{x(t):.2f},{y(a):.2f}"
        for t, a in zip(
            travel.travel[inside].tolist(), travel.open_area[inside].tolist(), strict=True
        )
    )
    middle = (foot + top) / 2
    yield f'<polyline class="fit-line" points="{points}"/>'
    yield (
        f'<text x="{x(travel.end) + 2:.2f}" y="{y(float(travel.open_area[inside][-1])) + 1:.2f}">'
        f"{fixed(float(travel.open_area[inside][-1]), 0)} mm² of {fixed(whole, 0)}</text>"
        f'<text x="3.5" y="{middle}" text-anchor="middle"'
        f' transform="rotate(-90 3.5 {middle})">opening clear, mm²</text>'
        f'<line class="fit-axis" x1="{_LEFT}" y1="{foot}" x2="{_WIDE - _RIGHT}" y2="{foot}"/>'
    )


def _axes(
    travel: Travel, top: float, x: Callable[[float], float], y: Callable[[float], float]
) -> list[str]:
    motion = travel.motion
    rows = []
    step = _nice(top)
    level = 0.0
    while level <= top + 1e-9:
        h = y(level)
        rows.append(
            f'<line class="fit-grid" x1="{_LEFT}" y1="{h:.2f}" x2="{_WIDE - _RIGHT}" y2="{h:.2f}"/>'
            f'<text x="{_LEFT - 1.5}" y="{h + 1.1:.2f}" text-anchor="end">{fixed(level, 1)}</text>'
        )
        level += step
    shown = degrees(motion.length) if motion.unit == "angle" else motion.length
    step = _nice(abs(shown))
    level = 0.0
    while level <= abs(shown) + 1e-9:
        at = x(level / abs(shown) * motion.length)
        figure = fixed(math.copysign(level, shown) + 0.0, 0 if step >= 1 else 1)
        rows.append(
            f'<line class="fit-axis" x1="{at:.2f}" y1="{_HIGH - _FOOT}" x2="{at:.2f}"'
            f' y2="{_HIGH - _FOOT + 1.5}"/><text x="{at:.2f}" y="{_HIGH - _FOOT + 5}"'
            f' text-anchor="middle">{figure}</text>'
        )
        level += step
    unit = {"length": "mm", "angle": "degrees", "number": "steps"}[motion.unit]
    rows.append(
        f'<text x="{(_LEFT + _WIDE - _RIGHT) / 2:.2f}" y="{_HIGH - 3}" text-anchor="middle">'
        f"travel, {unit}</text>"
        f'<text x="3.5" y="{_HIGH / 2}" text-anchor="middle"'
        f' transform="rotate(-90 3.5 {_HIGH / 2})">clearance, mm</text>'
        f'<line class="fit-axis" x1="{_LEFT}" y1="{_HIGH - _FOOT}" x2="{_WIDE - _RIGHT}"'
        f' y2="{_HIGH - _FOOT}"/>'
    )
    return rows


def _nice(span: float) -> float:
    """A step of 1, 2 or 5 times a power of ten that parts a span in five to ten."""
    raw = span / 8
    power = 10.0 ** math.floor(math.log10(raw))
    return next(f * power for f in (1.0, 2.0, 5.0, 10.0) if f * power >= raw)


def _shown(value: float, unit: str) -> str:
    if unit == "length":
        return f"{fixed(value, 1)} mm"
    return f"{fixed(degrees(value), 1)}°" if unit == "angle" else f"step {fixed(value, 2)}"


def _plain(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
