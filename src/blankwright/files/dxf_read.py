"""A small DXF reader of our own, that shares nothing with the writer: what proofs are read by.

It reads the tag pairs of the text form as the DXF reference describes them: group code on one
line, value on the next. Only what our drawings hold is understood; anything else in the drawing
itself is an error, not skipped.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from blankwright.base.errors import BadInput, Problem
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point

Tag = tuple[int, str]


@dataclass(frozen=True, kw_only=True)
class DxfFile:
    """What a DXF file holds.

    Args:
        units: $INSUNITS: 4 is mm, 1 is inch, 0 is not stated
        measurement: $MEASUREMENT: 1 is metric
        layers: names of the layers in the layer table
        loops: closed polylines and circles by layer [file units]
        edges: open lines and arcs by layer [file units]
        texts: text, place and layer of each text
    """

    units: int
    measurement: int
    layers: tuple[str, ...]
    loops: dict[str, list[Loop]] = field(default_factory=dict)
    edges: dict[str, list[Edge]] = field(default_factory=dict)
    texts: tuple[tuple[str, Point, str], ...] = ()

    def all_edges(self, *layers: str) -> list[Edge]:
        """Return all edges on some layers, those of loops included."""
        found: list[Edge] = []
        for name in layers:
            found.extend(edge for loop in self.loops.get(name, ()) for edge in loop.edges)
            found.extend(self.edges.get(name, ()))
        return found


def read_dxf(data: bytes) -> DxfFile:
    """Read a DXF file.

    Raises:
        BadInput: when it is no DXF text file (DXF-001) or holds what is not understood (DXF-002)
    """
    tags = _tags(data)
    header: dict[str, str] = {}
    layers: list[str] = []
    loops: dict[str, list[Loop]] = {}
    edges: dict[str, list[Edge]] = {}
    texts: list[tuple[str, Point, str]] = []
    for section, body in _sections(tags):
        if section == "HEADER":
            header = _header(body)
        elif section == "TABLES":
            layers = [_text(e, 2) for kind, e in _entities(body) if kind == "LAYER"]
        elif section == "ENTITIES":
            for kind, entity in _entities(body):
                layer = _text(entity, 8)
                match kind:
                    case "LINE":
                        edge: Edge = Line(_point(entity, 10), _point(entity, 11))
                        edges.setdefault(layer, []).append(edge)
                    case "ARC":
                        edges.setdefault(layer, []).append(_arc(entity))
                    case "CIRCLE":
                        circle = Arc.circle(_point(entity, 10), _number(entity, 40))
                        loops.setdefault(layer, []).append(Loop((circle,)))
                    case "LWPOLYLINE":
                        loops.setdefault(layer, []).append(_polyline(entity))
                    case "TEXT":
                        at = 11 if any(code == 11 for code, _ in entity) else 10
                        texts.append((_decoded(_text(entity, 1)), _point(entity, at), layer))
                    case "SOLID":
                        pass
                    case _:
                        raise _bad("DXF-002", f"an entity {kind} on layer {layer}")
    return DxfFile(
        units=int(header.get("$INSUNITS", "0")),
        measurement=int(header.get("$MEASUREMENT", "0")),
        layers=tuple(layers),
        loops=loops,
        edges=edges,
        texts=tuple(texts),
    )


def _bad(code: str, got: str) -> BadInput:
    return BadInput(Problem(code=code, where="DXF file", got=got))


def _tags(data: bytes) -> list[Tag]:
    lines = data.decode("cp1252", errors="replace").replace("\r\n", "\n").split("\n")
    if lines and not lines[-1].strip():
        lines.pop()
    if len(lines) % 2:
        raise _bad("DXF-001", "a group code without its value at the end")
    tags: list[Tag] = []
    for i in range(0, len(lines), 2):
        try:
            tags.append((int(lines[i]), lines[i + 1].strip("\r\n")))
        except ValueError:
            raise _bad("DXF-001", f"no group code on line {i + 1}: {lines[i][:20]!r}") from None
    if not tags or tags[-1] != (0, "EOF"):
        raise _bad("DXF-001", "the file does not end with EOF")
    return tags


def _sections(tags: list[Tag]) -> Iterator[tuple[str, list[Tag]]]:
    i = 0
    while i < len(tags):
        if tags[i] == (0, "SECTION"):
            end = tags.index((0, "ENDSEC"), i)
            yield tags[i + 1][1], tags[i + 2 : end]
            i = end
        i += 1


def _header(body: list[Tag]) -> dict[str, str]:
    return {
        name: body[i + 1][1].strip()
        for i, (code, name) in enumerate(body[:-1])
        if code == 9 and body[i + 1][0] != 9
    }


def _entities(body: list[Tag]) -> Iterator[tuple[str, list[Tag]]]:
    starts = [i for i, (code, _) in enumerate(body) if code == 0]
    for i, j in zip(starts, [*starts[1:], len(body)], strict=True):
        yield body[i][1], body[i + 1 : j]


def _text(entity: list[Tag], wanted: int) -> str:
    for code, value in entity:
        if code == wanted:
            return value
    raise _bad("DXF-002", f"an entity without group {wanted}")


def _decoded(text: str) -> str:
    """Return a text with letters outside the code page, written as ``\\U+0142``, as letters."""
    return re.sub(r"\\U\+([0-9A-Fa-f]{4})", lambda match: chr(int(match[1], 16)), text)


def _number(entity: list[Tag], wanted: int, otherwise: float | None = None) -> float:
    for code, value in entity:
        if code == wanted:
            return float(value)
    if otherwise is None:
        raise _bad("DXF-002", f"an entity without group {wanted}")
    return otherwise


def _point(entity: list[Tag], code: int) -> Point:
    if _number(entity, 230, 1.0) != 1.0:
        raise _bad("DXF-002", "an entity seen from behind")
    return (_number(entity, code), _number(entity, code + 10))


def _arc(entity: list[Tag]) -> Arc:
    begin = math.radians(_number(entity, 50))
    sweep = (math.radians(_number(entity, 51)) - begin) % math.tau
    return Arc(_point(entity, 10), _number(entity, 40), begin, sweep or math.tau)


def _polyline(entity: list[Tag]) -> Loop:
    if not int(_number(entity, 70, 0.0)) & 1:
        raise _bad("DXF-002", f"an open polyline on layer {_text(entity, 8)}")
    if _number(entity, 230, 1.0) != 1.0:
        raise _bad("DXF-002", "an entity seen from behind")
    points: list[list[float]] = []
    for code, value in entity:
        if code == 10:
            points.append([float(value), 0.0, 0.0])
        elif code == 20 and points:
            points[-1][1] = float(value)
        elif code == 42 and points:
            points[-1][2] = float(value)
    if int(_number(entity, 90)) != len(points):
        raise _bad("DXF-002", f"a polyline of {len(points)} corners that says it has another count")
    edges: list[Edge] = []
    for a, b in zip(points, points[1:] + points[:1], strict=True):
        start, end, bulge = (a[0], a[1]), (b[0], b[1]), a[2]
        edges.append(Arc.bulged(start, end, bulge) if bulge else Line(start, end))
    return Loop(tuple(edges))
