"""What hits what, where and by how much, for one way in one state of the part."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from blankwright.bending.motion import Motions
from blankwright.bending.shadows import cut_shadows, shadows, swept
from blankwright.bending.stages import Stage
from blankwright.bending.state_tables import Tables
from blankwright.bending.sweep import meets
from blankwright.bending.trials import cover_of
from blankwright.bending.ways import Way

_FAR = 1e6
"""Longer than any tool [mm]."""


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
    rows = pool.rows_of(pool.slots_of(np.array([mask]))[:, 0])
    found: dict[tuple[str, str], Clash] = {}
    c0, c1 = cover_of(way, tables.tools[way.tool])
    for trial in tables.trials(way, stage, rows):
        stretch = np.clip(trial.stretch, -_FAR, _FAR)
        cover = (np.where(trial.run, c0, stretch[:, 0]), np.where(trial.run, c1, stretch[:, 1]))
        moves, short = trial.way.any(axis=1), trial.run | np.isfinite(trial.stretch[:, 0])
        for run, goes in itertools.product((True, False), (True, False)):
            some = np.flatnonzero((short == run) & (moves == goes))
            if not len(some):
                continue
            part = trial.take(some)
            if run:
                shadow, there = cut_shadows(part.points, cover[0][some], cover[1][some])
                some, part, shadow = some[there], part.take(there), shadow.take(there)
            else:
                shadow = shadows(part.points)
            if goes:
                shadow = swept(shadow, part.way)
            motions = Motions(kind=part.kind, numbers=part.numbers)
            hit, at, deep = meets(
                shadow, tables.sections, part.body, motions, part.span, tables.slack
            )
            for i in np.flatnonzero(hit):
                place = pool.places[int(pool.place[part.source[i]])]
                body = tables.bodies[int(part.body[i])].name
                xs = part.points[i, :, 0]
                low, high = max(xs.min(), cover[0][some[i]]), min(xs.max(), cover[1][some[i]])
                clash = Clash(
                    place=place,
                    body=body,
                    stage=stage,
                    angle=float(at[i]),
                    depth=float(deep[i]),
                    along=(float(low), float(high)),
                )
                old = found.get((place, body))
                if old is None or old.depth < clash.depth:
                    found[place, body] = clash
    return tuple(sorted(found.values(), key=lambda c: (-c.depth, c.place, c.body)))
