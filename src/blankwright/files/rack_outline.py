"""Outlines of sheets on the rack, and of openings in them, as the rack file states them."""

from __future__ import annotations

import math
from typing import Any

from blankwright.base.quantities import BadText
from blankwright.base.units import trimmed
from blankwright.files.shop_fields import Fields, read_length
from blankwright.geom.boolean import difference
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.region import Region


def region_of(fields: Fields) -> Region | None:
    """Return a sheet's region from its size or outline and its openings.

    Nothing when something is wrong with them; the fields then have the problems.
    """
    outer = _outer(fields)
    raw = fields.take("openings") or []
    if not isinstance(raw, list):
        fields.wrong("openings", "this isn't a list of openings", "[[corner, corner, …], …]")
        return None
    openings = [_opening(fields, item, number) for number, item in enumerate(raw, start=1)]
    if outer is None or any(opening is None for opening in openings):
        return None
    region = Region(outer)
    for number, opening in enumerate(openings, start=1):
        assert opening is not None
        pieces = difference((region,), (Region(opening),))
        if len(pieces) != 1 or len(pieces[0].holes) != len(region.holes) + 1:
            got = f"opening {number} doesn't lie inside the sheet, clear of its edge and the others"
            fields.wrong("openings", got)
            return None
        region = pieces[0]
    return region


def _outer(fields: Fields) -> Loop | None:
    if fields.has("size") == fields.has("outline"):
        fields.take("size"), fields.take("outline")
        fields.wrong("size", "a sheet has either a size or an outline", 'size = ["48 in", "24 in"]')
        return None
    if fields.has("size"):
        width, height = fields.lengths("size", (1.0, 1.0), 2)
        fields.take("outline")
        if width <= 0 or height <= 0:
            fields.wrong("size", "a sheet has a length and a width over zero")
            return None
        return Loop.rectangle(0.0, 0.0, width, height)
    fields.take("size")
    return _outline(fields, "outline", fields.take("outline"))


def _opening(fields: Fields, raw: Any, number: int) -> Loop | None:
    if not isinstance(raw, dict):
        return _outline(fields, f"openings {number}", raw)
    inner = Fields(raw, f"{fields.where}, opening {number}", fields.problems, fields.code)
    x, y = inner.lengths("center", (0.0, 0.0), 2)
    diameter = inner.length("diameter", 1.0, least=0.1)
    for key in ("center", "diameter"):
        if key not in raw:
            inner.wrong(key, "it is missing")
    inner.nothing_left()
    return Loop.circle((x, y), diameter / 2)


def _outline(fields: Fields, key: str, raw: Any) -> Loop | None:
    try:
        corners = [
            (read_length(c[0], -1e9), read_length(c[1], -1e9), float(c[2]) if len(c) > 2 else 0.0)
            for c in raw
        ]
    except BadText as error:
        fields.wrong(key, error.got, error.allowed, error.fix)
        return None
    except (TypeError, ValueError, IndexError, KeyError) as error:
        fields.wrong(key, f"it can't be read ({error})", '[["0 mm", "0 mm"], …]')
        return None
    if len(corners) < 2:
        fields.wrong(key, f"{len(corners)} corners enclose nothing", "three corners or more")
        return None
    edges: list[Edge] = []
    for i, (x, y, bulge) in enumerate(corners):
        x1, y1, _ = corners[(i + 1) % len(corners)]
        edges.append(Arc.bulged((x, y), (x1, y1), bulge) if bulge else Line((x, y), (x1, y1)))
    loop = Loop(tuple(edges))
    if abs(loop.area) < 1.0:
        fields.wrong(key, "it encloses nothing")
        return None
    return loop.ccw()


def outline_entry(region: Region) -> dict[str, Any]:
    """Return size or outline, and openings, as the rack file states them."""
    x0, y0, x1, y1 = region.box
    outer = region.outer
    entry: dict[str, Any] = {}
    if len(outer.edges) == 4 and abs(outer.area - (x1 - x0) * (y1 - y0)) < 1e-6:
        entry["size"] = [_mm(x1 - x0), _mm(y1 - y0)]
    else:
        entry["outline"] = [_corner(edge) for edge in outer.edges]
    if region.holes:
        entry["openings"] = [_opening_entry(hole) for hole in region.holes]
    return entry


def _mm(length: float) -> str:
    return f"{trimmed(length, 4)} mm"


def _opening_entry(hole: Loop) -> Any:
    circle = hole.as_circle
    if circle is not None:
        x, y = circle.center
        return {"center": [_mm(x), _mm(y)], "diameter": _mm(2 * circle.radius)}
    return [_corner(edge) for edge in hole.ccw().edges]


def _corner(edge: Edge) -> list[Any]:
    x, y = edge.start
    corner: list[Any] = [_mm(x), _mm(y)]
    if isinstance(edge, Arc):
        corner.append(round(math.tan(edge.sweep / 4), 12))
    return corner
