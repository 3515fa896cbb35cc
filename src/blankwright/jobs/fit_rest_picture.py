"""The clearances at rest drawn: a cut through each spot where part and neighbour are nearest."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, Final

import numpy as np
import shapely

from blankwright.base.units import show_mm
from blankwright.fit.section import section_of, sections_of
from blankwright.fit.space import FAR, RestPair
from blankwright.geom.pose import Point3, Pose, cross3
from blankwright.jobs.fit_ends import way_word
from blankwright.jobs.fit_open import Fit
from blankwright.jobs.fit_told import state, where

_PANEL: Final = 86.0
_GAP: Final = 6.0
_HEAD: Final = 12.0
_STYLE: Final = (
    ".fit-hard{fill:#999;stroke:#222;stroke-width:.15}"
    ".fit-soft{fill:#ddd;stroke:#222;stroke-width:.25;stroke-dasharray:.5 .5}"
    ".fit-rest{fill:#111;stroke:#111;stroke-width:.2}"
    ".fit-axis{fill:none;stroke:#111;stroke-width:.3}"
    ".fit-spot{fill:none;stroke:#111;stroke-width:.5}"
    ".fit-halo{fill:none;stroke:#fff;stroke-width:1.2}"
    ".fit-name{font-weight:700}.fit-lit{paint-order:stroke;stroke:#fff;stroke-width:1}"
    "text{font:3.4px sans-serif;fill:#111}.fit-word{font-size:3px;text-anchor:middle}"
)


def rest_picture(fit: Fit, rest: tuple[RestPair, ...], most: int = 12) -> bytes:
    """Return the part at rest, cut where it is nearest to each neighbour, as SVG.

    Each cut stands square to the gap, enlarged, with the gap marked. Neighbours farther than `FAR`
    are left out.

    Args:
        fit: part and place
        rest: clearances at rest
        most: most neighbours to draw, the tightest first
    """
    shown = [pair for pair in rest if pair.gap <= FAR][:most]
    rows: list[str] = []
    for k, pair in enumerate(shown):
        x = (k % 2) * (_PANEL + _GAP)
        y = (k // 2) * (_PANEL + _HEAD + _GAP)
        rows.append(f'<g transform="translate({x:.1f} {y:.1f})">')
        rows.extend(_panel(fit, pair))
        rows.append("</g>")
    wide = 2 * _PANEL + _GAP
    high = math.ceil(len(shown) / 2) * (_PANEL + _HEAD + _GAP) or 10.0
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.1f}mm" height="{high:.1f}mm"'
        f' viewBox="0 0 {wide:.1f} {high:.1f}">\n<title>{_plain(fit.place.title)}: at rest</title>'
        f"\n<style>{_STYLE}</style>\n" + "\n".join(rows) + "\n</svg>\n"
    ).encode()


def _panel(fit: Fit, pair: RestPair) -> Iterator[str]:
    frame = cut_through(fit, pair)
    half = min(14.0, max(5.0, 1.6 * abs(pair.gap) + 3.0))
    scale = _PANEL / (2 * half)
    clip = shapely.box(-half, -half, half, half)
    yield (
        f'<text class="fit-name" x="0" y="4">{_plain(pair.wall)}: {_plain(state(pair))}</text>'
        f'<text x="0" y="9">{_plain(pair.near.feature or "part")}, {where(pair)},'
        f" {scale:.1f} times full size</text>"
    )
    soft = set(fit.soft)
    for wall in sections_of(fit.place.solids, frame):
        look = "fit-soft" if wall.name in soft else "fit-hard"
        yield from _shape(wall.shape.intersection(clip), look, wall.name, half, scale)
    part = section_of(fit.solid, frame)
    yield from _shape(part.shape.intersection(clip), "fit-rest", "part", half, scale)
    yield (
        f'<rect class="fit-axis" x="0" y="{_HEAD}" width="{_PANEL}" height="{_PANEL}"/>'
        f'<text class="fit-word" x="{_PANEL / 2}" y="{_HEAD + 4}">'
        f"{_plain(way_word(fit.place, frame.y))}</text>"
        f'<text class="fit-word" transform="translate({_PANEL - 1.5} {_HEAD + _PANEL / 2})'
        f' rotate(-90)">{_plain(way_word(fit.place, frame.x))}</text>'
    )
    yield _mark(frame, pair, half, scale)


def _mark(frame: Pose, pair: RestPair, half: float, scale: float) -> str:
    """Mark the gap: a ring round the spot, and a line across it where there is one."""
    into = frame.inverse()
    (x0, y0), (x1, y1) = (
        _at(into(p)[:2], half, scale) for p in (pair.near.part_point, pair.near.wall_point)
    )
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    radius = max(3.0, 0.65 * math.hypot(x1 - x0, y1 - y0))
    line = (
        f'<line class="fit-axis" x1="{x0:.2f}" y1="{y0:.2f}" x2="{x1:.2f}" y2="{y1:.2f}"/>'
        if pair.gap > 0
        else ""
    )
    away = -1 if cx + radius + 26 > _PANEL else 1
    anchor = "end" if away < 0 else "start"
    ring = f'cx="{cx:.2f}" cy="{cy:.2f}" r="{radius:.2f}"'
    leader = (
        f'x1="{cx + away * 0.7 * radius:.2f}" y1="{cy - 0.7 * radius:.2f}"'
        f' x2="{cx + away * (0.7 * radius + 5):.2f}" y2="{cy - 0.7 * radius - 5:.2f}"'
    )
    # Each line twice: a light one beneath, so that it shows on the metal.
    return (
        f'{line}<circle class="fit-halo" {ring}/><line class="fit-halo" {leader}/>'
        f'<circle class="fit-spot" {ring}/><line class="fit-axis" {leader}/>'
        f'<text class="fit-name fit-lit" text-anchor="{anchor}"'
        f' x="{cx + away * (0.7 * radius + 6):.2f}" y="{cy - 0.7 * radius - 5:.2f}">'
        f"{show_mm(abs(pair.gap))}</text>"
    )


def cut_through(fit: Fit, pair: RestPair) -> Pose:
    """Return the frame of a cut through the gap, its origin in the middle of it.

    Of the planes of the place's sections and those square to its axes, the first that holds the
    direction of the gap and cuts both part and neighbour near it.
    """
    a, b = np.array(pair.near.part_point), np.array(pair.near.wall_point)
    origin = tuple(float(v) for v in (a + b) / 2)
    way = b - a
    length = float(np.linalg.norm(way))
    frames = [plane.frame for plane in fit.place.sections]
    frames += [Pose(), *_square_frames()]
    best: tuple[float, Pose] | None = None
    wall = next(solid for solid in fit.place.solids if solid.name == pair.wall)
    for k, one in enumerate(frames):
        frame = Pose(one.x, one.y, one.z, origin)  # type: ignore[arg-type]
        off = abs(float(way @ np.array(frame.z))) / length if length > 1e-6 else 0.0
        near = shapely.Point(0, 0).buffer(max(2.0, 1.2 * length))
        missing = sum(
            not section_of(solid, frame).shape.intersects(near) for solid in (fit.solid, wall)
        )
        value = 10.0 * missing + off + 1e-3 * k
        if best is None or value < best[0]:
            best = (value, frame)
    assert best is not None
    return best[1]


def _square_frames() -> list[Pose]:
    axes: tuple[Point3, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    x, y, z = axes
    return [Pose(y, z, cross3(y, z)), Pose(x, z, cross3(x, z)), Pose(x, y, cross3(x, y))]


def _shape(shape: Any, look: str, name: str, half: float, scale: float) -> Iterator[str]:
    path = []
    for polygon in shapely.get_parts(shape):
        if polygon.geom_type != "Polygon":
            continue
        for ring in (polygon.exterior, *polygon.interiors):
            points = [_at(p, half, scale) for p in np.asarray(ring.coords)[:-1].tolist()]
            path.append("M" + " ".join(f"{x:.3f},{y:.3f}" for x, y in points) + "Z")
    if path:
        yield (
            f'<path class="{look}" fill-rule="evenodd" d="{"".join(path)}">'
            f"<title>{_plain(name)}</title></path>"
        )


def _at(p: Any, half: float, scale: float) -> tuple[float, float]:
    return ((p[0] + half) * scale, _HEAD + (half - p[1]) * scale)


def _plain(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
