"""Starting shapes: a part file to begin with, and a drawing of which size is which."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from blankwright.base.errors import BadInput, Problem
from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True)
class Ask:
    """A size that a shape is begun with.

    Args:
        key: its name in the part file
        label: what it is, in a builder's words
        inch: a usual value in inch units, as typed
        metric: a usual value in metric units, as typed
    """

    key: str
    label: str
    inch: str
    metric: str


@dataclass(frozen=True, slots=True)
class Call:
    """A dimension on the drawing of a shape.

    Args:
        key: the size it calls out
        start: where it begins, in drawing units, y up
        end: where it ends
        off: how far the dimension line stands off, to the left of start → end
    """

    key: str
    start: Point
    end: Point
    off: float = 12.0


@dataclass(frozen=True, slots=True)
class Shape:
    """A starting shape.

    Args:
        key: its name
        title: as shown
        about: one sentence on what it is for
        lines: polylines of the drawing, in drawing units, y up
        calls: its dimensions
        asks: its sizes
        body: the part file after the head, sizes and sheet
    """

    key: str
    title: str
    about: str
    lines: tuple[tuple[Point, ...], ...]
    calls: tuple[Call, ...]
    asks: tuple[Ask, ...]
    body: str


_BACK = (34.0, 26.0)
"""Where the far end of a drawing stands from its near end."""


def _far(p: Point) -> Point:
    return (p[0] + _BACK[0], p[1] + _BACK[1])


def _drawn(*profile: Point) -> tuple[tuple[Point, ...], ...]:
    """Return a bent section drawn with its length running back."""
    far = tuple(_far(p) for p in profile)
    return (profile, far, *((p, q) for p, q in zip(profile, far, strict=True)))


_LENGTH = Ask("length", "Length", "6 in", "150 mm")
_BENDS = """
[bend_defaults]
angle         = "90 deg"
inside_radius = "radius"
up            = true
drawn_to      = "outside mold line"
"""


def _flat(name: str, across: str, along: str) -> str:
    return f'\n[flats.{name}]\noutline = {{ rectangle = ["{across}", "{along}"] }}\n'


def _bend(name: str, start: str, height: str, *, down: bool = False, taper: bool = False) -> str:
    way = "down = true\n" if down else ""
    mitre = ', taper = "45 deg"' if taper else ""
    return f'\n[bends.{name}]\nfrom = "{start}"\n{way}leg  = {{ height = "{height}"{mitre} }}\n'


_ANGLE = ((0.0, 60.0), (0.0, 0.0), (76.0, 0.0))
_CHANNEL = ((0.0, 46.0), (0.0, 0.0), (84.0, 0.0), (84.0, 46.0))
_ZED = ((-40.0, 52.0), (10.0, 52.0), (10.0, 0.0), (60.0, 0.0))
_HAT = ((-34.0, 0.0), (0.0, 0.0), (0.0, 44.0), (58.0, 44.0), (58.0, 0.0), (92.0, 0.0))
_TRAY = ((0.0, 34.0), (0.0, 0.0), (96.0, 0.0), (96.0, 34.0))
_COVER = ((-24.0, 0.0), (0.0, 0.0), (0.0, 26.0), (80.0, 26.0), (80.0, 0.0), (104.0, 0.0))
_GATE = ((0.0, 16.0), (0.0, 0.0), (88.0, 0.0), (88.0, 16.0))

SHAPES: tuple[Shape, ...] = (
    Shape(
        "tray",
        "Tray",
        "A floor and four walls.",
        (
            *_drawn(*_TRAY),
            (_TRAY[0], _TRAY[3]),
            (_far(_TRAY[0]), _far(_TRAY[3])),
        ),
        (
            Call("width", (96.0, 0.0), (0.0, 0.0)),
            Call("depth", _far((96.0, 0.0)), (96.0, 0.0)),
            Call("wall", (0.0, 0.0), (0.0, 34.0)),
        ),
        (
            Ask("width", "Width", "6 in", "150 mm"),
            Ask("depth", "Depth", "4 in", "100 mm"),
            Ask("wall", "Wall height", "1 in", "25 mm"),
        ),
        _BENDS
        + _flat("floor", "width", "depth")
        + "".join(_bend(side, f"floor.{side}", "wall") for side in ("left", "right"))
        + "".join(_bend(side, f"floor.{side}", "wall") for side in ("front", "back")),
    ),
    Shape(
        "channel",
        "Channel",
        "A web and two flanges the same way.",
        _drawn(*_CHANNEL),
        (
            Call("web", (84.0, 0.0), (0.0, 0.0)),
            Call("flange", (0.0, 0.0), (0.0, 46.0)),
            Call("length", _far((84.0, 0.0)), (84.0, 0.0)),
        ),
        (
            Ask("web", "Web", "3 in", "75 mm"),
            Ask("flange", "Flange", "1 in", "25 mm"),
            _LENGTH,
        ),
        _BENDS
        + _flat("web", "web", "length")
        + _bend("left", "web.left", "flange")
        + _bend("right", "web.right", "flange"),
    ),
    Shape(
        "angle",
        "Angle",
        "Two legs and one bend.",
        _drawn(*_ANGLE),
        (
            Call("base", (76.0, 0.0), (0.0, 0.0)),
            Call("leg", (0.0, 0.0), (0.0, 60.0)),
            Call("length", _far((76.0, 0.0)), (76.0, 0.0)),
        ),
        (Ask("base", "Base", "1 in", "25 mm"), Ask("leg", "Leg", "3/4 in", "20 mm"), _LENGTH),
        _BENDS + _flat("base", "base", "length") + _bend("leg", "base.left", "leg"),
    ),
    Shape(
        "zee",
        "Z",
        "A web with one flange up and one down.",
        _drawn(*_ZED),
        (
            Call("upper", (-40.0, 52.0), (10.0, 52.0)),
            Call("web", (10.0, 0.0), (10.0, 52.0)),
            Call("lower", (60.0, 0.0), (10.0, 0.0)),
            Call("length", _far((60.0, 0.0)), (60.0, 0.0)),
        ),
        (
            Ask("web", "Web", "1-1/2 in", "40 mm"),
            Ask("upper", "Upper flange", "3/4 in", "20 mm"),
            Ask("lower", "Lower flange", "3/4 in", "20 mm"),
            _LENGTH,
        ),
        _BENDS
        + _flat("web", "web", "length")
        + _bend("upper", "web.left", "upper")
        + _bend("lower", "web.right", "lower", down=True),
    ),
    Shape(
        "hat",
        "Hat",
        "A top, two walls and two flanges turned out: a stiffener.",
        _drawn(*_HAT),
        (
            Call("top", (0.0, 44.0), (58.0, 44.0)),
            Call("wall", (0.0, 0.0), (0.0, 44.0)),
            Call("flange", (92.0, 0.0), (58.0, 0.0)),
            Call("length", _far((92.0, 0.0)), (92.0, 0.0)),
        ),
        (
            Ask("top", "Top", "1 in", "25 mm"),
            Ask("wall", "Wall height", "3/4 in", "20 mm"),
            Ask("flange", "Flange", "5/8 in", "16 mm"),
            _LENGTH,
        ),
        _BENDS
        + _flat("top", "top", "length")
        + _bend("left", "top.left", "wall", down=True)
        + _bend("right", "top.right", "wall", down=True)
        + _bend("left-flange", "left.tip", "flange")
        + _bend("right-flange", "right.tip", "flange"),
    ),
    Shape(
        "gate",
        "Gate",
        "A plate that slides between guides: guide flanges, a finger lip and a stop.",
        (
            *_drawn(*_GATE),
            ((0.0, 0.0), (12.0, -14.0), (76.0, -14.0), (88.0, 0.0)),
            (_far((0.0, 0.0)), _far((0.0, 12.0)), _far((88.0, 12.0))),
        ),
        (
            Call("lip", (12.0, -14.0), (12.0, 0.0), 24.0),
            Call("width", (88.0, -20.0), (0.0, -20.0)),
            Call("guide", (0.0, 0.0), (0.0, 16.0), 22.0),
            Call("travel", _far((88.0, 0.0)), (88.0, 0.0), 16.0),
            Call("stop", _far((88.0, 12.0)), _far((88.0, 0.0)), 20.0),
        ),
        (
            Ask("width", "Width", "4 in", "100 mm"),
            Ask("travel", "Length along the slide", "5 in", "125 mm"),
            Ask("guide", "Guide flange", "1/2 in", "13 mm"),
            Ask("lip", "Finger lip", "5/8 in", "16 mm"),
            Ask("stop", "Stop", "1/2 in", "13 mm"),
        ),
        _BENDS
        + _flat("plate", "width", "travel")
        + _bend("left-guide", "plate.left", "guide")
        + _bend("right-guide", "plate.right", "guide")
        + _bend("finger-lip", "plate.front", "lip", down=True)
        + _bend("stop", "plate.back", "stop"),
    ),
    Shape(
        "cover",
        "Cover",
        "A shallow pan with its mounting flanges turned out.",
        (
            *_drawn(*_COVER),
            ((0.0, 0.0), (80.0, 0.0)),
            ((0.0, 0.0), (-6.0, -14.0), (86.0, -14.0), (80.0, 0.0)),
        ),
        (
            Call("width", _far((0.0, 26.0)), _far((80.0, 26.0))),
            Call("depth", (0.0, 26.0), _far((0.0, 26.0))),
            Call("wall", (0.0, 0.0), (0.0, 26.0), 34.0),
            Call("flange", (-24.0, 0.0), (0.0, 0.0), -22.0),
        ),
        (
            Ask("width", "Width", "6 in", "150 mm"),
            Ask("depth", "Depth", "4 in", "100 mm"),
            Ask("wall", "Wall height", "5/8 in", "16 mm"),
            Ask("flange", "Mounting flange", "3/4 in", "20 mm"),
        ),
        _BENDS
        + _flat("panel", "width", "depth")
        + "".join(
            _bend(side, f"panel.{side}", "wall", down=True)
            for side in ("left", "right", "front", "back")
        )
        + "".join(
            _bend(f"{side}-flange", f"{side}.tip", "flange", taper=True)
            for side in ("left", "right", "front", "back")
        ),
    ),
    Shape(
        "empty",
        "Empty",
        "A flat rectangle and nothing else: state the bends yourself.",
        (((0.0, 0.0), (90.0, 0.0), (90.0, 60.0), (0.0, 60.0), (0.0, 0.0)),),
        (
            Call("width", (90.0, 0.0), (0.0, 0.0)),
            Call("depth", (90.0, 60.0), (90.0, 0.0)),
        ),
        (Ask("width", "Width", "6 in", "150 mm"), Ask("depth", "Depth", "4 in", "100 mm")),
        _flat("flat", "width", "depth"),
    ),
)

SHEET = (
    Ask("thickness", "Sheet thickness", "0.040 in", "1 mm"),
    Ask("radius", "Inside bend radius", "1/8 in", "3 mm"),
)
"""What every shape asks about its sheet."""


def part_name(title: str) -> str:
    """Return a file name for a title: small letters, digits and hyphens; maybe empty."""
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:60]


def part_text(shape: Shape, title: str, alloy: str, sizes: Mapping[str, str]) -> str:
    """Return the part file of a starting shape.

    Args:
        shape: the shape
        title: the part's title
        alloy: alloy and temper as typed
        sizes: sizes as typed, by key; those not stated get their usual inch value

    Raises:
        BadInput: when it is no part that can be read
    """
    from blankwright.files.partfile import read_part_text

    asks = {ask.key: sizes.get(ask.key, "").strip() or ask.inch for ask in (*shape.asks, *SHEET)}
    thickness = asks.pop("thickness")
    if "[bends." not in shape.body:
        asks.pop("radius")
    width = max(len(key) for key in asks)
    lines = [
        f"title   = {_toml(title)}",
        'drawing = ""',
        "",
        "[sizes]",
        *(f"{key:<{width}} = {_toml(value)}" for key, value in asks.items()),
        "",
        "[sheet]",
        f"alloy     = {_toml(alloy.strip() or '6061-T6')}",
        f"thickness = {_toml(thickness)}",
    ]
    text = "\n".join(lines) + "\n" + shape.body
    read_part_text(text, part_name(title))
    return text


def shape_by_key(key: str) -> Shape:
    """Return a starting shape. Raises BadInput when there is none of that name."""
    for shape in SHAPES:
        if shape.key == key:
            return shape
    raise BadInput(
        Problem(
            code="PAGE-008",
            where="new part",
            got=f"there is no starting shape {key}",
            allowed=", ".join(shape.key for shape in SHAPES),
            fix="Choose one of these",
        )
    )


def _toml(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else " " for c in escaped) + '"'
