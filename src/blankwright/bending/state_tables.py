"""Which pieces of the part meet a tool, for each state of the bends that their place hangs on.

For each way to make a bend and each stage of it (putting in, the stroke, taking out) a table has
one row a slot (see `pool`). A row says whether the piece meets something that runs the whole
length, or the bar where it must be; else how far the bar may reach at each end of the bend. Rows
are worked out when first asked for, those of all ways in one go.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np

from blankwright.bending.motion import Bools, Ints, Kind, Motions
from blankwright.bending.pool import Pool, PoolRows, ring
from blankwright.bending.sections import Body, Role
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
from blankwright.bending.tools import HandBlock, Tool
from blankwright.bending.ways import Lay, Way
from blankwright.geom.pose import Array

FAR = 5000.0
"""Out of the tool's reach [mm]."""

_STRIPS = 8
"""A piece that meets the bar beside the bend is cut into so many stretches to see how near."""

_NARROW = 4.0
"""A piece whose stretch is no wider than this is not cut: all of it counts [mm]."""

_FEW = (4, 6)
"""Pieces are worked on together by their number of sides: up to these, and more."""


class Stage(Enum):
    """A stage of making a bend; the value is how a card words it."""

    STROKE = "the bend"
    IN_FRONT = "in from the front"
    IN_FRONT_LIFTED = "in from the front, bar lifted"
    IN_END = "in from the end"
    IN_BEHIND = "in from behind, bar lifted"
    IN_BACK = "block let down behind the bend and brought forward"
    IN_FAR_BACK = "block let down well behind the bend and brought forward"
    OUT_FRONT = "out to the front"
    OUT_FRONT_LIFTED = "bar lifted, out to the front"
    OUT_END = "off the end"
    OUT_BEHIND = "bar lifted, out behind"
    OUT_BACK = "block drawn back, then lifted"
    OUT_FAR_BACK = "block drawn well back, then lifted"


INS = (
    Stage.IN_FRONT,
    Stage.IN_FRONT_LIFTED,
    Stage.IN_END,
    Stage.IN_BEHIND,
    Stage.IN_BACK,
    Stage.IN_FAR_BACK,
)
OUTS = (
    Stage.OUT_FRONT,
    Stage.OUT_FRONT_LIFTED,
    Stage.OUT_END,
    Stage.OUT_BEHIND,
    Stage.OUT_BACK,
    Stage.OUT_FAR_BACK,
)
_BACK = {
    Stage.IN_BACK: 15.0,
    Stage.OUT_BACK: 15.0,
    Stage.IN_FAR_BACK: 30.0,
    Stage.OUT_FAR_BACK: 30.0,
}
"""How far a loose block is drawn back before it is lifted [mm]."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class _Leg:
    """One leg of a stage: how the part moves as seen from some of the bodies.

    Args:
        roles: the bodies' roles
        kind: turn, by `Kind`
        shift: where the part is when the leg begins (y, z) [mm]
        way: where it goes from there [mm]
        whole: whether the bar counts as if it ran the whole length
        free: whether the free side is tried
        held: whether the held side is tried
        near_free: whether the flat of the free side at the bend is tried too
        near_held: whether that of the held side is
    """

    roles: tuple[Role, ...]
    kind: Kind = Kind.REST
    shift: tuple[float, float] = (0.0, 0.0)
    way: tuple[float, float] = (0.0, 0.0)
    whole: bool = False
    free: bool = True
    held: bool = True
    near_free: bool = True
    near_held: bool = True


_LIFTS = (Role.RUN, Role.BEAM)


def legs_of(stage: Stage, way: Way, tool: Tool) -> tuple[_Leg, ...] | None:
    """Return the legs of a stage; nothing when the tool has no such stage."""
    press = way.set_up.share < 1.0
    lift = way.set_up.lift
    if stage is Stage.STROKE:
        return _press_stroke() if press else _leaf_stroke()
    out = stage in OUTS
    retreat = (
        (_Leg(roles=(Role.LEAF,), kind=Kind.LEAF_COMES, near_free=False),)
        if out and not press
        else ()
    )
    loose = isinstance(tool, HandBlock)
    if stage in _BACK or (loose and stage in (Stage.IN_FRONT_LIFTED, Stage.OUT_FRONT_LIFTED)):
        return _loose(_BACK.get(stage, 0.0), lift) if loose else None
    if stage in (Stage.IN_END, Stage.OUT_END):
        if not tool.ends_open:
            return None
        return (*retreat, _Leg(roles=_LIFTS, whole=True))
    if stage in (Stage.IN_FRONT, Stage.OUT_FRONT):
        if press:
            return None
        still = (Role.BED, Role.BOARD, Role.LEAF)
        return (*retreat, _Leg(roles=(*_LIFTS, *still), way=(FAR, 0.0)))
    if stage in (Stage.IN_BEHIND, Stage.OUT_BEHIND) and not tool.behind_open:
        return None
    to = FAR if stage in (Stage.IN_FRONT_LIFTED, Stage.OUT_FRONT_LIFTED) else -FAR
    raised = way.set_up.opening / 2 + 2.0 if press and out else 0.0
    return (
        *retreat,
        _Leg(roles=_LIFTS, way=(0.0, -lift)),
        _Leg(roles=_LIFTS, shift=(0.0, raised - lift), way=(to, 0.0)),
        _Leg(roles=(Role.BED, Role.BOARD, Role.LEAF, Role.DIE), shift=(0.0, raised), way=(to, 0.0)),
    )


def _loose(back: float, lift: float) -> tuple[_Leg, ...]:
    """Take a loose block back and up, and the board down."""
    legs = [_Leg(roles=(Role.BOARD,), way=(0.0, lift))]
    if back:
        legs.append(_Leg(roles=_LIFTS, way=(back, 0.0)))
    return (*legs, _Leg(roles=_LIFTS, shift=(back, 0.0), way=(0.0, -lift)))


def _leaf_stroke() -> tuple[_Leg, ...]:
    stay = (Role.RUN, Role.BEAM, Role.BED, Role.BOARD)
    return (
        _Leg(roles=stay, free=False),
        _Leg(roles=stay, kind=Kind.SWING, held=False),
        _Leg(roles=(Role.LEAF,), kind=Kind.LEAF_COMES, free=False),
        _Leg(roles=(Role.LEAF,), kind=Kind.WITH_LEAF, held=False, near_free=False),
    )


def _press_stroke() -> tuple[_Leg, ...]:
    return (
        _Leg(roles=_LIFTS, kind=Kind.SWING_HELD, free=False),
        _Leg(roles=_LIFTS, kind=Kind.SWING, held=False),
        _Leg(roles=(Role.DIE,), kind=Kind.SWING_HELD, free=False, near_held=False),
        _Leg(roles=(Role.DIE,), kind=Kind.SWING, held=False, near_free=False),
    )


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


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Trial:
    """Rows to be tried: pieces against bodies, each in a motion.

    Args:
        points: shape (n, 2k, 3) [mm]
        body: number of the body in `Tables.bodies`
        kind: `Kind` of each
        numbers: see `Motions`
        span: angle that each motion goes up to [rad]
        way: straight shift that each sweeps (y, z); shape (n, 2) [mm]
        run: whether the body is only as long as was set up
        source: number of the row in the pool
    """

    points: Array
    body: Ints
    kind: Ints
    numbers: Array
    span: Array
    way: Array
    run: Bools
    source: Ints

    def take(self, rows: Ints | Bools) -> Trial:
        """Return some of them."""
        return Trial(
            points=self.points[rows],
            body=self.body[rows],
            kind=self.kind[rows],
            numbers=self.numbers[rows],
            span=self.span[rows],
            way=self.way[rows],
            run=self.run[rows],
            source=self.source[rows],
        )

    @staticmethod
    def join(trials: Sequence[Trial]) -> Trial:
        """Return all of several."""
        return Trial(
            points=np.concatenate([t.points for t in trials]),
            body=np.concatenate([t.body for t in trials]),
            kind=np.concatenate([t.kind for t in trials]),
            numbers=np.concatenate([t.numbers for t in trials]),
            span=np.concatenate([t.span for t in trials]),
            way=np.concatenate([t.way for t in trials]),
            run=np.concatenate([t.run for t in trials]),
            source=np.concatenate([t.source for t in trials]),
        )

    def __len__(self) -> int:
        return len(self.body)


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
        self._legs: dict[tuple[int, Stage], tuple[_Leg, ...] | None] = {}

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
        key = (way.number, stage)
        if key not in self._tables:
            self._tables[key] = Table.empty(self.pool(way.lay).slots)
        return self._tables[key]

    def learn(self, wanted: Sequence[tuple[Way, Stage, Bools]]) -> None:
        """Work out slots; each wanted is a way, a stage, and which slots; shape (slots,)."""
        trials: list[Trial] = []
        owners: list[tuple[Way, Table, PoolRows]] = []
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
        if not trials:
            return
        whole = Trial.join(trials)
        owner = np.repeat(np.arange(len(trials)), [len(t) for t in trials])
        self._try_all(whole, owner, owners)

    def _legs_of(self, way: Way, stage: Stage) -> tuple[_Leg, ...] | None:
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
            rings = ring(points[:, :, 1:])
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
            pairs = self._near_pairs(points[chosen], box, rings[chosen], leg, np.array(bodies), way)
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
        points: Array,
        box: tuple[Array, Array],
        rings: Array,
        leg: _Leg,
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
                room, center = 0.0, np.array((stroke.hinge, 0.0))
                rings = ring(points[:, :, 1:] - center)
            of_q = ring(q - center)
            meet = (rings[:, None, 0] < of_q[None, :, 1] + room) & (
                rings[:, None, 1] > of_q[None, :, 0] - room
            )
        rows, which = np.nonzero(meet)
        return np.column_stack((rows, bodies[which]))

    def _try_all(
        self, trial: Trial, owner: Ints, owners: Sequence[tuple[Way, Table, PoolRows]]
    ) -> None:
        run = trial.run
        cover = np.array([cover_of(way, self.tools[way.tool]) for way, _, _ in owners])
        ends = np.searchsorted(owner, np.arange(len(owners) + 1))
        hit = np.zeros(len(trial), dtype=bool)
        full = np.flatnonzero(~run)
        if len(full):
            hit[full] = self._meets_whole(trial.take(full))
        part = np.flatnonzero(run)
        left, right = np.full(len(trial), -np.inf), np.full(len(trial), np.inf)
        if len(part):
            sub = trial.take(part)
            c0, c1 = cover[owner[part], 0], cover[owner[part], 1]
            hit[part] = self._meets_cut(sub, c0, c1)
            clear = ~hit[part]
            x0 = sub.points[:, :, 0].min(axis=1)
            x1 = sub.points[:, :, 0].max(axis=1)
            for side, bound in ((-1, left), (1, right)):
                beside = clear & ((x0 < c0) if side < 0 else (x1 > c1))
                which = np.flatnonzero(beside)
                if not len(which):
                    continue
                begin = x0[which] if side < 0 else np.maximum(c1[which], x0[which])
                end = np.minimum(c0[which], x1[which]) if side < 0 else x1[which]
                bound[part[which]] = self._nearest(sub.take(which), begin, end, side)
        for i, (_, table, rows) in enumerate(owners):
            mine = slice(int(ends[i]), int(ends[i + 1]))
            slot = rows.slot[trial.source[mine]]
            np.logical_or.at(table.hit, slot, hit[mine])
            np.maximum.at(table.left, slot, left[mine])
            np.minimum.at(table.right, slot, right[mine])

    def _is_role(self, role: Role) -> Bools:
        return np.array([body.role is role for body in self.bodies])

    def _meets_whole(self, trial: Trial) -> Bools:
        hit = np.zeros(len(trial), dtype=bool)
        for some, points in _by_sides(trial):
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
        for rows, points in _by_sides(sub):
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


def _by_sides(trial: Trial) -> list[tuple[Ints, Array]]:
    """Return rows by their pieces' number of sides, with no more corners than they need."""
    half = trial.points.shape[1] // 2
    low = trial.points[:, :half]
    # Pieces with fewer sides than there is room for repeat their last corner.
    sides = 1 + (low[:, 1:] != low[:, :-1]).any(axis=2).sum(axis=1)
    found: list[tuple[Ints, Array]] = []
    least = 0
    for most in (*(n for n in _FEW if n < half), half):
        rows = np.flatnonzero((sides > least) & (sides <= most))
        least = most
        if len(rows):
            kept = np.r_[0:most, half : half + most]
            found.append((rows, trial.points[np.ix_(rows, kept)]))
    return found


def cover_of(way: Way, tool: Tool) -> tuple[float, float]:
    """Return the stretch that the bar must cover for a bend [mm]."""
    x0, x1 = way.lay.stretch
    short = min(tool.short, max(0.0, (x1 - x0) / 2 - 1.0))
    return (x0 + short, x1 - short)


def finished(points: Array, held: Bools, way: Way) -> Array:
    """Return pieces with the bend made and sprung back, as they lie when the tool lets go.

    Args:
        points: before the bend; shape (n, 2k, 3) [mm]
        held: whether each is on the held side; shape (n,)
        way: the way it was bent
    """
    bend = way.lay.first
    result = points.copy()
    numbers = np.array([Motions.row(way.stroke, False)])
    kinds = [(~held, Kind.SWING)]
    if way.set_up.share < 1:
        kinds.append((held, Kind.SWING_HELD))
    for some, kind in kinds:
        motions = Motions(kind=np.array([int(kind)]), numbers=numbers)
        cos, sin, dy, dz = (float(v[0]) for v in motions.at(np.array([0]), np.array([bend.angle])))
        y, z = points[some, :, 1], points[some, :, 2]
        result[some, :, 1] = cos * y - sin * z + dy
        result[some, :, 2] = sin * y + cos * z + dz
    return result
