"""The part before and after a step, seen obliquely, with the bends of the step shaded."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

import numpy as np

from blankwright.bending.motion import Bools
from blankwright.bending.plan import BendPlan
from blankwright.develop.formed import Formed, form
from blankwright.develop.mesh import mesh_of
from blankwright.develop.view import View
from blankwright.drawing.layers import TOOL
from blankwright.drawing.model import Drawing, Fill, Item
from blankwright.drawing.view_drawing import view_drawing
from blankwright.geom.pose import Array

_RIGHT = np.array((1.0, 1.0, 0.0)) / np.sqrt(2)
_UP = np.array((-1.0, 1.0, 2.0)) / np.sqrt(6)
_TOWARD = np.array((1.0, -1.0, 1.0)) / np.sqrt(3)
"""The oblique view looks along these, as the kernel's does."""

_ALONG, _ACROSS = 12, 4
"""A bend is shaded in so many fields."""

_SHADE = 0.55
_BEFORE = 0.5
"""What lies nearer to the eye by less than this hides nothing [mm]."""


def part_picture(
    plan: BendPlan, state: Mapping[str, float], view: View, bends: Sequence[str]
) -> Drawing:
    """Draw the part at some state, the bends of a step shaded where they are in sight.

    Args:
        plan: the plan
        state: share of each bend's angle, by name
        view: the part seen obliquely in that state
        bends: names of the bends of the step
    """
    formed = form(plan.blank, state)
    lines = view_drawing(view, hidden=False)
    items: list[Item] = []
    triangles = _triangles(formed)
    for name in bends:
        items += _shaded(formed, name, triangles)
    return Drawing(title=view.name, items=(*items, *lines.items))


def _triangles(formed: Formed) -> Array:
    """Return all triangles of the part, seen from the eye: x, y, nearness; (n, 3, 3) [mm]."""
    eye = np.array((_RIGHT, _UP, _TOWARD))
    found = [mesh.points[np.asarray(mesh.triangles)] @ eye.T for mesh in mesh_of(formed)]
    return np.concatenate(found)


def _shaded(formed: Formed, name: str, triangles: Array) -> list[Item]:
    """Return fields of a bend's nearer face, but those that something hides."""
    blank = formed.blank
    bend = blank.bend_by_name[name]
    eye = np.array((_RIGHT, _UP, _TOWARD))
    xs = np.linspace(0.0, bend.width, _ALONG + 1)
    ys = np.linspace(0.0, bend.allowance, _ACROSS + 1)
    spots = np.array([bend.place((float(x), float(y))) for y in ys for x in xs])
    best: list[Item] = []
    for height in (0.0, blank.thickness):
        flat = np.column_stack((spots, np.full(len(spots), height)))
        seen = (formed.points(flat, bend.label) @ eye.T).reshape(_ACROSS + 1, _ALONG + 1, 3)
        fields = [
            np.array((seen[i, j], seen[i, j + 1], seen[i + 1, j + 1], seen[i + 1, j]))
            for i, j in itertools.product(range(_ACROSS), range(_ALONG))
        ]
        middles = np.array([field.mean(axis=0) for field in fields])
        open_ = ~_hidden(middles, triangles)
        items: list[Item] = [
            Fill(
                layer=TOOL,
                corners=tuple((float(x), float(y)) for x, y, _ in field),
                shade=_SHADE,
            )
            for field, shown in zip(fields, open_, strict=True)
            if shown
        ]
        if len(items) > len(best):
            best = items
    return best


def _hidden(points: Array, triangles: Array) -> Bools:
    """Say which points lie behind a triangle; points (n, 3) as seen, triangles (m, 3, 3)."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    good = np.abs(area) > 1e-9
    a, b, c, area = a[good], b[good], c[good], area[good]
    px, py = points[:, None, 0], points[:, None, 1]
    u = ((b[:, 0] - px) * (c[:, 1] - py) - (b[:, 1] - py) * (c[:, 0] - px)) / area
    v = ((c[:, 0] - px) * (a[:, 1] - py) - (c[:, 1] - py) * (a[:, 0] - px)) / area
    w = 1.0 - u - v
    inside = (u > 0) & (v > 0) & (w > 0)
    nearness = u * a[:, 2] + v * b[:, 2] + w * c[:, 2]
    return np.asarray((inside & (nearness > points[:, None, 2] + _BEFORE)).any(axis=1), dtype=bool)
