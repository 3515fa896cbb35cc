"""The search's verdicts against a brute-force grid of states, on small random scenes.

The grid shares nothing with the search: the walls are a raster of distances, the part a row of
points on its outline, and the fill goes from cell to neighbouring cell.

* A *cautious* fill goes only through states whose clearance is over the motion to a neighbour:
  the way it finds is a true way, so a proof that there is none would be wrong.
* A *bold* fill goes through every state whose clearance is over minus that motion: where it finds
  no way there is none, so a way would be wrong.
"""

import math
from collections import deque

import numpy as np
import pytest
import shapely

from blankwright.fit.planar import PlanarQuestion, Wall
from blankwright.fit.search import Verdict, search
from blankwright.fit.sweep import Sweep, as_array
from blankwright.fit.way import raw_way
from blankwright.fit.widest import answer

STEP = 0.5
TURN = math.radians(2.0)
MOST = math.radians(70.0)


def scene(seed: int) -> PlanarQuestion:
    """A hooked strip under a wall with a slot, to come out upward."""
    rng = np.random.default_rng(seed)
    slot, post = rng.uniform(3.0, 9.0), rng.uniform(2.0, 6.0)
    stem, hook, back = rng.uniform(5.0, 11.0), rng.uniform(3.0, 8.0), rng.uniform(2.0, 6.0)
    line = [(0.5, 2.5), (0.5, -stem), (0.5 + hook, -stem), (0.5 + hook, -stem + back)]
    part = shapely.LineString(line).buffer(0.75, cap_style="flat", join_style="mitre")
    walls = (
        Wall(name="left", shape=shapely.box(-60, 0, -slot / 2 + 0.5, 1.6)),
        Wall(name="right", shape=shapely.box(slot / 2 + 0.5, 0, 60, 1.6)),
        Wall(name="post", shape=shapely.box(slot / 2 + 0.5, 1.6, slot / 2 + 2.1, 1.6 + post)),
        Wall(name="floor", shape=shapely.box(-60, -16.5, 60, -15)),
    )
    return PlanarQuestion(
        part=part,
        walls=walls,
        side=(0.0, 1.0),
        most_turn=MOST,
        window=(-60, -16.5, 60, 1.6 + post),
    )


def fill(question: PlanarQuestion, bold: bool) -> bool:
    # Half the motion between neighbours along the worst axis, and the raster's own error.
    motion = max(STEP, question.reach * TURN) / 2 + 0.36
    solid = shapely.union_all([w.shape for w in question.far_walls])
    pitch = 0.25
    x0, y0, x1, y1 = -40.0, -18.0, 40.0, 40.0
    xs, ys = np.arange(x0, x1, pitch), np.arange(y0, y1, pitch)
    gx, gy = np.meshgrid(xs, ys, indexing="ij")
    points = shapely.points(gx, gy)
    inside = shapely.contains(solid, points)
    depth = shapely.distance(points, solid.boundary)
    raster = np.where(inside, -depth, depth)
    ring = question.part.exterior
    rim = np.array([ring.interpolate(d).coords[0] for d in np.arange(0, ring.length, 0.35)])
    rim = rim - np.array(question.middle)
    cx = np.arange(-12.0, 12.0 + 1e-9, STEP)
    cy = np.arange(-14.0, 20.0 + 1e-9, STEP)
    turns = np.arange(-int(MOST / TURN), int(MOST / TURN) + 1) * TURN
    free = np.zeros((len(turns), len(cx), len(cy)), dtype=bool)
    for t, turn in enumerate(turns):
        c, s = math.cos(turn), math.sin(turn)
        px = c * rim[:, 0] - s * rim[:, 1]
        py = s * rim[:, 0] + c * rim[:, 1]
        least = np.full((len(cx), len(cy)), np.inf)
        for dx, dy in zip(px, py, strict=True):
            i = np.clip(np.rint((cx + dx - x0) / pitch).astype(int), 0, len(xs) - 1)
            j = np.clip(np.rint((cy + dy - y0) / pitch).astype(int), 0, len(ys) - 1)
            np.minimum(least, raster[np.ix_(i, j)], out=least)
        free[t] = least > (-motion if bold else motion)
    start = (
        int(np.argmin(abs(turns))),
        int(np.argmin(abs(cx - question.middle[0]))),
        int(np.argmin(abs(cy - question.middle[1]))),
    )
    queue, seen = deque([start]), {start}
    if not free[start]:
        # Cautious: the rest itself is too near to a wall to say anything.
        return bold
    while queue:
        t, i, j = queue.popleft()
        if cy[j] > question.bounds[3] + question.reach:
            return True
        for a, b, c in ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)):
            n = (t + a, i + b, j + c)
            if n not in seen and all(0 <= v < m for v, m in zip(n, free.shape, strict=True)):
                seen.add(n)
                if free[n]:
                    queue.append(n)
    return False


SEEDS = range(16)


@pytest.mark.slow
def test_verdicts_agree_with_the_grid() -> None:
    verdicts = {}
    for seed in SEEDS:
        question = scene(seed)
        found = search(question)
        verdicts[seed] = found.verdict
        if found.verdict is Verdict.NO_WAY:
            assert not fill(question, bold=False), seed
        elif found.verdict is Verdict.WAY:
            sweep = Sweep(question)
            # The first stretch leaves a rest that may touch, to within the seat.
            states = as_array(raw_way(question, found.chain))[1:]
            assert sweep.least(states).surely > -0.001, seed
    # The scenes must ask both kinds of question, and leave few undecided.
    assert sum(v is Verdict.WAY for v in verdicts.values()) >= 5
    assert sum(v is Verdict.NO_WAY for v in verdicts.values()) >= 5
    assert sum(v is Verdict.UNDECIDED for v in verdicts.values()) <= 1


@pytest.mark.slow
def test_no_way_is_found_where_a_bold_grid_has_none() -> None:
    told = 0
    for seed in SEEDS:
        question = scene(seed)
        if not fill(question, bold=True):
            told += 1
            assert search(question).verdict is Verdict.NO_WAY, seed
    assert told >= 1


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, 4, 27, 41, 118])
def test_roomiest_ways_stand_up_to_the_sweep(seed: int) -> None:
    # `answer` raises OurBug where search and sweep differ. Seeds 0, 27 and 118 once did: edges
    # parallel but for rounding were counted twice.
    found = answer(scene(seed))
    assert found.found.verdict is Verdict.WAY
    assert found.way is not None
    assert found.way.under_way.least > -0.002
    assert found.kept <= found.none_at
