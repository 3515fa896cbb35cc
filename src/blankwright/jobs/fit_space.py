"""The way in through space, where no one section decides: found, or not found in time."""

from __future__ import annotations

import time

from blankwright.fit.planner import Planner, SpaceWay
from blankwright.fit.solid import box_of
from blankwright.geom.pose import Point3
from blankwright.jobs.fit_open import Fit


def space_way(
    fit: Fit, side: Point3, seconds: float, *, seed: int = 1, most: int = 500_000
) -> SpaceWay | None:
    """Look for a way from outside to rest; nothing when none was found in time.

    That nothing was found proves nothing. Soft neighbours are let through: what may be squeezed
    is not met.

    Args:
        fit: part and place
        side: direction of the side to come in from, in the place's frame [-]
        seconds: how long to look [s]
        seed: seeds the random placements
        most: most placements to try
    """
    least, greatest = box_of(fit.place.solids)
    planner = Planner(
        fit.solid,
        fit.collider,
        fit.hard,
        (_triple(least), _triple(greatest)),
        side,
        step=min(0.5, 0.5 * fit.part.sheet.thickness),
        seed=seed,
    )
    end = time.monotonic() + seconds
    return planner.plan(lambda: time.monotonic() < end, most)


def _triple(row: object) -> Point3:
    x, y, z = (float(v) for v in row)  # type: ignore[attr-defined]
    return (x, y, z)
