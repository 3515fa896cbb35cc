"""The proof that no metal was lost or made on the way from solid to blank: their volumes agree."""

from __future__ import annotations

import math

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.develop.blank import Blank
from blankwright.develop.unfold.model import SolidModel
from blankwright.develop.unfold.result import Unfolded

_CLOSE = 0.003
"""Share of its volume by which a plain part may differ, by curves across bends and the like [-]."""

_NOTED = 0.01
"""The same for a part with sinks, marks, broken or slanted edges [-]."""

_LOST = 0.03
"""Share beyond which it is refused, besides what its edges account for [-]."""


def volume_bent(blank: Blank) -> float:
    """Return the volume of a blank once it is bent [mm³].

    The middle of the sheet keeps its width: a bend of angle θ, inside radius R and thickness T has
    θ · (R + T/2) · T for each mm of it, whatever its allowance.
    """
    t = blank.thickness
    total = sum(flat.region.area for flat in blank.flats) * t
    for bend in blank.bends:
        area = sum(region.area for region in bend.regions)
        total += area / bend.allowance * bend.angle * (bend.inside_radius + t / 2) * t
    return total


def metal_kept(model: SolidModel, result: Unfolded, pressed: float = 0.0) -> list[Finding]:
    """Hold the volume of the blank, bent, against the solid's.

    Args:
        model: the solid
        result: what it was unfolded into
        pressed: room that features pressed out of flats take up [mm³]

    Raises:
        NotPossible: STEP-027 when they differ by more than edges, sinks and marks account for
    """
    if model.volume is None:
        return []
    blank, t = result.blank, result.blank.thickness
    wanted = volume_bent(blank)
    for sink in result.countersinks:
        # A cone from the sheet's surface down to the hole.
        depth = min(t, (sink.sink - sink.hole) / 2 / math.tan(sink.angle / 2))
        wide, narrow = sink.sink / 2, sink.hole / 2
        cone = math.pi * depth / 3 * (wide * wide + wide * narrow + narrow * narrow)
        wanted -= cone - math.pi * narrow * narrow * depth
    for mark in result.marks:
        wanted -= sum(abs(loop.area) for loop in mark.loops) * mark.depth
    off = model.volume - wanted
    edges = sum(edge.length for edge in blank.outline.edges) * t * t / 2
    if abs(off) > _LOST * model.volume + edges + pressed:
        raise NotPossible(
            Problem(
                code="STEP-027",
                where=model.name,
                got=f"the blank would hold {wanted:.1f} mm³ of metal and the solid holds"
                f" {model.volume:.1f} mm³",
                allowed="as much metal in the blank as in the solid",
                fix="Part of the solid is no sheet that was understood; look at it, and report it",
            )
        )
    noted = result.broken_edges or result.dimples or result.marks or result.countersinks
    plain = not (noted or result.findings)
    if abs(off) - pressed <= (_CLOSE if plain else _NOTED) * model.volume:
        return []
    return [
        Finding(
            code="STEP-034",
            level=Level.ASK,
            place=model.name,
            got=f"the solid holds {model.volume:.1f} mm³ of metal, the blank {wanted:.1f} mm³:"
            " slanted or broken edges, bosses or pockets make up the difference",
            fix="Look at the solid for what the blank does not show",
        )
    ]
