"""What places ask of the work: measuring, strips, neighbours first, drilling up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.fit.place import PartOfPlace
from blankwright.handbook.rivets import rivet_length
from blankwright.jobs.book_bought import METAL, Bought
from blankwright.jobs.fit_open import Fit, open_fit, place_path
from blankwright.jobs.items import Item
from blankwright.jobs.project import Project
from blankwright.part.model import Origin, Size


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceFacts:
    """What a place asks of the work on the part that goes into it.

    Args:
        place: name of the place
        parts: names of what goes in: one part, or its two hands
        neighbours: names of the project's other parts that are there
        sizes: its sizes that stand as typed, by no formula
        strips: its soft strips, in words; empty for none
        drill_up: holes drilled to size together with the neighbours [-]
        drill_up_note: which, in words
        rivets: rivets that go into those [-]
        bought: strips, and rivets of matched holes
    """

    place: str
    parts: tuple[str, ...]
    neighbours: tuple[str, ...]
    sizes: tuple[Size, ...]
    strips: str
    drill_up: int
    drill_up_note: str
    rivets: int
    bought: tuple[Bought, ...]


def place_facts(project: Project, place: str, items: Sequence[Item]) -> PlaceFacts:
    """Return what a place asks of the work.

    Args:
        project: where it is
        place: its name
        items: everything that the project's part files stand for

    Raises:
        BlankwrightError: when the place, or a part in it, can't be read
    """
    fit = open_fit(project, place)
    soft = _strips(fit, place)
    holes, note, rivets = _matched(project, fit, place)
    names = [_names(items, other) for other in fit.place.others.values()]
    return PlaceFacts(
        place=place,
        parts=_names(items, fit.place.part),
        neighbours=tuple(dict.fromkeys(name for own in names for name in own)),
        sizes=tuple(size for size in fit.place.sizes if size.origin is not Origin.FORMULA),
        strips=", ".join(f"{one.quantity:g} m of {one.number}" for one in soft),
        drill_up=holes,
        drill_up_note=note,
        rivets=round(sum(one.quantity for one in rivets)),
        bought=(*soft, *rivets),
    )


def part_file_of(project: Project, place: str) -> str:
    """Return the name of the part file that a place is for, without building anything.

    Raises:
        BlankwrightError: when the place file can't be read
    """
    from blankwright.files.partfile.opened import opened
    from blankwright.files.partfile.syntax import read_text

    path = place_path(project, place)
    part = opened(read_text(path), str(path)).tables.get("part")
    return str(part.get("file", "")) if isinstance(part, dict) else ""


def _names(items: Sequence[Item], part: PartOfPlace) -> tuple[str, ...]:
    """What a part of the place is called in the project: two names where it has two hands."""
    return tuple(
        item.name
        for item in items
        if (item.path.stem, item.variant) == (part.file, part.variant) and not item.is_template
    )


def _strips(fit: Fit, place: str) -> tuple[Bought, ...]:
    soft = set(fit.soft)
    return tuple(
        Bought(
            key=f"place:{place}:{wall.name}",
            number=f"{wall.material} strip",
            quantity=round(_longest(wall.triangles[0].tolist()) / 1000.0, 3),
            title=f"{wall.material} strip, as in place {place}",
            unit="m",
            tasks=("stick strips",),
        )
        for wall in fit.place.solids
        if wall.name in soft
    )


def _matched(project: Project, fit: Fit, place: str) -> tuple[int, str, tuple[Bought, ...]]:
    """Count holes that are drilled up with the neighbours, and the rivets that go into them."""
    from blankwright.files.partfile.syntax import read_text
    from blankwright.files.placefile_holes import THE_PART, read_matched
    from blankwright.jobs.holes_matched import matched_pairs

    parts = {THE_PART: fit.place.part, **fit.place.others}
    stated = read_matched(read_text(place_path(project, place)), place, parts)
    if not stated:
        return 0, "", ()
    rows = {row.name for row in fit.part.rivets}
    count = 0
    words = []
    rivets = []
    for one, pair in zip(stated, matched_pairs(project, place), strict=True):
        count += len(pair.asked.holes)
        words.append(f"{len(pair.asked.holes)} through {one.other}")
        # Rows of the part count their own rivets.
        own = [
            hole
            for hole in pair.asked.holes
            if one.first != THE_PART or hole.partition("[")[0] not in rows
        ]
        if one.rivet and own:
            grip = sum(end.formed.blank.thickness for end in (pair.first, pair.other))
            length = rivet_length(one.rivet, grip)
            rivets.append(
                Bought(
                    key=f"place:{place}:matched {one.name}",
                    number=f"MS20470AD{length.diameter_dash}-{length.dash}",
                    quantity=len(own),
                    grip=grip,
                    note=f"universal head and {METAL}",
                )
            )
    return count, "; ".join(words), tuple(rivets)


def _longest(corners: list[list[float]]) -> float:
    """Greatest distance between two corners [mm]: the length of a strip, however it lies."""
    distinct = {tuple(round(x, 6) for x in corner) for corner in corners}
    return max((math.dist(a, b) for a in distinct for b in distinct), default=0.0)
