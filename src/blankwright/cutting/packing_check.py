"""The check of a packing: exact distances, grain, pairs, and nothing lost or doubled."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from blankwright.base.findings import Finding, Level
from blankwright.base.units import show_mm
from blankwright.cutting.fill import turns_of
from blankwright.cutting.packing import PackedSheet, Packing, PackPart, PackSettings
from blankwright.geom.apart import inside_by, regions_apart

EXACT = 1e-6
"""Rounding that is not counted against a distance [mm]."""


def check_packing(
    packing: Packing, parts: Sequence[PackPart], settings: PackSettings
) -> tuple[Finding, ...]:
    """Return what is wrong with a packing, and which parts found no room.

    Distances are measured between the exact outlines, lines and arcs.

    Args:
        packing: what to check
        parts: what was to be packed
        settings: gaps and margins
    """
    found: list[Finding] = []
    for packed in packing.sheets:
        found.extend(_sheet(packed, settings))
    found.extend(_counts(packing, parts))
    found.extend(_pairs(packing))
    return tuple(found)


def _sheet(packed: PackedSheet, settings: PackSettings) -> Iterator[Finding]:
    sheet, place = packed.sheet, packed.title
    regions = [placement.region for placement in packed.placements]
    for i, placement in enumerate(packed.placements):
        name = placement.part.name
        gap = inside_by(regions[i], sheet.region, settings.margin + EXACT)
        if gap < settings.margin - EXACT:
            got = "lies off the sheet" if gap < 0 else f"lies {show_mm(gap)} from the sheet's edge"
            yield _stop("PACK-001", f"{place}: {name}", got, f"{show_mm(settings.margin)}")
        for clamp in sheet.clamps:
            gap = regions_apart(regions[i], clamp.region, settings.clamp_gap + EXACT)
            if gap < settings.clamp_gap - EXACT:
                got = f"lies {show_mm(gap)} from {clamp.name}"
                yield _stop("PACK-002", f"{place}: {name}", got, show_mm(settings.clamp_gap))
        for j in range(i):
            gap = regions_apart(regions[i], regions[j], settings.gap + EXACT)
            if gap < settings.gap - EXACT:
                got = f"lies {show_mm(gap)} from {packed.placements[j].part.name}"
                yield _stop("PACK-003", f"{place}: {name}", got, show_mm(settings.gap))
        if placement.move.flip:
            yield _stop("PACK-004", f"{place}: {name}", "lies face down", "face up")
        turns = turns_of(placement.part, sheet, settings)
        if placement.part.grain is not None and sheet.grain is not None:
            off = min(abs(math.sin((placement.move.angle - turn) / 2)) for turn in turns)
            if off > 1e-9:
                got = "lies across its grain"
                yield _stop("PACK-005", f"{place}: {name}", got, "grain along the sheet's")


def _counts(packing: Packing, parts: Sequence[PackPart]) -> Iterator[Finding]:
    names = [p.part.name for packed in packing.sheets for p in packed.placements]
    names += [part.name for part in packing.left]
    wanted = sorted(part.name for part in parts)
    if sorted(names) != wanted:
        yield _stop("PACK-006", "packing", f"{len(names)} parts are laid out", f"{len(wanted)}")
    for part in packing.left:
        yield Finding(
            code="PACK-007",
            level=Level.ASK,
            place=part.name,
            got="finds no room on the stock",
            source="stock rack",
            fix="Add a sheet to the rack, or leave the part out",
        )


def _pairs(packing: Packing) -> Iterator[Finding]:
    homes: dict[str, set[str]] = {}
    for packed in packing.sheets:
        for placement in packed.placements:
            if placement.part.pair:
                homes.setdefault(placement.part.pair, set()).add(packed.title)
    for part in packing.left:
        if part.pair:
            homes.setdefault(part.pair, set()).add("left over")
    for pair, where in sorted(homes.items()):
        if len(where) > 1:
            got = f"lies on {', '.join(sorted(where))}"
            yield _stop("PACK-008", f"pair {pair}", got, "one sheet")


def _stop(code: str, place: str, got: str, limit: str) -> Finding:
    return Finding(
        code=code,
        level=Level.STOP,
        place=place,
        got=got,
        limit=limit,
        source="exact check of the packing",
        fix="Pack anew; if it comes back, please report it",
    )
