"""Rigid moves of the plane, with or without a flip."""

from __future__ import annotations

import math
from dataclasses import dataclass

from blankwright.geom.vec import Point


@dataclass(frozen=True, slots=True)
class Move:
    """A rigid move: turn (and flip, where `flip`), then shift.

    The point (x, y) goes to ``(c·x − s·y' …)`` with y negated first when `flip` is set.

    Args:
        cos: cosine of the turn [-]
        sin: sine of the turn [-]
        dx: shift [mm]
        dy: shift [mm]
        flip: whether y changes sign before the turn
    """

    cos: float = 1.0
    sin: float = 0.0
    dx: float = 0.0
    dy: float = 0.0
    flip: bool = False

    @classmethod
    def turn(cls, angle: float, about: Point = (0.0, 0.0)) -> Move:
        """Turn by an angle [rad] about a point [mm]."""
        c, s = math.cos(angle), math.sin(angle)
        x, y = about
        return cls(c, s, x - c * x + s * y, y - s * x - c * y)

    @classmethod
    def shift(cls, dx: float, dy: float) -> Move:
        """Shift by (dx, dy) [mm]."""
        return cls(1.0, 0.0, dx, dy)

    @classmethod
    def onto(cls, origin: Point, x_axis: Point) -> Move:
        """Carry (0, 0) to an origin [mm] and the x axis to a unit direction [-]."""
        return cls(x_axis[0], x_axis[1], origin[0], origin[1])

    @property
    def angle(self) -> float:
        """The turn [rad], −π to π."""
        return math.atan2(self.sin, self.cos)

    def __call__(self, p: Point) -> Point:
        """Move a point [mm]."""
        x, y = p
        if self.flip:
            y = -y
        return (self.cos * x - self.sin * y + self.dx, self.sin * x + self.cos * y + self.dy)

    def vector(self, v: Point) -> Point:
        """Turn a direction; the shift does not apply."""
        x, y = v
        if self.flip:
            y = -y
        return (self.cos * x - self.sin * y, self.sin * x + self.cos * y)

    def then(self, other: Move) -> Move:
        """Return the move that does this one first and `other` after it."""
        sin = -self.sin if other.flip else self.sin
        x, y = other((self.dx, self.dy))
        return Move(
            other.cos * self.cos - other.sin * sin,
            other.sin * self.cos + other.cos * sin,
            x,
            y,
            self.flip != other.flip,
        )

    def inverse(self) -> Move:
        """Return the move that takes this one back."""
        if self.flip:
            bare = Move(self.cos, self.sin, 0.0, 0.0, True)
            x, y = bare.vector((self.dx, self.dy))
            return Move(self.cos, self.sin, -x, -y, True)
        x = self.cos * self.dx + self.sin * self.dy
        y = -self.sin * self.dx + self.cos * self.dy
        return Move(self.cos, -self.sin, -x, -y)


FLIP_X = Move(-1.0, 0.0, 0.0, 0.0, True)
"""Mirror about the y axis: x changes sign. (Flip y, then turn half a turn.)"""
