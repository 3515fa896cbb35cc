"""Which pieces of the part meet a tool, for each state of the bends that their place hangs on.

For each way to make a bend and each stage of it (putting in, the stroke, taking out) a table has
one row a slot (see `pool`). A row says whether the piece meets something that runs the whole
length, or the bar where it must be; else how far the bar may reach at each end of the bend. Rows
are worked out when first asked for, those of all ways in one go.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from blankwright.bending.motion import Bools, Ints, Kind, Motions
from blankwright.bending.pool import Pool, PoolRows, ring
from blankwright.bending.sections import Body, Role
from blankwright.bending.stages import OUTS, Leg, Stage, legs_of
from blankwright.bending.sweep import (
    SLACK,
    Sections,
    Shadows,
    cut_shadows,
    meets,
    play,
    shadows,
    swept,
)
from blankwright.bending.tools import Tool
from blankwright.bending.trials import Trial, by_sides, cover_of, finished
from blankwright.bending.ways import Lay, Way
from blankwright.geom.pose import Array

_STRIPS = 8
"""A piece that meets the bar beside the bend is cut into so many stretches to see how near."""

_AT_ONCE = 30_000
"""So many rows are tried in one go, about."""

_NARROW = 4.0
"""A piece whose stretch is no wider than this is not cut: all of it counts [mm]."""


@dataclass(eq=False)
class Table:
    """Rows of one way and stage; all of shape (slots,).

    Args:
        known: whether a slot has been worked out
        hit: whether its pieces meet something
        left: the bar must stay right of this [mm]
        right: the bar must stay left of this [mm]
    """

    known: Bools
    hit: Bools
    left: Array
    right: Array

    @classmethod
    def empty(cls, slots: int) -> Table:
        """Return a table with nothing known."""
        return cls(
            known=np.zeros(slots, dtype=bool),
            hit=np.zeros(slots, dtype=bool),
            left=np.full(slots, -np.inf),
            right=np.full(slots, np.inf),
        )


class Tables:
    """All tables of a part and a shop.

    Args:
        ways: every way to make every bend
        tools: the shop's
    """

    def __init__(self, ways: Sequence[Way], tools: Sequence[Tool]) -> None:
        self.ways = ways
        self.tools = tools
        self.slack = play(ways[0].stroke.thickness) if ways else SLACK
        self._pools: dict[int, Pool] = {}
        self._tables: dict[tuple[int, Stage], Table] = {}
        self._legs: dict[tuple[int, Stage], tuple[Leg, ...] | None] = {}

    @cached_property
    def _first_body(self) -> tuple[dict[int, int], list[Body]]:
        first: dict[int, int] = {}
        bodies: list[Body] = []
        for way in self.ways:
            if id(way.set_up) not in first:
                first[id(way.set_up)] = len(bodies)
                bodies += way.set_up.bodies
        return first, bodies

    @property
    def bodies(self) -> list[Body]:
        """Bodies of all set-ups."""
        return self._first_body[1]

    @cached_property
    def sections(self) -> Sections:
        """Their sections."""
        return Sections.of([body.corners for body in self.bodies])

    def pool(self, lay: Lay) -> Pool:
        """Return the pieces in a lay."""
        if id(lay) not in self._pools:
            self._pools[id(lay)] = Pool(lay)
        return self._pools[id(lay)]

    def has(self, way: Way, stage: Stage) -> bool:
        """Say whether a way's tool has a stage."""
        return self._legs_of(way, stage) is not None

    def table(self, way: Way, stage: Stage) -> Table:
        """Return a table, perhaps with little known yet."""
        key, slots = (way.number, stage), self.pool(way.lay).slots
        if key not in self._tables:
            self._tables[key] = Table.empty(slots)
        table = self._tables[key]
        if len(table.known) < slots:
            more = Table.empty(slots - len(table.known))
            for name in ("known", "hit", "left", "right"):
                setattr(table, name, np.append(getattr(table, name), getattr(more, name)))
        return table

    def learn(self, wanted: Sequence[tuple[Way, Stage, Bools]]) -> None:
        """Work out slots; each wanted is a way, a stage, and which slots; shape (slots,)."""
        trials: list[Trial] = []
        owners: list[tuple[Way, Table, PoolRows]] = []
        count = 0
        for way, stage, need in wanted:
            table = self.table(way, stage)
            new = need & ~table.known
            if not new.any():
                continue
            table.known[new] = True
            rows = self.pool(way.lay).rows(new)
            for trial in self.trials(way, stage, rows, new):
                trials.append(trial)
                owners.append((way, table, rows))
                count += len(trial)
            if count > _AT_ONCE:
                self._try_all(trials, owners)
                trials, owners, count = [], [], 0
        if trials:
            self._try_all(trials, owners)

    def _legs_of(self, way: Way, stage: Stage) -> tuple[Leg, ...] | None:
        key = (way.number, stage)
        if key not in self._legs:
            self._legs[key] = legs_of(stage, way, self.tools[way.tool])
        return self._legs[key]

    def trials(self, way: Way, stage: Stage, rows: PoolRows, need: Bools) -> list[Trial]:
        """Return what has to be tried for some slots; shape of `need`: (slots,)."""
        legs = self._legs_of(way, stage)
        assert legs is not None
        index = np.flatnonzero(need[rows.slot])
        points = rows.points[index]
        held, near = rows.held[index], rows.near[index]
        if stage in OUTS:
            points = finished(points, held, way)
            low, high = points[:, :, 1:].min(axis=1), points[:, :, 1:].max(axis=1)
            # Bending moves points to or from the origin by no more than that.
            more = 1.6 * way.stroke.allowance + way.stroke.thickness
            rings = rows.ring[index] + np.array((-more, more))
        elif way.set_up.share < 1.0 and stage is not Stage.STROKE:
            # The punch stands over the bend's middle.
            middle = np.array((0.0, -way.stroke.allowance / 2, 0.0))
            points = points + middle
            low, high = rows.low[index, 1:] + middle[1:], rows.high[index, 1:] + middle[1:]
            rings = rows.ring[index]
        else:
            low, high = rows.low[index, 1:], rows.high[index, 1:]
            rings = rows.ring[index]
        first = self._first_body[0][id(way.set_up)]
        # The leaf leaves the part when it has sprung back.
        span = way.lay.first.angle if stage in OUTS else way.stroke.angle
        found: list[Trial] = []
        for leg in legs:
            bodies = [
                first + i for i, body in enumerate(way.set_up.bodies) if body.role in leg.roles
            ]
            side = (held & leg.held & (leg.near_held | ~near)) | (
                ~held & leg.free & (leg.near_free | ~near)
            )
            if not bodies or not side.any():
                continue
            chosen = np.flatnonzero(side)
            shift = np.array(leg.shift)
            box = (low[chosen] + shift, high[chosen] + shift)
            pairs = self._near_pairs(box, rings[chosen], leg, np.array(bodies), way)
            if not len(pairs):
                continue
            row, body = pairs[:, 0], pairs[:, 1]
            n = len(row)
            sink = self._is_role(Role.DIE)[body]
            numbers = np.array([Motions.row(way.stroke, False), Motions.row(way.stroke, True)])
            found.append(
                Trial(
                    points=points[chosen[row]] + np.array((0.0, *leg.shift)),
                    body=body,
                    kind=np.full(n, int(leg.kind)),
                    numbers=numbers[sink.astype(int)],
                    span=np.full(n, 0.0 if leg.kind is Kind.REST else span),
                    way=np.broadcast_to(np.array(leg.way), (n, 2)),
                    run=(self._is_role(Role.RUN) | self._is_role(Role.BOARD))[body]
                    & (not leg.whole),
                    source=index[chosen][row],
                )
            )
        return found

    def _near_pairs(
        self,
        box: tuple[Array, Array],
        rings: Array,
        leg: Leg,
        bodies: Ints,
        way: Way,
    ) -> Ints:
        """Return pairs (row, body) that can meet, by boxes or by rings about the bend."""
        q = self.sections.points[bodies]
        stroke = way.stroke
        if leg.kind in (Kind.REST, Kind.WITH_LEAF):
            reach = 0.0
            if leg.kind is Kind.WITH_LEAF:
                reach = 1.6 * stroke.allowance + 2 * stroke.thickness + stroke.hinge
                reach *= stroke.angle
            shift = np.array(leg.way)
            low, high = np.minimum(box[0], box[0] + shift), np.maximum(box[1], box[1] + shift)
            q_low, q_high = q.min(axis=1) - reach, q.max(axis=1) + reach
            meet = (low[:, None] < q_high[None]).all(axis=2) & (high[:, None] > q_low[None]).all(
                axis=2
            )
        else:
            room = 1.6 * stroke.allowance + stroke.thickness + 2 * stroke.opening
            center = np.zeros(2)
            if leg.kind is Kind.LEAF_COMES:
                # Rings about the hinge lie within those about the origin, widened by its distance.
                room, center = stroke.hinge, np.array((stroke.hinge, 0.0))
            of_q = ring(q - center)
            meet = (rings[:, None, 0] < of_q[None, :, 1] + room) & (
                rings[:, None, 1] > of_q[None, :, 0] - room
            )
        rows, which = np.nonzero(meet)
        return np.column_stack((rows, bodies[which]))

    def _try_all(
        self, trials: Sequence[Trial], owners: Sequence[tuple[Way, Table, PoolRows]]
    ) -> None:
        """Try rows, the quick kinds first: a slot that meets something isn't tried further."""
        trial = Trial.join(trials)
        owner = np.repeat(np.arange(len(trials)), [len(t) for t in trials])
        rests = trial.kind == Kind.REST
        for some in (rests, ~rests & ~trial.run, ~rests & trial.run):
            rows = np.flatnonzero(some)
            ends = np.searchsorted(owner[rows], np.arange(len(owners) + 1))
            spans = [slice(int(a), int(b)) for a, b in itertools.pairwise(ends)]
            slot = np.empty(len(rows), dtype=np.int64)
            open_ = np.ones(len(rows), dtype=bool)
            for (_, table, pool), span in zip(owners, spans, strict=True):
                slot[span] = pool.slot[trial.source[rows[span]]]
                open_[span] = ~table.hit[slot[span]]
            rows, slot = rows[open_], slot[open_]
            if not len(rows):
                continue
            cover = np.array([cover_of(way, self.tools[way.tool]) for way, _, _ in owners])
            hit, left, right = self._try(trial.take(rows), cover[owner[rows]])
            ends = np.searchsorted(owner[rows], np.arange(len(owners) + 1))
            for (_, table, _), (a, b) in zip(owners, itertools.pairwise(ends), strict=True):
                np.logical_or.at(table.hit, slot[a:b], hit[a:b])
                np.maximum.at(table.left, slot[a:b], left[a:b])
                np.minimum.at(table.right, slot[a:b], right[a:b])

    def _try(self, trial: Trial, cover: Array) -> tuple[Bools, Array, Array]:
        """Return which rows meet something, and what they leave for the bar at either side."""
        hit = self._meets_whole(trial)
        left, right = np.full(len(trial), -np.inf), np.full(len(trial), np.inf)
        # What meets only the bar meets it where the bar must be, or beside that.
        part = np.flatnonzero(hit & trial.run)
        if not len(part):
            return hit, left, right
        sub = trial.take(part)
        c0, c1 = cover[part, 0], cover[part, 1]
        hit[part] = self._meets_cut(sub, c0, c1)
        x0, x1 = sub.points[:, :, 0].min(axis=1), sub.points[:, :, 0].max(axis=1)
        for side, bound in ((-1, left), (1, right)):
            beside = (x0 < c0) if side < 0 else (x1 > c1)
            which = np.flatnonzero(beside & ~hit[part])
            if len(which):
                begin = x0[which] if side < 0 else np.maximum(c1[which], x0[which])
                end = np.minimum(c0[which], x1[which]) if side < 0 else x1[which]
                bound[part[which]] = self._nearest(sub.take(which), begin, end, side)
        return hit, left, right

    def _is_role(self, role: Role) -> Bools:
        return np.array([body.role is role for body in self.bodies])

    def _meets_whole(self, trial: Trial) -> Bools:
        hit = np.zeros(len(trial), dtype=bool)
        for some, points in by_sides(trial):
            hit[some] = self._meets(shadows(points), trial.take(some))
        return hit

    def _meets_cut(self, trial: Trial, least: Array, most: Array) -> Bools:
        hit = np.zeros(len(trial), dtype=bool)
        x0, x1 = trial.points[:, :, 0].min(axis=1), trial.points[:, :, 0].max(axis=1)
        inside = (x0 >= least) & (x1 <= most)
        some = np.flatnonzero(inside)
        if len(some):
            hit[some] = self._meets_whole(trial.take(some))
        some = np.flatnonzero(~inside & (x1 > least + 1e-9) & (x0 < most - 1e-9))
        sub = trial.take(some)
        for rows, points in by_sides(sub):
            cut, there = cut_shadows(points, least[some[rows]], most[some[rows]])
            kept = np.flatnonzero(there)
            if len(kept):
                hit[some[rows[kept]]] = self._meets(cut.take(kept), sub.take(rows[kept]))
        return hit

    def _meets(self, shadow: Shadows, trial: Trial) -> Bools:
        hit = np.zeros(len(trial), dtype=bool)
        goes = (trial.way != 0).any(axis=1)
        for some, moves in ((np.flatnonzero(goes), True), (np.flatnonzero(~goes), False)):
            if not len(some):
                continue
            part = shadow.take(some)
            if moves:
                part = swept(part, trial.way[some])
            motions = Motions(kind=trial.kind[some], numbers=trial.numbers[some])
            hit[some] = meets(
                part, self.sections, trial.body[some], motions, trial.span[some], self.slack
            )[0]
        return hit

    def _nearest(self, trial: Trial, begin: Array, end: Array, side: int) -> Array:
        """Return where a piece beside the bend begins to meet the bar, seen from the bend [mm]."""
        bound = np.full(len(trial), -np.inf if side < 0 else np.inf)
        met = np.flatnonzero(self._meets_cut(trial, begin, end))
        if not len(met):
            return bound
        narrow = end[met] - begin[met] <= _NARROW
        bound[met[narrow]] = end[met[narrow]] if side < 0 else begin[met[narrow]]
        met = met[~narrow]
        if not len(met):
            return bound
        steps = np.arange(_STRIPS)
        width = (end[met] - begin[met]) / _STRIPS
        rows = np.repeat(met, _STRIPS)
        low = (begin[met, None] + steps * width[:, None]).ravel()
        high = low + np.repeat(width, _STRIPS)
        hit = self._meets_cut(trial.take(rows), low, high).reshape(-1, _STRIPS)
        # Rounding may clear every stretch of a piece that just touches: then all of it counts.
        hit[~hit.any(axis=1)] = True
        if side < 0:
            last = _STRIPS - 1 - np.argmax(hit[:, ::-1], axis=1)
            bound[met] = begin[met] + (last + 1) * width
        else:
            bound[met] = begin[met] + np.argmax(hit, axis=1) * width
        return bound
