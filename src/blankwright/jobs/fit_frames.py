"""A way in as frames to be shown one after another: where the part is, and what it keeps off."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from blankwright.fit.decide import WayIn
from blankwright.fit.planar import State, placed
from blankwright.fit.sweep import Sweep, as_array
from blankwright.jobs.fit_open import Fit
from blankwright.jobs.fit_picture import box_of_way

MOST_FRAMES = 400


def way_frames(fit: Fit, way: WayIn) -> dict[str, Any] | None:
    """Return a way in as plain values for a moving picture, or nothing where there is no way.

    Returns:
        ``box``: least x, least y, greatest x, greatest y of what is worth seeing [mm];
        ``walls``: name, whether it may be pressed, and outline of each piece of structure;
        ``part``: outline at rest; ``middle``: what it turns about [mm];
        ``frames``: turn [rad], x, y of the middle [mm], and the clearance over what is to be kept
        off [mm], from outside to rest; ``steps``: text, and the first and last frame of each.
    """
    if way.answer.way is None:
        return None
    part, walls = fit.cut(way.section)
    question = way.question
    box = box_of_way(fit, way)
    clip = shapely.box(*box)
    order = list(reversed(way.answer.way.states))
    frames, corners = _frames(order, question.reach)
    # Nothing is to be seen before the part comes into the picture.
    parts = placed(part.shape, question.middle, frames)
    seen = np.nonzero(shapely.intersects(parts, clip))[0]
    first = int(seen[0]) if len(seen) else 0
    frames, corners = frames[first:], [max(0, corner - first) for corner in corners]
    sweep = Sweep(question)
    soft = set(fit.soft)
    nearest = [sweep.nearest(row)[0] for row in frames]
    words = way.section.words
    return {
        "name": way.section.name,
        "box": [round(v, 3) for v in box],
        "words": [words.right, words.left, words.up, words.down],
        "walls": [
            {
                "name": wall.name,
                "soft": wall.name in soft,
                "path": path_of(wall.shape.intersection(clip)),
            }
            for wall in walls
        ],
        "part": path_of(part.shape),
        "middle": [round(v, 4) for v in question.middle],
        "frames": [
            [round(float(v), 5) for v in (*row, gap)]
            for row, gap in zip(frames, sweep.clearances(frames), strict=True)
        ],
        "nearest": nearest,
        "steps": [
            {
                "text": step.text,
                "first": corners[order.index(step.begin)],
                "last": corners[order.index(step.end)],
            }
            for step in way.steps
        ],
    }


def _frames(order: Sequence[State], reach: float) -> tuple[np.ndarray, list[int]]:
    """Return frames at even motion, and the number of the frame of each corner of the way."""
    rows = as_array(order)
    lengths = [
        math.hypot(b.x - a.x, b.y - a.y) + reach * abs(b.turn - a.turn)
        for a, b in itertools.pairwise(order)
    ]
    step = max(sum(lengths) / (MOST_FRAMES - len(order)), 0.05)
    frames, corners = [rows[:1]], [0]
    for k, length in enumerate(lengths):
        n = max(1, math.ceil(length / step))
        share = (np.arange(1, n + 1) / n)[:, None]
        frames.append(rows[k] + (rows[k + 1] - rows[k]) * share)
        corners.append(corners[-1] + n)
    return np.concatenate(frames), corners


def path_of(shape: Any) -> str:
    """Return a polygon's outlines as an SVG path [mm], y as in the section."""
    path = []
    for polygon in shapely.get_parts(shape):
        if polygon.geom_type != "Polygon":
            continue
        for ring in (polygon.exterior, *polygon.interiors):
            points = np.asarray(ring.coords)[:-1]
            path.append("M" + " ".join(f"{x:.3f},{y:.3f}" for x, y in points) + "Z")
    return "".join(path)
