"""The way in as a picture: the structure in section, and the part at each step."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from blankwright.fit.decide import WayIn
from blankwright.fit.planar import placed
from blankwright.fit.sweep import as_array
from blankwright.jobs.fit_open import Fit

_PAPER = 180.0
_MARGIN = 8.0


def way_picture(fit: Fit, way: WayIn) -> bytes:
    """Return a way, or the part at rest where there is none, as an SVG picture of 180 mm width.

    The part is drawn solid at rest and in outline, numbered, at the end of each step of the way
    in; the last number is the rest. Soft structure is dotted, hard structure is filled.
    """
    part, walls = fit.cut(way.section)
    ghosts = _ghosts(part.shape, way)
    box = _box(part.shape, ghosts)
    scale = (_PAPER - 2 * _MARGIN) / max(box[2] - box[0], box[3] - box[1])
    pen = _Pen(box, scale)
    soft = set(fit.soft)
    for wall in walls:
        pen.shape(wall.shape, "fit-soft" if wall.name in soft else "fit-hard", wall.name)
    for step, ghost in enumerate(ghosts[:-1], 1):
        pen.shape(ghost, "fit-ghost", f"end of step {step}")
    pen.shape(ghosts[-1], "fit-rest", "at rest")
    for step, ghost in enumerate(ghosts[:-1], 1):
        pen.number(ghost, step)
    pen.words(way)
    return pen.svg(fit.place.title)


def box_of_way(fit: Fit, way: WayIn) -> tuple[float, float, float, float]:
    """Return what of a section is worth seeing: least x, least y, greatest x, greatest y [mm]."""
    part, _ = fit.cut(way.section)
    return _box(part.shape, _ghosts(part.shape, way))


def _ghosts(part: Any, way: WayIn) -> list[Any]:
    """The part at the end of each step; the last step ends at rest."""
    states = [*(step.end for step in way.steps[:-1]), way.question.rest]
    return list(placed(part, way.question.middle, as_array(states)))


def _box(part: Any, ghosts: list[Any]) -> tuple[float, float, float, float]:
    """The part at rest and its steps, but not more of the way outside than helps."""
    x0, y0, x1, y1 = part.bounds
    size = max(x1 - x0, y1 - y0)
    some = 0.35 * size
    window = (x0 - some, y0 - some, x1 + some, y1 + some)
    for ghost in ghosts:
        a, b, c, d = ghost.bounds
        x0, y0 = min(x0, max(a, window[0])), min(y0, max(b, window[1]))
        x1, y1 = max(x1, min(c, window[2])), max(y1, min(d, window[3]))
    pad = 0.12 * size
    return (x0 - pad, y0 - pad, x1 + pad, y1 + pad)


class _Pen:
    """Writes SVG in mm, y up."""

    def __init__(self, box: tuple[float, float, float, float], scale: float) -> None:
        self.box = box
        self.scale = scale
        self.rows: list[str] = []
        self.clip = shapely.box(*box)

    def shape(self, shape: Any, look: str, name: str) -> None:
        cut = shape.intersection(self.clip)
        path = []
        for polygon in shapely.get_parts(cut):
            if polygon.geom_type != "Polygon":
                continue
            for ring in (polygon.exterior, *polygon.interiors):
                points = np.asarray(ring.coords)[:-1]
                path.append("M" + " ".join(f"{self._x(x)},{self._y(y)}" for x, y in points) + "Z")
        if path:
            self.rows.append(
                f'<path class="{look}" fill-rule="evenodd" d="{"".join(path)}">'
                f"<title>{_plain(name)}</title></path>"
            )

    def number(self, shape: Any, step: int) -> None:
        cut = shape.intersection(self.clip)
        if cut.is_empty:
            return
        # Each number at another height of the part, so that they don't stand on each other.
        x0, y0, x1, y1 = cut.bounds
        level = y1 - (y1 - y0) * (0.12 + 0.11 * ((step - 1) % 7))
        line = cut.intersection(shapely.LineString(((x0 - 1, level), (x1 + 1, level))))
        right = x1 if line.is_empty else line.bounds[2]
        at = f'x="{self._x(right + 0.8 / self.scale)}" y="{self._y(level)}"'
        self.rows.append(f"<text {at}>{step}</text>")

    def words(self, way: WayIn) -> None:
        words = way.section.words
        x0, y0, x1, y1 = self.box
        mx, my = (x0 + x1) / 2, (y0 + y1) / 2
        for text, x, y, turn in (
            (words.right, x1 - 1.5 / self.scale, my, -90),
            (words.left, x0 + 4 / self.scale, my, -90),
            (words.up, mx, y1 - 4 / self.scale, 0),
            (words.down, mx, y0 + 1.5 / self.scale, 0),
        ):
            at = f"{self._x(x)} {self._y(y)}"
            self.rows.append(
                f'<text class="fit-word" x="{self._x(x)}" y="{self._y(y)}"'
                f' transform="rotate({turn} {at})">{_plain(text)}</text>'
            )

    def svg(self, title: str) -> bytes:
        width = (self.box[2] - self.box[0]) * self.scale + 2 * _MARGIN
        height = (self.box[3] - self.box[1]) * self.scale + 2 * _MARGIN
        style = (
            ".fit-hard{fill:#777;stroke:#222;stroke-width:.15}"
            ".fit-soft{fill:#ddd;stroke:#222;stroke-width:.25;stroke-dasharray:.5 .5}"
            ".fit-ghost{fill:none;stroke:#111;stroke-width:.2}"
            ".fit-rest{fill:#111;stroke:#111;stroke-width:.2}"
            "text{font:3.2px sans-serif;fill:#111}.fit-word{font-size:3px;text-anchor:middle}"
        )
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.2f}mm"'
            f' height="{height:.2f}mm" viewBox="0 0 {width:.2f} {height:.2f}">'
        )
        rows = "\n".join(self.rows)
        return (
            f"{head}\n<title>{_plain(title)}</title>\n<style>{style}</style>\n{rows}\n</svg>\n"
        ).encode()

    def _x(self, x: float) -> str:
        return f"{(x - self.box[0]) * self.scale + _MARGIN:.3f}"

    def _y(self, y: float) -> str:
        return f"{(self.box[3] - y) * self.scale + _MARGIN:.3f}"


def _plain(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
