"""Sections of bending tools that show what to measure on each, by letters and numbered corners."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.bending.section_picture import hull, named, outline
from blankwright.bending.sections import Role, bodies_of
from blankwright.bending.tools import HandBlock, LeafBrake, PressBrake, Tool, Vise
from blankwright.drawing.dimensions import DimensionLook, linear
from blankwright.drawing.layers import DIMENSIONS, NOTES, TOOL, VIEW_EDGE
from blankwright.drawing.model import Anchor, Drawing, Fill, Item, Ring, Stroke, Text
from blankwright.geom.edges import Arc
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Array
from blankwright.geom.vec import Point

SHEET, RADIUS = 1.5, 3.0
"""The sheet and the nose that are drawn [mm]."""

_LETTER, _NAME, _DOT = 0.034, 0.026, 0.0075
"""Heights of letters and size of dots, as shares of a picture's height [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One measure of a picture.

    Args:
        key: of the shop file
        a: where it is measured from [mm]
        b: where it is measured to [mm]
        at: distance of the dimension line from `a`, to the left of the measure's direction [mm]
        level: whether it measures level, else upright
    """

    key: str
    a: Point
    b: Point
    at: float
    level: bool = True


def letters_of(measures: Sequence[str]) -> dict[str, str]:
    """Return the letter that stands for each measure in a picture."""
    return {key: "ABCDEFGHJKLMN"[i] for i, key in enumerate(measures)}


def leaf_brake_picture(brake: LeafBrake) -> tuple[Drawing, dict[str, str]]:
    """Draw a leaf brake: its section, and its fingers from the front."""
    hinge, back = RADIUS + SHEET, RADIUS + SHEET - brake.bed_depth
    leaf = hinge + brake.leaf_depth
    heel = RADIUS - brake.bar[1][0]
    measures = [
        Measure(key="lift", a=(heel, SHEET), b=(heel, SHEET + brake.lift), at=14.0, level=False),
        Measure(key="bed_depth", a=(back, -brake.bed_height), b=(hinge, -brake.bed_height), at=-12),
        Measure(key="bed_height", a=(back, -brake.bed_height), b=(back, 0), at=12.0, level=False),
        Measure(key="leaf_depth", a=(hinge, 0.0), b=(leaf, 0.0), at=-brake.leaf_thickness - 12.0),
        Measure(
            key="leaf_thickness", a=(leaf, -brake.leaf_thickness), b=(leaf, 0), at=-10, level=False
        ),
    ]
    front = leaf + 55.0
    widths = (14.0, 18.0, 24.0, 24.0, 34.0)
    ends = [front + sum(widths[:i]) for i in range(len(widths) + 1)]
    measures += [
        Measure(key="fingers", a=(ends[2], 40.0), b=(ends[3], 40.0), at=8.0),
        Measure(key="length", a=(ends[0], 0.0), b=(ends[-1], 0.0), at=-12.0),
    ]
    tall = 240.0
    items = _section(brake, 92.0, tall)
    items += [
        _sheet([(back + 18.0, 0.0), (leaf - 6.0, 0.0), (leaf - 6.0, SHEET), (back + 18.0, SHEET)])
    ]
    items += [_box(a, 2.0, b, 40.0) for a, b in itertools.pairwise(ends)]
    items += [
        Text(
            layer=NOTES,
            text="fingers, from the front",
            at=((ends[0] + ends[-1]) / 2, -26.0),
            height=_NAME * tall,
            anchor=Anchor.CENTER,
        )
    ]
    letters = letters_of([*(m.key for m in measures), "most_angle"])
    items += _swing((hinge, 0.0), brake.leaf_depth - 6.0, letters["most_angle"], tall)
    items += _corners([(RADIUS - x, SHEET + z) for x, z in brake.bar], 1, tall)
    items += _corners([(RADIUS - x, SHEET + z) for x, z in brake.beam], 1 + len(brake.bar), tall)
    return _drawn("leaf brake", items, measures, letters, tall)


def vise_picture(vise: Vise) -> tuple[Drawing, dict[str, str]]:
    """Draw a vise from its end, the sheet standing between the bars, and from the front."""
    top = SHEET + vise.bar_thickness
    far = top + vise.jaw_thickness
    jaw = RADIUS - vise.bar_above
    front = far + 55.0
    wide, bars = 0.6 * vise.jaw_width, 0.6 * vise.length
    jaw_from = front + (bars - wide) / 2
    measures = [
        Measure(key="bar_thickness", a=(SHEET, RADIUS), b=(top, RADIUS), at=24.0),
        Measure(
            key="bar_depth",
            a=(far, RADIUS),
            b=(far, RADIUS - vise.bar_depth),
            at=-24.0,
            level=False,
        ),
        Measure(key="bar_above", a=(far, jaw), b=(top, RADIUS), at=-9.0, level=False),
        Measure(key="jaw_thickness", a=(top, jaw), b=(far, jaw), at=-22.0),
        Measure(
            key="jaw_depth",
            a=(-vise.bar_thickness - vise.jaw_thickness, -vise.jaw_depth),
            b=(-vise.bar_thickness, 0.0),
            at=12.0,
            level=False,
        ),
        Measure(key="jaw_width", a=(jaw_from, -50.0), b=(jaw_from + wide, -50.0), at=-10.0),
        Measure(key="bars", a=(front, RADIUS), b=(front + bars, RADIUS), at=10.0),
    ]
    tall = 160.0
    items = _section(vise, 92.0, tall, lambda p: p[:, ::-1])
    items += [_sheet([(0.0, -30.0), (SHEET, -30.0), (SHEET, 26.0), (0.0, 26.0)])]
    items += [
        _box(jaw_from, -50.0, jaw_from + wide, jaw),
        _box(front, jaw, front + bars, RADIUS),
        Text(
            layer=NOTES,
            text="jaw and bar, from the front",
            at=(front + bars / 2, -74.0),
            height=_NAME * tall,
            anchor=Anchor.CENTER,
        ),
    ]
    letters = letters_of([*(m.key for m in measures), "face_back"])
    lean = top + 5.0
    items.append(
        Text(
            layer=DIMENSIONS,
            text=letters["face_back"],
            at=(lean, RADIUS + 4.0),
            height=_LETTER * tall,
        )
    )
    return _drawn("vise", items, measures, letters, tall)


def block_picture(block: HandBlock) -> tuple[Drawing, dict[str, str]]:
    """Draw a block over the sheet and a board under it."""
    right = RADIUS + SHEET
    measures = [
        Measure(
            key="block_depth",
            a=(RADIUS - block.block_depth, SHEET + block.block_height),
            b=(RADIUS, SHEET + block.block_height),
            at=7.0,
        ),
        Measure(
            key="block_height",
            a=(right, SHEET),
            b=(right, SHEET + block.block_height),
            at=-9.0,
            level=False,
        ),
        Measure(key="board", a=(right, -block.board), b=(right, 0.0), at=-9.0, level=False),
    ]
    reach = block.block_depth
    tall = 70.0
    items = _section(block, 92.0, tall)
    items += [_sheet([(-reach - 14.0, 0.0), (12.0, 0.0), (12.0, SHEET), (-reach - 14.0, SHEET)])]
    letters = letters_of([m.key for m in measures])
    return _drawn("block", items, measures, letters, tall)


def press_picture(press: PressBrake) -> tuple[Drawing, dict[str, str]]:
    """Draw a press brake, its punch lifted off the die."""
    half, top, bed = press.opening / 2, press.die_width / 2, press.bed_width / 2
    up = 26.0
    deep = -press.die_height
    measures = [
        Measure(key="opening", a=(-half, 0.0), b=(half, 0.0), at=9.0),
        Measure(key="die_width", a=(-top, deep), b=(top, deep), at=-9.0),
        Measure(key="die_height", a=(top, deep), b=(top, 0.0), at=-14.0, level=False),
        Measure(key="bed_width", a=(-bed, deep - 24.0), b=(bed, deep - 24.0), at=-9.0),
        Measure(key="stroke", a=(-top, 0.0), b=(0.0, SHEET + up), at=16.0, level=False),
    ]

    tall, highest = 220.0, SHEET + 112.0 + up
    items = _section(press, 90.0, tall, up=up, under=deep - 24.0, over=highest)
    letters = letters_of([m.key for m in measures])
    items += _corners([(x, SHEET + up + z) for x, z in press.punch], 1, tall)
    shown = [(x, min(SHEET + up + z, highest)) for x, z in press.ram]
    items += _corners(shown, 1 + len(press.punch), tall)
    return _drawn("press brake", items, measures, letters, tall)


def _drawn(
    title: str,
    items: list[Item],
    measures: Sequence[Measure],
    letters: dict[str, str],
    tall: float,
) -> tuple[Drawing, dict[str, str]]:
    look = DimensionLook(
        text=_LETTER * tall, arrow=0.025 * tall, gap=0.006 * tall, past=0.012 * tall
    )
    for m in measures:
        along = (1.0, 0.0) if m.level else (0.0, 1.0)
        items += linear(m.a, m.b, m.at, letters[m.key], along, look)
    return Drawing(title=title, items=tuple(items)), letters


def _section(
    tool: Tool,
    degrees: float,
    tall: float,
    turned: Callable[[Array], Array] = lambda p: p,
    *,
    up: float = 0.0,
    under: float = -math.inf,
    over: float = math.inf,
) -> list[Item]:
    """Return the outlines of a tool's bodies, each lettered; run and beam lifted by `up` [mm]."""
    by_name: dict[str, list[Array]] = {}
    for body in bodies_of(tool, SHEET, RADIUS, math.radians(degrees)).bodies:
        corners = body.corners + np.array((0.0, up if body.role in (Role.RUN, Role.BEAM) else 0.0))
        corners[:, 1] = np.clip(corners[:, 1], under, over)
        by_name.setdefault(body.name, []).append(hull(turned(corners)))
    items: list[Item] = []
    for name, polygons in by_name.items():
        items += outline(polygons, TOOL)
        items += named(name, polygons, _NAME * tall)
    return items


def _sheet(corners: Sequence[Point]) -> Item:
    return Fill(layer=VIEW_EDGE, corners=tuple(corners), shade=0.0)


def _box(x0: float, y0: float, x1: float, y1: float) -> Item:
    return Ring(layer=TOOL, loop=Loop.rectangle(x0, y0, x1, y1))


def _swing(center: Point, radius: float, letter: str, tall: float) -> list[Item]:
    """Return the arc that a leaf goes through, with its letter."""
    turn = math.radians(70)
    at = (center[0] + (radius + 3.0) * math.cos(turn), center[1] + (radius + 3.0) * math.sin(turn))
    return [
        Stroke(layer=DIMENSIONS, edge=Arc(center, radius, 0.0, math.radians(95))),
        Text(layer=DIMENSIONS, text=letter, at=at, height=_LETTER * tall),
    ]


def _corners(corners: Sequence[Point], first: int, tall: float) -> list[Item]:
    """Return dots on corners, each with its number outside the section."""
    if not corners:
        return []
    middle = np.mean(np.array(corners), axis=0)
    items: list[Item] = []
    for number, (x, z) in enumerate(corners, first):
        away = np.array((x, z)) - middle
        away = away / max(float(np.hypot(*away)), 1e-9) * 0.03 * tall
        ring = tuple(
            (
                x + _DOT * tall * math.cos(a * math.tau / 12),
                z + _DOT * tall * math.sin(a * math.tau / 12),
            )
            for a in range(12)
        )
        at = (x + float(away[0]), z + float(away[1]) - _NAME * tall / 2)
        items += [
            Fill(layer=NOTES, corners=ring),
            Text(
                layer=NOTES,
                text=str(number),
                at=at,
                height=_NAME * tall,
                anchor=Anchor.CENTER,
                bold=True,
            ),
        ]
    return items
