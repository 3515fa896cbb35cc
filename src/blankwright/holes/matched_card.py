"""The card of matched holes: which are drilled on the flat, which on assembly, in which order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.findings import Finding, Level
from blankwright.base.units import System
from blankwright.drawing.cards.sheet import TITLE, CardSheet
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.words import length_words
from blankwright.holes.matched import AskedMatch, How, Match
from blankwright.holes.position_error import Placed
from blankwright.part.model import Part

CAUTIONS = (
    "Eye protection at every hole. Look behind before you drill: wires, lines, cables, a tank.",
    "Drill undersize first, in the order of the card; put the temporary fasteners in as you go.",
    "Part the sheets, deburr both sides of every hole, clean out chips, put them together again.",
    "The drawing and its designer decide where holes go. This card computes; it does not approve.",
)


@dataclass(frozen=True, kw_only=True)
class MatchedPair:
    """Holes of one part carried to another.

    Args:
        name: its name in the place
        first: the part that has the holes
        other: the part that gets them
        asked: how
        matches: one for each hole, in the order of the first part
        order: which to pilot first, as places in `matches`
        fasteners: which get a temporary fastener, likewise
        findings: the worst first
        other_part: the part that gets them, as stated
        other_file: name of its part file, without its ending
        other_variant: name of its variant; may be empty
        drill: what holes are drilled with on the flat, as typed; empty for the finished size
        note: as typed
    """

    name: str
    first: Placed
    other: Placed
    asked: AskedMatch
    matches: tuple[Match, ...]
    order: tuple[int, ...]
    fasteners: tuple[int, ...]
    findings: tuple[Finding, ...]
    other_part: Part
    other_file: str
    other_variant: str
    drill: str
    note: str = ""


def matched_card(place: str, pairs: Sequence[MatchedPair], setup: PrintSetup) -> tuple[Page, ...]:
    """Lay out the card of matched holes of a place.

    Args:
        place: its name
        pairs: of parts, with what becomes of their holes
        setup: paper and margins
    """
    sheet = CardSheet(setup, (f"MATCHED HOLES  {place}", ""))
    sheet.need(40.0)
    sheet.text(f"Matched holes, {place}", TITLE, bold=True)
    sheet.gap()
    for pair in pairs:
        _pair(sheet, pair)
    sheet.heading("Cautions")
    for caution in CAUTIONS:
        sheet.text(f"– {caution}")
    sheet.gap(4.0)
    sheet.boxes(("piloted", "drilled up", "deburred", "checked"))
    return sheet.pages()


def _pair(sheet: CardSheet, pair: MatchedPair) -> None:
    sheet.heading(f"{pair.first.name} to {pair.other.name}", room=40.0)
    sheet.table(
        (),
        [
            ("Finished hole", _both(pair.asked.final)),
            ("Pilot", f"{pair.drill}, {_both(pair.asked.pilot)}" if pair.asked.pilot else "none"),
            ("May be off", f"{_both(pair.asked.clearance)} to be drilled on the flat"),
            *((("Note", pair.note),) if pair.note else ()),
        ],
        (1.0, 4.0),
    )
    rank = {index: n + 1 for n, index in enumerate(pair.order)}
    rows = [
        (
            str(rank.get(i, "–")),
            match.hole,
            match.how.value,
            _where(match),
            "–" if match.how is How.NO_METAL else f"± {length_words(match.error, System.MM, 2)}",
            "yes" if i in pair.fasteners else "",
        )
        for i, match in sorted(
            enumerate(pair.matches), key=lambda one: rank.get(one[0], len(rank) + one[0])
        )
    ]
    head = ("order", "hole", "how", f"on {pair.other.name}", "may be off", "temporary fastener")
    sheet.table(head, rows, (0.8, 1.5, 2.2, 3.4, 1.6, 1.5), 2.0)
    if pair.findings:
        words = {Level.STOP: "STOP", Level.ASK: "ask", Level.NOTE: "note"}
        found = [
            (f"{words[f.level]} {f.code}", f.place, f"{f.got}; limit {f.limit}.", f.fix)
            for f in pair.findings
        ]
        columns = ("level, code", "place", "found", "what to do")
        sheet.table(columns, found, (1.6, 1.9, 4.2, 3.3), 2.0)


def _where(match: Match) -> str:
    if match.how is How.NO_METAL:
        return "no metal there"
    x, y = (length_words(value, System.MM, 2) for value in match.point)
    return f"{x}, {y} on the blank, {match.place}"


def _both(length: float) -> str:
    return length_words(length, System.BOTH, 2)
