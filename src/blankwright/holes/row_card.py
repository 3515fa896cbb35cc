"""Rivet rows and fields of holes on the traveler: what goes in, how it is spaced, what it bears."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from blankwright.base.units import System, show_inches
from blankwright.develop.blank import Blank
from blankwright.drawing.cards.sheet import CardSheet
from blankwright.drawing.words import length_words
from blankwright.handbook.rivets import layout_rule
from blankwright.holes.fasteners import FastenerFacts, facts_of, metal_of
from blankwright.holes.joint import CAUTION, Joint, load_words
from blankwright.holes.ladder import Ladder
from blankwright.holes.row_checks import joint_of_row
from blankwright.part.model import Part
from blankwright.part.rivets import Fastener, HeadStyle, RivetRow

Section = Callable[[CardSheet], None]


def row_section(part: Part, blank: Blank) -> Section | None:
    """Return what fills the traveler's section on rivet rows; nothing for a part without.

    Args:
        part: as stated
        blank: its blank
    """
    if not part.rivets:
        return None

    def fill(sheet: CardSheet) -> None:
        sheet.heading("Rivet rows")
        facts = [facts_of(row, part.sheet.thickness) for row in part.rivets]
        pairs = list(zip(part.rivets, facts, strict=True))
        sheet.table(
            ("row", "count", "what goes in", "hole", "grip", "length", "shop head"),
            [_what(row, fact) for row, fact in pairs],
            (1.5, 0.8, 2.6, 2.3, 1.8, 2.0, 2.4),
            2.0,
        )
        sheet.table(
            ("row", "on", "pitches, from the left end", "edge distance", "joins"),
            [_where(part, row) for row in part.rivets],
            (1.5, 1.6, 4.2, 2.0, 3.4),
            2.0,
        )
        joints = [(row, joint_of_row(part, row, blank)) for row in part.rivets]
        sheet.table(
            ("row", "carries, each", "carries, whole row", "by"),
            [_strength(row, joint) for row, joint in joints],
            (1.5, 2.4, 2.4, 6.4),
            2.0,
        )
        sheet.text(CAUTION)
        sources = dict.fromkeys(source for fact in facts for source in fact.sources)
        if sources:
            sheet.text(f"From: {'; '.join(sources)}.", 1.8)

    return fill


def field_section(part: Part) -> Section | None:
    """Return what fills the traveler's section on fields of holes; nothing for a part without."""
    if not part.fields:
        return None

    def fill(sheet: CardSheet) -> None:
        sheet.heading("Fields of holes")
        rows = [
            (
                field.name,
                f"{len(field.holes)} × Ø {length_words(field.diameter, System.BOTH, 2)}",
                f"{length_words(field.pitch, System.BOTH, 2)},"
                f" {'staggered' if field.staggered else 'square'}",
                length_words(field.pitch - field.diameter, System.BOTH, 2),
                f"{field.open_area:.1%} of {field.area:.0f} mm²",
            )
            for field in part.fields
        ]
        head = ("field", "holes", "pitch, pattern", "metal between", "open area")
        sheet.table(head, rows, (1.4, 2.4, 2.8, 2.0, 2.6), 2.0)

    return fill


def drilling_section(ladders: Sequence[tuple[RivetRow, Ladder | None, str]]) -> Section | None:
    """Return what fills the traveler's section on drilling up; nothing without rows.

    Args:
        ladders: each row with how it is drilled up, or nothing and why not
    """
    if not ladders:
        return None

    def fill(sheet: CardSheet) -> None:
        sheet.heading("Drilling up, with the shop's drills")
        rows = []
        for row, ladder, problem in ladders:
            if ladder is None:
                rows.append((row.name, problem, "–", "–"))
                continue
            passes = ", ".join(one.tool for one in ladder.passes)
            reached = "no table says"
            if ladder.reached is not None:
                low, high = (length_words(d, System.MM, 3) for d in ladder.reached)
                reached = f"{low} to {high}"
            rows.append(
                (row.name, passes or "as the blank is drilled", str(ladder.strokes), reached)
            )
        sheet.table(("row", "passes", "strokes", "likely hole"), rows, (1.5, 5.0, 1.0, 2.6), 2.0)
        share, source = layout_rule("deburr depth, most, share of thickness")
        sheet.text(
            "Clamp the stack, or hold it with temporary fasteners. Part the sheets and deburr both"
            f" sides, no deeper than {share:.0%} of the sheet ({source})."
        )

    return fill


def fastener_words(row: RivetRow) -> str:
    """Return what goes into the holes of a row, such as ``solid rivet 1/8 in, protruding``."""
    if row.fastener is Fastener.SCREW:
        return f"screw {row.size} into plate nut, {row.head.value}"
    side = "" if row.head is HeadStyle.PROTRUDING or row.head_here else " in the far sheet"
    metal = f" {metal}" if (metal := metal_of(row)) else ""
    return f"{row.fastener.value} rivet{metal} {row.size} in, {row.head.value}{side}"


def hole_words_of(row: RivetRow, facts: FastenerFacts) -> str:
    """Return the finished hole of a row and its limits, and the pilot where there is one."""
    if facts.hole is None:
        return row.drill or "no table has it"
    text = f"{facts.hole.drill.name}, Ø {length_words(facts.hole.drill.diameter, System.BOTH, 2)}"
    if facts.hole.has_limits:
        low, high = (length_words(d, System.MM, 2) for d in (facts.hole.least, facts.hole.most))
        text += f", {low} to {high}"
    return f"pilot {row.pilot}, then {text}" if row.pilot else text


def _what(row: RivetRow, facts: FastenerFacts) -> tuple[str, ...]:
    shop = "–"
    if facts.shop is not None:
        shop = (
            f"Ø {show_inches(facts.shop.width)}, at least {show_inches(facts.shop.least_width)};"
            f" {show_inches(facts.shop.height)} high"
        )
    elif facts.nut is not None:
        shop = f"plate nut, {facts.nut.rivet} in rivets {show_inches(facts.nut.spread)} apart"
    return (
        row.name,
        str(row.count),
        fastener_words(row),
        hole_words_of(row, facts),
        length_words(facts.grip, System.BOTH, 2),
        facts.buy or "–",
        shop,
    )


def _where(part: Part, row: RivetRow) -> tuple[str, ...]:
    lines = [_runs(line.pitches) for line in row.lines]
    pitches = "; ".join(
        f"line {i + 1}: {text}" if len(lines) > 1 else text for i, text in enumerate(lines)
    )
    edges = [line.edge for line in row.lines]
    edge = ", ".join(length_words(e, System.BOTH, 2) for e in edges) if edges[0] else "–"
    joins = [f"{part.sheet.alloy} {length_words(part.sheet.thickness, System.MM, 2)}"]
    joins += [
        " ".join(
            word for word in (s.note, s.alloy, length_words(s.thickness, System.MM, 2)) if word
        )
        for s in row.stack
    ]
    return (row.name, row.flat, pitches, edge, " + ".join(joins) if row.stack else joins[0])


def _runs(pitches: tuple[float, ...]) -> str:
    """Return pitches with like ones counted: ``4 × 17.46 mm, 63.5 mm``."""
    runs: list[list[float]] = []
    for pitch in pitches:
        if runs and abs(runs[-1][0] - pitch) < 0.005:
            runs[-1].append(pitch)
        else:
            runs.append([pitch])
    words = []
    for run in runs:
        length = length_words(run[0], System.BOTH, 2)
        words.append(f"{len(run)} × {length}" if len(run) > 1 else length)
    return ", ".join(words) or "one hole"


def _strength(row: RivetRow, joint: Joint) -> tuple[str, ...]:
    if not joint.members:
        return (row.name, "–", "–", "; ".join(joint.missing))
    most = "" if joint.complete else "at most "
    by = f"{joint.members[0].name} ({joint.members[0].source})"
    others = "; ".join(f"{m.name} {load_words(m.load)}" for m in joint.members[1:])
    text = "; ".join(word for word in (by, others, *joint.missing, joint.assumed) if word)
    if joint.splice:
        text += f"; a full lap splice wants {joint.splice} ({joint.splice_source})"
    return (row.name, most + load_words(joint.per_rivet), most + load_words(joint.row), text)
