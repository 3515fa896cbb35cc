"""How drawings word sizes and bends."""

from __future__ import annotations

from blankwright.base.units import System, nearest_fraction, show_angle, show_inches, trimmed
from blankwright.develop.blank import BlankBend, BlankHole
from blankwright.geom import vec
from blankwright.geom.edges import Arc
from blankwright.part.model import HoleKind

_EXACT = 0.005
"""A length this near to a mark of the rule is written as a fraction [mm]."""


def length_words(length: float, system: System, digits: int = 3) -> str:
    """Return a length [mm] as a drawing writes it: ``38.1 mm``, ``1-1/2 in``, or both.

    Args:
        length: [mm]
        system: which units
        digits: decimals of the mm, at most [-]
    """
    fraction = nearest_fraction(length)
    inch = fraction.text if abs(fraction.error) <= _EXACT else show_inches(length)
    metric = f"{trimmed(length, digits)} mm"
    match system:
        case System.MM:
            return metric
        case System.INCH:
            return inch
        case System.BOTH:
            return f"{metric} ({inch})"


def bend_words(bend: BlankBend, system: System, *, name: bool = True) -> str:
    """Return a bend note, such as ``left: UP 90° R 1/8 in``."""
    way = "UP" if bend.up else "DOWN"
    radius = length_words(bend.inside_radius, system)
    text = f"{way} {show_angle(bend.angle)} R {radius}"
    return f"{bend.name}: {text}" if name else text


def short_bend_words(bend: BlankBend) -> str:
    """Return a bend note without the radius, such as ``left: UP 90°``."""
    return f"{bend.name}: {'UP' if bend.up else 'DOWN'} {show_angle(bend.angle)}"


def hole_words(hole: BlankHole, system: System) -> str:
    """Return what a hole is, without its place: ``#30, Ø 3.26 mm`` or ``slot 20 mm × 6 mm``."""
    diameter = hole.diameter
    if diameter is None:
        long, wide = _slot_size(hole) or (hole.loop.box[2] - hole.loop.box[0], 0.0)
        wide = wide or hole.loop.box[3] - hole.loop.box[1]
        size = f"{length_words(long, system)} × {length_words(wide, system)}"
        return f"{hole.kind.value} {size}"
    text = f"Ø {length_words(diameter, system)}"
    if hole.drill:
        text = f"{hole.drill}, {text}"
    return text if hole.kind is HoleKind.ROUND else f"{hole.kind.value} {text}"


def _slot_size(hole: BlankHole) -> tuple[float, float] | None:
    """Return length and width [mm] of a slot with round ends, however it lies."""
    arcs = [edge for edge in hole.loop.edges if isinstance(edge, Arc)]
    if len(arcs) != 2 or len(hole.loop.edges) != 4:
        return None
    width = 2 * arcs[0].radius
    return (vec.distance(arcs[0].center, arcs[1].center) + width, width)
