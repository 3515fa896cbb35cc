# ruff: noqa: E501 - one case, one line of text
"""A sound part file, and small changes that break it, each with what must be said.

A case is: what to replace, by what, and one line per expected problem:
``CODE place | phrase | phrase`` where every phrase must stand in the message.
"""

from __future__ import annotations

BASE = """\
title = "Tray"
drawing = "T200-00-01"
hand = "left"

[sizes]
width = "6 in"
depth = "4 in"
wall = "1 in"
clear = "0.75 mm"
tilt = "5 deg"
n = 4
rivet = { drill = "#40" }
gap = { measured = "10 mm", plus_minus = "0.2 mm" }

[variants.long]
depth = "5 in"

[sheet]
alloy = "6061-T6"
thickness = "0.040 in"
grain = "90 deg"

[bend_defaults]
angle = "90 deg"
inside_radius = "1/8 in"
up = true

[flats.floor]
outline = { rectangle = ["width", "depth"] }

[bends.left]
from = "floor.left"
leg = { height = "wall" }

[bends.back]
from = "floor.back"
leg = { height = "wall + 0 mm", taper = "tilt" }

[bends.lip]
from = "left.tip"
down = true
inset = "1/4 in"
leg = { height = "1/2 in" }

[corner_defaults]
rule = "open"

[corners.rear]
between = ["left", "back"]
rule = "closed"
gap = "0.5 mm"

[holes.vent]
on = "floor"
at = ["1 in", "1-1/8 in"]
diameter = "3/4 in"

[holes.rivets]
on = "left"
at = ["1/2 in", "5/8 in"]
drill = "rivet"
row = { count = 4, pitch = "7/8 in", along = "x" }

[overrides]
"HOLE-002 hole vent" = "drain only, no load"
"""

Case = tuple[str, str, str]

CLEAR = 'clear = "0.75 mm"'
WALL = 'leg = { height = "wall" }'
BACK = 'leg = { height = "wall + 0 mm", taper = "tilt" }'
FLOOR = 'outline = { rectangle = ["width", "depth"] }'
VENT = 'diameter = "3/4 in"'
ROW = 'row = { count = 4, pitch = "7/8 in", along = "x" }'
LIP = 'leg = { height = "1/2 in" }'

QUANTITIES: list[Case] = [
    (CLEAR, 'clear = "mm"', "SIZE-001 sizes.clear | `mm` | stands after no number"),
    (CLEAR, 'clear = ""', "QTY-003 sizes.clear | empty | unit"),
    (CLEAR, 'clear = "0,75 mm"', "QTY-004 sizes.clear | comma | 1.5 mm"),
    (CLEAR, 'clear = "1,000 mm"', "QTY-004 sizes.clear | comma"),
    (CLEAR, 'clear = "2 furlong"', "QTY-002 sizes.clear | `furlong` | no unit | mm, cm"),
    (CLEAR, 'clear = "2 mn"', "QTY-002 sizes.clear | `mn` | Did you mean"),
    (CLEAR, 'clear = "30 mil"', "QTY-004 sizes.clear | thousandth of an inch | thou or mm"),
    (CLEAR, 'clear = "20 ga"', "QTY-004 sizes.clear | gauge number | thickness"),
    (CLEAR, 'clear = "2 IN"', "QTY-004 sizes.clear | small letters: in"),
    (CLEAR, 'clear = "5-1/2"', "QTY-004 sizes.clear | no unit | 5 and 1/2, or 5 less 1/2"),
    (CLEAR, 'clear = "5 1/2"', "QTY-004 sizes.clear | no unit"),
    (CLEAR, 'clear = "2-9/8 in"', "QTY-004 sizes.clear | fraction of one or more"),
    (CLEAR, 'clear = "3/0 in"', "QTY-003 sizes.clear | divides by zero"),
    (CLEAR, 'clear = "3\'-2 mm"', "QTY-004 sizes.clear | feet and inches or a difference"),
    (CLEAR, 'clear = "3\' 14 in"', "QTY-004 sizes.clear | less than 12 in"),
    (CLEAR, 'clear = "5° 70 min"', "QTY-004 sizes.clear | less than 60 min"),
    (CLEAR, 'clear = "2 mm 3"', "SIZE-001 sizes.clear | nothing between `2 mm` and `3`"),
    (CLEAR, 'clear = "about 2 mm"', "SIZE-001 sizes.clear | nothing between `about` and `2 mm`"),
    (CLEAR, 'clear = "2 mm?"', "SIZE-001 sizes.clear | nothing between `2 mm` and `?`"),
    (CLEAR, 'clear = "~2 mm"', "QTY-003 sizes.clear | can't be read from `~2 mm` on"),
    (CLEAR, 'clear = "#30"', "SIZE-007 sizes.clear | drill number | { drill ="),
    (CLEAR, 'clear = "#30 + 1 mm"', "SIZE-007 sizes.clear | drill is meant"),
    (CLEAR, "clear = true", "PART-004 sizes.clear | `true` | quantity in quotes"),
    (CLEAR, "clear = []", "PART-004 sizes.clear | list of 0"),
    (CLEAR, 'clear = ["1 mm", "2 mm"]', "PART-004 sizes.clear | list of 2"),
    (CLEAR, "clear = 2026-03-12", "PART-004 sizes.clear | 2026-03-12 | quantity"),
    (
        'thickness = "0.040 in"',
        "thickness = 0.040",
        "QTY-001 sheet.thickness | `0.04` has no unit | 0.04 in",
    ),
    ('thickness = "0.040 in"', 'thickness = "0.040"', "QTY-001 sheet.thickness | no unit"),
    ('thickness = "0.040 in"', 'thickness = "nan"', "SIZE-003 sheet.thickness | `nan`"),
    ('thickness = "0.040 in"', "thickness = nan", "QTY-003 sheet.thickness | no number"),
    ('thickness = "0.040 in"', "thickness = inf", "QTY-003 sheet.thickness | no number"),
    ('angle = "90 deg"', "angle = 90", "QTY-001 bend_defaults.angle | `90` has no unit | 90 deg"),
    ('angle = "90 deg"', 'angle = "90"', "QTY-001 bend_defaults.angle | no unit | an angle"),
    ('angle = "90 deg"', 'angle = "90 d"', "QTY-004 bend_defaults.angle | degrees or a diameter"),
    ('angle = "90 deg"', 'angle = "90 in"', "SIZE-005 bend_defaults.angle | a length | an angle"),
    ('angle = "90 deg"', 'angle = "30 sec"', "QTY-004 bend_defaults.angle | only after degrees"),
    (LIP, "leg = { height = 0.5 }", "QTY-001 bends.lip.leg.height | `0.5` has no unit"),
    (LIP, 'leg = { height = "5 deg" }', "SIZE-005 bends.lip.leg.height | an angle | a length"),
    (VENT, "diameter = 19", "QTY-001 holes.vent.diameter | `19` has no unit"),
    (VENT, 'diameter = "n"', "SIZE-005 holes.vent.diameter | a bare number | a length"),
]

FORMULAS: list[Case] = [
    (
        CLEAR,
        'clear = "wall + tilt"',
        "SIZE-002 sizes.clear | `tilt` (an angle) | `wall` (a length)",
    ),
    (CLEAR, 'clear = "wall - 2"', "SIZE-002 sizes.clear | `2` (a bare number) | unit of `2`"),
    (CLEAR, 'clear = "n + wall"', "SIZE-002 sizes.clear | added to `n` (a bare number)"),
    (CLEAR, 'clear = "wall*depth"', "SIZE-002 sizes.clear | a length squared"),
    (CLEAR, 'clear = "wall*tilt"', "SIZE-002 sizes.clear | a length times an angle"),
    (CLEAR, 'clear = "1/wall"', "SIZE-002 sizes.clear | a number per length"),
    (CLEAR, 'clear = "sqrt(wall)"', "SIZE-002 sizes.clear | root of `wall` (a length)"),
    (CLEAR, 'clear = "sqrt(0 - 4)*wall"', "SIZE-006 sizes.clear | root of a negative"),
    (CLEAR, 'clear = "max(wall, tilt)"', "SIZE-002 sizes.clear | compares | one kind"),
    (CLEAR, 'clear = "max(wall)"', "SIZE-001 sizes.clear | 1 value(s) | two or more"),
    (CLEAR, 'clear = "sin(wall)*1 mm"', "SIZE-002 sizes.clear | `sin(wall)` takes | an angle"),
    (CLEAR, 'clear = "tan(90 deg)*1 mm"', "SIZE-006 sizes.clear | no value | other than 90°"),
    (CLEAR, 'clear = "atan(wall)"', "SIZE-002 sizes.clear | takes `wall` | a bare number"),
    (CLEAR, 'clear = "sine(tilt)*1 mm"', "SIZE-001 sizes.clear | no function | Did you mean `sin`"),
    (CLEAR, 'clear = "wall (2)"', "SIZE-001 sizes.clear | no function"),
    (CLEAR, 'clear = "wall/0"', "SIZE-006 sizes.clear | which is zero"),
    (CLEAR, 'clear = "wall/(n - 4)"', "SIZE-006 sizes.clear | divides by `n - 4`"),
    (CLEAR, 'clear = "wall**2"', "SIZE-001 sizes.clear | `**` | a*a"),
    (CLEAR, 'clear = "wall^2"', "SIZE-001 sizes.clear | sign `^`"),
    (CLEAR, 'clear = "wall = 2 mm"', "SIZE-001 sizes.clear | sign `=`"),
    (CLEAR, 'clear = "wall 2"', "SIZE-001 sizes.clear | nothing between `wall` and `2`"),
    (CLEAR, 'clear = "2 wall"', "QTY-002 sizes.clear | `wall` after `2` | 2*wall"),
    (CLEAR, 'clear = "2wall"', "QTY-002 sizes.clear | 2*wall"),
    (CLEAR, 'clear = "wall +"', "SIZE-001 sizes.clear | breaks off"),
    (CLEAR, 'clear = "(wall"', "SIZE-001 sizes.clear | not closed"),
    (CLEAR, 'clear = "wall)"', "SIZE-001 sizes.clear | never opened"),
    (CLEAR, 'clear = "()"', "SIZE-001 sizes.clear | never opened"),
    (CLEAR, 'clear = "(1 + 2) mm"', "SIZE-001 sizes.clear | unit after a bracket"),
    (CLEAR, 'clear = "* 2 mm"', "QTY-003 sizes.clear | can't be read from `* 2 mm` on"),
    (CLEAR, 'clear = "min"', "SIZE-001 sizes.clear | `min` | no bracket"),
    (CLEAR, 'clear = "wal"', "SIZE-003 sizes.clear | no size is named `wal` | Did you mean `wall`"),
    (CLEAR, 'clear = "wing_span"', "SIZE-003 sizes.clear | `wing_span` | under [sizes]"),
    (CLEAR, 'clear = "clear"', "SIZE-004 sizes.clear | clear → clear"),
    (
        CLEAR,
        'clear = "a1"\na1 = "b1"\nb1 = "clear*2"',
        "SIZE-004 sizes.clear | clear → a1 → b1 → clear",
    ),
    (
        CLEAR,
        f'clear = "{"(" * 60}1 mm{")" * 60}"',
        "SIZE-001 sizes.clear | nested more than 50 deep",
    ),
    (CLEAR, f'clear = "{"-" * 60}1 mm"', "SIZE-001 sizes.clear | nested more than 50 deep"),
    (CLEAR, f'clear = "{"1 mm + " * 100}1 mm"', "SIZE-001 sizes.clear | characters | at most 500"),
    (CLEAR, f'clear = "{"9" * 400} mm"', "QTY-003 sizes.clear | too large"),
    (CLEAR, f'clear = "{"9" * 300}*{"9" * 190} mm"', "SIZE-006 sizes.clear | too large"),
    (CLEAR, 'clear = """0.75\nmm"""', "SIZE-001 sizes.clear | several lines"),
    (CLEAR, 'clear = "__import__(1)"', "SIZE-001 sizes.clear | no function"),
    (CLEAR, 'clear = "wall.real"', "SIZE-001 sizes.clear | nothing between `wall` and `.real`"),
    (
        'wall = "1 in"',
        'wall = "1 xx"',
        "QTY-002 sizes.wall | `xx`",  # and nothing about what hangs on wall
    ),
]

SIZES: list[Case] = [
    (CLEAR, 'in = "0.75 mm"', "SIZE-008 sizes.in | a unit or a function"),
    (CLEAR, 'sqrt = "0.75 mm"', "SIZE-008 sizes.sqrt | a unit or a function"),
    (CLEAR, 'F = "0.75 mm"', "SIZE-008 sizes.F | letter drill"),
    (CLEAR, 'wall-clear = "0.75 mm"', "SIZE-008 sizes.wall-clear | letters, digits and _"),
    (CLEAR, '"1st" = "0.75 mm"', "SIZE-008 sizes.1st | a letter first"),
    (CLEAR, 'wall = "0.75 mm"', "PART-001  | `wall` is stated a second time"),
    (CLEAR, "clear = {}", "PART-003 sizes.clear | no value | measured"),
    (
        CLEAR,
        'clear = { value = "1 mm" }',
        "PART-002 sizes.clear.value | no key `value` | drawn, measured\nPART-003 sizes.clear | no value",
    ),
    (
        CLEAR,
        'clear = { mesured = "1 mm" }',
        "PART-002 sizes.clear.mesured | Did you mean `measured`\nPART-003 sizes.clear | no value",
    ),
    (CLEAR, "clear = { drawn = 5 }", ""),
    (CLEAR, "clear = { drawn = true }", "PART-004 sizes.clear.drawn | `true`"),
    (CLEAR, 'clear = { drill = "#30", drawn = "3 mm" }', "PART-006 sizes.clear | drawn and drill"),
    (CLEAR, 'clear = { drill = "#30", plus_minus = "1 mm" }', "PART-006 sizes.clear | plus_minus"),
    (CLEAR, 'clear = { drill = "#99" }', "SIZE-007 sizes.clear | drill"),
    (CLEAR, 'clear = { drill = "bit" }', "SIZE-007 sizes.clear | drill's name"),
    (CLEAR, "clear = { drill = 30 }", "PART-004 sizes.clear.drill | `30` | text in quotes"),
    (CLEAR, 'clear = { drill = "17/13 in" }', "SIZE-007 sizes.clear | no drill index"),
    (
        'gap = { measured = "10 mm", plus_minus = "0.2 mm" }',
        'gap = { measured = "10 mm", plus_minus = "2 deg" }',
        "SIZE-005 sizes.gap | an angle | a length",
    ),
    (
        'gap = { measured = "10 mm", plus_minus = "0.2 mm" }',
        'gap = { measured = "10 mm", plus_minus = "-0.2 mm" }',
        "SIZE-005 sizes.gap | negative",
    ),
    (
        'gap = { measured = "10 mm", plus_minus = "0.2 mm" }',
        'gap = { measured = "10 mm", plus_minus = 0.2 }',
        "SIZE-005 sizes.gap | a bare number | a length",
    ),
    (
        'gap = { measured = "10 mm", plus_minus = "0.2 mm" }',
        'gap = { measured = "10 mm", plus_minus = "slack" }',
        "SIZE-003 sizes.gap | `slack`",
    ),
    ('depth = "5 in"', 'dept = "5 in"', "PART-009 variants.long.dept | Did you mean `depth`"),
    ('depth = "5 in"', "depth = true", "PART-004 variants.long.depth | `true`"),
    ("[variants.long]", "[variants]", "PART-004 variants.depth | [variants.depth]"),
    ("[sizes]\n", "[size]\n", "PART-002 size | no table `size` | Did you mean `sizes`\n*"),
]

SHAPE: list[Case] = [
    ('title = "Tray"\n', "", "PART-003  | `title` is missing"),
    ('title = "Tray"', "title = 12", "PART-004 title | `12` | text in quotes"),
    ('title = "Tray"', 'titel = "Tray"', "PART-002 titel | Did you mean `title`"),
    ('hand = "left"', 'hand = "port"', 'PART-005 hand | "port" | left'),
    ('hand = "left"', "other_hand = true", "PART-006 other_hand | not which hand is drawn"),
    ('hand = "left"', 'hand = "left"\nother_hand = "yes"', "PART-004 other_hand | true or false"),
    ('hand = "left"', 'hand = "left"\nnotes = "one"', "PART-004 notes | list"),
    ('hand = "left"', 'hand = "left"\nformat = 2', "PART-005 format | `2`"),
    ('hand = "left"', 'hand = "left"\nscale = "1:2"', "PART-002 scale | no key `scale`"),
    (
        "[sheet]",
        "[sheets]",
        "PART-002 sheets | Did you mean `sheet`\nPART-003 sheet | [sheet] is missing",
    ),
    (
        "[sheet]",
        "[bend_default]",
        "PART-002 bend_default | Did you mean `bend_defaults`\nPART-003 sheet | [sheet] is missing",
    ),
    ('alloy = "6061-T6"\n', "", "PART-003 sheet | `alloy` is missing"),
    ('alloy = "6061-T6"', 'aloy = "6061-T6"', "PART-002 sheet.aloy | Did you mean `alloy`"),
    ('alloy = "6061-T6"', 'alloy = ""', "PART-004 sheet.alloy | empty"),
    ('alloy = "6061-T6"', "alloy = 6061", "PART-004 sheet.alloy | `6061` | text in quotes"),
    ('thickness = "0.040 in"\n', "", "PART-003 sheet | `thickness` is missing"),
    ('thickness = "0.040 in"', 'thickness = "0 in"', "PART-015 sheet.thickness | more than 0 mm"),
    ('thickness = "0.040 in"', 'thickness = "-1 mm"', "PART-015 sheet.thickness | `-1 mm`"),
    (
        'thickness = "0.040 in"',
        'thickness = "40 in"',
        "PART-015 sheet.thickness | 1016.00 mm thick | at most 25 mm",
    ),
    (
        'grain = "90 deg"',
        'grain = "long way"',
        "SIZE-001 sheet.grain | nothing between `long` and `way`",
    ),
    ('grain = "90 deg"', 'grain = "1 in"', "SIZE-005 sheet.grain | an angle"),
    (f"[flats.floor]\n{FLOOR}\n", "", "PART-011 flats | no flat | one root flat"),
    (
        "[flats.floor]",
        '[flats.wing]\noutline = { rectangle = ["1 in", "1 in"] }\n[flats.floor]',
        "PART-011 flats.floor | 2 flats | wing, floor",
    ),
    ("[flats.floor]", "[flats]", "PART-004 flats.outline | right under [flats] | [flats.floor]"),
    ("[flats.floor]", '[flats."the floor"]', 'PART-007 flats."the floor" | can\'t be a name'),
    (FLOOR, "", "PART-003 flats.floor | `outline` is missing"),
    (FLOOR, "outline = {}", "PART-006 flats.floor.outline | no shape | rectangle, polygon"),
    (FLOOR, 'outline = "square"', 'PART-004 flats.floor.outline | "square" | a table'),
    (
        FLOOR,
        'outline = { rectangel = ["width", "depth"] }',
        "PART-002 flats.floor.outline.rectangel | Did you mean `rectangle`\nPART-006 flats.floor.outline | no shape",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["width"] }',
        "PART-004 flats.floor.outline.rectangle | list of 1 | two quantities",
    ),
    (
        FLOOR,
        'outline = { rectangle = "width" }',
        'PART-004 flats.floor.outline.rectangle | "width"',
    ),
    (
        FLOOR,
        'outline = { rectangle = ["width", "0 mm"] }',
        "PART-015 flats.floor.outline.rectangle[2] | more than 0 mm",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["wide", "deep"] }',
        "SIZE-003 flats.floor.outline.rectangle[1] | `wide`\nSIZE-003 flats.floor.outline.rectangle[2] | `deep`",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["width", "depth"], diameter = "1 in" }',
        "PART-006 flats.floor.outline | rectangle and diameter",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["width", "depth"], edges = ["a"] }',
        "PART-006 flats.floor.outline.edges | says nothing beside `rectangle`",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["width", "depth"], radius = "3 in" }',
        "PART-016 flats.floor.outline | take more than its length",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["width", "depth"], radius = "1 in", chamfer = "1 in" }',
        "PART-006 flats.floor.outline | a radius and a chamfer",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["width", "depth"], radius = "0 in" }',
        "PART-015 flats.floor.outline.radius | more than 0 mm",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["width", "depth"], corners = { left_front = { radius = "1 in" } } }',
        "PART-002 flats.floor.outline.corners.left_front | front_left",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["100 km", "depth"] }',
        "QTY-002 flats.floor.outline.rectangle[1] | `km`",
    ),
    (
        FLOOR,
        'outline = { rectangle = ["200 m", "depth"] }',
        "PART-015 flats.floor.outline.rectangle[1] | at most 100000 mm",
    ),
    (
        FLOOR,
        f'{FLOOR}\ndrawn_to = "mold line"',
        'PART-005 flats.floor.drawn_to | "outside mold line"',
    ),
    (FLOOR, f"{FLOOR}\nthick = 2", "PART-002 flats.floor.thick | outline, drawn_to, notches"),
    ('title = "Tray"', 'title = "Tray', "PART-001  | not closed"),
    ('title = "Tray"', "title = Tray", "PART-001  | can't be read | quotes"),
    (
        'thickness = "0.040 in"',
        "thickness = 0.040 in",
        "PART-001  | `thickness = 0.040 in` | in quotes",
    ),
    ('thickness = "0.040 in"', 'thickness = "0.040""', "PART-001  | single quotes"),
    ("[sheet]", "[sheet", "PART-001  | `[sheet` can't be read"),
    ('drawing = "T200-00-01"', 'drawing "T200-00-01"', "PART-001  | has no `=`"),
    ('drawing = "T200-00-01"', 'drawing = "C:\\parts"', "PART-001  | backslash"),
    ("[corner_defaults]", "[sheet]", "PART-001  | `[sheet]` is stated a second time"),
    (
        CLEAR,
        "clear = 0.75 mm\nslack = 1/8 in",
        "PART-001  | clear = 0.75 mm\nPART-001  | slack = 1/8 in",
    ),
    (FLOOR, 'outline = { rectangle = ["width", "depth" }', "PART-001  | can't be read"),
]

OUTLINES: list[Case] = [
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], ["1 in", "0 in"]] }',
        "PART-016 flats.floor.outline | 2 corners | three or more\n*",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], ["1 in", "0 in"], ["1 in", "0 in"], ["0 in", "1 in"]] }',
        "PART-016 flats.floor.outline | corners 2 and 3 are one point",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], ["1 in", "1 in"], ["1 in", "0 in"], ["0 in", "1 in"]] }',
        "PART-016 flats.floor.outline",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], ["3 in", "2 in"], ["3 in", "0 in"], ["0 in", "1 in"]] }',
        "PART-016 flats.floor.outline | crosses or touches itself",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], ["1 in", "0 in"], ["2 in", "0 in"]] }',
        "PART-016 flats.floor.outline | no area",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], ["1 in"], ["2 in", "1 in"]] }',
        "PART-004 flats.floor.outline.polygon[2].at | list of 1",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], ["1 in", 0], ["2 in", "1 in"]] }',
        "QTY-001 flats.floor.outline.polygon[2][2] | `0` has no unit",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], { at = ["1 in", "0 in"], round = "1 mm" }, ["2 in", "1 in"]] }',
        "PART-002 flats.floor.outline.polygon[2].round | radius, chamfer, at\n*",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], { at = ["1 in", "0 in"], radius = "9 in" }, ["2 in", "1 in"]] }',
        "PART-016 flats.floor.outline | take more than its length",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], ["1 in", "0 in"], ["2 in", "1 in"]], edges = ["front"] }',
        "PART-006 flats.floor.outline.edges | 1 edges are named, the polygon has 3",
    ),
    (
        FLOOR,
        'outline = { polygon = [["0 in", "0 in"], ["1 in", "0 in"], ["2 in", "1 in"]], edges = ["a", "b", "a"] }',
        "PART-008 flats.floor.outline.edges | two edges are named `a`",
    ),
    (
        FLOOR,
        'outline = { path = [{ to = ["1 in", "0 in"] }] }',
        "PART-003 flats.floor.outline | `start` is missing",
    ),
    (
        FLOOR,
        'outline = { start = ["0 in", "0 in"], path = [{ to = ["1 in", "0 in"], by = ["1 in", "0 in"] }] }',
        "PART-006 flats.floor.outline.path[1] | both `to` and `by`",
    ),
    (
        FLOOR,
        'outline = { start = ["0 in", "0 in"], path = [{ to = ["1 in", "0 in"], radius = "1 in" }] }',
        "PART-003 flats.floor.outline.path[1] | `turn` is missing",
    ),
    (
        FLOOR,
        'outline = { start = ["0 in", "0 in"], path = [{ to = ["2 in", "0 in"], radius = "1/2 in", turn = "left" }] }',
        "PART-016 flats.floor.outline | arc of step 1 | 25.40 mm or more",
    ),
    (
        FLOOR,
        'outline = { start = ["0 in", "0 in"], path = [{ to = ["2 in", "0 in"], center = ["1/2 in", "0 in"], turn = "left" }] }',
        "PART-016 flats.floor.outline | from its center",
    ),
    (
        FLOOR,
        'outline = { start = ["0 in", "0 in"], path = [{ to = ["2 in", "0 in"], turn = "left" }] }',
        "PART-006 flats.floor.outline.path[1] | straight step has a turn",
    ),
    (
        FLOOR,
        'outline = { start = ["0 in", "0 in"], path = [{ to = ["0 in", "0 in"] }] }',
        "PART-016 flats.floor.outline | ends where it begins",
    ),
    (
        FLOOR,
        'outline = { start = ["0 in", "0 in"], path = [{ to = ["2 in", "0 in"], radius = "1 in", turn = "up" }] }',
        'PART-005 flats.floor.outline.path[1].turn | "up" | "left"',
    ),
    (
        FLOOR,
        'outline = { diameter = "0 mm" }',
        "PART-015 flats.floor.outline.diameter | more than 0 mm",
    ),
    (
        FLOOR,
        'outline = { diameter = "6 in" }',
        "PART-009 bends.left.from | no edge `left` | none is straight\nPART-009 bends.back.from | no edge `back`",
    ),
    (
        FLOOR,
        f'{FLOOR}\nnotches = [{{ edge = "front", at = "1 in", width = "1 in" }}]',
        "PART-003 flats.floor.notches[1] | `depth` is missing",
    ),
    (
        FLOOR,
        f'{FLOOR}\nnotches = [{{ edge = "side", at = "1 in", width = "1 in", depth = "1 mm" }}]',
        "PART-009 flats.floor.notches | no edge `side` | front",
    ),
    (
        FLOOR,
        f'{FLOOR}\nnotches = [{{ edge = "front", at = "0.2 in", width = "1 in", depth = "1 mm" }}]',
        "PART-016 flats.floor.notches | runs over the end",
    ),
    (
        FLOOR,
        f'{FLOOR}\nnotches = [{{ edge = "front", at = "2 in", width = "1 in", depth = "1 mm", shape = "round" }}]',
        "PART-016 flats.floor.notches | half the width",
    ),
    (
        FLOOR,
        f'{FLOOR}\nnotches = [{{ edge = "front", at = "2 in", width = "1 in", depth = "5 in" }}]',
        "PART-016 flats.floor.notches | crosses or touches",
    ),
    (
        FLOOR,
        f'{FLOOR}\nnotches = [{{ edge = "front", at = "2 in", width = "1 in", depth = "1 mm", shape = "dovetail" }}]',
        'PART-005 flats.floor.notches[1].shape | "square"',
    ),
    (
        FLOOR,
        f'{FLOOR}\nnotches = [{{ edge = "left", at = "2 in", width = "1 in", depth = "1 mm" }}]',
        "PART-009 bends.left.from | no edge `left` | left_1",
    ),
]

BENDS: list[Case] = [
    ('from = "floor.left"\n', "", "PART-003 bends.left | `from` is missing"),
    (
        'from = "floor.left"',
        'form = "floor.left"',
        "PART-002 bends.left.form | Did you mean `from`",
    ),
    (
        'from = "floor.left"',
        'from = "floor"',
        "PART-009 bends.left.from | `floor` is no edge | floor.left",
    ),
    (
        'from = "floor.left"',
        'from = "floor.lft"',
        "PART-009 bends.left.from | no edge `lft` | Did you mean `left`",
    ),
    (
        'from = "floor.left"',
        'from = "flor.left"',
        "PART-009 bends.left.from | no flat is named `flor` | Did you mean `floor`",
    ),
    ('from = "floor.left"', 'from = "lip.tip"', "PART-010 bends.left.from | left → lip → left"),
    (
        'from = "left.tip"',
        'from = "left.bend"',
        "PART-009 bends.lip.from | hangs on its edge `bend`",
    ),
    ('from = "left.tip"', 'from = "lip.tip"', "PART-010 bends.lip.from | lip → lip"),
    (
        'from = "floor.back"',
        'from = "floor.left"',
        "PART-018 bends.back | shares 101.60 mm of edge `floor.left` with bend left\n*",
    ),
    (WALL, "", "PART-003 bends.left | `leg` is missing"),
    (WALL, "leg = {}", "PART-003 bends.left.leg | `height` is missing | left_height"),
    (WALL, 'leg = "wall"', 'PART-004 bends.left.leg | "wall" | a table'),
    (
        WALL,
        'leg = { hieght = "wall" }',
        "PART-002 bends.left.leg.hieght | Did you mean `height`\nPART-003 bends.left.leg | `height`",
    ),
    (
        WALL,
        'leg = { height = "wall", draw_to = "x" }',
        "PART-002 bends.left.leg.draw_to | Did you mean `drawn_to`",
    ),
    (
        WALL,
        'leg = { height = "wall", drawn_to = "OML" }',
        'PART-005 bends.left.leg.drawn_to | "outside mold line"',
    ),
    (WALL, 'leg = { height = "0 mm" }', "PART-015 bends.left.leg.height | ends_in_bend = true"),
    (WALL, 'leg = { height = "-1 in" }', "PART-015 bends.left.leg.height | -25.400 mm high"),
    (
        WALL,
        'leg = { left_height = "1 in" }',
        "PART-006 bends.left.leg | left_height | left_height and right_height",
    ),
    (
        WALL,
        'leg = { height = "1 in", left_height = "1 in", right_height = "2 in" }',
        "PART-006 bends.left.leg | height and left_height and right_height",
    ),
    (
        WALL,
        'leg = { height = "1 in", ends_in_bend = true }',
        "PART-006 bends.left.leg | ends_in_bend and height",
    ),
    (
        WALL,
        'leg = { ends_in_bend = true, radius = "1 in" }',
        "PART-006 bends.left.leg.radius | says nothing beside `ends_in_bend`",
    ),
    (
        WALL,
        'leg = { ends_in_bend = "yes" }',
        "PART-004 bends.left.leg.ends_in_bend | true or false",
    ),
    (
        WALL,
        'leg = { height = "wall", taper = "10 in" }',
        "SIZE-005 bends.left.leg.taper | a length | an angle",
    ),
    (
        WALL,
        'leg = { height = "wall", taper = "86 deg" }',
        "PART-015 bends.left.leg | more than 85°",
    ),
    (
        WALL,
        'leg = { height = "3 in", taper = "40 deg" }',
        "PART-016 bends.left.leg | meet before the tip",
    ),
    (
        WALL,
        'leg = { height = "wall", taper = "5 deg", left_taper = "5 deg" }',
        "PART-006 bends.left.leg | `taper` stands beside",
    ),
    (
        WALL,
        'leg = { height = "wall", radius = "1 in", chamfer = "1 in" }',
        "PART-006 bends.left.leg | a radius and a chamfer",
    ),
    (
        WALL,
        'leg = { height = "wall", radius = "3 in" }',
        "PART-016 bends.left.leg | take more than its length",
    ),
    (
        WALL,
        'leg = { height = "wall", left_corner = "1 in" }',
        "PART-004 bends.left.leg.left_corner | a table",
    ),
    (
        WALL,
        'leg = { outline = { polygon = [["0 in", "1 in"], ["4 in", "1 in"], ["4 in", "2 in"]] } }',
        "PART-016 bends.left.leg | stand on its bend",
    ),
    (
        WALL,
        'leg = { outline = { rectangle = ["3 in", "1 in"] } }',
        "PART-016 bends.left.leg | stands on 76.200 mm | 101.600 mm",
    ),
    (
        WALL,
        'leg = { name = "floor", height = "wall" }',
        "PART-008 bends.left.leg.name | `floor` | the root flat\n*",
    ),
    (
        WALL,
        'leg = { name = "back", height = "wall" }',
        "PART-008 bends.back | `back` | the leg of bend left\n*",
    ),
    (WALL, f'{WALL}\nangel = "90 deg"', "PART-002 bends.left.angel | Did you mean `angle`"),
    (WALL, f'{WALL}\nangle = "0 deg"', "PART-015 bends.left.angle | 1° to 180°"),
    (WALL, f'{WALL}\nangle = "0.5 deg"', "PART-015 bends.left.angle | 1° to 180°"),
    (WALL, f'{WALL}\nangle = "200 deg"', "PART-015 bends.left.angle | `200 deg` = 200° | 180°"),
    (WALL, f'{WALL}\nangle = "-90 deg"', "PART-015 bends.left.angle | 1° to 180°"),
    (
        WALL,
        f'{WALL}\nangle = "180 deg"',
        "PART-017 bends.left | outside mold line | bend tangent line, outside of bend",
    ),
    (
        LIP,
        'leg = { height = "1/2 in", drawn_to = "inside mold line" }\nangle = "180 deg"\nedge_drawn_to = "tangent line"',
        "PART-017 bends.lip | leg.drawn_to | inside mold line",
    ),
    (
        LIP,
        'leg = { height = "1/2 in", drawn_to = "outside of bend" }\nangle = "45 deg"',
        "PART-017 bends.lip | only a bend of 90° or more",
    ),
    (WALL, f'{WALL}\ninside_radius = "-1 mm"', "PART-015 bends.left.inside_radius | 0 mm or more"),
    (WALL, f"{WALL}\ninside_radius = 3", "QTY-001 bends.left.inside_radius | `3` has no unit"),
    (
        'inside_radius = "1/8 in"\n',
        "",
        "PART-003 bends.left | `inside_radius`\nPART-003 bends.back | `inside_radius`\nPART-003 bends.lip | `inside_radius` | [bend_defaults]",
    ),
    (
        'angle = "90 deg"\n',
        "",
        "PART-003 bends.left | `angle`\nPART-003 bends.back | `angle`\nPART-003 bends.lip | `angle`",
    ),
    (
        "up = true\n",
        "",
        "PART-003 bends.left | `up` or `down`\nPART-003 bends.back | `up` or `down`",
    ),
    ("up = true\n", "up = true\ndown = true\n", "PART-006 bend_defaults | both up and down"),
    ("up = true\n", 'up = "yes"\n', "PART-004 bend_defaults.up | true or false\n*"),
    ("up = true\n", "up = true\nside = 1\n", "PART-002 bend_defaults.side | angle, inside_radius"),
    (
        "up = true\n",
        'up = true\nallowance = "k factor"\n',
        'PART-005 bend_defaults.allowance | "empirical formula"\n*',
    ),
    (
        "up = true\n",
        'up = true\nallowance = "neutral-axis factor"\n',
        "PART-003 bend_defaults | `k` is missing",
    ),
    ("up = true\n", "up = true\nk = 1.4\n", "PART-015 bend_defaults.k | 0 to 1"),
    (
        "up = true\n",
        'up = true\nk = "1 mm"\n',
        "SIZE-005 bend_defaults.k | a length | a bare number",
    ),
    (WALL, f'{WALL}\nallowance = "neutral-axis factor"', "PART-003 bends.left | `k` is missing"),
    (WALL, f'{WALL}\nlast = ""', "PART-013 bends.left.last | reason"),
    (WALL, f"{WALL}\nlast = true", "PART-004 bends.left.last | text in quotes"),
    (WALL, f'{WALL}\nend_relief = "big"', 'PART-005 bends.left.end_relief | "handbook"'),
    (WALL, f"{WALL}\nend_relief = {{}}", "PART-006 bends.left.end_relief | neither"),
    (
        WALL,
        f'{WALL}\nend_relief = {{ round = "1/8 in", depth = "1 mm" }}',
        "PART-006 bends.left.end_relief.depth | beside `round`",
    ),
    (
        WALL,
        f'{WALL}\nend_relief = {{ hole = "1/8 in" }}',
        "PART-002 bends.left.end_relief.hole | round, square, depth\nPART-006 bends.left.end_relief | neither",
    ),
    (WALL, f'{WALL}\nwidth = "1 in"', "PART-006 bends.left.width | does not tell where | centered"),
    (
        WALL,
        f'{WALL}\nwidth = "9 in"\ncentered = true',
        "PART-015 bends.left | -63.50 mm to 165.10 mm | 0 mm to 101.60 mm\n*",
    ),
    (WALL, f"{WALL}\ncentered = true", "PART-006 bends.left.centered | needs a width"),
    (WALL, f'{WALL}\ninset = "3 in"', "PART-015 bends.left | runs from 76.20 mm\n*"),
    (
        WALL,
        f'{WALL}\ninset = "1 mm"\nleft_inset = "1 mm"',
        "PART-006 bends.left | `inset` stands beside",
    ),
    (WALL, f'{WALL}\nleft_inset = "-1 mm"', "PART-015 bends.left.left_inset | 0 mm or more"),
    (
        WALL,
        f'{WALL}\nwidth = "1 in"\nleft_inset = "1 in"\nright_inset = "2 in"',
        "PART-006 bends.left | two of three",
    ),
    (
        "[bends.left]",
        "[bends.floor]",
        "PART-008 bends.floor | `floor`, as the root flat\nPART-009 corners.rear.between | `left`\nPART-009 holes.rivets.on | `left`\nPART-009 bends.lip.from | `left`",
    ),
    ("[bends.left]", '[bends."left wall"]', 'PART-007 bends."left wall" | can\'t be a name\n*'),
    ("[bends.lip]\n", "[bends]\nlip = 3\n[bends.lap]\n", "PART-004 bends.lip | `3` | a table"),
]

CORNERS: list[Case] = [
    (
        'rule = "open"',
        'rule = "mitred"',
        'PART-005 corner_defaults.rule | "open", "closed", "lapped"',
    ),
    ('rule = "open"', 'rule = "open"\ngap = 1', "QTY-001 corner_defaults.gap | no unit"),
    (
        'rule = "open"',
        'rule = "open"\nrelief = "none at all"',
        "PART-005 corner_defaults.relief | handbook",
    ),
    (
        'between = ["left", "back"]',
        'between = ["left"]',
        "PART-006 corners.rear.between | two bends",
    ),
    ('between = ["left", "back"]', 'between = "left"', "PART-004 corners.rear.between | list"),
    (
        'between = ["left", "back"]',
        'between = ["left", "left"]',
        "PART-006 corners.rear.between | two bends",
    ),
    (
        'between = ["left", "back"]',
        'between = ["left", "bak"]',
        "PART-009 corners.rear.between | `bak` | Did you mean `back`",
    ),
    (
        'between = ["left", "back"]',
        'between = ["left", "lip"]',
        "PART-009 corners.rear.between | do not meet | back and left",
    ),
    ('gap = "0.5 mm"', 'gap = "-0.5 mm"', "PART-015 corners.rear.gap | 0 mm or more"),
    (
        'gap = "0.5 mm"',
        'gap = "0.5 mm"\n[corners.again]\nbetween = ["back", "left"]',
        "PART-008 corners.again.between | stated by rear already",
    ),
    ('between = ["left", "back"]\n', "", "PART-003 corners.rear | `between` is missing"),
]

HOLES: list[Case] = [
    ('on = "floor"\n', "", "PART-003 holes.vent | `on` is missing"),
    ('on = "floor"', 'on = "flor"', "PART-009 holes.vent.on | `flor` | Did you mean `floor`"),
    ('at = ["1 in", "1-1/8 in"]\n', "", "PART-003 holes.vent | `at` is missing"),
    ('at = ["1 in", "1-1/8 in"]', 'at = ["1 in"]', "PART-004 holes.vent.at | list of 1"),
    (
        'at = ["1 in", "1-1/8 in"]',
        "at = [25.4, 25.4]",
        "QTY-001 holes.vent.at[1] | no unit\nQTY-001 holes.vent.at[2] | no unit",
    ),
    (
        'at = ["1 in", "1-1/8 in"]',
        'at = ["1 in", "5 deg"]',
        "SIZE-005 holes.vent.at[2] | an angle | a length",
    ),
    (VENT, "", "PART-003 holes.vent | no size | drill, diameter"),
    (VENT, f'{VENT}\ndrill = "#40"', "PART-006 holes.vent | drill and diameter"),
    (VENT, 'diameter = "0 in"', "PART-015 holes.vent.diameter | more than 0 mm"),
    (
        VENT,
        'radius = "3/8 in"',
        "PART-002 holes.vent.radius | no key `radius`\nPART-003 holes.vent | no size",
    ),
    (
        VENT,
        'diametre = "3/4 in"',
        "PART-002 holes.vent.diametre | Did you mean `diameter`\nPART-003 holes.vent | no size",
    ),
    (VENT, 'drill = "3/4"', "SIZE-007 holes.vent.drill | 3/4"),
    (VENT, 'drill = "tilt"', "SIZE-005 holes.vent.drill | an angle"),
    (VENT, f'{VENT}\nturn = "10 deg"', "PART-006 holes.vent.turn | round hole is turned"),
    (
        VENT,
        'slot = { length = "1/4 in", width = "1 in" }',
        "PART-015 holes.vent.slot | shorter than it is wide",
    ),
    (VENT, 'slot = { length = "1 in" }', "PART-003 holes.vent.slot | `width` is missing"),
    (VENT, 'slot = "1 in"', "PART-004 holes.vent.slot | a table"),
    (VENT, "cut_out = {}", "PART-006 holes.vent.cut_out | no shape"),
    (
        VENT,
        'cut_out = { rectangle = ["1 in", "1/2 in"], radius = "1/3 in" }',
        "PART-016 holes.vent.cut_out | take more than its length",
    ),
    (VENT, "lightening = 20", "QTY-001 holes.vent.lightening | no unit"),
    (ROW, "row = {}", "PART-006 holes.rivets.row | nothing | count, pitch and along"),
    (ROW, 'row = { count = 4, pitch = "7/8 in" }', "PART-006 holes.rivets.row | count, pitch"),
    (
        ROW,
        'row = { count = 4, pitch = "7/8 in", along = "z" }',
        "SIZE-003 holes.rivets.row.along | `z`",
    ),
    (
        ROW,
        'row = { count = 4, pitch = "0 in", along = "x" }',
        "PART-015 holes.rivets.row.pitch | more than 0 mm",
    ),
    (
        ROW,
        'row = { count = 0, pitch = "1 in", along = "x" }',
        "PART-015 holes.rivets.row.count | 1 or more",
    ),
    (
        ROW,
        'row = { count = 2.5, pitch = "1 in", along = "x" }',
        "PART-004 holes.rivets.row.count | whole number",
    ),
    (
        ROW,
        'row = { count = "n/3", pitch = "1 in", along = "x" }',
        "PART-015 holes.rivets.row.count | whole number",
    ),
    (
        ROW,
        'row = { count = 1, to = ["3 in", "5/8 in"] }',
        "PART-015 holes.rivets.row | two or more",
    ),
    (
        ROW,
        'row = { count = 9999, pitch = "1 mm", along = "x" }',
        "PART-015 holes.rivets.row | 9999 holes | 5000",
    ),
    (ROW, 'row = { pitch_at_most = "1 in" }', "PART-006 holes.rivets.row | pitch_at_most and to"),
    (
        ROW,
        'grid = { columns = 2, rows = 2, column_pitch = "1 in" }',
        "PART-003 holes.rivets.grid | `row_pitch` is missing",
    ),
    (
        ROW,
        'grid = { columns = 2, rows = 2, column_pitch = "1 in", row_pitch = "0 in" }',
        "PART-015 holes.rivets.grid.row_pitch | more than 0 mm",
    ),
    (ROW, "ring = { count = 6 }", "PART-003 holes.rivets.ring | `diameter` is missing"),
    (
        ROW,
        'ring = { count = 6, diameter = "1 in", first = "1 in" }',
        "SIZE-005 holes.rivets.ring.first | a length | an angle",
    ),
    (
        ROW,
        f'{ROW}\nring = {{ count = 6, diameter = "1 in" }}',
        "PART-006 holes.rivets | row and ring | one pattern",
    ),
    ("[holes.vent]", "[hole.vent]", "PART-002 hole | Did you mean `holes`"),
    (
        '= "drain only, no load"',
        '= ""',
        'PART-013 overrides."HOLE-002 hole vent" | reason is empty',
    ),
    ('= "drain only, no load"', '= "ok"', 'PART-013 overrides."HOLE-002 hole vent" | two words'),
    (
        '= "drain only, no load"',
        "= true",
        'PART-013 overrides."HOLE-002 hole vent" | `true` is no reason',
    ),
    (
        '"HOLE-002 hole vent" =',
        "hole-2 =",
        "PART-013 overrides.hole-2 | no finding | BEND-001 bend left",
    ),
]

OVERRIDE = '"HOLE-002 hole vent" = "drain only, no load"'
ROW_KEYS = {
    "on": '"back"',
    "along": '"tip"',
    "rivet": '"3/32 in"',
    "kind": '"solid"',
    "edge_distance": '"1/4 in"',
    "ends": '"3/8 in"',
    "pitch_at_most": '"1 in"',
}


def _row(said: str, expected: str, name: str = "seam", **keys: str) -> Case:
    """A rivet row; a key of no text is left out. `said` tells cases apart."""
    lines = "\n".join(f"{k} = {v}" for k, v in {**ROW_KEYS, **keys}.items() if v)
    return OVERRIDE, f"{OVERRIDE}\n\n[rivets.{name}] # {said}\n{lines}", expected


RIVETS: list[Case] = [
    _row("sound", ""),
    _row("round corners", "", along='["left", "tip", "right"]', corner_holes="true"),
    _row("lost", "PART-009 rivets.seam.on | no flat is named `bakc` | Did you mean", on='"bakc"'),
    _row("name", "ROW-005 rivets.rivets | holes of the part | name of its own", name="rivets"),
    _row("no flat", "PART-003 rivets.seam | `on` is missing", on=""),
    _row("no edge", "PART-009 rivets.seam | no edge `tpi` | bend, right, tip", along='"tpi"'),
    _row("far edges", "ROW-001 rivets.seam | do not all touch", along='["left", "right"]'),
    _row("twice", "PART-009 rivets.seam | named twice", along='["tip", "tip"]'),
    _row("no edges", "PART-003 rivets.seam.along | no edge is named", along="[]"),
    _row("no line", "PART-003 rivets.seam | no line | between", along=""),
    _row(
        "two lines",
        "PART-006 rivets.seam | `along` and `between`",
        between='[["1 in", "1 in"], ["2 in", "1 in"]]',
    ),
    _row(
        "one point",
        "ROW-004 rivets.seam | one point",
        along="",
        edge_distance="",
        between='[["1 in", "1/2 in"], ["1 in", "1/2 in"]]',
    ),
    _row(
        "three points",
        "PART-004 rivets.seam.between | 3 points | two points",
        along="",
        edge_distance="",
        between='[["1 in", "1 in"], ["2 in", "1 in"], ["3 in", "1 in"]]',
    ),
    _row(
        "edge of none",
        "PART-006 rivets.seam.edge_distance | follows no edge",
        along="",
        between='[["1 in", "1/2 in"], ["3 in", "1/2 in"]]',
    ),
    _row("nothing", "PART-003 rivets.seam | no fastener | 8-32", rivet="", kind=""),
    _row("both", "PART-006 rivets.seam | a rivet and a screw", screw='"8-32"'),
    _row("screw kind", "PART-006 rivets.seam.kind | no kind", rivet="", screw='"8-32"'),
    _row("no such screw", "SCREW-001 rivets.seam.screw | 10-32", rivet="", kind="", screw='"9-99"'),
    _row("no such rivet", "RIVET-001 rivets.seam.rivet | 3/32, 1/8", rivet='"7/32 in"'),
    _row("no kind", "PART-003 rivets.seam | `kind` is missing | solid", kind=""),
    _row("odd kind", 'PART-005 rivets.seam.kind | "solid" or "blind"', kind='"pop"'),
    _row("odd head", 'PART-005 rivets.seam.head | "dimpled"', head='"flush"'),
    _row("nuts of rivets", "PART-006 rivets.seam.nut_rivets | only screws", nut_rivets="true"),
    _row("no spacing", "PART-003 rivets.seam | no spacing | count", pitch_at_most=""),
    _row("two spacings", "PART-006 rivets.seam | count and pitch_at_most", count="5"),
    _row(
        "count and corners",
        "PART-006 rivets.seam.count | corners part | pitch_at_most",
        pitch_at_most="",
        count="5",
        corner_holes="true",
    ),
    _row("ends twice", "PART-006 rivets.seam.ends | twice", left_end='"1/4 in"'),
    _row("no room", "ROW-003 rivets.seam | end distances take", ends='"4 in"'),
    _row("too many", "ROW-003 rivets.seam | over 2000 holes", pitch_at_most='"0.01 mm"'),
    _row("no pitch", "PART-015 rivets.seam.pitch_at_most | more than 0", pitch_at_most='"0 mm"'),
    _row("lines", "PART-015 rivets.seam.lines | 12 lines | at most 8", lines="12"),
    _row("half a line", "PART-015 rivets.seam.lines | whole number", lines='"2.5"'),
    _row("bad end", "PART-015 rivets.seam.ends | out of range", ends='"-1 mm"'),
    _row("bare", "QTY-001 rivets.seam.edge_distance | no unit", edge_distance="0.25"),
    _row("big pilot", "PART-015 rivets.seam.pilot | larger than the finished", pilot='"#30"'),
    _row("odd pilot", "SIZE-007 rivets.seam.pilot | drill", pilot='"bit"'),
    _row("odd key", "PART-002 rivets.seam.pitsch | Did you mean `pitch`", pitsch='"1 in"'),
    _row(
        "stack",
        "PART-003 rivets.seam.stack[1] | `thickness` is missing",
        stack='[{ alloy = "2024-T3" }]',
    ),
    _row(
        "thin stack",
        "PART-015 rivets.seam.stack[1].thickness | more than 0",
        stack='[{ thickness = "0 mm" }]',
    ),
    _row(
        "frames",
        "PART-015 rivets.seam.frames.clear | more than 0",
        frames='{ at = ["2 in"], clear = "0 in" }',
    ),
    _row(
        "off frame", "PART-015 rivets.seam.frames.at[1] | out of range", frames='{ at = ["-2 in"] }'
    ),
    _row(
        "deep",
        "ROW-002 rivets.seam | no line",
        along='["left", "tip", "right"]',
        edge_distance='"2 in"',
    ),
]

SEVERAL: list[Case] = [
    (
        'thickness = "0.040 in"\ngrain = "90 deg"',
        'thickness = "0.040"\ngrain = 90\ntemper = "T6"',
        "QTY-001 sheet.thickness | no unit\nQTY-001 sheet.grain | no unit\nPART-002 sheet.temper | `temper`",
    ),
    (
        'wall = "1 in"\nclear = "0.75 mm"\ntilt = "5 deg"',
        'wall = "1 inn"\nclear = "wall + tilt"\ntilt = "5"',
        "QTY-002 sizes.wall | `inn`\nSIZE-005 bends.back.leg.taper | a bare number | an angle",
    ),
]

ALL: list[Case] = [
    *QUANTITIES,
    *FORMULAS,
    *SIZES,
    *SHAPE,
    *OUTLINES,
    *BENDS,
    *CORNERS,
    *HOLES,
    *RIVETS,
    *SEVERAL,
]
