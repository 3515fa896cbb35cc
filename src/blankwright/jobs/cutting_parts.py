"""Blanks to be cut: which parts, how many, from what, with which grain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from blankwright.base.errors import BadInput, NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.cutting.packing import PackPart
from blankwright.develop.blank import Blank
from blankwright.jobs.items import Item, chosen
from blankwright.jobs.part_state import PartState, state_of
from blankwright.jobs.project import Project
from blankwright.jobs.shop_coupons import coupons_of


@dataclass(frozen=True, kw_only=True)
class ToCut:
    """One item to be cut, with its blank.

    Args:
        item: of the project
        blank: its blank
        copies: how many [-]
    """

    item: Item
    blank: Blank
    copies: int

    @property
    def name(self) -> str:
        """Name of the item."""
        return self.item.name

    def copy_names(self) -> tuple[str, ...]:
        """Return a name for each copy."""
        if self.copies == 1:
            return (self.name,)
        return tuple(f"{self.name} {number}" for number in range(1, self.copies + 1))


def blanks_to_cut(
    project: Project, names: Sequence[str], copies: Mapping[str, int]
) -> tuple[ToCut, ...]:
    """Develop the parts that are to be cut.

    Args:
        project: where they are
        names: of parts or items; none means all
        copies: how many of an item or part, where it is not one

    Raises:
        BadInput: when a count is for no part, or a part can't be read
        NotPossible: when a check of a part says stop
    """
    items = chosen(project, names)
    known = {item.name for item in items} | {item.path.stem for item in items}
    problems = [
        Problem(
            code="PACK-013",
            where=f"copies of {name}",
            got="no part that is to be cut has that name",
            allowed=", ".join(sorted(known)),
        )
        for name in copies
        if name not in known
    ]
    if problems:
        raise BadInput.of(problems)
    coupons = coupons_of(project)
    found: list[ToCut] = []
    blocked: list[Problem] = []
    for item in items:
        count = copies.get(item.name, copies.get(item.path.stem, 1))
        if count <= 0:
            continue  # what is left out keeps nothing else from being cut
        state = state_of(item.read(), coupons)
        blocked.extend(stops_of(item, state))
        found.append(ToCut(item=item, blank=state.blank, copies=count))
    if blocked:
        raise NotPossible(*blocked)
    return tuple(found)


def metal_of(blank: Blank) -> str:
    """Return alloy and thickness of a blank, such as ``6061-T6 1.016``."""
    return f"{blank.alloy} {blank.thickness:.3f}"


def stops_of(item: Item, state: PartState) -> tuple[Problem, ...]:
    """Return why an item must not be cut: the first check that says stop, if any."""
    first = next((finding for finding in state.findings if finding.blocks), None)
    if first is None:
        return ()
    return (
        Problem(
            code="PACK-014",
            where=item.name,
            got=f"a check says stop: {first.code} {first.got}",
            fix=f"See `blankwright check {item.name}`; no metal is cut before it is right",
        ),
    )


def pack_parts(to_cut: Sequence[ToCut]) -> tuple[tuple[PackPart, str], ...]:
    """Return every copy as a part to pack, with the name of its item; left and right are pairs."""
    hands: dict[str, set[str]] = {}
    for each in to_cut:
        if each.item.hand:
            hands.setdefault(_stem(each.item), set()).add(each.item.hand)
    parts: list[tuple[PackPart, str]] = []
    for each in to_cut:
        stem = _stem(each.item)
        both = len(hands.get(stem, ())) == 2
        for number, name in enumerate(each.copy_names(), start=1):
            part = PackPart(
                name=name,
                region=each.blank.outline,
                grain=each.blank.grain,
                metal=metal_of(each.blank),
                pair=f"{stem} {number}" if both else "",
            )
            parts.append((part, each.name))
    return tuple(parts)


def _stem(item: Item) -> str:
    return "-".join(word for word in (item.path.stem, item.variant) if word)


def grain_notes(to_cut: Sequence[ToCut]) -> tuple[Finding, ...]:
    """Return notes on parts with bends whose drawing does not state the grain."""
    return tuple(
        Finding(
            code="PACK-009",
            level=Level.NOTE,
            place=each.name,
            got="has bends but no grain direction is stated, so it may lie any way on the sheet",
            source="bends run best across the grain; common practice, no source",
            fix="State the grain in the part file's [sheet] table where the bends need it",
        )
        for each in to_cut
        if each.blank.bends and each.blank.grain is None
    )
