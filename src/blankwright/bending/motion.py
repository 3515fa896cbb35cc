"""How parts and tools move in the plane across the bend while it is made.

All motions are turns and shifts of the (y, z) plane that depend on one running value: the angle
bent through so far. The free side follows the law of bending (see `develop.formed`): the neutral
fibre keeps its length, so that the inside radius at angle θ is A/θ − k·T.

Points come in the tool frame, the held tangent line at y = 0. Seen from the punch of a V, the
bend's middle is at y = 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from blankwright.geom.pose import Array

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


class Kind(IntEnum):
    """How a piece moves as seen from the body that it is held against."""

    REST = 0
    """Neither moves."""
    SWING = 1
    """The free side against what stays."""
    LEAF_COMES = 2
    """The held side against the leaf."""
    WITH_LEAF = 3
    """The free side against the leaf."""
    SWING_HELD = 4
    """In a V, the other side, which swings the other way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """Numbers of one bend in one tool.

    Args:
        angle: in the tool, springback counted [rad]
        allowance: [mm]
        k: neutral-axis factor [-]
        thickness: [mm]
        hinge: y of the leaf's hinge [mm]
        share: share of the angle that the free side swings through [-]
        opening: of the V [mm]; nought without one
    """

    angle: float
    allowance: float
    k: float
    thickness: float
    hinge: float
    share: float = 1.0
    opening: float = 0.0

    @property
    def radius(self) -> float:
        """Inside radius at the end of the stroke [mm]."""
        return max(0.0, self.allowance / self.angle - self.k * self.thickness)


@dataclass(frozen=True, eq=False)
class Motions:
    """The motion of each of many rows.

    Args:
        kind: `Kind` of each row; shape (n,)
        numbers: allowance, k·T, T, hinge, share, opening, whether the piece is held against what
            sinks; shape (n, 7)
    """

    kind: Ints
    numbers: Array

    @staticmethod
    def row(stroke: Stroke, sinks: bool) -> tuple[float, ...]:
        """Return a row of `numbers`."""
        return (
            stroke.allowance,
            stroke.k * stroke.thickness,
            stroke.thickness,
            stroke.hinge,
            stroke.share,
            stroke.opening if sinks else 0.0,
            1.0 if sinks else 0.0,
        )

    def at(self, rows: Ints, angle: Array) -> tuple[Array, Array, Array, Array]:
        """Return cosine, sine and shift (y, z) of each row at its angle [rad]; shapes (n,)."""
        kind = self.kind[rows]
        allowance, kt, thickness, hinge, share, opening, _ = self.numbers[rows].T
        cos, sin = np.ones(len(rows)), np.zeros(len(rows))
        dy, dz = np.zeros(len(rows)), np.zeros(len(rows))
        swing = (kind == Kind.SWING) | (kind == Kind.WITH_LEAF) | (kind == Kind.SWING_HELD)
        if swing.any():
            turn = angle * share
            c, s = np.cos(turn), np.sin(turn)
            small = angle < 1e-5
            # The outer face's radius; at a small angle its products with sin and 1 − cos stay.
            outer = allowance / np.where(small, 1.0, angle) - kt + thickness
            other = kind == Kind.SWING_HELD
            # In a V the punch stands over the bend's middle, half an allowance from either side.
            own = np.where(other, 0.0, allowance)
            middle = np.where(share < 1.0, np.where(other, 0.5, -0.5), 0.0) * allowance
            y = np.where(small, middle, outer * s - own * c)
            z = np.where(small, 0.0, outer * (1 - c) - own * s)
            cos, sin = np.where(swing, c, cos), np.where(swing, np.where(other, -s, s), sin)
            dy = np.where(swing, np.where(other, -y, y), dy)
            # In a V the sheet sinks as its sides rise on the shoulders.
            dz = np.where(swing, z - opening / 2 * np.tan(angle / 2), dz)
        leaf = (kind == Kind.LEAF_COMES) | (kind == Kind.WITH_LEAF)
        if leaf.any():
            # Seen from the leaf: turn back about the hinge.
            c, s = np.cos(angle), np.sin(angle)
            y, z = dy - hinge, dz
            dy = np.where(leaf, c * y + s * z + hinge, dy)
            dz = np.where(leaf, -s * y + c * z, dz)
            cos, sin = (
                np.where(leaf, c * cos + s * sin, cos),
                np.where(leaf, c * sin - s * cos, sin),
            )
        return cos, sin, dy, dz

    def speeds(self, rows: Ints, far: Array) -> Array:
        """Return how far points move at most for each radian [mm/rad]; shape (k, n).

        With p the point's distance from the origin, the turn moves it by p a radian; the shift
        (outer·sin θ − A·cos θ, outer·(1 − cos θ) − A·sin θ) moves by no more than A + T a radian
        (the law's radius shrinks as A/θ², and sin θ·A/θ² − cos θ·A/θ stays under A/2·θ). Seen from
        the leaf the turns cancel and only shifts stay.

        Args:
            rows: numbers of rows; shape (n,)
            far: distance of k points of each row from the origin [mm]; shape (k, n)
        """
        kind = self.kind[rows]
        allowance, _, thickness, hinge, _, opening, _ = self.numbers[rows].T
        shift = 1.6 * allowance + thickness
        sinking = opening * 2.0  # opening/4 over cos² of half an angle up to 138°
        result = np.where(
            (kind == Kind.SWING) | (kind == Kind.SWING_HELD), far + shift + sinking, 0.0
        )
        result = np.where(kind == Kind.LEAF_COMES, far + hinge, result)
        with_leaf = np.broadcast_to(shift + thickness + hinge, far.shape)
        return np.where(kind == Kind.WITH_LEAF, with_leaf, result)
