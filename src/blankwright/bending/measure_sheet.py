"""A sheet that shows what to measure on each bending tool, with the key of the shop file."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.bending.tool_pictures import (
    block_picture,
    leaf_brake_picture,
    press_picture,
    vise_picture,
)
from blankwright.bending.tools import (
    SUPPOSED_BLOCK,
    SUPPOSED_BRAKE,
    SUPPOSED_VISE,
    Corners,
    PressBrake,
)
from blankwright.drawing.cards.sheet import BODY, TITLE, CardSheet
from blankwright.drawing.model import Drawing
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup

_PICTURE, _SMALL_PICTURE = 80.0, 48.0
"""Heights of the pictures [mm]."""

Rows = Sequence[tuple[str, str, str]]
"""Letter and key, what it is, and how it is typed with the size that holds when left out."""


def measure_sheet(setup: PrintSetup) -> tuple[Page, ...]:
    """Lay out the sheet.

    Args:
        setup: paper and margins
    """
    sheet = CardSheet(setup, ("WHAT TO MEASURE ON THE BENDING TOOLS", "shop.toml"))
    sheet.text("Measure once, type into shop.toml", TITLE, bold=True)
    sheet.gap()
    sheet.text(
        "A rule, calipers and a radius gauge will do: ten minutes for one tool. Type only what"
        " differs; what is left out has the size shown. Every length with its unit, such as"
        ' "45 mm" or "1-3/4 in". Numbered corners are typed in their order, each as how far back'
        ' from corner 1 and how far up: corner 1 is the nose, ["0 mm", "0 mm"].'
    )
    for title, table, drawing, rows in tool_pictures():
        tall = _SMALL_PICTURE if table == "hand_blocks" else _PICTURE
        sheet.heading(f"{title}: [[{table}]]", room=tall + 36.0)
        sheet.pictures([(drawing, "")], tall, 1)
        filled = [(key, about, typed, "") for key, about, typed in rows]
        head = ("key", "what it is", "left out it is", "yours")
        sheet.table(head, filled, (3, 6, 4, 3), BODY)
    return sheet.pages()


def tool_pictures() -> list[tuple[str, str, Drawing, Rows]]:
    """Return what to measure on each kind of tool: title, table, drawing, and its keys."""
    return [_leaf_brake(), _vise(), _block(), _press()]


def _leaf_brake() -> tuple[str, str, Drawing, Rows]:
    brake = SUPPOSED_BRAKE
    drawing, letters = leaf_brake_picture(brake)
    bar = len(brake.bar)
    rows = [
        ("bar", f"corners 1 to {bar} of bar or fingers", _corners(brake.bar)),
        (
            "beam",
            f"corners {bar + 1} to {bar + len(brake.beam)} of what is above them and runs the whole"
            " length; [] for none",
            _corners(brake.beam),
        ),
        ("fingers", "width of every finger; leave out for one solid bar", "[]"),
        ("radii", "nose radius, bare and with each radius bar slipped on", "1/64 to 1/4 in"),
        ("lift", "how far the bar lifts", _mm(brake.lift)),
        ("bed_depth", "bed, front to back", _mm(brake.bed_depth)),
        ("bed_height", "front of the bed, down to what sticks out", _mm(brake.bed_height)),
        (
            "leaf_depth",
            "face of the leaf, out from the hinge, its extension on",
            _mm(brake.leaf_depth),
        ),
        ("leaf_thickness", "thickness of the leaf", _mm(brake.leaf_thickness)),
        ("most_angle", "how far the leaf goes up", _degrees(brake.most_angle)),
        ("length", "longest bend", _mm(600.0)),
        ("ends_open", "whether a part can be slid off the end", "true"),
        ("behind_open", "whether a part can be put in from behind", "false"),
        (
            "rated",
            "thickness, length and strength that the maker states",
            '{ thickness = "1.2 mm", length = "24 in", ultimate_ksi = 60 }, say; none',
        ),
    ]
    return ("Leaf brake", "leaf_brakes", drawing, _lettered(rows, letters))


def _vise() -> tuple[str, str, Drawing, Rows]:
    vise = SUPPOSED_VISE
    drawing, letters = vise_picture(vise)
    rows = [
        ("bars", "length of every pair of radius bars", '["50 mm", "100 mm", "150 mm"]'),
        ("radii", "their radii", "1/64 to 1/4 in"),
        ("bar_thickness", "bar, across the sheet", _mm(vise.bar_thickness)),
        ("bar_depth", "bar, from its top down", _mm(vise.bar_depth)),
        ("bar_above", "how far bars stand out of the jaws", _mm(vise.bar_above)),
        (
            "face_back",
            "how far the bar's front is planed back, for springback",
            _degrees(vise.face_back),
        ),
        ("jaw_width", "width of the jaws", _mm(vise.jaw_width)),
        ("jaw_thickness", "jaw and casting behind it", _mm(vise.jaw_thickness)),
        ("jaw_depth", "from the top of the bars down to the slide", _mm(vise.jaw_depth)),
    ]
    return ("Vise with radius bars", "vises", drawing, _lettered(rows, letters))


def _block() -> tuple[str, str, Drawing, Rows]:
    block = SUPPOSED_BLOCK
    drawing, letters = block_picture(block)
    rows = [
        ("radii", "radii that you have, or plane", "1/64 to 1/4 in"),
        ("block_depth", "block, back from the bend", _mm(block.block_depth)),
        ("block_height", "block, off the sheet", _mm(block.block_height)),
        ("board", "board on the other face", _mm(block.board)),
        ("length", "longest block", _mm(block.length)),
        ("thickest", "thickest sheet struck over by hand", _mm(block.thickest)),
    ]
    return ("Block, by hand", "hand_blocks", drawing, _lettered(rows, letters))


def _press() -> tuple[str, str, Drawing, Rows]:
    press = PressBrake(name="press brake")
    drawing, letters = press_picture(press)
    punch = len(press.punch)
    rows = [
        ("punch", f"corners 1 to {punch} of the punch", _corners(press.punch)),
        (
            "ram",
            f"corners {punch + 1} to {punch + len(press.ram)} of what is above the segments, from"
            " the tip too",
            _corners(press.ram),
        ),
        ("segments", "length of every punch segment; leave out for one", "[]"),
        ("radii", "radius of the punch's tip", "1/64 to 1/4 in"),
        ("opening", "opening of the V", _mm(press.opening)),
        ("die_width", "top of the die", _mm(press.die_width)),
        ("die_height", "die, down to the bed", _mm(press.die_height)),
        ("bed_width", "bed under the die", _mm(press.bed_width)),
        ("stroke", "how far the punch lifts off the sheet", _mm(press.stroke)),
        ("length", "longest bend", _mm(600.0)),
        ("force_kn", "force that it gives, in kN", f"{press.force / 1000:.0f}"),
    ]
    return ("Press brake", "press_brakes", drawing, _lettered(rows, letters))


def _lettered(rows: Rows, letters: dict[str, str]) -> Rows:
    """Put the letters of a drawing before the keys that it shows."""
    return [(f"{letters[k]}  {k}" if k in letters else k, what, typed) for k, what, typed in rows]


def _mm(length: float) -> str:
    return f'"{length:g} mm"'


def _degrees(angle: float) -> str:
    return f'"{math.degrees(angle):g} deg"'


def _corners(corners: Corners) -> str:
    pairs = (f'["{back:g} mm", "{up:g} mm"]' for back, up in corners)
    return f"[{', '.join(pairs)}]"
