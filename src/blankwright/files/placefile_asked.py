"""What a place file asks of the fit: pairs, sections, motions, forces, springing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.shapes import Missing, need
from blankwright.files.placefile_schema import MotionTable, PairTable, SectionTable, SpringTable
from blankwright.files.placefile_solids import Frames
from blankwright.fit.place import Force, Motion, Pair, PlaneOfFit, Spring
from blankwright.fit.steps import Words
from blankwright.geom.pose import Point3
from blankwright.geom.vec import Point
from blankwright.part.sizes import nearest

_AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}


@dataclass(frozen=True)
class Asked:
    """What is asked."""

    pairs: tuple[Pair, ...]
    sections: tuple[PlaneOfFit, ...]
    motions: tuple[Motion, ...]
    forces: tuple[Force, ...]

    def spring(self, numbers: Numbers, table: SpringTable | None) -> Spring | None:
        """Return how far the part may be sprung."""
        if table is None:
            return None
        squeeze = numbers.length("spring.squeeze", table.squeeze, over=0.0)
        length = numbers.length("spring.length", table.length, over=0.0)
        typed = {"modulus": (table.modulus, 1e6), "yield_stress": (table.yield_stress, 1e5)}
        found = {
            key: numbers.number(f"spring.{key}", value, 1.0, most)
            for key, (value, most) in typed.items()
            if value is not None
        }
        if found and not table.source:
            numbers.problems.add(
                "PART-003",
                "spring.source",
                f"{' and '.join(found)} of the sheet, but not where from",
                'source = "book and table", or leave them out: then they are looked up by alloy',
            )
        if squeeze is None or length is None or None in found.values():
            return None
        return Spring(
            bend=table.bend,
            squeeze=squeeze,
            length=length,
            modulus=found.get("modulus"),
            yield_stress=found.get("yield_stress"),
            source=table.source,
        )


def asked_of(
    numbers: Numbers,
    frames: Frames,
    groups: Mapping[str, Mapping[str, Any]],
    materials: set[str],
    openings: Mapping[str, Any],
) -> Asked:
    """Work out what a place asks.

    Args:
        numbers: works out quantities
        frames: the references
        groups: tables by kind and name
        materials: materials that occur in the place
        openings: openings by name
    """
    problems = numbers.problems
    pairs, sections, motions, forces = [], [], [], []
    for name, table in groups["pairs"].items():
        for word in table.between:
            if word not in materials and materials:
                problems.add(
                    "PLACE-006",
                    f"pairs.{name}.between",
                    f"nothing here is of `{word}`",
                    f"materials: {', '.join(sorted(materials))}",
                    nearest(word, materials),
                )
        try:
            pairs.append(_pair(numbers, name, table))
        except Missing:
            continue
    for name, table in groups["sections"].items():
        try:
            sections.append(_section(numbers, frames, name, table))
        except Missing:
            continue
    for name, table in groups["motions"].items():
        if table.opening and table.opening not in openings:
            problems.add(
                "PLACE-007",
                f"motions.{name}.opening",
                f"no opening is named `{table.opening}`",
                f"openings: {', '.join(openings) or 'none'}",
                nearest(table.opening, openings),
            )
        try:
            motions.append(_motion(numbers, frames, name, table))
        except Missing:
            continue
    for name, table in groups["forces"].items():
        found = [s for s in sections if s.name == table.section]
        if not found:
            if table.section not in groups["sections"]:
                problems.add(
                    "PLACE-007",
                    f"forces.{name}.section",
                    f"no section is named `{table.section}`",
                    f"sections: {', '.join(groups['sections']) or 'none'}",
                    nearest(table.section, groups["sections"]),
                )
            continue
        lift = numbers.length(f"forces.{name}.lift", table.lift, least=0.0)
        toward = _side(numbers, f"forces.{name}.toward", table.toward, found[0].words)
        if lift is not None and toward is not None:
            forces.append(Force(name=name, section=table.section, toward=toward, lift=lift))
    return Asked(tuple(pairs), tuple(sections), tuple(motions), tuple(forces))


def _pair(numbers: Numbers, name: str, table: PairTable) -> Pair:
    place = f"pairs.{name}"
    if (table.clearance is None) == (table.squeeze is None):
        numbers.problems.add(
            "PART-006",
            place,
            "`clearance` and `squeeze` are both stated, or neither",
            "one of both",
        )
        raise Missing
    if table.clearance is not None:
        clearance = need(numbers.length(f"{place}.clearance", table.clearance, least=0.0))
        most = numbers.length(f"{place}.most", table.most, least=clearance)
        if table.most is not None:
            need(most)
        return Pair(
            name=name,
            between=table.between,
            clearance=clearance,
            most=math.inf if most is None else most,
        )
    squeeze = need(numbers.length(f"{place}.squeeze", table.squeeze, least=0.0))
    if table.most is not None:
        numbers.problems.add(
            "PART-006", place, "`most` says nothing beside `squeeze`", "clearance, most; squeeze"
        )
        raise Missing
    return Pair(name=name, between=table.between, clearance=-squeeze, most=0.0)


def _section(numbers: Numbers, frames: Frames, name: str, table: SectionTable) -> PlaneOfFit:
    place = f"sections.{name}"
    frame = frames.get(f"{place}.in", table.in_)
    words = Words(
        right=table.words.right,
        left=table.words.left,
        up=table.words.up,
        down=table.words.down,
    )
    side: Point | None = (0.0, 0.0)
    if table.way_in:
        side = _side(numbers, f"{place}.way_in", table.way_in, words)
    window = None
    if table.window is not None:
        found = [numbers.length(f"{place}.window[{i + 1}]", v) for i, v in enumerate(table.window)]
        x0, y0, x1, y1 = (need(v) for v in found)
        if x1 <= x0 or y1 <= y0:
            numbers.problems.add(
                "PART-015", f"{place}.window", "the window is empty", "greatest over least"
            )
            raise Missing
        window = (x0, y0, x1, y1)
    most = math.pi
    if table.most_turn is not None:
        most = min(math.pi, abs(need(numbers.angle(f"{place}.most_turn", table.most_turn))))
    if frame is None or side is None:
        raise Missing
    return PlaneOfFit(
        name=name,
        frame=frame,
        words=words,
        way_in=table.way_in,
        side=side,
        window=window,
        most_turn=most,
    )


def _side(numbers: Numbers, place: str, word: str, words: Words) -> Point | None:
    sides: dict[str, Point] = {
        words.right: (1.0, 0.0),
        words.left: (-1.0, 0.0),
        words.up: (0.0, 1.0),
        words.down: (0.0, -1.0),
    }
    if word not in sides:
        numbers.problems.add(
            "PLACE-007",
            place,
            f"`{word}` is no direction of the section",
            ", ".join(sides),
            nearest(word, sides),
        )
        return None
    return sides[word]


def _motion(numbers: Numbers, frames: Frames, name: str, table: MotionTable) -> Motion:
    place = f"motions.{name}"
    frame = frames.get(f"{place}.in", table.in_)
    turn = numbers.angle(f"{place}.turn", table.turn) if table.turn is not None else 0.0
    travel = (
        numbers.length(f"{place}.travel", table.travel, over=0.0)
        if table.travel is not None
        else 0.0
    )
    path = []
    for i, stage in enumerate(table.path):
        at = f"{place}.path[{i + 1}]"
        shift = frames.triple(numbers, f"{at}.shift", stage.shift)
        angle = numbers.angle(f"{at}.turn", stage.turn) if stage.turn is not None else 0.0
        if shift is None:
            raise Missing
        path.append((shift, need(angle)))
    if (table.along is None) != (table.travel is None):
        numbers.problems.add("PART-003", place, "a slide needs both `along` and `travel`")
        raise Missing
    roll = _roll(numbers, place, table)
    if frame is None:
        raise Missing
    if not path and not need(travel) and not need(turn):
        numbers.problems.add("PART-003", place, "nothing moves", "along and travel, turn, or path")
        raise Missing
    sign = -1.0 if (table.along or "").startswith("-") else 1.0
    x, y, z = _AXES.get((table.along or "").lstrip("-"), (0.0, 0.0, 0.0))
    return Motion(
        name=name,
        frame=frame,
        slide=(sign * x, sign * y, sign * z),
        travel=need(travel),
        turn=need(turn),
        roll=roll,
        path=tuple(path),
        opening=table.opening,
    )


def _roll(numbers: Numbers, place: str, table: MotionTable) -> Point3:
    """Return how far the axis goes for each radian turned: no slip where edge and plane touch."""
    if table.roll is None:
        return (0.0, 0.0, 0.0)
    if table.turn is None or table.travel is not None or table.path:
        numbers.problems.add(
            "PART-006",
            f"{place}.roll",
            "an edge rolls by turning alone",
            "turn, and roll beside it",
        )
        raise Missing
    radius = need(numbers.length(f"{place}.roll.radius", table.roll.radius, over=0.0))
    x, y, _ = _AXES[table.roll.on.lstrip("-")]
    sign = -1.0 if table.roll.on.startswith("-") else 1.0
    # The plane's normal is n = −on; the axis moves by z × n · radius for each radian.
    return (sign * y * radius, -sign * x * radius, 0.0)
