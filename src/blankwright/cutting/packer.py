"""The search: fill sheets one after another, then improve until told to stop.

First every sheet is filled greedily on a grid, which takes seconds and gives an answer to keep.
Then the strip packer presses the parts of each sheet together, parts of later sheets are tried on
earlier ones, and the greedy filling is tried again in other orders. The best is kept throughout.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from blankwright.cutting.fill import SheetFill, Stencils, stencils_for
from blankwright.cutting.packing import (
    PackedSheet,
    Packing,
    PackPart,
    PackSettings,
    StripPacker,
)
from blankwright.cutting.press import pressed
from blankwright.cutting.stock import StockSheet

IDLE_ROUNDS = 4
"""The search ends when so many rounds in a row find nothing better [-]."""

Unit = tuple[PackPart, ...]
"""Parts that go on one sheet together: a pair, or one alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """What the search is given besides the problem.

    Args:
        strip: the strip packer, or nothing to do without
        stop: asked often; the search ends soon after it says yes
        tell: told each better packing, and what is being tried
        rounds: how many rounds of improvement at most [-]
    """

    strip: StripPacker | None = None
    stop: Callable[[], bool] = lambda: False
    tell: Callable[[Packing, str], None] = lambda packing, what: None
    rounds: int = 50


def pack(
    parts: Sequence[PackPart], stock: Sequence[StockSheet], settings: PackSettings, search: Search
) -> Packing:
    """Lay parts on sheets; all stock is of the right alloy and thickness.

    Args:
        parts: each copy by itself
        stock: what may be used
        settings: gaps, margins and turns
        search: helpers and limits
    """
    if not parts or not stock:
        return Packing(sheets=(), left=tuple(parts))
    return _Packer(parts, stock, settings, search).run()


def units_of(parts: Sequence[PackPart]) -> list[Unit]:
    """Return parts as units, pairs together, the largest first."""
    groups: dict[str, list[PackPart]] = {}
    for part in parts:
        groups.setdefault(part.pair or f"\0{part.name}", []).append(part)
    units = [tuple(sorted(g, key=lambda p: (-_bulk(p), p.name))) for g in groups.values()]
    return sorted(units, key=lambda unit: (-sum(_bulk(p) for p in unit), unit[0].name))


def _bulk(part: PackPart) -> float:
    x0, y0, x1, y1 = part.region.box
    return (x1 - x0) * (y1 - y0) + 0.1 * max(x1 - x0, y1 - y0) ** 2


def stock_order(stock: Sequence[StockSheet]) -> list[tuple[StockSheet, int]]:
    """Return single sheets in the order they are taken: small offcuts first, dear sheets last."""
    singles = [(sheet, number + 1) for sheet in stock for number in range(sheet.count)]

    def rank(item: tuple[StockSheet, int]) -> tuple[object, ...]:
        sheet, number = item
        if sheet.offcut:
            return (0, sheet.area, sheet.name, number)
        return (1, sheet.price / sheet.area, -sheet.area, sheet.name, number)

    return sorted(singles, key=rank)


class _Packer:
    def __init__(
        self,
        parts: Sequence[PackPart],
        stock: Sequence[StockSheet],
        settings: PackSettings,
        search: Search,
    ) -> None:
        self.settings = settings
        self.search = search
        self.units = units_of(parts)
        self.stock = stock_order(stock)
        self.stencils: Stencils = stencils_for(stock, settings.gap)
        self.random = random.Random(settings.seed)

    def run(self) -> Packing:
        best = self.greedy(self.units, to_the_end=True)
        assert best is not None
        self.search.tell(best, "first filling")
        idle = 0
        for round_number in range(self.search.rounds):
            if self.search.stop() or idle >= IDLE_ROUNDS:
                break
            idle += 1
            for candidate, what in self.tries(best, round_number):
                if candidate.merit < best.merit:
                    best, idle = candidate, 0
                    self.search.tell(best, what)
                if self.search.stop():
                    break
        return best

    # --- greedy ---------------------------------------------------------------------------------

    def greedy(self, units: Sequence[Unit], *, to_the_end: bool = False) -> Packing | None:
        """Fill sheets one after another, each with all that still goes on it.

        Nothing comes back when it was stopped on the way, unless it must go on to the end.
        """
        left = list(units)
        done: list[PackedSheet] = []
        stock = list(self.stock)
        while left and stock:
            if self.search.stop() and not to_the_end:
                return None
            sheet, number = stock.pop(0)
            packed, left = self.fill(sheet, number, left, to_the_end=to_the_end)
            if packed.placements:
                done.append(packed)
        if done:
            done[-1] = self.smaller(done[-1], stock)
        return Packing(sheets=tuple(done), left=tuple(p for unit in left for p in unit))

    def fill(
        self,
        sheet: StockSheet,
        number: int,
        units: Sequence[Unit],
        *,
        to_the_end: bool = True,
    ) -> tuple[PackedSheet, list[Unit]]:
        """Lay as many units as have room on one sheet; also return the others."""
        filling = SheetFill(sheet, self.settings, self.stencils)
        left: list[Unit] = []
        for unit in units:
            if (self.search.stop() and not to_the_end) or not place_unit(filling, unit):
                left.append(unit)
        return (
            PackedSheet(sheet=sheet, number=number, placements=tuple(filling.placements)),
            left,
        )

    def smaller(self, last: PackedSheet, stock: Sequence[tuple[StockSheet, int]]) -> PackedSheet:
        """Lay the last sheet's parts on a cheaper or smaller sheet when one holds them all."""
        units = units_of([placement.part for placement in last.placements])
        need = last.parts_area
        best = last
        seen: set[str] = set()
        for sheet, number in stock:
            worth = (sheet.price, sheet.area)
            if sheet.name in seen or sheet.area < need or worth >= (best.cost, best.sheet.area):
                continue
            seen.add(sheet.name)
            packed, left = self.fill(sheet, number, units)
            if not left:
                best = packed
        return best

    # --- improving ------------------------------------------------------------------------------

    def tries(self, best: Packing, round_number: int) -> Iterator[tuple[Packing, str]]:
        """Yield other packings, made from the best so far or anew."""
        if self.search.strip is not None:
            for i in range(len(best.sheets)):
                candidate = self.press(best, i, round_number)
                if candidate is not None:
                    yield candidate, f"pressed together on {best.sheets[i].title}"
        other = self.greedy(self.shuffled(round_number))
        if other is not None:
            yield other, "filled in another order"

    def press(self, packing: Packing, i: int, round_number: int) -> Packing | None:
        """Press sheet i together, with parts of later sheets and of those left over if they go."""
        assert self.search.strip is not None
        packed = packing.sheets[i]
        waiting = units_of(
            [p.part for later in packing.sheets[i + 1 :] for p in later.placements]
            + list(packing.left)
        )
        tighter = pressed(
            packed,
            waiting,
            self.settings,
            self.stencils,
            self.search.strip,
            seed=self.settings.seed + round_number,
        )
        if tighter is None:
            return None
        placed = {placement.part.name for placement in tighter.placements}
        # What has found room here is taken off the later sheets; those are filled anew.
        rest = [unit for unit in waiting if unit[0].name not in placed]
        before = {placement.part.name for placement in packed.placements}
        if placed == before:
            sheets = (*packing.sheets[:i], tighter, *packing.sheets[i + 1 :])
            return Packing(sheets=sheets, left=packing.left)
        done = [*packing.sheets[:i], tighter]
        taken = {(sheet.sheet.name, sheet.number) for sheet in done}
        stock = [item for item in self.stock if (item[0].name, item[1]) not in taken]
        later = {(s.sheet.name, s.number) for s in packing.sheets[i + 1 :]}
        stock.sort(key=lambda item: (item[0].name, item[1]) not in later)
        left = rest
        while left and stock:
            sheet, number = stock.pop(0)
            filled, left = self.fill(sheet, number, left)
            if filled.placements:
                done.append(filled)
        return Packing(sheets=tuple(done), left=tuple(p for unit in left for p in unit))

    def shuffled(self, round_number: int) -> list[Unit]:
        """Return the units in another order: by size, blurred more from round to round."""
        blur = 0.15 + 0.1 * (round_number % 6)

        def rank(unit: Unit) -> float:
            return -sum(_bulk(p) for p in unit) * (1 + blur * (2 * self.random.random() - 1))

        return sorted(self.units, key=rank)


def place_unit(filling: SheetFill, unit: Unit) -> bool:
    """Lay all parts of a unit on a sheet, or none of them."""
    before = len(filling.placements)
    for part in unit:
        if not filling.place(part):
            if len(filling.placements) > before:
                filling.drop(before)
            return False
    return True
