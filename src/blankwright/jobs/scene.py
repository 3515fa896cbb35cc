"""A blank as a neutral scene: plain JSON that a viewer draws and folds without asking again.

Paths and rings. Outlines go out twice: as an SVG path `d` with exact arcs, y turned down as SVG
has it, for the plan; and as rings of chords in the blank's own frame, y up [mm], for the solid.
All lengths are mm and all angles rad.
"""

from __future__ import annotations

import math
from typing import Any

from blankwright.base.tolerance import TOUCH
from blankwright.base.trail import TrailStep
from blankwright.develop.blank import Blank, BlankBend, BlankFlat
from blankwright.develop.formed import Formed
from blankwright.geom.edges import Arc, Edge
from blankwright.geom.loop import Loop
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

Json = dict[str, Any]

PICTURE_SAG = 0.06
"""How far a chord may stand off its arc in the viewers [mm]: a fifth of a screen pixel at full
size, and no corner to be seen on a rivet hole at five times that."""

_DIGITS = 6


def scene_of(blank: Blank) -> Json:
    """Return a blank as a scene.

    Returns:
        ``thickness``, ``alloy``, ``grain``, ``box``, ``size``; ``outline`` with ``d`` and
        ``edges``; ``flats``, ``bends`` and ``holes``, each with its name, its path ``d`` and its
        ``rings``; ``dims``: the dimensions that a blank drawing carries.
    """
    return {
        "thickness": blank.thickness,
        "alloy": blank.alloy,
        "grain": blank.grain,
        "root": blank.root.name,
        "box": [_r(v) for v in blank.outline.box],
        "size": [_r(v) for v in blank.size],
        "outline": {
            "d": region_path(blank.outline),
            "edges": [_edge(edge) for edge in blank.outline.edges],
        },
        "flats": [
            {
                "name": flat.name,
                "bend": flat.bend,
                "d": region_path(flat.region),
                "rings": [_rings(flat.region)],
                "middle": _middle(flat.region),
                "size": _own_size(flat),
            }
            for flat in blank.flats
        ],
        "bends": [_bend(bend) for bend in blank.bends],
        "holes": [
            {
                "name": hole.name,
                "kind": hole.kind.value,
                "d": loop_path(hole.loop),
                "rings": [[[_p(q) for q in hole.loop.points(PICTURE_SAG)]]],
                "center": _p(hole.center),
                "diameter": None if hole.diameter is None else _r(hole.diameter),
                "flat": hole.flat,
                "on": _carrier(blank, hole.center, hole.flat),
                "drill": hole.drill,
                "note": hole.note,
            }
            for hole in blank.holes
        ],
        "dims": dimensions_of(blank),
    }


def _bend(bend: BlankBend) -> Json:
    move = bend.place
    return {
        "name": bend.name,
        "parent": bend.parent,
        "leg": bend.leg,
        "angle": bend.angle,
        "radius": bend.inside_radius,
        "up": bend.up,
        "allowance": bend.allowance,
        "k": bend.k,
        "setback": bend.setback if bend.setback < 1e9 else None,
        "width": bend.width,
        "place": [move.cos, move.sin, move.dx, move.dy],
        "d": " ".join(region_path(region) for region in bend.regions),
        "rings": [_rings(region) for region in bend.regions],
        "tangents": [
            [_p(line.start), _p(line.end)] for line in (bend.parent_tangent, bend.leg_tangent)
        ],
        "center_line": [_p(bend.center_line.start), _p(bend.center_line.end)],
        "last": bend.last,
    }


def _carrier(blank: Blank, center: Point, flat: str) -> str:
    """Return what carries a hole along: ``flat`` or ``bend`` and its name."""
    x, y = center
    # A round hole's own centre is not metal, so ask for the strip or outline around it instead.
    for bend in blank.bends:
        u, v = bend.place.inverse()(center)
        if 0.0 < v < bend.allowance and -TOUCH <= u <= bend.width + TOUCH:
            return f"bend {bend.name}"
    for other in blank.flats:
        if other.region.outer.contains((x, y)):
            return f"flat {other.name}"
    return f"flat {flat}"


# Dimensions


def dimensions_of(blank: Blank) -> list[Json]:
    """Return the dimensions of a blank drawing.

    The overall length and width, and the distance of every bend's centre line from the edge of
    the blank that it faces, where the bend runs along x or y; then the centre of every opening from
    the left and the front edge. Each has two points to measure
    between [mm], the axis along which it is measured, the row it stands in (1 nearest the blank)
    and the name of what it locates.
    """
    x0, y0, x1, y1 = blank.outline.box
    found: list[Json] = []
    rows = {"x": 1, "y": 1}
    stations: dict[str, list[tuple[float, str]]] = {"x": [], "y": []}
    for bend in blank.bends:
        line = bend.center_line
        if abs(line.start[0] - line.end[0]) < 1e-6:
            stations["x"].append((line.start[0], bend.name))
        elif abs(line.start[1] - line.end[1]) < 1e-6:
            stations["y"].append((line.start[1], bend.name))
    for axis, low, high in (("x", x0, x1), ("y", y0, y1)):
        done: set[float] = set()
        for station, name in sorted(stations[axis]):
            key = round(station, 4)
            if key in done or station - low < TOUCH:
                continue
            done.add(key)
            found.append(_dim(axis, low, station, rows[axis], f"bend {name}", blank))
            rows[axis] += 1
        found.append(_dim(axis, low, high, rows[axis], "blank", blank))
    for hole in blank.holes:
        for axis, low, at in (("x", x0, hole.center[0]), ("y", y0, hole.center[1])):
            found.append(_dim(axis, low, at, 1, f"hole {hole.name}", blank))
    return found


def dimension_key(name: str, axis: str) -> str:
    """Return the name of a dimension's step in the trail."""
    return f"{name}: along {axis}" if name == "blank" else f"{name}: place along {axis}"


def dimension_steps(blank: Blank) -> tuple[TrailStep, ...]:
    """Return where the dimensions of the blank drawing come from."""
    x0, y0, _, _ = blank.outline.box
    edge = {"x": x0, "y": y0}
    steps = []
    for dim in dimensions_of(blank):
        axis = dim["axis"]
        far = dim["to"][0 if axis == "x" else 1]
        whole = dim["name"] == "blank"
        line = "centre of the opening" if dim["name"][:5] == "hole " else "bend centre line"
        steps.append(
            TrailStep(
                name=dim["trail"],
                value=dim["value"],
                formula="farthest edge − nearest edge" if whole else f"{line} − edge",
                inputs=(
                    ("farthest edge" if whole else line, far, "length"),
                    ("nearest edge" if whole else "edge", edge[axis], "length"),
                ),
                source=f"the developed blank, {axis} of the root flat's frame",
            )
        )
    return tuple(steps)


def formed_steps(formed: Formed) -> tuple[TrailStep, ...]:
    """Return how long, wide and high the formed part is, over its outside, and from what."""
    least, most = formed.box
    return tuple(
        TrailStep(
            name=f"formed part: along {axis}",
            value=most[i] - least[i],
            formula="farthest point − nearest point, over the outside",
            inputs=(
                ("farthest point", most[i], "length"),
                ("nearest point", least[i], "length"),
            ),
            source=f"the formed part, {axis} of the root flat's frame",
        )
        for i, axis in enumerate("xyz")
    )


def _dim(axis: str, low: float, high: float, row: int, name: str, blank: Blank) -> Json:
    x0, y0, _, _ = blank.outline.box
    a, b = ((low, y0), (high, y0)) if axis == "x" else ((x0, low), (x0, high))
    return {
        "axis": axis,
        "from": _p(a),
        "to": _p(b),
        "row": row,
        "name": name,
        "trail": dimension_key(name, axis),
        "value": _r(high - low),
    }


# Paths


def region_path(region: Region) -> str:
    """Return a region as an SVG path, arcs exact, y down."""
    return " ".join(loop_path(loop) for loop in region.loops)


def loop_path(loop: Loop) -> str:
    """Return a loop as an SVG path, arcs exact, y down."""
    start = loop.edges[0].start
    steps = [f"M{_c(start)}"]
    for edge in loop.edges:
        if isinstance(edge, Arc):
            # SVG states an arc by its ends: near a half circle its centre hangs on the last
            # digit, and a full circle has no end to aim at. Less than a quarter is always safe.
            n = math.ceil(abs(edge.sweep) / 1.6)
            for arc in (edge.part(i / n, (i + 1) / n) for i in range(n)):
                large = 1 if abs(arc.sweep) > math.pi else 0
                # y is turned down, and with it the sense of travel.
                sense = 0 if arc.sweep > 0 else 1
                r = _n(arc.radius)
                steps.append(f"A{r} {r} 0 {large} {sense} {_c(arc.end)}")
        else:
            steps.append(f"L{_c(edge.end)}")
    return "".join(steps) + "Z"


def _edge(edge: Edge) -> list[float]:
    """Return an edge as numbers: line x0 y0 x1 y1, arc cx cy radius begin sweep; y up."""
    if isinstance(edge, Arc):
        return [*_p(edge.center), _r(edge.radius), edge.begin, edge.sweep]
    return [*_p(edge.start), *_p(edge.end)]


def _rings(region: Region) -> list[list[list[float]]]:
    outer, holes = region.polygon(PICTURE_SAG)
    return [[_p(p) for p in ring] for ring in (outer, *holes)]


def _own_size(flat: BlankFlat) -> list[float]:
    """Return a flat's extent along its own x and y, tangent line to tangent line [mm]."""
    x0, y0, x1, y1 = flat.region.outer.moved(flat.place.inverse()).box
    return [_r(x1 - x0), _r(y1 - y0)]


def _middle(region: Region) -> list[float]:
    x0, y0, x1, y1 = region.box
    return [_r((x0 + x1) / 2), _r((y0 + y1) / 2)]


def _r(value: float) -> float:
    return round(value, _DIGITS) + 0.0


def _p(p: Point) -> list[float]:
    return [_r(p[0]), _r(p[1])]


def _n(value: float) -> str:
    text = f"{value:.{_DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _c(p: Point) -> str:
    return f"{_n(p[0])} {_n(-p[1])}"
