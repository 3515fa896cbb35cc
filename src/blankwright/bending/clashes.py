"""What hits what, where and by how much, for one way in one state of the part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from blankwright.bending.motion import Motions
from blankwright.bending.state_tables import Stage, Tables, cover_of
from blankwright.bending.sweep import cut_shadows, meets, shadows, swept
from blankwright.bending.ways import Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A place of the part that meets a body of the tool.

    Args:
        place: the flat's name or the bend's label
        body: name of the body
        stage: when
        angle: angle bent through then [rad]
        depth: how far it would have to give way [mm]
        along: the stretch along the tool where it is (from, to) [mm]
    """

    place: str
    body: str
    stage: Stage
    angle: float
    depth: float
    along: tuple[float, float]


def clashes_of(tables: Tables, way: Way, stage: Stage, mask: int) -> tuple[Clash, ...]:
    """Return all that meets, the deepest of each place and body, deepest first.

    A piece beside the bend counts only against what runs the whole length; against the bar it
    counts where the bar must be.

    Args:
        tables: the part in the shop
        way: how the bend is made
        stage: when
        mask: bits of the bends made before
    """
    pool = tables.pool(way.lay)
    need = np.zeros(pool.slots, dtype=bool)
    need[pool.slots_of(np.array([mask]))[:, 0]] = True
    rows = pool.rows(need)
    found: dict[tuple[str, str], Clash] = {}
    c0, c1 = cover_of(way, tables.tools[way.tool])
    for trial in tables.trials(way, stage, rows, need):
        n = len(trial)
        least = np.where(trial.run, c0, -np.inf)
        most = np.where(trial.run, c1, np.inf)
        cut, there = cut_shadows(trial.points, np.maximum(least, -1e6), np.minimum(most, 1e6))
        whole = shadows(trial.points)
        for i in range(n):
            if not there[i]:
                continue
            one = np.array([i])
            shadow = cut.take(one) if trial.run[i] else whole.take(one)
            if trial.way[i].any():
                shadow = swept(shadow, trial.way[one])
            motions = Motions(kind=trial.kind[one], numbers=trial.numbers[one])
            hit, at, deep = meets(
                shadow, tables.sections, trial.body[one], motions, trial.span[one], tables.slack
            )
            if not hit[0]:
                continue
            place = pool.places[int(rows.place[trial.source[i]])]
            body = tables.bodies[int(trial.body[i])].name
            xs = trial.points[i, :, 0]
            clash = Clash(
                place=place,
                body=body,
                stage=stage,
                angle=float(at[0]),
                depth=float(deep[0]),
                along=(float(max(xs.min(), least[i])), float(min(xs.max(), most[i]))),
            )
            old = found.get((place, body))
            if old is None or old.depth < clash.depth:
                found[place, body] = clash
    return tuple(sorted(found.values(), key=lambda c: (-c.depth, c.place, c.body)))
