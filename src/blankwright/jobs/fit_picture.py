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
    question = way.question
    states = [question.rest]
    if way.answer.way is not None:
        states = list(way.answer.way.states)
    ghosts = list(placed(part.shape, question.middle, as_array(states)))
    box = _box(way, part.shape, ghosts)
    scale = (_PAPER - 2 * _MARGIN) / max(box[2] - box[0], box[3] - box[1])
    pen = _Pen(box, scale)
    soft = set(fit.soft)
    for wall in walls:
        pen.shape(wall.shape, "soft" if wall.name in soft else "hard", wall.name)
    order = list(reversed(list(enumerate(ghosts))))
    for step, (k, ghost) in enumerate(order):
        if k > 0:
            pen.shape(ghost, "ghost", f"step {step}")
    pen.shape(ghosts[0], "rest", "at rest")
    for step, (k, ghost) in enumerate(order):
        if step > 0 or k == 0:
            pen.number(ghost, str(step) if len(order) > 1 else "")
    pen.words(way)
    return pen.svg(fit.place.title)


def _box(way: WayIn, part: Any, ghosts: list[Any]) -> tuple[float, float, float, float]:
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

    def number(self, shape: Any, text: str) -> None:
        cut = shape.intersection(self.clip)
        if cut.is_empty or not text:
            return
        p = cut.representative_point()
        x, y = self._x(p.x + 2.2 / self.scale), self._y(p.y)
        self.rows.append(f'<text x="{x}" y="{y}">{text}</text>')

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
                f'<text class="word" x="{self._x(x)}" y="{self._y(y)}"'
                f' transform="rotate({turn} {at})">{_plain(text)}</text>'
            )

    def svg(self, title: str) -> bytes:
        width = (self.box[2] - self.box[0]) * self.scale + 2 * _MARGIN
        height = (self.box[3] - self.box[1]) * self.scale + 2 * _MARGIN
        style = (
            ".hard{fill:#777;stroke:#222;stroke-width:.15}"
            ".soft{fill:#ddd;stroke:#222;stroke-width:.25;stroke-dasharray:.5 .5}"
            ".ghost{fill:none;stroke:#111;stroke-width:.2}"
            ".rest{fill:#111;stroke:#111;stroke-width:.2}"
            "text{font:3.2px sans-serif;fill:#111}.word{font-size:3px;text-anchor:middle}"
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
