"""Writes drawings as DXF (release 2000 of the format, the one that all readers know), in mm.

Loops become one closed LWPOLYLINE each, arcs by their bulge: the loop stays closed for whoever
cuts it, and its arcs stay true arcs. Whole circles become CIRCLE, so that a drill finds its
centre. Everything else is LINE, ARC, SOLID and TEXT. See decision 0031.

The only module that knows ezdxf.
"""

from __future__ import annotations

import io
import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from blankwright.base.errors import OurBug, Problem
from blankwright.drawing.layers import Layer
from blankwright.drawing.model import Anchor, Drawing, Fill, Item, Ring, Stroke, Text
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.loop import Loop

_LONGEST_SWEEP = 1.5 * math.pi
"""A longer arc is written in two: the bulge of a nearly whole circle loses its digits [rad]."""


def drawing_dxf(drawing: Drawing) -> bytes:
    """Return a drawing as a DXF file; the same drawing gives the same bytes.

    Args:
        drawing: in mm; it is written at full size

    Raises:
        OurBug: when ezdxf's own audit finds an error in the file (DXF-006)
    """
    import ezdxf

    with _fixed_meta_data():
        doc: Any = ezdxf.new("R2000", setup=False)
        doc.header["$INSUNITS"] = 4  # mm
        doc.header["$MEASUREMENT"] = 1  # metric
        doc.header["$LUNITS"] = 2  # decimal
        doc.header["$LTSCALE"] = 1.0
        for layer in drawing.layers:
            _add_layer(doc, layer)
        space: Any = doc.modelspace()
        for item in drawing.items:
            _add_item(space, item)
        x0, y0, x1, y1 = drawing.box
        space.reset_extents((x0, y0, 0.0), (x1, y1, 0.0))  # so that viewers open on the drawing
        stream = io.StringIO()
        doc.write(stream)
    data: bytes = stream.getvalue().encode(doc.output_encoding, errors="dxfreplace")
    audit_dxf(data)
    return data


def audit_dxf(data: bytes) -> None:
    """Read a DXF file back by ezdxf and let it look for errors.

    Raises:
        OurBug: when there are any (DXF-006)
    """
    from ezdxf import recover

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            _, auditor = recover.read(io.BytesIO(data))
        except Exception as error:
            raise OurBug(
                Problem(code="DXF-006", where="DXF file", got=f"it can't be read back ({error})")
            ) from error
    found = [str(entry.message) for entry in (*auditor.errors, *auditor.fixes)]
    if found:
        raise OurBug(*(Problem(code="DXF-006", where="DXF file", got=message) for message in found))


@contextmanager
def _fixed_meta_data() -> Iterator[None]:
    """Keep clock and chance out of the file."""
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _add_layer(doc: Any, layer: Layer) -> None:
    linetype = "Continuous"
    if layer.dashes:
        linetype = f"{layer.name}-LINE"
        pattern = [sum(layer.dashes)]
        for i, length in enumerate(layer.dashes):
            pattern.append(-length if i % 2 else length)
        doc.linetypes.add(linetype, pattern=pattern, description=layer.meaning)
    doc.layers.add(layer.name, color=7, linetype=linetype, lineweight=round(layer.weight * 100))


def _add_item(space: Any, item: Item) -> None:
    where = {"layer": item.layer.name}
    match item:
        case Stroke():
            _add_edge(space, item.edge, where)
        case Ring():
            circle = item.loop.as_circle
            if circle is not None:
                space.add_circle(circle.center, circle.radius, dxfattribs=where)
            else:
                space.add_lwpolyline(
                    list(_vertices(item.loop)), format="xyb", close=True, dxfattribs=where
                )
        case Fill():
            if item.shade > 0 or len(item.corners) not in (3, 4):
                return
            space.add_solid(list(item.corners), dxfattribs=where)
        case Text():
            entity = space.add_text(
                _plain(item.text),
                height=item.height,
                rotation=math.degrees(item.angle),
                dxfattribs=where,
            )
            from ezdxf.enums import TextEntityAlignment

            align = {
                Anchor.LEFT: TextEntityAlignment.LEFT,
                Anchor.CENTER: TextEntityAlignment.CENTER,
                Anchor.RIGHT: TextEntityAlignment.RIGHT,
            }[item.anchor]
            entity.set_placement(item.at, align=align)


def _plain(text: str) -> str:
    """Return a text without what DXF takes for codes: ``%%d``, ``^J``."""
    return text.replace("%%", "% %").replace("^", "^ ")


def _add_edge(space: Any, edge: Edge, where: dict[str, str]) -> None:
    if isinstance(edge, Line):
        space.add_line(edge.start, edge.end, dxfattribs=where)
    elif edge.is_circle:
        space.add_circle(edge.center, edge.radius, dxfattribs=where)
    else:
        a, b = edge.begin, edge.begin + edge.sweep
        if edge.sweep < 0:
            a, b = b, a
        space.add_arc(edge.center, edge.radius, math.degrees(a), math.degrees(b), dxfattribs=where)


def _vertices(loop: Loop) -> Iterator[tuple[float, float, float]]:
    for edge in loop.edges:
        if isinstance(edge, Line):
            yield (*edge.start, 0.0)
            continue
        parts: tuple[Arc, ...] = (edge,)
        if abs(edge.sweep) > _LONGEST_SWEEP:
            parts = (edge.part(0.0, 0.5), edge.part(0.5, 1.0))
        for part in parts:
            yield (*part.start, math.tan(part.sweep / 4))
