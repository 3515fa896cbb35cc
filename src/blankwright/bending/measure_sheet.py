"""A sheet that shows what to measure on each bending tool, with the key of the shop file."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.bending.section_picture import hull
from blankwright.bending.sections import Role, bodies_of
from blankwright.bending.tools import (
    SUPPOSED_BLOCK,
    SUPPOSED_BRAKE,
    SUPPOSED_VISE,
    PressBrake,
    Tool,
)
from blankwright.drawing.cards.sheet import BODY, TITLE, CardSheet
from blankwright.drawing.dimensions import DimensionLook, linear
from blankwright.drawing.layers import NOTES, TOOL
from blankwright.drawing.model import Anchor, Drawing, Item, Ring, Stroke, Text
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.geom.edges import Arc
from blankwright.geom.loop import Loop
from blankwright.geom.vec import Point

_SHEET, _RADIUS = 1.5, 3.0
_PICTURE = 74.0
_LETTERS = "ABCDEFGH"


def measure_sheet(setup: PrintSetup) -> tuple[Page, ...]:
    """Lay out the sheet.

    Args:
        setup: paper and margins
    """
    sheet = CardSheet(setup, ("WHAT TO MEASURE ON THE BENDING TOOLS", "shop.toml"))
    sheet.text("Measure once, type into shop.toml", TITLE, bold=True)
    sheet.gap()
    sheet.text(
        "A rule, calipers and a radius gauge will do. Every length with its unit. A section is"
        " listed corner by corner round it, beginning at the nose's front lower corner: how far"
        " back, how far up. What is left out has the size shown."
    )
    for title, table, drawing, rows in tool_pictures():
        sheet.heading(f"{title}: [[{table}]]", room=90.0)
        sheet.pictures([(drawing, "")], _PICTURE, 1)
        sheet.table(("key", "what it is", "yours"), rows, (2, 5, 2), BODY)
    return sheet.pages()


Rows = Sequence[tuple[str, str, str]]


def tool_pictures() -> list[tuple[str, str, Drawing, Rows]]:
    """Return what to measure on each kind of tool: title, table, drawing, and its keys."""
    brake, vise, block = SUPPOSED_BRAKE, SUPPOSED_VISE, SUPPOSED_BLOCK
    press = PressBrake(name="press brake")
    brake_rows = [
        ("bar", "corners of bar or fingers from the nose", ""),
        ("beam", "corners of what is above them and runs the whole length; [] for none", ""),
        ("fingers", "width of every finger; leave out for one solid bar", ""),
        ("radii", "nose radius, bare and with each radius bar slipped on", ""),
        ("lift", f"how far the bar lifts ({brake.lift:g} mm)", ""),
        ("bed_depth", f"bed, front to back ({brake.bed_depth:g} mm)", ""),
        ("bed_height", f"bed's front, down ({brake.bed_height:g} mm)", ""),
        ("leaf_depth", f"leaf's face, out from the hinge line ({brake.leaf_depth:g} mm)", ""),
        ("leaf_thickness", f"thickness of the leaf ({brake.leaf_thickness:g} mm)", ""),
        ("most_angle", "how far the leaf goes up (125 deg)", ""),
        ("length", "longest bend", ""),
        ("ends_open", "whether a part can be slid off the end (true)", ""),
        ("behind_open", "whether a part can be put in from behind (false)", ""),
        ("rated", "thickness, length, and strength (ksi) that the maker states", ""),
    ]
    vise_rows = [
        ("bars", "length of every pair of radius bars", ""),
        ("radii", "their radii", ""),
        ("bar_thickness", f"across the sheet ({vise.bar_thickness:g} mm)", ""),
        ("bar_depth", f"from the bend down ({vise.bar_depth:g} mm)", ""),
        ("bar_above", f"bars stand out of the jaws by ({vise.bar_above:g} mm)", ""),
        ("jaw_thickness", f"jaw and casting ({vise.jaw_thickness:g} mm)", ""),
        ("jaw_depth", f"from the bend down to the slide ({vise.jaw_depth:g} mm)", ""),
        ("face_back", "bar's front planed back for springback (12 deg)", ""),
    ]
    block_rows = [
        ("block_depth", f"block, back from the bend ({block.block_depth:g} mm)", ""),
        ("block_height", f"block, off the sheet ({block.block_height:g} mm)", ""),
        ("board", f"board on the other face ({block.board:g} mm)", ""),
        ("thickest", f"thickest sheet struck over by hand ({block.thickest:g} mm)", ""),
    ]
    press_rows = [
        ("punch", "corners of the punch from its tip", ""),
        ("ram", "corners of what is above the segments", ""),
        ("opening", f"opening of the V ({press.opening:g} mm)", ""),
        ("segments", "length of every punch segment; leave out for one", ""),
        ("die_width", f"top of the die ({press.die_width:g} mm)", ""),
        ("die_height", f"die, down to the bed ({press.die_height:g} mm)", ""),
        ("stroke", f"punch lifts off the sheet by ({press.stroke:g} mm)", ""),
        ("force_kn", "force that it gives, in kN (200)", ""),
    ]
    nose = _RADIUS
    brake_dims = [
        ((nose, _SHEET), (nose - brake.bar[1][0], _SHEET), -10.0, "bar", (1.0, 0.0)),
        ((nose + _SHEET, 0.0), (nose + _SHEET + brake.leaf_depth, 0.0), -24.0, "leaf_depth", None),
        (
            (nose + _SHEET - brake.bed_depth, -brake.bed_height),
            (nose + _SHEET - brake.bed_depth, 0.0),
            9.0,
            "bed_height",
            None,
        ),
        (
            (nose + _SHEET - brake.bed_depth, -brake.bed_height),
            (nose + _SHEET, -brake.bed_height),
            -8.0,
            "bed_depth",
            None,
        ),
    ]
    vise_dims = [
        ((nose, 0.0), (nose - vise.bar_depth, 0.0), 45.0, "bar_depth", (1.0, 0.0)),
        ((nose, 20.0), (nose - vise.bar_above, 20.0), -26.0, "bar_above", (1.0, 0.0)),
        ((-vise.jaw_depth, 80.0), (0.0, 80.0), 0.0, "jaw_depth", None),
        ((20.0, _SHEET), (20.0, _SHEET + vise.bar_thickness), 0.0, "bar_thickness", (0.0, 1.0)),
    ]
    block_dims = [
        ((nose, 24.0), (nose - block.block_depth, 24.0), 6.0, "block_depth", (1.0, 0.0)),
        ((12.0, _SHEET), (12.0, _SHEET + block.block_height), 0.0, "block_height", (0.0, 1.0)),
        ((12.0, -block.board), (12.0, 0.0), 0.0, "board", (0.0, 1.0)),
    ]
    half = press.opening / 2
    press_dims = [
        ((-half, 0.0), (half, 0.0), -12.0, "opening", None),
        (
            (press.die_width / 2, -press.die_height),
            (press.die_width / 2, 0.0),
            -12.0,
            "die_height",
            None,
        ),
        (
            (-press.die_width / 2, -press.die_height),
            (press.die_width / 2, -press.die_height),
            -8.0,
            "die_width",
            None,
        ),
    ]
    return [
        (
            "Leaf brake",
            "leaf_brakes",
            _drawing(brake, brake_dims),
            _lettered(brake_rows, brake_dims),
        ),
        (
            "Vise with radius bars",
            "vises",
            _drawing(vise, vise_dims),
            _lettered(vise_rows, vise_dims),
        ),
        (
            "Block, by hand",
            "hand_blocks",
            _drawing(block, block_dims),
            _lettered(block_rows, block_dims),
        ),
        (
            "Press brake",
            "press_brakes",
            _drawing(press, press_dims),
            _lettered(press_rows, press_dims),
        ),
    ]


Dim = tuple[Point, Point, float, str, Point | None]


def _drawing(tool: Tool, dims: Sequence[Dim]) -> Drawing:
    """Draw a tool's section with what to measure on it, each by a letter."""
    set_up = bodies_of(tool, _SHEET, _RADIUS, math.radians(92))
    items: list[Item] = []
    by_name: dict[str, list[Point]] = {}
    for body in set_up.bodies:
        corners = [(float(y), float(z)) for y, z in hull(body.corners)]
        items.append(Ring(layer=TOOL, loop=Loop.polygon(corners)))
        by_name.setdefault(body.name, []).extend(corners)
        if body.role is Role.LEAF:
            swing = Arc((set_up.hinge, 0.0), 30.0, 0.0, math.radians(92))
            items.append(Stroke(layer=NOTES, edge=swing))
    x0, y0, x1, y1 = Drawing(title="", items=tuple(items)).box
    size = 0.028 * max(x1 - x0, y1 - y0)
    for name, points in by_name.items():
        middle = (
            sum(p[0] for p in points) / len(points),
            sum(p[1] for p in points) / len(points) - size / 2,
        )
        items.append(Text(layer=NOTES, text=name, at=middle, height=size, anchor=Anchor.CENTER))
    look = DimensionLook(text=1.2 * size, arrow=size, gap=0.2 * size, past=0.5 * size)
    for letter, (a, b, at, _, along) in zip(_LETTERS, dims, strict=False):
        items += linear(a, b, at, letter, along, look)
    return Drawing(title=tool.name, items=tuple(items))


def _lettered(rows: Rows, dims: Sequence[Dim]) -> Rows:
    """Put the letters of a drawing before the keys that it shows."""
    letters = {key: letter for letter, (_, _, _, key, _) in zip(_LETTERS, dims, strict=False)}
    return [(f"{letters[k]}  {k}" if k in letters else k, what, yours) for k, what, yours in rows]
