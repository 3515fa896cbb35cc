"""The part that the page's tests work on."""

TRAY = """\
# Battery tray: these words must survive every edit.
title   = "Battery tray"
drawing = "T200-53-04"

[sizes]
width = "150 mm"   # across the bay
depth = "4 in"
wall  = "1-1/2 in"

[sheet]
alloy     = "6061-T6"
thickness = "0.040 in"

[bend_defaults]
angle         = "90 deg"
inside_radius = "1/8 in"
up            = true

[flats.floor]
outline = { rectangle = ["width", "depth"] }

[bends.left]
from = "floor.left"
leg  = { height = "wall" }

[bends.right]
from = "floor.right"
leg  = { height = "wall" }

[holes.vent]
on       = "floor"
at       = ["width/2", "depth/2"]
diameter = "12 mm"
"""
