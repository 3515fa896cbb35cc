"""What every check works on, and words they share."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.base.units import System, show
from blankwright.develop.blank import Blank, BlankBend
from blankwright.develop.formed import Formed
from blankwright.part.model import Part

PRACTICE = "common practice, no source"


@dataclass(frozen=True, kw_only=True)
class Checked:
    """A part with what was made of it.

    Args:
        part: as stated
        blank: developed from it
        formed: bent to the finished state
    """

    part: Part
    blank: Blank
    formed: Formed


def mm(length: float) -> str:
    """Return a length [mm] as text in mm and inch."""
    return show(length, "length", System.BOTH)


def leg_flat_length(checked: Checked, bend: BlankBend) -> float:
    """Return how far a leg reaches from its tangent line to its farthest free edge [mm]."""
    leg = checked.blank.flat_by_name[bend.leg]
    return leg.region.moved(bend.place.inverse()).box[3] - bend.allowance
