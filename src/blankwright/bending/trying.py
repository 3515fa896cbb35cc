"""Trying rows: which pieces meet their bodies, and how far a bar may reach beside a bend."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from blankwright.bending.motion import Bools, Motions
from blankwright.bending.shadows import Sections, Shadows, cut_shadows, shadows, swept
from blankwright.bending.sweep import meets
from blankwright.bending.trials import Trial, by_sides
from blankwright.geom.pose import Array

_STRIPS = 8
"""A piece that meets the bar beside the bend is cut into so many stretches to see how near."""

_NARROW = 4.0
"""A piece whose stretch is no wider than this is not cut: all of it counts [mm]."""


@dataclass(frozen=True, eq=False, slots=True)
class Trying:
    """Tries rows against the bodies of a shop.

    Args:
        sections: of the bodies
        slack: running in by less than this is touching [mm]
    """

    sections: Sections
    slack: float

    def tried(self, trial: Trial, cover: Array) -> tuple[Bools, Array, Array]:
        """Return which rows meet something, and what they leave for the bar at either side.

        Args:
            trial: the rows
            cover: from where to where a bar must be, for each; shape (n, 2) [mm]
        """
        hit = np.zeros(len(trial), dtype=bool)
        short = np.isfinite(trial.stretch[:, 0])
        for some, is_short in ((np.flatnonzero(~short), False), (np.flatnonzero(short), True)):
            if len(some):
                sub = trial.take(some)
                ends = sub.stretch
                hit[some] = (
                    self._meets_cut(sub, ends[:, 0], ends[:, 1])
                    if is_short
                    else self._meets_whole(sub)
                )
        left, right = np.full(len(trial), -np.inf), np.full(len(trial), np.inf)
        # What meets only the bar meets it where the bar must be, or beside that.
        part = np.flatnonzero(hit & trial.run)
        if not len(part):
            return hit, left, right
        sub = trial.take(part)
        c0, c1 = cover[part, 0], cover[part, 1]
        hit[part] = self._meets_cut(sub, c0, c1, known=True)
        x0, x1 = sub.points[:, :, 0].min(axis=1), sub.points[:, :, 0].max(axis=1)
        for side, bound in ((-1, left), (1, right)):
            beside = (x0 < c0) if side < 0 else (x1 > c1)
            which = np.flatnonzero(beside & ~hit[part])
            if len(which):
                begin = x0[which] if side < 0 else np.maximum(c1[which], x0[which])
                end = np.minimum(c0[which], x1[which]) if side < 0 else x1[which]
                bound[part[which]] = self._nearest(sub.take(which), begin, end, side)
        return hit, left, right

    def _meets_whole(self, trial: Trial) -> Bools:
        hit = np.zeros(len(trial), dtype=bool)
        for some, points in by_sides(trial):
            hit[some] = self._meets(shadows(points), trial.take(some))
        return hit

    def _meets_cut(self, trial: Trial, least: Array, most: Array, *, known: bool = False) -> Bools:
        """Say which meet within a stretch; `known` tells that each meets somewhere along it."""
        hit = np.zeros(len(trial), dtype=bool)
        x0, x1 = trial.points[:, :, 0].min(axis=1), trial.points[:, :, 0].max(axis=1)
        inside = (x0 >= least) & (x1 <= most)
        some = np.flatnonzero(inside)
        if len(some):
            hit[some] = True if known else self._meets_whole(trial.take(some))
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
