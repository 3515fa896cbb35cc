"""What to change when no order works; each change is tried by the same search."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import fixed
from blankwright.bending.part_edits import (
    JOINT,
    leg_height,
    split_at,
    with_leg_height,
    with_longer_relief,
)
from blankwright.bending.plan import BendPlan, plan_bends
from blankwright.bending.remedy_kinds import Remedy, Tried, blank_least, widest_size
from blankwright.bending.tools import (
    SUPPOSED_BLOCK,
    SUPPOSED_VISE,
    HandBlock,
    LeafBrake,
    Shop,
    Tool,
    Vise,
)
from blankwright.develop.coupons import Coupons
from blankwright.develop.develop import develop_blank
from blankwright.part.model import Part

_HIGHER = (2.5, 80.0, 150.0)
"""A flange is tried up to so many times as high [-], at least so much higher, and at most [mm]."""

_ALIKE = 0.05
"""Legs of one flat whose heights differ by less than this share are lowered together [-]."""


Tell = Callable[[str], None]


@dataclass(frozen=True, eq=False)
class Remedies:
    """Tries changes of a part that no order can make.

    Args:
        part: the part
        plan: the plan that found no order
        coupons: the shop's test strips
        tell: told what is being tried
    """

    part: Part
    plan: BendPlan
    coupons: Coupons | None = None
    tell: Tell = lambda _: None

    def tried(self) -> tuple[Tried, ...]:
        """Try all, the least change first."""
        return tuple(self._all())

    def _all(self) -> Iterator[Tried]:
        yield from self._tools()
        yield from self._relief()
        names = self._bends()
        for name in names:
            yield from self._height(name, lower=True)
        yield from self._lower_together()
        for name in names:
            yield from self._height(name, lower=False)
        for name in self._blocking():
            yield from self._split(name)
        yield Tried(
            remedy=Remedy.MOULD,
            text="a moulding has no bends, so there is no order to search; whether the place allows"
            " one is the designer's word",
            works=None,
            proved=False,
            cost=math.nan,
        )

    def _blocking(self) -> tuple[str, ...]:
        blocking = self.plan.blocking
        if blocking is None:
            return ()
        return tuple(self.plan.blank.bends[j].name for j in blocking.bends)

    def _bends(self) -> tuple[str, ...]:
        """Bends that block one another, and those whose legs are in the way; outermost first."""
        blocking = self.plan.blocking
        found = list(self._blocking())
        by_leg = {bend.leg: bend.name for bend in self.plan.blank.bends}
        for refusal in blocking.refusals if blocking else ():
            if refusal.clash is not None and refusal.clash.place in by_leg:
                found.append(by_leg[refusal.clash.place])
        return tuple(dict.fromkeys(found))

    def _plan(self, part: Part | None, shop: Shop) -> BendPlan | None:
        if part is None:
            return None
        try:
            blank = develop_blank(part, self.coupons)
        except BlankwrightError:
            return None
        if blank.overlaps or blank.loose:
            return None
        return plan_bends(blank, shop, explain=False)

    def _shop_with(self, tools: tuple[Tool, ...]) -> Shop:
        return replace(self.plan.shop, tools=tools)

    def _tools(self) -> Iterator[Tried]:
        tools = self.plan.shop.tools
        brakes = [tool for tool in tools if isinstance(tool, LeafBrake)]
        if any(not brake.cut_to_suit for brake in brakes):
            self.tell("narrower fingers")
            plan = self._plan(replace(self.part, holes=()), self._with_any_fingers())
            yield self._of_fingers(plan)
        self.tell("radius bars in the vise")
        vises = tuple(replace(t, cut_to_suit=True) if isinstance(t, Vise) else t for t in tools)
        if not any(isinstance(t, Vise) for t in tools):
            vises = (*tools, replace(SUPPOSED_VISE, cut_to_suit=True))
        yield self._of_tool(Remedy.VISE, vises, "radius bars cut to length, in the vise")
        if not any(isinstance(t, HandBlock) for t in tools):
            self.tell("a block by hand")
            yield self._of_tool(
                Remedy.BLOCK, (*tools, SUPPOSED_BLOCK), "a hardwood block and a mallet"
            )
        yield from self._suited(tools)
        for brake in brakes:
            yield from self._leaf(brake)

    def _suited(self, tools: tuple[Tool, ...]) -> Iterator[Tried]:
        """Try a block with the radius and length that a refused bend wants."""
        refused = {bend for bend, _, _ in self.plan.refused} & set(self._blocking())
        if not refused:
            return
        self.tell("a block made for it")
        radii = {round(self.plan.aims[name].radius, 2) for name in refused}
        length = max(self.plan.blank.bend_by_name[name].width for name in refused)
        block = replace(
            next((t for t in tools if isinstance(t, HandBlock)), SUPPOSED_BLOCK),
            name="block made for it",
            radii=tuple(sorted({*SUPPOSED_BLOCK.radii, *radii})),
            length=max(SUPPOSED_BLOCK.length, math.ceil(length)),
        )
        which = f"of radius {' and '.join(fixed(r, 2) for r in sorted(radii))} mm"
        text = f"a hardwood block {which}, {length:.0f} mm long, for {', '.join(sorted(refused))}"
        yield self._result(
            Remedy.SUITED,
            text,
            self._plan(replace(self.part, holes=()), self._shop_with((*tools, block))),
        )

    def _of_fingers(self, plan: BendPlan | None) -> Tried:
        works = plan is not None and plan.found
        text = "fingers of any width in the leaf brake"
        if plan is not None and works:
            text = self._fingers_words(plan)
        return self._result(Remedy.FINGERS, text, plan)

    def _of_tool(self, remedy: Remedy, tools: tuple[Tool, ...], text: str) -> Tried:
        plan = self._plan(replace(self.part, holes=()), self._shop_with(tools))
        if plan is not None and plan.found:
            used = [
                name for s in plan.steps if isinstance(s.tool, Vise | HandBlock) for name in s.bends
            ]
            text += f", for {', '.join(used)}" if used else ""
        return self._result(remedy, text, plan)

    def _leaf(self, brake: LeafBrake) -> Iterator[Tried]:
        self.tell("a shallower leaf")

        def plan(depth: float) -> BendPlan | None:
            tools = tuple(
                replace(brake, leaf_depth=depth) if tool is brake else tool
                for tool in self.plan.shop.tools
            )
            return self._plan(replace(self.part, holes=()), self._shop_with(tools))

        least = 6.0
        if brake.leaf_depth <= least:
            return
        size, best = widest_size(plan, least, brake.leaf_depth)
        if best is None or size is None:
            text = f"a leaf as shallow as {least:.0f} mm on the {brake.name}"
            yield self._result(Remedy.LEAF, text, None)
            return
        text = (
            f"a leaf no deeper than {size:.1f} mm on the {brake.name}, instead of"
            f" {brake.leaf_depth:.0f} mm"
        )
        yield replace(self._result(Remedy.LEAF, text, best), size=size)

    def _relief(self) -> Iterator[Tried]:
        self.tell("longer relief")
        blank = self.plan.blank
        now = max((spot.size for spot in blank.reliefs), default=0.0)
        wide = max((bend.inside_radius for bend in blank.bends), default=0.0) + blank.thickness
        size = max(2 * now, 4 * wide)
        plan = self._plan(with_longer_relief(self.part, size), self.plan.shop)
        yield self._result(Remedy.RELIEF, f"reliefs of {size:.1f} mm diameter", plan)

    def _height(self, name: str, *, lower: bool) -> Iterator[Tried]:
        tall = leg_height(self.part, name)
        bend = self.plan.blank.bend_by_name[name]
        remedy = Remedy.LOWER if lower else Remedy.HIGHER
        self.tell(f"{remedy.value}: {bend.leg}")

        def plan(height: float) -> BendPlan | None:
            return self._plan(with_leg_height(self.part, name, height), self.plan.shop)

        least = bend.inside_radius + blank_least(self.plan.blank.thickness)
        if lower:
            if least >= tall:
                return
            size, best = widest_size(plan, least, tall)
            end = least
        else:
            times, least_more, most_more = _HIGHER
            end = min(max(times * tall, tall + least_more), tall + most_more)
            size, best = widest_size(plan, end, tall)
        word = "no higher than" if lower else "at least"
        if best is None or size is None:
            text = f"{bend.leg} {'down' if lower else 'up'} to {end:.1f} mm"
            yield replace(self._result(remedy, text, None), about=name)
            return
        text = f"{bend.leg} {word} {size:.1f} mm high, instead of {tall:.1f} mm"
        yield replace(self._result(remedy, text, best), size=size, about=name)

    def _lower_together(self) -> Iterator[Tried]:
        """Lower all legs that stand on one flat and are about as high as a blocking one."""
        bends = self.plan.blank.bends
        for first in self._blocking()[:1]:
            parent = self.plan.blank.bend_by_name[first].parent
            tall = leg_height(self.part, first)
            names = [
                bend.name
                for bend in bends
                if bend.parent == parent
                and abs(leg_height(self.part, bend.name) - tall) <= _ALIKE * tall
            ]
            least = max(
                self.plan.blank.bend_by_name[name].inside_radius for name in names
            ) + blank_least(self.plan.blank.thickness)
            if len(names) < 2 or least >= tall:
                return
            self.tell(f"{Remedy.LOWER.value}: {', '.join(names)} together")

            suited = self._with_any_fingers()
            shops = [self.plan.shop, *([suited] if suited.tools != self.plan.shop.tools else [])]
            legs = ", ".join(self.plan.blank.bend_by_name[name].leg for name in names)
            for shop in shops:

                def plan(
                    height: float, shop: Shop = shop, names: list[str] = names
                ) -> BendPlan | None:
                    part: Part | None = self.part
                    for name in names:
                        part = None if part is None else with_leg_height(part, name, height)
                    return self._plan(part, shop)

                size, best = widest_size(plan, least, tall)
                more = "" if shop is self.plan.shop else ", and fingers of any width"
                if best is None or size is None:
                    text = f"{legs} together, down to {least:.1f} mm{more}"
                    yield replace(self._result(Remedy.LOWER, text, None), about=first)
                    continue
                if more:
                    more = f", and {self._fingers_words(best)}"
                text = (
                    f"{legs} together, no higher than {size:.1f} mm, instead of {tall:.1f} mm{more}"
                )
                yield replace(self._result(Remedy.LOWER, text, best), size=size, about=first)
                return

    def _with_any_fingers(self) -> Shop:
        """Return the shop with fingers of any width in its leaf brakes."""
        return self._shop_with(
            tuple(
                replace(tool, cut_to_suit=True) if isinstance(tool, LeafBrake) else tool
                for tool in self.plan.shop.tools
            )
        )

    def _fingers_words(self, plan: BendPlan) -> str:
        runs = sorted(
            {fixed(s.run, 0) for s in plan.steps if isinstance(s.tool, LeafBrake)}, key=float
        )
        return f"fingers that make up {' and '.join(runs)} mm"

    def _split(self, name: str) -> Iterator[Tried]:
        self.tell(f"two parts, split at {name}")
        first, second = split_at(self.part, name)
        a, b = self._plan(first, self.plan.shop), self._plan(second, self.plan.shop)
        works = a is not None and b is not None and a.found and b.found
        cost = a.cost + b.cost if a is not None and b is not None else math.inf
        yield Tried(
            remedy=Remedy.SPLIT,
            text=f"split at {name}: {self.plan.blank.bend_by_name[name].leg} as a part of its own,"
            f" on a flange of {JOINT:.0f} mm, one row of rivets",
            works=works,
            proved=a is not None and b is not None and a.proved and b.proved,
            cost=cost,
            about=name,
        )

    def _result(self, remedy: Remedy, text: str, plan: BendPlan | None) -> Tried:
        found = plan is not None and plan.found
        return Tried(
            remedy=remedy,
            text=text,
            works=found,
            proved=plan.proved if plan is not None else True,
            cost=plan.cost if plan is not None and found else math.inf,
        )
