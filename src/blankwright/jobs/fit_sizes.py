"""Which size to change, and the chance that it fits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from blankwright.base.units import degrees
from blankwright.fit.chance import Chance, Varied, chance_of, slopes_of
from blankwright.fit.space import rest_gap
from blankwright.jobs.bending_plan import shop_of
from blankwright.jobs.fit_made import SHOP, as_made, shop_errors
from blankwright.jobs.fit_open import Fit, open_fit
from blankwright.jobs.project import Project
from blankwright.jobs.shop_coupons import coupons_of
from blankwright.part.model import Origin, Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change of one size alone that puts a gap right.

    Args:
        wall: the neighbour
        gap: clearance now [mm]; below zero a squeeze
        wanted: clearance wanted [mm]
        size: the size, such as ``part hook``
        by: how much [mm or rad]
        to: its new value [mm or rad]
        kind: ``length`` or ``angle``
    """

    wall: str
    gap: float
    wanted: float
    size: str
    by: float
    to: float
    kind: str


class Gaps:
    """Measures the gaps at rest anew for changed sizes."""

    def __init__(self, project: Project, place: str, variant: str | None, fit: Fit) -> None:
        self.project = project
        self.place = place
        self.variant = variant
        self.fit = fit
        self.sizes = {f"part {s.name}": s for s in fit.part.sizes if _free(s)}
        self.sizes |= {f"place {s.name}": s for s in fit.place.sizes if _free(s)}
        self.shop = shop_errors(fit.formed.blank, shop_of(project).capability, coupons_of(project))

    def measure(self, changes: Mapping[str, float]) -> Mapping[str, float]:
        """Return the gap to every neighbour [mm] for changes of sizes [mm or rad]."""
        fit = self.fit
        if changes:
            fit = self._changed(changes)
        return {wall.name: rest_gap(fit.solid, wall, fit.collider) for wall in fit.place.solids}

    def _changed(self, changes: Mapping[str, float]) -> Fit:
        """Return part and place with sizes changed, and the part bent with errors."""
        texts: dict[str, dict[str, str]] = {"part": {}, "place": {}}
        errors = {}
        for name, by in changes.items():
            owner, size = name.split(" ", 1)
            if owner == SHOP:
                errors[name] = by
            else:
                texts[owner][size] = _text(self.sizes[name], by)
        fit = self.fit
        if texts["part"] or texts["place"]:
            fit = open_fit(
                self.project,
                self.place,
                variant=self.variant,
                part_sizes=texts["part"],
                place_sizes=texts["place"],
            )
        return Fit(fit.place, fit.part, as_made(fit.formed, errors)) if errors else fit

    def varied(self) -> list[Varied]:
        """Return all sizes with a plus/minus, and what the shop's bending adds."""
        sizes = [
            Varied(name=name, plus_minus=size.plus_minus, kind=size.kind)
            for name, size in self.sizes.items()
            if size.plus_minus
        ]
        return [*sizes, *self.shop]

    def all(self) -> list[Varied]:
        """Return all sizes that can be changed by hand."""
        return [
            Varied(name=name, plus_minus=size.plus_minus or 0.0, kind=size.kind)
            for name, size in self.sizes.items()
        ]


def _free(size: Size) -> bool:
    """Whether a size may be changed by itself: no formula, no drill."""
    return size.kind in ("length", "angle") and size.origin is not Origin.FORMULA


def _text(size: Size, by: float) -> str:
    value = size.value + by
    return f"{value:.9f} mm" if size.kind == "length" else f"{degrees(value):.9f} deg"


def changes_for(gaps: Gaps, within: float = 3.0) -> tuple[Change, ...]:
    """Return the changes of single sizes that put wrong gaps right, least first.

    Args:
        gaps: measures the gaps
        within: changes over this are not told [mm or rad]
    """
    place, ours = gaps.fit.place, gaps.fit.place.part.material
    stated = gaps.measure({})
    pairs = {wall.name: place.pair(ours, wall.material) for wall in place.solids}
    wrong = {
        name: (pairs[name].clearance if gap < pairs[name].clearance else pairs[name].most)
        for name, gap in stated.items()
        if gap < pairs[name].clearance - 1e-6 or _too_loose(pairs[name].most, gap)
    }
    if not wrong:
        return ()
    slopes = slopes_of(gaps.measure, gaps.all())
    found = []
    for wall, wanted in wrong.items():
        for name, slope in slopes[wall].items():
            if abs(slope) < 0.05:
                continue
            by = (wanted - stated[wall]) / slope
            if abs(by) <= within:
                size = gaps.sizes[name]
                found.append(
                    Change(
                        wall=wall,
                        gap=stated[wall],
                        wanted=wanted,
                        size=name,
                        by=by,
                        to=size.value + by,
                        kind=size.kind,
                    )
                )
    return tuple(sorted(found, key=lambda c: (c.wall, abs(c.by), c.size)))


def _too_loose(most: float, gap: float) -> bool:
    # A soft pair that does not touch is looser than wanted; far walls have no limit.
    return 0 < most < gap - 1e-6


def fit_chance(gaps: Gaps, *, seed: int = 20, exact_trials: int = 200) -> Chance:
    """Return the chance that every gap at rest is as wanted."""
    place, ours = gaps.fit.place, gaps.fit.place.part.material
    stated = gaps.measure({})
    limits = {}
    for wall in place.solids:
        pair = place.pair(ours, wall.material)
        if stated[wall.name] < 25.0:
            # A soft neighbour that is touched must stay so; one that is not need never be.
            touched = pair.is_soft and stated[wall.name] <= 0
            most = 0.0 if touched else pair.most if not pair.is_soft else math.inf
            limits[wall.name] = (pair.clearance, most)
    return chance_of(gaps.measure, gaps.varied(), limits, seed=seed, exact_trials=exact_trials)
