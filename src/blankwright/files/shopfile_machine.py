"""The machine, cutting and packing tables of the shop file.

::

    [machine]
    name = "bench router"
    travel = ["800 mm", "600 mm", "80 mm"]   # how far x, y and z go
    zero = ["20 mm", "20 mm", "30 mm"]       # where the sheet's corner and face lie in that
    units = "mm"                             # of the file: "mm" or "inch"
    words = "RS-274"                         # or "ISO 6983"
    slowest = "8000 rpm"
    fastest = "24000 rpm"
    most_feed = "2000 mm/min"
    most_plunge = "300 mm/min"
    drill_cycles = true
    tool_change = "by hand"                  # or "by machine"

    [[machine.cutters]]
    number = 1
    name = "1/8 single flute"
    kind = "router bit"                      # "drill", "spot drill" or "pen"
    diameter = "1/8 in"
    flutes = 1

    [cutting]
    tab_width = "3 mm"
    bend_marks = "pen"

    [packing]
    gap = "8 mm"            # between blanks; left out: two widths of the router bit and a web
    margin = "8 mm"
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from blankwright.base.errors import BadInput, Problem
from blankwright.cutting.holding import WEB
from blankwright.cutting.job import CutSettings
from blankwright.cutting.machine import Cutter, CutterKind, Machine
from blankwright.cutting.packing import PackSettings
from blankwright.files.shop_fields import Fields
from blankwright.files.shopfile import ShopFile

_DEFAULT = Machine(name="", travel=(1.0, 1.0, 1.0), zero=(0.0, 0.0, 0.0))


def machine_of(shop: ShopFile) -> Machine:
    """Return the machine that a shop file describes.

    Raises:
        BadInput: with every problem of its table, and when there is none
    """
    if "machine" not in shop.tables:
        raise BadInput(
            Problem(
                code="SHOP-004",
                where=shop.name,
                got="the shop file describes no machine",
                allowed="a table [machine] with its travel, its zero and its cutters",
                fix="docs/cutting.md shows one to copy",
            )
        )
    problems: list[Problem] = []
    raw = shop.table("machine")
    cutters = raw.pop("cutters", [])
    fields = Fields(raw, f"{shop.name}, machine", problems, "SHOP-005")
    d = _DEFAULT
    for key in ("travel", "zero"):
        if key not in raw:
            fields.wrong(
                key, "it is missing", 'three lengths, such as ["800 mm", "600 mm", "80 mm"]'
            )
    machine = Machine(
        name=fields.text("name", "router"),
        travel=_three(fields.lengths("travel", (1.0, 1.0, 1.0), 3)),
        zero=_three(fields.lengths("zero", (0.0, 0.0, 0.0), 3)),
        units=fields.choice("units", d.units),
        dialect=fields.choice("words", d.dialect),
        least_rpm=fields.turns("slowest", d.least_rpm),
        most_rpm=fields.turns("fastest", d.most_rpm),
        most_feed=fields.feed("most_feed", d.most_feed),
        most_plunge=fields.feed("most_plunge", d.most_plunge),
        safe_height=fields.length("safe_height", d.safe_height, least=0.5),
        near_height=fields.length("near_height", d.near_height, least=0.1),
        clear_of_clamps=fields.length("clear_of_clamps", d.clear_of_clamps),
        through=fields.length("through", d.through, least=0.05),
        board=fields.length("board", d.board),
        ramp=fields.angle("ramp", d.ramp),
        drill_cycles=fields.yes("drill_cycles", d.drill_cycles),
        tool_change=fields.choice("tool_change", d.tool_change),
        spin_up=fields.seconds("spin_up", d.spin_up),
    )
    fields.nothing_left()
    _sane(machine, fields)
    machine = replace(machine, cutters=_cutters(cutters, shop, problems))
    if problems:
        raise BadInput.of(problems)
    return machine


def _three(values: tuple[float, ...]) -> tuple[float, float, float]:
    x, y, z = values
    return (x, y, z)


def _sane(machine: Machine, fields: Fields) -> None:
    for axis, travel, zero in zip("xyz", machine.travel, machine.zero, strict=True):
        if not 0 <= zero <= travel:
            got = f"the zero of {axis} lies outside its travel"
            fields.wrong("zero", got, f"0 to {travel:g} mm")
    if machine.near_height >= machine.safe_height:
        fields.wrong("near_height", "it isn't under the safe height", "less than safe_height")
    if machine.least_rpm > machine.most_rpm:
        fields.wrong("slowest", "it is faster than the fastest", "no more than fastest")
    if machine.through > machine.board:
        fields.wrong("through", "cuts go deeper than the board is thick", "no more than board")
    if not 0.001 < machine.ramp < 0.8:
        fields.wrong("ramp", "no cutter goes down at that angle", "1 deg to 45 deg")


def _cutters(raw: Any, shop: ShopFile, problems: list[Problem]) -> tuple[Cutter, ...]:
    where = f"{shop.name}, machine.cutters"
    if not isinstance(raw, list) or not all(isinstance(item, dict) for item in raw):
        problems.append(
            Problem(
                code="SHOP-005",
                where=where,
                got="this isn't a list of cutters",
                fix="Begin each cutter with a line [[machine.cutters]]",
            )
        )
        return ()
    cutters: list[Cutter] = []
    for position, item in enumerate(raw, start=1):
        fields = Fields(item, f"{where} {position}", problems, "SHOP-005")
        cutter = _cutter(fields)
        fields.nothing_left()
        if any(cutter.number == other.number for other in cutters):
            fields.wrong("number", f"two cutters have number {cutter.number}", "a number each")
        cutters.append(cutter)
    return tuple(cutters)


def _cutter(fields: Fields) -> Cutter:
    for key in ("number", "kind", "diameter"):
        if not fields.has(key):
            fields.wrong(key, "it is missing")
    kind = fields.choice("kind", CutterKind.ROUTER_BIT)
    usual = 2.0595 if kind is CutterKind.DRILL else 1.5708  # 118°, 90°
    number = fields.count("number", 1, 1)
    diameter = fields.length("diameter", 1.0, least=0.05)
    return Cutter(
        number=number,
        name=fields.text("name", f"{kind.value} {number}"),
        kind=kind,
        diameter=diameter,
        flutes=fields.count("flutes", 2 if kind is CutterKind.DRILL else 1, 1),
        cut_length=fields.length("cut_length", 12.0),
        tip_angle=fields.angle("tip_angle", usual),
        most_rpm=fields.turns("fastest", 0.0),
        chip_load=fields.length_or_none("chip_load"),
        surface_speed=fields.speed_or_none("cutting_speed"),
        step=fields.length_or_none("pass"),
        source=fields.text("source"),
    )


def cut_settings_of(shop: ShopFile) -> CutSettings:
    """Return how the shop wants parts cut.

    Raises:
        BadInput: with every problem of its table
    """
    problems: list[Problem] = []
    fields = Fields(shop.table("cutting"), f"{shop.name}, cutting", problems, "SHOP-006")
    d = CutSettings()
    settings = CutSettings(
        cutter=fields.count("cutter", d.cutter),
        tab_width=fields.length("tab_width", d.tab_width, least=0.5),
        tab_height=fields.length("tab_height", d.tab_height),
        tab_count=fields.count("tabs", d.tab_count),
        loose_size=fields.length("loose_size", d.loose_size),
        bend_line=fields.choice("bend_line", d.bend_line),
        bend_marks=fields.choice("bend_marks", d.bend_marks),
        climb=fields.yes("climb", d.climb),
        spot_depth=fields.length("spot_depth", d.spot_depth, least=0.05),
    )
    fields.nothing_left()
    if problems:
        raise BadInput.of(problems)
    return settings


def pack_settings_of(shop: ShopFile) -> PackSettings:
    """Return how the shop wants blanks laid on sheets.

    Where no gap is stated, it is what the machine's router bit takes: see `usual_gap`.

    Raises:
        BadInput: with every problem of its table
    """
    problems: list[Problem] = []
    fields = Fields(shop.table("packing"), f"{shop.name}, packing", problems, "SHOP-007")
    d = PackSettings()
    settings = PackSettings(
        gap=fields.length("gap", usual_gap(shop) if "gap" not in shop.table("packing") else d.gap),
        margin=fields.length("margin", d.margin),
        clamp_gap=fields.length("clamp_gap", d.clamp_gap),
        in_openings=fields.yes("in_openings", d.in_openings),
        seed=fields.count("seed", d.seed),
        least_offcut=fields.length("least_offcut", d.least_offcut),
    )
    fields.nothing_left()
    if problems:
        raise BadInput.of(problems)
    return settings


def usual_gap(shop: ShopFile) -> float:
    """Return the gap between blanks that the shop's router bit takes [mm].

    Two of its widths, one for either blank, and a web of metal for the tabs to end in; the usual
    gap where no machine with a router bit is described.

    Raises:
        BadInput: with every problem of the machine's tables
    """
    if "machine" not in shop.tables:
        return PackSettings().gap
    bits = machine_of(shop).of_kind(CutterKind.ROUTER_BIT)
    wanted = cut_settings_of(shop).cutter
    widths = [bit.diameter for bit in bits if wanted in (0, bit.number)]
    return math.ceil(10 * (2 * widths[0] + 1.5 * WEB)) / 10 if widths else PackSettings().gap
