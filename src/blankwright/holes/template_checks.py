"""Checks of a template: measurements that contradict, what does not fit, what an opening nears."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from blankwright.base.findings import Finding, Level
from blankwright.base.units import show_angle
from blankwright.develop.checks.common import PRACTICE, mm
from blankwright.holes.placing import Split, Way
from blankwright.holes.template import OpeningCut, PlacedTemplate, Template
from blankwright.holes.template_sizes import opening_distance

_SPLIT = 0.05
"""A wish that comes out farther off than this is told [mm]."""

_PARALLEL = 0.3
"""Lines out of parallel or square by more than this over the template are told [mm]; common
practice, no source."""


def check_template(placed: PlacedTemplate) -> Iterator[Finding]:
    """Report contradictions, what does not fit, and what an opening comes too near to."""
    template = placed.template
    yield from _contradictions(placed)
    yield from _lean(placed)
    for way in Way:
        yield from _measuring(placed, way)
    yield from _holes(template)
    if template.opening is not None:
        yield from _opening(placed, template.opening)


def _contradictions(placed: PlacedTemplate) -> Iterator[Finding]:
    for one in placed.network.contradictions:
        suspects = (
            f"Measure {one.suspects[0]} again: without it the rest agree"
            if len(one.suspects) == 1
            else f"Measure {', '.join(one.suspects or one.others)} again"
        )
        yield Finding(
            code="TEMPLATE-010",
            level=Level.ASK,
            place=f"measured {one.name}",
            got=f"it says {mm(one.said)}, the others together say {mm(one.others_say)}: they"
            f" contradict one another by {mm(one.size)}",
            limit=f"{mm(one.allowed)}, what plus/minus explains",
            source=f"adjusted with {', '.join(one.others)}",
            fix=f"{suspects}. Until then every size on the card carries this error",
        )


def _lean(placed: PlacedTemplate) -> Iterator[Finding]:
    lean = placed.network.lean
    x0, y0, x1, y1 = placed.template.box
    if lean is None or abs(math.tan(lean)) * max(x1 - x0, y1 - y0) <= _PARALLEL:
        return
    over = abs(math.tan(lean)) * max(x1 - x0, y1 - y0)
    yield Finding(
        code="TEMPLATE-018",
        level=Level.ASK,
        place="references",
        got=f"by the measured diagonals those that run across are {show_angle(abs(lean))} from"
        f" square to those that run up: {mm(over)} over the template",
        limit=mm(_PARALLEL),
        source=PRACTICE,
        fix="The template is square and was turned to share this: set it by the sizes at both"
        " ends, and check with the drawing which reference counts",
    )


def _measuring(placed: PlacedTemplate, way: Way) -> Iterator[Finding]:
    splits = [s for s in placed.lines[way].splits if s.off > _SPLIT and not s.wish.centered]
    if len(splits) > 1:
        words = " and ".join(s.wish.label or f"reference {s.wish.reference}" for s in splits)
        asked = " and ".join(mm(abs(s.wish.distance)) for s in splits)
        worst = max(splits, key=lambda s: s.off)
        size = _asked_too_much(splits)
        yield Finding(
            code="TEMPLATE-011",
            level=Level.NOTE,
            place=words,
            got=f"what is asked and what was measured contradict one another by {mm(size)}; shared"
            f" out, it comes to {_comes_to(worst)}",
            limit=f"{asked} asked for",
            source="measured distances",
            fix="Make the plate to fit, or let it go in the middle as the card says",
        )
    for split in splits if len(splits) == 1 else ():
        yield Finding(
            code="TEMPLATE-011",
            level=Level.NOTE,
            place=split.wish.label or f"reference {split.wish.reference}",
            got=f"it comes to {_comes_to(split)}",
            limit=f"{mm(abs(split.wish.distance))} asked for",
            source="measured distances",
            fix="Set the template as the card says; check which reference counts",
        )
    for name in placed.lines[way].unlocated:
        yield Finding(
            code="TEMPLATE-012",
            level=Level.NOTE,
            place=f"reference {name}",
            got="nothing measured ties it to the template: the card gives no size from it",
            source="template file",
            fix="Measure from it to another reference",
        )
    lines = list(placed.lines[way].at.items())
    for i, (name, (low, high)) in enumerate(lines):
        for other, (other_low, other_high) in lines[i + 1 :]:
            out = (other_high - high) - (other_low - low)
            if abs(out) > _PARALLEL:
                yield Finding(
                    code="TEMPLATE-013",
                    level=Level.NOTE,
                    place=f"references {name} and {other}",
                    got=f"they are {mm(abs(out))} out of parallel over the template",
                    limit=mm(_PARALLEL),
                    source=PRACTICE,
                    fix="Set the template by the sizes at both ends; check the diagonals",
                )


def _holes(template: Template) -> Iterator[Finding]:
    x0, y0, x1, y1 = template.box
    width = template.tape.width
    strips = {
        "left": (x0, y0, x0 + width, y1),
        "right": (x1 - width, y0, x1, y1),
        "front": (x0, y0, x1, y0 + width),
        "back": (x0, y1 - width, x1, y1),
    }
    for hole in template.plate.holes:
        a, b, c, d = hole.loop.box
        for side in template.tape.edges:
            e, f, g, h = strips[side]
            if a < g and e < c and b < h and f < d:
                yield Finding(
                    code="TEMPLATE-014",
                    level=Level.ASK,
                    place=f"hole {hole.name}",
                    got=f"it lies under the tape at the {template.word(side)} side",
                    limit="clear of the tape",
                    source=PRACTICE,
                    fix="Make the plate longer there, or tape another side",
                    at=hole.center,
                )


def _opening(placed: PlacedTemplate, opening: OpeningCut) -> Iterator[Finding]:
    template = placed.template
    for reference in template.references.values():
        line = placed.line(reference.name)
        if line is None or reference.keep is None:
            continue
        gap = opening_distance(opening.loop, line)
        if gap < reference.keep - 1e-3:
            yield Finding(
                code="TEMPLATE-015",
                level=Level.ASK,
                place=f"opening, {reference.name}",
                got=f"its edge comes within {mm(max(0.0, gap))} of the {reference.kind}"
                if gap > 0
                else f"it cuts into the {reference.kind}",
                limit=mm(reference.keep),
                source=reference.keep_source,
                fix="Move it or make it smaller; else ask the designer",
            )
    for corner in opening.sharp:
        yield Finding(
            code="TEMPLATE-016",
            level=Level.ASK,
            place="opening",
            got="it has a sharp corner, from which cracks start",
            limit="a radius in every corner",
            source=PRACTICE,
            fix="Round it as the drawing says",
            at=corner,
        )
    yield Finding(
        code="TEMPLATE-017",
        level=Level.ASK,
        place="opening",
        got="an opening takes strength from the structure; whether it needs a doubler, and which,"
        " is not worked out here",
        source="the drawing and its designer",
        fix="Take doubler and edge treatment from the drawing, or get the designer's word before"
        " cutting",
    )


def _comes_to(split: Split) -> str:
    low, high = (abs(d) for d in split.comes_to)
    return mm(low) if abs(low - high) < _SPLIT else f"{mm(low)} at one end, {mm(high)} at the other"


def _asked_too_much(splits: Sequence[Split]) -> float:
    """Return by how much wishes along one way contradict what was measured, the worse end [mm]."""
    offs = [tuple(d - s.wish.distance for d in s.comes_to) for s in splits]
    return max(max(o[end] for o in offs) - min(o[end] for o in offs) for end in (0, 1))
