"""Corners of a part file: which bends meet, and how their legs share the corner."""

from __future__ import annotations

from collections.abc import Mapping

from blankwright.base.tolerance import TOUCH
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.schema import CornerDefaults, CornerTable
from blankwright.files.partfile.shapes import relief_of
from blankwright.part.model import Corner, CornerRule, DrawnBend, DrawnFlat, Relief
from blankwright.part.sizes import nearest


def corners_of(
    numbers: Numbers,
    bends: list[DrawnBend],
    root: DrawnFlat,
    defaults: CornerDefaults,
    tables: Mapping[str, CornerTable],
    unbuilt: set[str],
) -> tuple[Corner, ...]:
    """Return the corners of all bends that meet: as stated, or by the part's default."""
    problems = numbers.problems
    relief = relief_of(numbers, "corner_defaults.relief", defaults.relief) or Relief()
    gap = numbers.length("corner_defaults.gap", defaults.gap, least=0.0) or 0.0
    rule = CornerRule(defaults.rule or "open")
    found = {
        frozenset(pair): Corner(first=pair[0], second=pair[1], rule=rule, gap=gap, relief=relief)
        for pair in meeting_bends(bends, root)
    }
    names = [bend.name for bend in bends]
    stated: dict[frozenset[str], str] = {}
    for name, table in tables.items():
        place = f"corners.{name}"
        own_relief = relief_of(numbers, f"{place}.relief", table.relief)
        own_gap = numbers.length(f"{place}.gap", table.gap, least=0.0)
        if len(table.between) != 2 or table.between[0] == table.between[1]:
            problems.add(
                "PART-006", f"{place}.between", "a corner is between two bends", '["left", "back"]'
            )
            continue
        strange = [bend for bend in table.between if bend not in names and bend not in unbuilt]
        if strange:
            problems.add(
                "PART-009",
                f"{place}.between",
                f"no bend is named `{strange[0]}`",
                f"bends: {', '.join(names) or 'none'}",
                nearest(strange[0], names),
            )
            continue
        if any(bend in unbuilt for bend in table.between):
            continue
        key = frozenset(table.between)
        if key not in found:
            problems.add(
                "PART-009",
                f"{place}.between",
                f"bends {' and '.join(table.between)} do not meet at a corner of one flat",
                "; ".join(" and ".join(sorted(pair)) for pair in found) or "no bends meet",
            )
            continue
        if key in stated:
            problems.add(
                "PART-008",
                f"{place}.between",
                f"this corner is stated by {stated[key]} already",
                "once",
            )
            continue
        stated[key] = name
        found[key] = Corner(
            first=table.between[0],
            second=table.between[1],
            rule=CornerRule(table.rule) if table.rule else rule,
            gap=gap if own_gap is None else own_gap,
            relief=own_relief or relief,
        )
    return tuple(found.values())


def meeting_bends(bends: list[DrawnBend], root: DrawnFlat) -> list[tuple[str, str]]:
    """Return the pairs of bends that reach the vertex between two neighbouring edges of a flat.

    A leg's own bend is among them: a flange on the side of a leg can reach down to it.
    """
    flats = [(root, "")] + [(bend.leg, bend.name) for bend in bends]
    pairs: list[tuple[str, str]] = []
    for flat, own in flats:
        ends: dict[int, list[tuple[str, bool, bool]]] = {}
        if own:
            ends[flat.edges.index("bend")] = [(own, True, True)]
        for bend in bends:
            if bend.parent == flat.name:
                i = flat.edges.index(bend.edge)
                length = flat.outline.edges[i].length
                # The leg's left end is where the counter-clockwise edge ends.
                reach = (bend.name, bend.end > length - TOUCH, bend.start < TOUCH)
                ends.setdefault(i, []).append(reach)
        n = len(flat.edges)
        for i in sorted(ends):
            for a, _, at_end in ends[i]:
                for b, at_start, _ in ends.get((i + 1) % n, []):
                    if at_end and at_start and a != b:
                        pairs.append((a, b))
    order = {bend.name: k for k, bend in enumerate(bends)}
    return [(a, b) if order[a] <= order[b] else (b, a) for a, b in pairs]
