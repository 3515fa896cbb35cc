"""A machine file as the second reader finds it: chains of points in space."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One motion, sampled.

    Args:
        line: line of the file, 1 for the first [-]
        rapid: whether it is at full speed
        tool: number of the cutter in the spindle [-]
        turning: whether the spindle turns
        feed: [mm/min]; 0 for a rapid
        points: where it goes, shape (n, 3), n at least 2 [mm]
    """

    line: int
    rapid: bool
    tool: int
    turning: bool
    feed: float
    points: NDArray[np.float64]


SAG = 0.001
"""How far the chords of the second reader may stand off their arcs [mm]."""
