"""The rows that have to be tried for one way and stage of making a bend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.bending.motion import Bools, Ints, Kind, Motions
from blankwright.bending.pool import Pool, ring
from blankwright.bending.sections import Body, Role
from blankwright.bending.stages import OUTS, Leg, Stage, legs_of
from blankwright.bending.tools import Tool
from blankwright.bending.trials import Trial
from blankwright.bending.ways import Way
from blankwright.geom.pose import Array


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class LegRows:
    """One leg of a stage, with what is known of its bodies before any piece is looked at.

    Args:
        leg: the leg
        body: numbers of the bodies; shape (m,)
        box: least y, z and greatest y, z at which a piece may meet each; shape (m, 4) [mm], for
            straight legs
        ring: least and greatest distance from the bend at which it may; shape (m, 2) [mm], for
            turns
        sinks: whether each is a die
        run: whether each is only as long as was set up
        stretch: from where to where each runs along the bend; shape (m, 2) [mm]
    """

    leg: Leg
    body: Ints
    box: Array | None
    ring: Array | None
    sinks: Ints
    run: Bools
    stretch: Array

    def near(self, low: Array, high: Array, rings: Array) -> tuple[Ints, Ints]:
        """Return pairs of piece and body (counted from nought) that can meet.

        Args:
            low: least corners of boxes round the pieces; shape (n, 2) [mm]
            high: greatest corners [mm]
            rings: least and greatest distances from the bend; shape (n, 2) [mm]
        """
        if self.box is not None:
            ways = np.array(self.leg.way)
            low, high = low + np.minimum(ways, 0.0), high + np.maximum(ways, 0.0)
            meet = (
                (low[:, None, 0] < self.box[:, 2])
                & (low[:, None, 1] < self.box[:, 3])
                & (high[:, None, 0] > self.box[:, 0])
                & (high[:, None, 1] > self.box[:, 1])
            )
        else:
            assert self.ring is not None
            meet = (rings[:, None, 0] < self.ring[:, 1]) & (rings[:, None, 1] > self.ring[:, 0])
        pieces, bodies = np.nonzero(meet)
        return pieces, bodies


def legs_to_try(way: Way, stage: Stage, tool: Tool, first: int) -> tuple[LegRows, ...] | None:
    """Return the legs of a stage; nothing when the tool has no such stage.

    Args:
        way: how the bend is made
        stage: when
        tool: on what
        first: number of the tool's first body
    """
    legs = legs_of(stage, way, tool)
    if legs is None:
        return None
    found = []
    for leg in legs:
        chosen = [(i, b) for i, b in enumerate(way.set_up.bodies) if b.role in leg.roles]
        if chosen:
            found.append(
                _leg_rows(leg, way, [i + first for i, _ in chosen], [b for _, b in chosen])
            )
    return tuple(found)


def _leg_rows(leg: Leg, way: Way, numbers: Sequence[int], bodies: Sequence[Body]) -> LegRows:
    stroke = way.stroke
    box = about = None
    if leg.kind in (Kind.REST, Kind.WITH_LEAF):
        reach = 0.0
        if leg.kind is Kind.WITH_LEAF:
            reach = 1.6 * stroke.allowance + 2 * stroke.thickness + stroke.hinge
            reach *= stroke.angle
        box = np.array(
            [(*(b.corners.min(axis=0) - reach), *(b.corners.max(axis=0) + reach)) for b in bodies]
        )
    else:
        room, center = 1.6 * stroke.allowance + stroke.thickness + 2 * stroke.opening, np.zeros(2)
        if leg.kind is Kind.LEAF_COMES:
            # Rings about the hinge lie within those about the origin, widened by its distance.
            room, center = stroke.hinge, np.array((stroke.hinge, 0.0))
        about = np.concatenate([ring((b.corners - center)[None]) for b in bodies])
        about += np.array((-room, room))
    return LegRows(
        leg=leg,
        body=np.array(numbers, dtype=np.int64),
        box=box,
        ring=about,
        sinks=np.array([b.role is Role.DIE for b in bodies]).astype(np.int64),
        run=np.array([b.role in (Role.RUN, Role.BOARD) and not leg.whole for b in bodies]),
        stretch=np.array([b.along(way.lay.middle) for b in bodies]),
    )


def rows_to_try(
    way: Way, stage: Stage, legs: Sequence[LegRows], pool: Pool, rows: Ints
) -> list[Trial]:
    """Return what has to be tried of some rows of a pool.

    Args:
        way: how the bend is made
        stage: when
        legs: of the stage
        pool: the pieces
        rows: numbers of its rows
    """
    if stage in OUTS:
        points, low, high = (v[rows] for v in pool.finished(way))
        # Bending moves points to or from the origin by no more than that.
        more = 1.6 * way.stroke.allowance + way.stroke.thickness
        rings = pool.ring[rows] + np.array((-more, more))
    else:
        points, rings = pool.points[rows], pool.ring[rows]
        low, high = pool.low[rows, 1:], pool.high[rows, 1:]
        if way.set_up.share < 1.0 and stage is not Stage.STROKE:
            # The punch stands over the bend's middle.
            middle = np.array((0.0, -way.stroke.allowance / 2, 0.0))
            points, low, high = points + middle, low + middle[1:], high + middle[1:]
    held, near = pool.held[rows], pool.near[rows]
    # The leaf leaves the part when it has sprung back.
    span = way.lay.first.angle if stage in OUTS else way.stroke.angle
    numbers = np.array([Motions.row(way.stroke, False), Motions.row(way.stroke, True)])
    found: list[Trial] = []
    for of_leg in legs:
        leg = of_leg.leg
        chosen = np.flatnonzero(_asked(leg, held, near))
        if not len(chosen):
            continue
        shift = np.array(leg.shift)
        row, body = of_leg.near(low[chosen] + shift, high[chosen] + shift, rings[chosen])
        n = len(row)
        if not n:
            continue
        found.append(
            Trial(
                points=points[chosen[row]] + np.array((0.0, *leg.shift)),
                body=of_leg.body[body],
                kind=np.full(n, int(leg.kind)),
                numbers=numbers[of_leg.sinks[body]],
                span=np.full(n, 0.0 if leg.kind is Kind.REST else span),
                way=np.broadcast_to(np.array(leg.way), (n, 2)),
                run=of_leg.run[body],
                stretch=of_leg.stretch[body],
                source=rows[chosen[row]],
            )
        )
    return found


def _asked(leg: Leg, held: Bools, near: Bools) -> Bools:
    result: Bools = (held & leg.held & (leg.near_held | ~near)) | (
        ~held & leg.free & (leg.near_free | ~near)
    )
    return result
