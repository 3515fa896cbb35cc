"""From a DXF document to plain lines, arcs and texts. Knows ezdxf.

Blocks are taken apart to the last; each line keeps the layer, line type and colour that it shows
with, those that it has from its block among them.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from blankwright.base.errors import BadInput, Problem
from blankwright.files.dxf_drawn.curves import ellipse_edges, spline_edges
from blankwright.files.dxf_drawn.model import Drawn, DrawnEdge, DrawnText, Pen
from blankwright.geom.edges import TAU, Arc, Edge, Line
from blankwright.geom.vec import Point

MOST_EDGES = 100_000
"""More lines than this are not the drawing of one blank [-]."""

_NEEDED = {
    "LINE": ("start", "end"),
    "CIRCLE": ("center", "radius"),
    "ARC": ("center", "radius", "start_angle", "end_angle"),
    "ELLIPSE": ("center", "major_axis", "ratio"),
}
_DEEPEST = 24
_FLAT = 1e-9
_LEVEL = 1e-3
"""How much the height of one line may change along it and still be level [mm]."""

_FLAT_KINDS = frozenset(
    (
        "LINE",
        "ARC",
        "CIRCLE",
        "LWPOLYLINE",
        "POLYLINE",
        "ELLIPSE",
        "SPLINE",
        "INSERT",
        "TEXT",
        "MTEXT",
        "ATTRIB",
    )
)


def drawn_of(
    doc: Any, name: str, *, units: str, scale: float, fit: float, layout: str = ""
) -> Drawn:
    """Read a document.

    Args:
        doc: an ezdxf document
        name: what messages call the file
        units: the unit it states
        scale: one unit of the drawing [mm]
        fit: how far arcs may stand off ellipses and splines [mm]
        layout: the sheet to read in place of the model space; empty for that

    Raises:
        BadInput: DRAWN-004 when it holds too much, DRAWN-005 when there is no such sheet
    """
    sheets = {
        sheet.name: sum(1 for e in sheet if e.dxftype() != "VIEWPORT")
        for sheet in doc.layouts
        if not sheet.is_modelspace
    }
    if layout and layout not in sheets:
        raise BadInput(
            Problem(
                code="DRAWN-005",
                where=name,
                got=f"there is no sheet {layout}",
                allowed=", ".join(sheets) or "no sheet but the model space",
            )
        )
    space = doc.layout(layout) if layout else doc.modelspace()
    reader = _Reader(doc, name, scale, fit)
    reader.read(space, _Around())
    metric = doc.header.get("$MEASUREMENT", None)
    return Drawn(
        units=units,
        metric=None if metric is None else bool(metric),
        edges=tuple(reader.edges),
        texts=tuple(reader.texts),
        left_out=tuple(f"{n} {kind}" for kind, n in sorted(reader.left_out.items())),
        fitted=reader.fitted,
        off_plane=tuple(reader.off_plane),
        layouts=tuple(sheet for sheet, count in sheets.items() if count),
    )


@dataclass(frozen=True, slots=True)
class _Around:
    """What a block's lines have from where the block is put in."""

    pen: Pen = field(default_factory=lambda: Pen("0", "CONTINUOUS", 7))
    hidden: str = ""
    depth: int = 0


class _Reader:
    def __init__(self, doc: Any, name: str, scale: float, fit: float) -> None:
        self.doc = doc
        self.name = name
        self.scale = scale
        self.fit = fit
        self.edges: list[DrawnEdge] = []
        self.texts: list[DrawnText] = []
        self.left_out: Counter[str] = Counter()
        self.off_plane: list[tuple[str, Point]] = []
        self.fitted = 0

    def read(self, entities: Iterable[Any], around: _Around) -> None:
        for entity in entities:
            kind = entity.dxftype()
            if kind not in _FLAT_KINDS:
                if kind not in ("VIEWPORT", "SEQEND", "ATTDEF"):
                    self.left_out[kind] += 1
                continue
            pen, hidden = self._pen(entity, around)
            if kind == "INSERT":
                self._insert(entity, _Around(pen, hidden, around.depth + 1))
            elif kind in ("TEXT", "MTEXT", "ATTRIB"):
                if not hidden:
                    self._text(entity, kind, pen)
            else:
                self._lines(entity, kind, pen, hidden)

    def _lines(self, entity: Any, kind: str, pen: Pen, hidden: str) -> None:
        try:
            found = list(_edges(entity, kind, self.scale, self.fit))
        except _OffPlane as off:
            at = (off.at[0] * self.scale, off.at[1] * self.scale)
            self.off_plane.append((f"{kind} on layer {pen.layer}", at))
            return
        except (ValueError, ZeroDivisionError, ArithmeticError, TypeError, IndexError):
            self.left_out[f"{kind} (damaged)"] += 1
            return
        if kind in ("SPLINE", "ELLIPSE"):
            self.fitted += 1
        for edge in found:
            if all(map(math.isfinite, (*edge.start, *edge.end))):
                self.edges.append(DrawnEdge(edge=edge, pen=pen, kind=kind, hidden=hidden))
            else:
                self.left_out[f"{kind} (damaged)"] += 1
        if len(self.edges) > MOST_EDGES:
            raise BadInput(
                Problem(
                    code="DRAWN-004",
                    where=self.name,
                    got=f"the drawing holds more than {MOST_EDGES} lines",
                    allowed="the drawing of one blank",
                    fix="Save the one part alone",
                )
            )

    def _pen(self, entity: Any, around: _Around) -> tuple[Pen, str]:
        dxf = entity.dxf
        layer = dxf.get("layer", "0")
        outer = around.pen
        if layer == "0" and around.depth:
            layer = outer.layer
        own = self.doc.layers.get(layer) if layer in self.doc.layers else None
        colour = dxf.get("color", 256)
        if colour == 256:
            colour = abs(own.dxf.get("color", 7)) if own is not None else 7
        elif colour == 0:
            colour = outer.colour
        line_type = str(dxf.get("linetype", "BYLAYER")).upper()
        if line_type == "BYLAYER":
            line_type = str(own.dxf.get("linetype", "CONTINUOUS")) if own else "CONTINUOUS"
        elif line_type == "BYBLOCK":
            line_type = outer.line_type
        hidden = around.hidden
        if not hidden and own is not None and own.is_frozen():
            hidden = f"layer {layer} is frozen"
        if not hidden and own is not None and own.is_off() and entity.dxftype() != "INSERT":
            hidden = f"layer {layer} is off"
        if not hidden and dxf.get("invisible", 0):
            hidden = "made invisible"
        return Pen(layer, line_type.upper(), int(colour)), hidden

    def _insert(self, entity: Any, inside: _Around) -> None:
        if inside.depth > _DEEPEST:
            self.left_out["INSERT (blocks within themselves)"] += 1
            return
        for attrib in entity.attribs:
            if not inside.hidden:
                self._text(attrib, "ATTRIB", inside.pen)
        placed = list(entity.multi_insert()) if entity.mcount > 1 else [entity]
        for one in placed:
            try:
                members = list(one.virtual_entities(skipped_entity_callback=self._skipped))
            except Exception:
                self.left_out["INSERT (damaged)"] += 1
                continue
            self.read(members, inside)

    def _skipped(self, entity: Any, reason: str) -> None:
        self.left_out[entity.dxftype()] += 1

    def _text(self, entity: Any, kind: str, pen: Pen) -> None:
        try:
            if kind == "MTEXT":
                lines = entity.plain_text(split=True)
                at, height = entity.dxf.insert, entity.dxf.get("char_height", 1.0)
                angle = entity.get_rotation()
            else:
                lines = [entity.plain_text()]
                placed = entity.get_placement()
                at = placed[1]
                height, angle = entity.dxf.get("height", 1.0), entity.dxf.get("rotation", 0.0)
        except Exception:
            self.left_out[f"{kind} (damaged)"] += 1
            return
        turn = math.radians(angle)
        step = 5 / 3 * height * self.scale
        for i, line in enumerate(lines):
            if line.strip():
                x = at.x * self.scale + math.sin(turn) * step * i
                y = at.y * self.scale - math.cos(turn) * step * i
                self.texts.append(
                    DrawnText(
                        text=line.strip(),
                        at=(x, y),
                        height=height * self.scale,
                        angle=turn,
                        pen=pen,
                    )
                )


class _OffPlane(Exception):
    def __init__(self, at: Any) -> None:
        super().__init__()
        self.at = (float(at[0]), float(at[1]))


def _edges(entity: Any, kind: str, scale: float, fit: float) -> Iterator[Edge]:
    dxf = entity.dxf
    # What is missing would be read as (0, 0) or 1.
    if not all(dxf.hasattr(name) for name in _NEEDED.get(kind, ())):
        raise ValueError("a point or size is missing")
    match kind:
        case "LINE":
            start, end = dxf.start, dxf.end
            if abs(start.z - end.z) * scale > _LEVEL:
                raise _OffPlane(start)
            yield Line((start.x * scale, start.y * scale), (end.x * scale, end.y * scale))
        case "ARC" | "CIRCLE":
            sign = _side(entity, dxf.center)
            center = (sign * dxf.center.x * scale, dxf.center.y * scale)
            radius = abs(dxf.radius) * scale
            if kind == "CIRCLE":
                yield Arc.circle(center, radius)
                return
            begin = math.radians(dxf.start_angle)
            sweep = math.radians(dxf.end_angle - dxf.start_angle) % TAU or TAU
            if sign < 0:
                begin, sweep = math.pi - begin, -sweep
            yield Arc(center, radius, begin, sweep)
        case "LWPOLYLINE":
            sign = _side(entity, entity[0] if len(entity) else (0.0, 0.0))
            rows = [
                (sign * float(x) * scale, float(y) * scale, sign * float(b))
                for x, y, b in entity.get_points("xyb")
            ]
            yield from _chain(rows, entity.closed)
        case "POLYLINE":
            yield from _polyline(entity, scale)
        case "ELLIPSE":
            axis = dxf.get("extrusion", (0, 0, 1))
            if abs(abs(axis[2]) - math.hypot(*axis)) > _FLAT or abs(dxf.major_axis.z) > _FLAT:
                raise _OffPlane(dxf.center)
            minor = entity.minor_axis
            yield from ellipse_edges(
                np.array((dxf.center.x, dxf.center.y)) * scale,
                np.array((dxf.major_axis.x, dxf.major_axis.y)) * scale,
                np.array((minor.x, minor.y)) * scale,
                dxf.get("start_param", 0.0),
                dxf.get("end_param", TAU),
                fit,
            )
        case "SPLINE":
            tool = entity.construction_tool()
            heights = [p.z for p in tool.control_points]
            if (max(heights) - min(heights)) * scale > _LEVEL:
                raise _OffPlane(tool.control_points[0])
            yield from spline_edges(tool, scale, fit)


def _polyline(entity: Any, scale: float) -> Iterator[Edge]:
    if entity.is_poly_face_mesh or entity.is_polygon_mesh:
        raise ValueError("a mesh")
    # The frame that a smoothed polyline was made from is no part of it.
    vertices = [v for v in entity.vertices if not v.dxf.get("flags", 0) & 16]
    places = [v.dxf.location for v in vertices]
    if not places:
        return
    if entity.is_3d_polyline:
        heights = [p.z for p in places]
        if (max(heights) - min(heights)) * scale > _LEVEL:
            raise _OffPlane(places[0])
        sign = 1.0
    else:
        sign = _side(entity, places[0])
    rows = [
        (sign * p.x * scale, p.y * scale, sign * v.dxf.get("bulge", 0.0))
        for p, v in zip(places, vertices, strict=True)
    ]
    yield from _chain(rows, entity.is_closed)


def _side(entity: Any, at: Any) -> float:
    """Return 1 for what is drawn from above, −1 from below, where x runs the other way."""
    x, y, z = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
    size = math.hypot(x, y, z)
    if size == 0 or math.hypot(x, y) > 1e-6 * size:
        raise _OffPlane(at)
    return 1.0 if z > 0 else -1.0


def _chain(rows: list[tuple[float, float, float]], closed: bool) -> Iterator[Edge]:
    following = rows[1:] + (rows[:1] if closed else [])
    for (ax, ay, bulge), (bx, by, _) in zip(rows, following, strict=False):
        a: Point = (ax, ay)
        b: Point = (bx, by)
        if a == b:
            continue
        if abs(bulge) < 1e-12:
            yield Line(a, b)
        else:
            yield Arc.bulged(a, b, bulge)
