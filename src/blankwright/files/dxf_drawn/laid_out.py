"""A drawing laid out: outline, bend lines, and what was put right or left out."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.develop.flat.bend_lines import DrawnBendLine
from blankwright.develop.flat.clean import Repair
from blankwright.geom.edges import Line
from blankwright.geom.region import Region
from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOut:
    """A drawing laid out.

    Args:
        outline: the blank's outline, openings as holes [mm]
        bend_lines: bend lines on it
        tangents: bend tangent lines
        repairs: what was put right
        aside: loops that belong to other parts, by their boxes' middles [mm]
        unused: how many lines of each pen are none of these
        stray: middles of lines on the metal that close no loop, where only closed lines are meant
            [mm]
        centre_marks: how many of these are marks of the centres of round openings
    """

    outline: Region
    bend_lines: tuple[DrawnBendLine, ...]
    tangents: tuple[Line, ...]
    repairs: tuple[Repair, ...]
    aside: tuple[Point, ...]
    unused: tuple[tuple[str, int], ...]
    stray: tuple[Point, ...] = ()
    centre_marks: int = 0
