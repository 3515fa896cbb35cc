"""A small SVG reader of our own, that shares nothing with the writer: what proofs are read by.

Sizes come from `width`, `height` and `viewBox`, so a file in wrong units is measured as it would
print. Arcs are turned from their ends to their centre as SVG 1.1 appendix F.6.5 says.
"""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as Xml
from dataclasses import dataclass, field

from blankwright.base.errors import BadInput, Problem
from blankwright.base.quantities import BadText, read_quantity
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point

_NS = "{http://www.w3.org/2000/svg}"
_TOKEN = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")


@dataclass(frozen=True, kw_only=True)
class SvgFile:
    """What an SVG file holds, in mm as printed, y up from the bottom of the page.

    Args:
        width: of the page [mm]
        height: of the page [mm]
        loops: closed paths and circles by group
        edges: open lines and arcs by group
        texts: each text and its group
    """

    width: float
    height: float
    loops: dict[str, list[Loop]] = field(default_factory=dict)
    edges: dict[str, list[Edge]] = field(default_factory=dict)
    texts: tuple[tuple[str, str], ...] = ()


def read_svg(data: bytes) -> SvgFile:
    """Read an SVG file.

    Raises:
        BadInput: when it is no SVG (SVG-001) or holds what is not understood (SVG-002)
    """
    try:
        root = Xml.fromstring(data)
    except Xml.ParseError as error:
        raise _bad("SVG-001", f"it is no XML ({error})") from error
    if root.tag != f"{_NS}svg":
        raise _bad("SVG-001", f"it is no SVG but {root.tag}")
    width, height = _mm(root.get("width", "")), _mm(root.get("height", ""))
    box = [float(v) for v in root.get("viewBox", "").split()]
    if len(box) != 4:
        raise _bad("SVG-002", "no viewBox")
    left, top, wide, high = box
    sx, sy = width / wide, height / high
    if abs(sx - sy) > 1e-6 * sx:
        raise _bad("SVG-002", f"{sx:.6f} mm a unit across but {sy:.6f} mm a unit down")

    def place(x: float, y: float) -> Point:
        return ((x - left) * sx, height - (y - top) * sy)

    reader = _Reader(place, sx)
    for group in root:
        if group.tag == f"{_NS}g":
            reader.group(group)
    return SvgFile(
        width=width,
        height=height,
        loops=reader.loops,
        edges=reader.edges,
        texts=tuple(reader.texts),
    )


def _bad(code: str, got: str) -> BadInput:
    return BadInput(Problem(code=code, where="SVG file", got=got))


def _mm(text: str) -> float:
    try:
        quantity = read_quantity(text)
    except BadText as error:
        raise _bad("SVG-002", f"a page size of {text!r}") from error
    if quantity.kind != "length":
        raise _bad("SVG-002", f"a page size of {text!r}")
    return quantity.value


class _Reader:
    def __init__(self, place, scale: float) -> None:  # type: ignore[no-untyped-def]
        self._place = place
        self._scale = scale
        self.loops: dict[str, list[Loop]] = {}
        self.edges: dict[str, list[Edge]] = {}
        self.texts: list[tuple[str, str]] = []

    def group(self, group: Xml.Element) -> None:
        name = group.get("id", "")
        if group.get("transform"):
            raise _bad("SVG-002", f"a moved group {name}")
        for element in group:
            kind = element.tag.removeprefix(_NS)
            if kind != "text" and element.get("transform"):
                raise _bad("SVG-002", f"a moved {kind} in group {name}")
            if kind == "path":
                self._path(name, element.get("d", ""))
            elif kind == "circle":
                x, y, r = (float(element.get(key, "nan")) for key in ("cx", "cy", "r"))
                circle = Arc.circle(self._place(x, y), r * self._scale)
                self.loops.setdefault(name, []).append(Loop((circle,)))
            elif kind == "text":
                self.texts.append((element.text or "", name))
            elif kind != "polygon":
                raise _bad("SVG-002", f"a {kind} in group {name}")

    def _path(self, name: str, d: str) -> None:
        tokens = _TOKEN.findall(d)
        at = start = (math.nan, math.nan)
        edges: list[Edge] = []
        closed = False
        i = 0

        def number() -> float:
            nonlocal i
            i += 1
            return float(tokens[i - 1])

        while i < len(tokens):
            command = tokens[i]
            i += 1
            if command == "M":
                at = start = self._place(number(), number())
            elif command == "L":
                to = self._place(number(), number())
                edges.append(Line(at, to))
                at = to
            elif command == "A":
                rx, ry, _, large, sense = (number() for _ in range(5))
                to = self._place(number(), number())
                if rx != ry:
                    raise _bad("SVG-002", "an elliptical arc")
                edges.append(_arc(at, to, rx * self._scale, bool(large), sense == 0))
                at = to
            elif command == "Z":
                closed = True
                if math.dist(at, start) > 1e-9:
                    if math.dist(at, start) > 2e-5:
                        edges.append(Line(at, start))
                    at = start
            else:
                raise _bad("SVG-002", f"a path command {command}")
        if closed:
            self.loops.setdefault(name, []).append(Loop(tuple(edges)))
        else:
            self.edges.setdefault(name, []).extend(edges)


def _arc(a: Point, b: Point, r: float, large: bool, ccw: bool) -> Arc:
    """Return the arc from its ends: half the chord, then up to the centre (y up)."""
    half = math.dist(a, b) / 2
    if half == 0:
        raise _bad("SVG-002", "an arc that ends where it begins")
    r = max(r, half)
    rise = math.sqrt(r * r - half * half)
    side = 1.0 if ccw != large else -1.0
    nx, ny = -(b[1] - a[1]) / (2 * half), (b[0] - a[0]) / (2 * half)
    center = ((a[0] + b[0]) / 2 + nx * rise * side, (a[1] + b[1]) / 2 + ny * rise * side)
    begin = math.atan2(a[1] - center[1], a[0] - center[0])
    turn = math.atan2(b[1] - center[1], b[0] - center[0]) - begin
    sweep = turn % math.tau if ccw else -((-turn) % math.tau)
    return Arc(center, r, begin, sweep)
