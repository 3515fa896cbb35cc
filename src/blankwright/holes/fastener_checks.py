"""Checks of what goes into a rivet row: length, sheets, heads, strength."""

from __future__ import annotations

from collections.abc import Iterator

from blankwright.base.errors import BlankwrightError
from blankwright.base.findings import Finding, Level
from blankwright.base.units import from_inches
from blankwright.develop.blank import BlankHole
from blankwright.develop.checks.common import mm
from blankwright.handbook.rivets import diameters_for, layout_rule, thinnest_countersink
from blankwright.holes.fasteners import FastenerFacts, number_at_odds
from blankwright.holes.joint import CAUTION, Joint, load_words
from blankwright.part.model import Part
from blankwright.part.rivets import Fastener, HeadStyle, RivetRow

_SAME = 1e-3
"""A distance under its limit by less than this is at it [mm]."""


def check_fastener(part: Part, row: RivetRow, facts: FastenerFacts) -> Iterator[Finding]:
    """Report what is wrong with the fastener of a row for its sheets."""
    place = f"row {row.name}"
    if facts.missing:
        yield Finding(
            code="ROW-018",
            level=Level.ASK,
            place=place,
            got=f"the handbook has no answer: {'; '.join(facts.missing)}",
            source="tables rivet-holes, blind-grip, rivet-heads, screws, plate-nuts",
            fix="Take it from the maker of the fastener, or take a size that the tables have",
        )
    if odd := number_at_odds(row, facts):
        yield Finding(
            code="ROW-026",
            level=Level.ASK,
            place=place,
            got=f"part number {row.part_number} has {odd}",
            source="AC 43.13-1B Fig. 4-4; rivet length is grip and 1½ D, up to the next 1/16 in",
            fix="Check part number and stack with the drawing",
        )
    thicknesses = (part.sheet.thickness, *(sheet.thickness for sheet in row.stack))
    if row.fastener is not Fastener.SCREW and row.stack:
        least, _, most, source = diameters_for(max(thicknesses))
        if not least - _SAME <= facts.diameter <= most + _SAME:
            yield Finding(
                code="ROW-019",
                level=Level.NOTE,
                place=place,
                got=f"a {row.size} in rivet for a thickest sheet of {mm(max(thicknesses))}",
                limit=f"{mm(least)} to {mm(most)}, one to three times the thickest sheet",
                source=source,
                fix="Check the drawing",
            )
    outer = thicknesses[0] if row.head_here else thicknesses[-1]
    if row.fastener is Fastener.SOLID and row.head is HeadStyle.COUNTERSUNK:
        thinnest = _countersink(row.size)
        if thinnest is not None and outer < thinnest[0] - _SAME:
            yield Finding(
                code="ROW-020",
                level=Level.ASK,
                place=place,
                got=f"the countersunk sheet is {mm(outer)} thick: the countersink leaves a knife"
                " edge",
                limit=f"{mm(thinnest[0])}",
                source=thinnest[1],
                fix="Dimple it, or take a protruding head",
            )
    if row.head is HeadStyle.DIMPLED:
        inches, source = layout_rule("dimple, thickest sheet, in")
        if outer > from_inches(inches) + _SAME:
            yield Finding(
                code="ROW-021",
                level=Level.ASK,
                place=place,
                got=f"the dimpled sheet is {mm(outer)} thick: it may crack round the dimple",
                limit=f"{mm(from_inches(inches))}",
                source=source,
                fix="Countersink it, or try the dimple on a piece of scrap of this sheet",
            )


def _countersink(size: str) -> tuple[float, str] | None:
    try:
        fact = thinnest_countersink(size)
    except BlankwrightError:
        return None
    return fact.value, fact.source


def check_joint(row: RivetRow, joint: Joint, at: BlankHole) -> Iterator[Finding]:
    """Report what the strength of a row hangs on, and whether it is enough for its splice."""
    place = f"row {row.name}"
    worked_so = [words for words in joint.missing if "worked as protruding" in words]
    if joint.members and worked_so:
        yield Finding(
            code="ROW-025",
            level=Level.ASK,
            place=place,
            got=f"{worked_so[0]}: {load_words(joint.per_rivet)} a rivet is an upper limit",
            source="table rivet-flush",
            fix="Take the strength of the flush rivet from the drawing, not from here",
            at=at.center,
        )
    if not row.splice:
        return
    if joint.splice == 0:
        yield Finding(
            code="ROW-023",
            level=Level.ASK,
            place=place,
            got="it is to carry what the sheet carries, but no table here says how many rivets"
            f" that takes: {'; '.join(joint.missing) or 'the sheets are not stated'}",
            source="AC 43.13-1B Tables 4-9 and 4-10",
            fix="State the stack with its alloys, or take the count from the drawing",
            at=at.center,
        )
    elif row.count < joint.splice:
        yield Finding(
            code="ROW-022",
            level=Level.ASK,
            place=place,
            got=f"{row.count} rivets, each {load_words(joint.per_rivet)} in single shear",
            limit=f"{joint.splice} rivets on each side for a splice as strong as the sheet",
            source=joint.splice_source,
            fix=f"Take more or larger rivets. {CAUTION}",
            at=at.center,
        )
