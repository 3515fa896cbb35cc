"""Layers of our drawings and how their lines look: told apart without colour.

Each name is the trade's word for what is on the layer. Dash patterns are lengths of dash and gap
in turn, on paper [mm]; weights are line widths on paper [mm], from the row 0.13, 0.18, 0.25,
0.35, 0.5, 0.7 of ISO 128-2.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer.

    Args:
        name: its name in DXF and SVG files
        weight: line width on paper [mm]
        dashes: dash, gap, dash, gap … on paper [mm]; none for a full line
        meaning: what it shows, in a builder's words
    """

    name: str
    weight: float
    dashes: tuple[float, ...] = ()
    meaning: str = ""


BLANK_EDGE = Layer(name="BLANK-EDGE", weight=0.5, meaning="outer edge of the blank: cut here")
HOLES = Layer(name="HOLES", weight=0.35, meaning="edges of holes, slots, cut-outs and reliefs")
CENTER_MARKS = Layer(name="CENTER-MARKS", weight=0.18, meaning="cross through a hole's centre")
CENTER_PUNCH = Layer(name="CENTER-PUNCH", weight=0.25, meaning="cross to be centre-punched")
BEND_TANGENT = Layer(
    name="BEND-TANGENT", weight=0.25, dashes=(4.0, 1.5), meaning="bend tangent line"
)
BEND_CENTER = Layer(
    name="BEND-CENTER", weight=0.18, dashes=(8.0, 1.5, 1.5, 1.5), meaning="centre line of a bend"
)
SIGHT_LINE = Layer(
    name="SIGHT-LINE", weight=0.35, dashes=(1.2, 1.2), meaning="sight line: under the brake's nose"
)
NAMES = Layer(name="NAMES", weight=0.25, meaning="names of flats")
BEND_NOTES = Layer(name="BEND-NOTES", weight=0.25, meaning="direction, angle and radius of bends")
HOLE_NOTES = Layer(name="HOLE-NOTES", weight=0.18, meaning="letters of holes, for the hole table")
GRAIN = Layer(name="GRAIN", weight=0.25, meaning="direction of the grain")
DIMENSIONS = Layer(name="DIMENSIONS", weight=0.18, meaning="dimensions")
NOTES = Layer(name="NOTES", weight=0.25, meaning="title and notes")

PAPER_EDGE = Layer(name="PAPER-EDGE", weight=0.5, meaning="edge of the paper model: cut here")
PAPER_HOLES = Layer(name="PAPER-HOLES", weight=0.35, meaning="holes in the paper model")
FOLD_UP = Layer(
    name="FOLD-UP", weight=0.35, dashes=(4.0, 2.0), meaning="fold towards you (the print inside)"
)
FOLD_DOWN = Layer(
    name="FOLD-DOWN",
    weight=0.35,
    dashes=(8.0, 1.5, 1.0, 1.5),
    meaning="fold away from you (the print outside)",
)
GAUGE = Layer(name="ANGLE-GAUGE", weight=0.5, meaning="angle gauge: cut here")

VIEW_EDGE = Layer(name="VIEW-EDGE", weight=0.35, meaning="edge of the formed part, in sight")
VIEW_TANGENT = Layer(
    name="VIEW-TANGENT", weight=0.13, meaning="where a flat runs into a bend, in sight"
)
VIEW_HIDDEN = Layer(
    name="VIEW-HIDDEN", weight=0.13, dashes=(2.0, 1.0), meaning="edge behind the metal"
)

STOCK_EDGE = Layer(name="STOCK-EDGE", weight=0.35, meaning="edge of the sheet that is cut up")
CLAMPS = Layer(name="CLAMPS", weight=0.25, dashes=(1.0, 1.0), meaning="where clamps sit: kept free")
OFFCUTS = Layer(
    name="OFFCUTS", weight=0.25, dashes=(6.0, 2.0), meaning="offcut that goes back on the rack"
)
TABS = Layer(name="TABS", weight=0.7, meaning="tab left between part and waste")
TOOL = Layer(name="TOOL", weight=0.25, meaning="section of a bending tool")
TOOL_MOVED = Layer(
    name="TOOL-MOVED", weight=0.18, dashes=(2.0, 2.0), meaning="where tool or part was before"
)

LINE_UP = Layer(
    name="LINE-UP",
    weight=0.25,
    dashes=(8.0, 1.5, 1.5, 1.5),
    meaning="lay it on the line of the structure that it names",
)
TAPE_AREA = Layer(name="TAPE-AREA", weight=0.18, dashes=(3.0, 3.0), meaning="tape holds it here")
OPENING_EDGE = Layer(
    name="OPENING-EDGE",
    weight=0.35,
    dashes=(5.0, 1.0),
    meaning="edge of the opening in the structure: scribe it, don't cut the template",
)

FRAME = Layer(name="FRAME", weight=0.13, meaning="limit of what is printed on a page")
REGISTER = Layer(name="REGISTER-MARKS", weight=0.18, meaning="marks to lay one page on the next")
SCALE_BARS = Layer(name="SCALE-BARS", weight=0.25, meaning="bars to check the print with a rule")
PAGE_MAP = Layer(name="PAGE-MAP", weight=0.18, meaning="how the pages lie")

ALL_LAYERS = (
    BLANK_EDGE,
    HOLES,
    CENTER_MARKS,
    CENTER_PUNCH,
    BEND_TANGENT,
    BEND_CENTER,
    SIGHT_LINE,
    NAMES,
    BEND_NOTES,
    HOLE_NOTES,
    GRAIN,
    DIMENSIONS,
    NOTES,
    PAPER_EDGE,
    PAPER_HOLES,
    FOLD_UP,
    FOLD_DOWN,
    GAUGE,
    VIEW_EDGE,
    VIEW_TANGENT,
    VIEW_HIDDEN,
    STOCK_EDGE,
    CLAMPS,
    OFFCUTS,
    TABS,
    TOOL,
    TOOL_MOVED,
    LINE_UP,
    TAPE_AREA,
    OPENING_EDGE,
    FRAME,
    REGISTER,
    SCALE_BARS,
    PAGE_MAP,
)
"""Every layer, in the order they are listed in files and in `docs/drawing.md`."""
