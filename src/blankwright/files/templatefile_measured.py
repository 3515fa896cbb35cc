"""What was measured, in a template file: plus/minus, and diagonals from crossing to crossing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.shapes import Missing, need
from blankwright.files.templatefile_schema import (
    MeasuredTable,
)
from blankwright.holes.network import MeasuredDiagonal
from blankwright.holes.placing import USUAL, Measured, Way, groups_of
from blankwright.holes.template import Reference
from blankwright.part.sizes import nearest


def tied(names: Sequence[str], measured: Sequence[Measured], first: str, second: str) -> bool:
    """Say whether measurements lead from one reference to another, straight or through others."""
    return any({first, second} <= set(group) for group in groups_of(names, measured))


def diagonal_of(
    numbers: Numbers,
    place: str,
    table: MeasuredTable,
    references: Mapping[str, Reference],
    measured: Mapping[Way, Sequence[Measured]],
) -> MeasuredDiagonal:
    """Return a distance from crossing to crossing. Raises Missing."""
    problems = numbers.problems
    ends: list[tuple[str, str]] = []
    for key, names in (("from", table.from_), ("to", table.to)):
        if isinstance(names, str) or len(names) != 2:
            problems.add(
                "PART-004",
                f"{place}.{key}",
                "a diagonal goes from crossing to crossing",
                'two references that cross, as in from = ["row-4", "sill"], to = ["row-5", "top"]',
            )
            raise Missing
        unknown = [name for name in names if name not in references]
        for name in unknown:
            problems.add(
                "TEMPLATE-001",
                f"{place}.{key}",
                f"no reference is named `{name}`",
                ", ".join(references) or "none are stated",
                nearest(name, references),
            )
        if unknown:
            raise Missing
        ways = {references[name].way: name for name in names}
        if len(ways) != 2:
            problems.add(
                "TEMPLATE-002",
                f"{place}.{key}",
                f"`{names[0]}` and `{names[1]}` do not cross",
                "one reference that runs up and one that runs across",
            )
            raise Missing
        ends.append((ways[Way.UP], ways[Way.ACROSS]))
    if table.at is not None:
        problems.add("PART-006", f"{place}.at", "a diagonal has no end", "no `at`")
        raise Missing
    for i, way in enumerate((Way.UP, Way.ACROSS)):
        first, second = ends[0][i], ends[1][i]
        names = [n for n, r in references.items() if r.way is way]
        if first == second or not tied(names, measured[way], first, second):
            problems.add(
                "TEMPLATE-004" if first != second else "TEMPLATE-002",
                place,
                f"nothing measured leads from `{first}` to `{second}`"
                if first != second
                else f"both ends lie on `{first}`",
                "crossings of four references, those that run the same way tied by a distance",
            )
            raise Missing
    distance = need(numbers.length(f"{place}.distance", table.distance, over=0.0))
    plus_minus = numbers.length(f"{place}.plus_minus", table.plus_minus, over=0.0)
    return MeasuredDiagonal(
        name=place.partition(".")[2],
        start=ends[0],
        end=ends[1],
        distance=distance,
        plus_minus=plus_minus or size_error(numbers, place) or USUAL,
    )


def size_error(numbers: Numbers, place: str) -> float | None:
    """Return the plus/minus of a distance that is one named size as it stands [mm]."""
    stated = numbers.stated.get(f"{place}.distance")
    if stated is None or len(stated.uses) != 1 or stated.text.strip() != stated.uses[0]:
        return None
    return numbers.sizes[stated.uses[0]].plus_minus
