"""The planning library's adapter: an optional extra, told apart from our own planner by its name.

The library brings a chain of placements; that the part surely gets along it is proved in
`fit.placements`, as for our own planner.
"""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Callable
from typing import Any, Final

import numpy as np

from blankwright.fit.convolution import Array
from blankwright.fit.placements import Placements, SpaceWay

NAME: Final = "OMPL"
"""What the library calls itself."""


def is_installed() -> bool:
    """Say whether the library is here, without loading it."""
    return importlib.util.find_spec("ompl") is not None


def version() -> str:
    """Return the library's version, such as ``2.0.1``."""
    from importlib import metadata

    return metadata.version("ompl")


def library_way(
    placements: Placements, keep_going: Callable[[], bool], most: int = 200_000, *, seed: int = 1
) -> SpaceWay | None:
    """Return a way found by the library, or nothing when none was found.

    Args:
        placements: the part and what it must not meet
        keep_going: asked now and then; looking ends when it says no
        most: most placements to try
        seed: seeds the random placements; above 0
    """
    from ompl import base, geometric, util

    util.setLogLevel(util.LOG_NONE)
    util.RNG.setSeed(seed)
    rng = np.random.default_rng(seed)
    if not placements.free(placements.outside):
        return None
    space = _space(placements)
    setup = geometric.SimpleSetup(space)
    setup.setStateValidityChecker(lambda state: placements.free(_row(state)))
    start, goal = space.allocState(), space.allocState()
    _set(start, placements.begin())
    _set(goal, placements.outside)
    setup.setStartAndGoalStates(start, goal)
    planner = geometric.RRTConnect(setup.getSpaceInformation())
    # Long moves: measured ten times faster on a hooked plate in a slot than moves of half a part.
    planner.setRange(space.getMaximumExtent())
    setup.setPlanner(planner)

    def going() -> bool:
        return keep_going() and placements.tried < most

    end = base.PlannerTerminationCondition(lambda: not going())
    while going():
        setup.solve(end)
        if not setup.haveExactSolutionPath():
            return None
        chain = [_row(state).copy() for state in setup.getSolutionPath().getStates()]
        way = placements.finished(chain, rng)
        if way is not None:
            return way
        # It grazed something: begin anew, with other random numbers.
        setup.clear()
    return None


def _space(placements: Placements) -> Any:
    """The placements' space, its lengths bounding the motion of points as ours do."""
    from ompl import base

    space = base.SE3StateSpace()
    bounds = base.RealVectorBounds(3)
    for k in range(3):
        bounds.setLow(k, float(placements.lowest[k]))
        bounds.setHigh(k, float(placements.highest[k]))
    space.setBounds(bounds)
    # The library's distance between turns is half of the angle between them.
    space.setSubspaceWeight(1, 2.0 * placements.reach)
    # It parts a move evenly in both, so the step bounds the sum of both.
    across = float(np.linalg.norm(placements.highest - placements.lowest))
    space.setLongestValidSegmentFraction(placements.step / (across + math.pi * placements.reach))
    return space


def _row(state: Any) -> Array:
    turn = state.rotation()
    row = np.array((state.getX(), state.getY(), state.getZ(), turn.w, turn.x, turn.y, turn.z))
    row[3:] /= np.linalg.norm(row[3:])
    return row


def _set(state: Any, row: Array) -> None:
    x, y, z, *q = (float(v) for v in row)
    state.setXYZ(x, y, z)
    turn = state.rotation()
    turn.w, turn.x, turn.y, turn.z = q
