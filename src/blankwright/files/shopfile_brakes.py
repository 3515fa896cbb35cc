"""The bending tools of the shop file.

::

    [[leaf_brakes]]
    name = "bench leaf brake"
    length = "24 in"
    bar = [["0 mm", "0 mm"], ["60 mm", "0 mm"], ["60 mm", "70 mm"], ["49 mm", "70 mm"]]
    beam = []                                # above the fingers, the whole length
    fingers = ["25 mm", "30 mm", "50 mm"]    # none: one solid bar
    radii = ["1/32 in", "1/8 in"]
    lift = "30 mm"
    leaf_depth = "45 mm"
    leaf_thickness = "12 mm"
    most_angle = "125 deg"
    rated = { thickness = "1.2 mm", length = "24 in", ultimate_ksi = 60 }

    [[vises]]
    name = "vise with radius bars"
    bars = ["50 mm", "100 mm"]

    [[hand_blocks]]
    name = "hand block"

    [[press_brakes]]
    name = "press"
    punch = [["0 mm", "0 mm"], ["12 mm", "14 mm"], ["-8 mm", "14 mm"]]
    opening = "12 mm"

    [bend_costs]                             # seconds, what the search weighs
    by_hand = "300 s"

    [bend_accuracy]                          # plus or minus, at 95 %
    sight = "0.4 mm"

    [[springback]]                           # bends of your own, measured
    alloy = "6061-T6"
    thickness = "0.040 in"
    inside_radius = "1/8 in"
    bent_to = "93 deg"
    sprang_to = "90 deg"

A key that is left out has the size of the shop that is supposed without a file.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import fields as fields_of
from typing import Any, TypeVar

from blankwright.base.errors import BadInput, Problem
from blankwright.bending.tools import (
    Capability,
    Capacity,
    Corners,
    Costs,
    HandBlock,
    LeafBrake,
    PressBrake,
    Shop,
    Sprung,
    Tool,
    Vise,
    supposed_shop,
)
from blankwright.files.shop_fields import Fields, read_length
from blankwright.files.shopfile import ShopFile

_CODE = "SHOP-020"
_MPA_PER_KSI = 6.894757293168361
"""Exact to the digits given: lbf/in² by the international pound and inch."""

_RADII = (0.4, 0.8, 1.6, 2.4, 3.2, 4.0, 4.8, 6.4)

AnyTool = TypeVar("AnyTool", bound=Tool)

Makers = dict[str, Callable[[Fields], Tool]]


def bending_shop(shop: ShopFile) -> Shop:
    """Return the bending tools that a shop file describes.

    A file that describes none has those of the shop that is supposed; the costs, accuracy and
    springback of the file hold all the same.

    Raises:
        BadInput: with every problem of its tables
    """
    problems: list[Problem] = []
    makers: Makers = {
        "leaf_brakes": _leaf_brake,
        "press_brakes": _press_brake,
        "vises": _vise,
        "hand_blocks": _hand_block,
    }
    tools: list[Tool] = []
    for table, make in makers.items():
        for fields in _list(shop, table, problems):
            tool = make(fields)
            fields.nothing_left()
            if any(tool.name == other.name for other in tools):
                fields.wrong("name", f"two tools are called {tool.name!r}", "a name each")
            _sane(tool, fields)
            tools.append(tool)
    supposed = supposed_shop()
    result = Shop(
        tools=tuple(tools) or supposed.tools,
        costs=_costs(shop, problems),
        sprung=tuple(_sprung(fields) for fields in _list(shop, "springback", problems)),
        capability=_capability(shop, problems),
        stated=bool(tools),
    )
    if problems:
        raise BadInput.of(problems)
    return result


def _list(shop: ShopFile, table: str, problems: list[Problem]) -> list[Fields]:
    raw = shop.tables.get(table, [])
    if not isinstance(raw, list) or not all(isinstance(item, dict) for item in raw):
        problems.append(
            Problem(
                code=_CODE,
                where=f"{shop.name}, {table}",
                got="this isn't a list of tables",
                fix=f"Begin each with a line [[{table}]]",
            )
        )
        return []
    return [
        Fields(item, f"{shop.name}, {table} {i}", problems, _CODE)
        for i, item in enumerate(raw, start=1)
    ]


def _common(fields: Fields, tool: Tool, widths: str) -> dict[str, Any]:
    """Read what all tools have; `widths` is what this tool calls its pieces of bar."""
    return {
        "name": fields.text("name", tool.name),
        "radii": tuple(sorted(_lengths(fields, "radii", _RADII, 0.0))),
        "widths": _lengths(fields, widths, tool.widths, 1.0),
        "length": fields.length("length", tool.length, least=10.0),
        "short": fields.length("may_stop_short", tool.short),
        "side_gap": fields.length("side_gap", tool.side_gap),
        "most_angle": fields.angle("most_angle", tool.most_angle),
        "capacity": _capacity(fields),
        "ends_open": fields.yes("ends_open", tool.ends_open),
        "behind_open": fields.yes("behind_open", tool.behind_open),
    }


def _leaf_brake(fields: Fields) -> Tool:
    d = LeafBrake(name="leaf brake")
    return LeafBrake(
        **_common(fields, d, "fingers"),
        bar=_section(fields, "bar", d.bar),
        beam=_section(fields, "beam", d.beam),
        lift=fields.length("lift", d.lift),
        bed_depth=fields.length("bed_depth", d.bed_depth, least=5.0),
        bed_height=fields.length("bed_height", d.bed_height, least=5.0),
        leaf_depth=fields.length("leaf_depth", d.leaf_depth, least=1.0),
        leaf_thickness=fields.length("leaf_thickness", d.leaf_thickness, least=1.0),
    )


def _press_brake(fields: Fields) -> Tool:
    d = PressBrake(name="press brake")
    return PressBrake(
        **_common(fields, d, "segments"),
        punch=_section(fields, "punch", d.punch),
        ram=_section(fields, "ram", d.ram),
        opening=fields.length("opening", d.opening, least=1.0),
        die_width=fields.length("die_width", d.die_width, least=2.0),
        die_height=fields.length("die_height", d.die_height, least=2.0),
        bed_width=fields.length("bed_width", d.bed_width, least=2.0),
        stroke=fields.length("stroke", d.stroke, least=1.0),
        force=fields.count("force_kn", round(d.force / 1000), 1) * 1000.0,
    )


def _vise(fields: Fields) -> Tool:
    d = Vise(name="vise with radius bars", widths=(50.0, 100.0, 150.0), length=150.0)
    return Vise(
        **_common(fields, d, "bars"),
        bar_thickness=fields.length("bar_thickness", d.bar_thickness, least=1.0),
        bar_depth=fields.length("bar_depth", d.bar_depth, least=5.0),
        bar_above=fields.length("bar_above", d.bar_above),
        jaw_width=fields.length("jaw_width", d.jaw_width, least=10.0),
        jaw_thickness=fields.length("jaw_thickness", d.jaw_thickness, least=1.0),
        jaw_depth=fields.length("jaw_depth", d.jaw_depth, least=5.0),
        face_back=fields.angle("face_back", d.face_back),
    )


def _hand_block(fields: Fields) -> Tool:
    d = HandBlock(name="hand block", length=1000.0)
    return HandBlock(
        **_common(fields, d, "blocks"),
        block_depth=fields.length("block_depth", d.block_depth, least=2.0),
        block_height=fields.length("block_height", d.block_height, least=2.0),
        board=fields.length("board", d.board, least=1.0),
        thickest=fields.length("thickest", d.thickest),
    )


def _capacity(fields: Fields) -> Capacity | None:
    raw = fields.take("rated")
    if raw is None:
        return None
    if not isinstance(raw, dict):
        fields.wrong("rated", "this isn't a table", '{ thickness = "1.2 mm", length = "24 in" }')
        return None
    inner = Fields(raw, f"{fields.where}, rated", fields.problems, _CODE)
    thickness = inner.length("thickness", 0.0)
    length = inner.length("length", 0.0)
    ksi = inner.count("ultimate_ksi", 60, 1)
    inner.nothing_left()
    if thickness <= 0 or length <= 0:
        inner.wrong("thickness", "thickness and length must both be stated", "more than 0")
        return None
    return Capacity(thickness=thickness, length=length, ultimate=ksi * _MPA_PER_KSI)


def _section(fields: Fields, key: str, default: Corners) -> Corners:
    raw = fields.take(key)
    if raw is None:
        return default
    if not isinstance(raw, list):
        fields.wrong(key, "this isn't a list of corners", _CORNERS)
        return default
    corners: list[tuple[float, float]] = []
    for pair in raw:
        try:
            across, up = (read_length(str(item), -1e6) for item in pair)
        except (TypeError, ValueError) as error:
            got = getattr(error, "got", "") or f"`{pair}` is no corner"
            fields.wrong(key, got, _CORNERS)
            return default
        corners.append((across, up))
    if key in ("bar", "punch") and (len(corners) < 3 or corners[0] != (0.0, 0.0)):
        fields.wrong(key, "it doesn't begin at the nose, or has fewer than three corners", _CORNERS)
        return default
    if corners and abs(_area(corners)) < 1.0:
        fields.wrong(key, "its corners enclose nothing", _CORNERS)
        return default
    return tuple(corners)


_CORNERS = 'corners in order round it from the nose, ["back", "up"], such as ["60 mm", "0 mm"]'


def _area(corners: list[tuple[float, float]]) -> float:
    pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2


def _lengths(
    fields: Fields, key: str, default: tuple[float, ...], least: float
) -> tuple[float, ...]:
    raw = fields.take(key)
    if raw is None:
        return default
    if not isinstance(raw, list):
        fields.wrong(key, "this isn't a list of lengths", '["25 mm", "1 in"]')
        return default
    found = []
    for item in raw:
        try:
            found.append(read_length(str(item), least))
        except ValueError as error:
            fields.wrong(key, getattr(error, "got", "") or str(error))
    return tuple(found)


def _costs(shop: ShopFile, problems: list[Problem]) -> Costs:
    d = Costs()
    fields = Fields(shop.table("bend_costs"), f"{shop.name}, bend_costs", problems, _CODE)
    costs = Costs(**{f.name: fields.seconds(f.name, getattr(d, f.name)) for f in fields_of(Costs)})
    fields.nothing_left()
    return costs


def _capability(shop: ShopFile, problems: list[Problem]) -> Capability:
    d = Capability()
    fields = Fields(shop.table("bend_accuracy"), f"{shop.name}, bend_accuracy", problems, _CODE)
    result = Capability(
        cut=fields.length("cut", d.cut),
        sight=fields.length("sight", d.sight),
        stop=fields.length("stop", d.stop),
        angle=fields.angle("angle", d.angle),
        k=_bare(fields, "k", d.k),
        thickness=fields.length("thickness", d.thickness),
    )
    fields.nothing_left()
    return result


def _bare(fields: Fields, key: str, default: float) -> float:
    raw = fields.take(key)
    if raw is None:
        return default
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not 0 <= raw <= 0.5:
        fields.wrong(key, f"`{raw}` is no plus/minus of k", "a bare number from 0 to 0.5")
        return default
    return float(raw)


def _sprung(fields: Fields) -> Sprung:
    for key in ("alloy", "thickness", "inside_radius", "bent_to", "sprang_to"):
        if not fields.has(key):
            fields.wrong(key, "it is missing")
    result = Sprung(
        alloy=fields.text("alloy"),
        thickness=fields.length("thickness", 1.0, least=0.05),
        inside_radius=fields.length("inside_radius", 1.0),
        bent_to=fields.angle("bent_to", math.pi / 2),
        sprang_to=fields.angle("sprang_to", math.pi / 2),
    )
    fields.nothing_left()
    if not 0 < result.sprang_to <= result.bent_to < 1.5 * result.sprang_to:
        fields.wrong("sprang_to", "sheet springs back a little, not so", "less than bent_to")
    return result


def _sane(tool: Tool, fields: Fields) -> None:
    if not tool.radii:
        fields.wrong("radii", "there is no nose radius", 'at least one, such as "1/32 in"')
    if not 0 < tool.most_angle <= math.radians(200):
        fields.wrong("most_angle", "no tool bends so far", "up to 200 deg")
    if any(width > tool.length for width in tool.widths):
        fields.wrong("length", "a piece of bar is longer than the tool", "the longest bend")
