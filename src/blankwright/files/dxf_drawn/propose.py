"""A proposal of what the lines of a drawing are: shown to the builder before anything is made."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from blankwright.develop.flat.bend_lines import bend_lines_of
from blankwright.develop.flat.clean import Traced
from blankwright.develop.flat.closing import ClosedLoop, Sorted, sort_edges
from blankwright.drawing.layers import BEND_CENTER, BEND_TANGENT, BLANK_EDGE, HOLES
from blankwright.files.dxf_drawn.choose import Choice, choice_text, read_choice
from blankwright.files.dxf_drawn.layout import Choices
from blankwright.files.dxf_drawn.model import Drawn, Pen
from blankwright.geom.boolean import cut_out
from blankwright.geom.edges import Arc, Line
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

SHORT: Final = 3.0
"""A line that ends this near to the edges on both sides may be a bend line [mm]."""

_BEND_WORDS: Final = ("bend", "fold", "brake", "crease", "bieg", "kant", "falz", "pli", "pieg")
_BROKEN: Final = ("center", "centre", "dash", "hidden", "phantom", "dot", "chain")
_ASIDE_WORDS: Final = (
    *("dim", "text", "note", "title", "border", "frame", "hatch", "defpoints", "label", "anno"),
    *("mark", "construction", "sheet", "viewport", "table", "leader", "sight", "scribe"),
)
_MOST_LEFT_OUT: Final = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposed:
    """What the lines of a drawing seem to be.

    Args:
        choices: the same as the builder would state it
        why: for each choice, by its role and text, what speaks for it
    """

    choices: Choices
    why: tuple[tuple[str, str, str], ...]


def propose(drawn: Drawn, base: Choices) -> Proposed:
    """Propose outline, openings and bend lines; what is stated already stays as stated.

    Args:
        drawn: the drawing, in mm
        base: what is stated; roles without a choice are proposed
    """
    return _Proposal(drawn, base).proposed()


class _Proposal:
    def __init__(self, drawn: Drawn, base: Choices) -> None:
        self.drawn = drawn
        self.base = base
        self.why: list[tuple[str, str, str]] = []
        self.seen = [i for i, edge in enumerate(drawn.edges) if not edge.hidden]
        self.pens = Counter(drawn.edges[i].pen for i in self.seen)
        stated = (*base.outline, *base.openings, *base.bend_lines, *base.tangent_lines)
        self.stated = stated

    def proposed(self) -> Proposed:
        names = {pen.layer for pen in self.pens}
        if BLANK_EDGE.name in names:
            return self._ours(names)
        outline, openings, loops = self._edges()
        if not loops:
            return Proposed(choices=replace(self.base, outline=outline), why=tuple(self.why))
        region = _region(loops, self.base.part_at)
        bends, left_out = self._bend_lines(region, loops)
        choices = replace(
            self.base,
            outline=outline,
            openings=openings,
            bend_lines=bends,
            leave_out=(*self.base.leave_out, *left_out),
        )
        return Proposed(choices=choices, why=tuple(self.why))

    def _ours(self, names: set[str]) -> Proposed:
        """A blank of our own making: its layers say what they are."""

        def own(role: str, given: tuple[Choice, ...], name: str) -> tuple[Choice, ...]:
            if given or name not in names:
                return given
            return (self._chosen(role, f"layer {name}", "as Blankwright draws blanks"),)

        base = self.base
        choices = replace(
            base,
            outline=own("outline", base.outline, BLANK_EDGE.name),
            openings=own("openings", base.openings, HOLES.name),
            bend_lines=own("bend_lines", base.bend_lines, BEND_CENTER.name),
            tangent_lines=own("tangent_lines", base.tangent_lines, BEND_TANGENT.name),
        )
        return Proposed(choices=choices, why=tuple(self.why))

    def _chosen(self, role: str, text: str, why: str) -> Choice:
        self.why.append((role, text, why))
        return read_choice(text)

    def _sort(self, pens: Iterable[Pen]) -> Sorted:
        wanted = set(pens)
        edges = self.drawn.edges
        return sort_edges(
            [Traced(edges[i].edge, i) for i in self.seen if edges[i].pen in wanted],
            self.base.closes,
        )

    def _edges(self) -> tuple[tuple[Choice, ...], tuple[Choice, ...], list[ClosedLoop]]:
        """Propose outline and openings."""
        base = self.base
        if base.outline:
            pens = [pen for pen in self.pens if any(c.fits(pen) for c in base.outline)]
            pens += [pen for pen in self.pens if any(c.fits(pen) for c in base.openings)]
            found = self._sort(pens)
            main = _main(found.loops, base.part_at)
            return base.outline, base.openings, _with_children(found.loops, main)
        plain = [pen for pen in self.pens if not _is_aside(pen) and not _is_bend(pen)]
        whole = [pen for pen in plain if not _is_broken(pen)]
        for pens in (whole, plain, list(self.pens)):
            taken = [pen for pen in pens if not any(c.fits(pen) for c in base.bend_lines)]
            found = self._sort(taken)
            main = _main(found.loops, base.part_at)
            if main is not None:
                break
        else:
            return (), base.openings, []
        loops = _with_children(found.loops, main)
        edges = self.drawn.edges
        outer = {edges[i].pen for i in loops[0].sources}
        inner = {edges[i].pen for loop in loops[1:] for i in loop.sources} - outer
        loose = {edges[piece.source].pen for piece in found.open}
        outline = self._texts("outline", outer, loose, "the largest loop is drawn so")
        if base.openings:
            return outline, base.openings, loops
        openings = self._texts("openings", inner, loose, "loops inside the outline are drawn so")
        return outline, openings, loops

    def _texts(self, role: str, pens: set[Pen], loose: set[Pen], why: str) -> tuple[Choice, ...]:
        """Say which lines are meant by no more than is needed to tell them from others."""
        texts: dict[str, None] = {}
        for pen in sorted(pens, key=lambda pen: (pen.layer, pen.line_type, pen.colour)):
            same = [p for p in self.pens if p.layer == pen.layer and p not in pens]
            line_type = bool(same)
            colour = any(p.line_type == pen.line_type for p in same)
            closed = True if pen in loose else None
            texts[choice_text(pen, line_type=line_type, colour=colour, closed=closed)] = None
        return tuple(self._chosen(role, text, why) for text in texts)

    def _bend_lines(
        self, region: Region, loops: Sequence[ClosedLoop]
    ) -> tuple[tuple[Choice, ...], list[Point]]:
        base, edges = self.base, self.drawn.edges
        on_loops = {i for loop in loops for i in loop.sources}
        rest: dict[Pen, list[Traced]] = defaultdict(list)
        for i in self.seen:
            if i not in on_loops:
                rest[edges[i].pen].append(Traced(edges[i].edge, i))
        if base.bend_lines:
            return base.bend_lines, []
        chosen: list[Choice] = []
        left_out: list[Point] = []
        for pen in sorted(rest, key=lambda pen: (pen.layer, pen.line_type, pen.colour)):
            if any(choice.fits(pen) for choice in (*base.openings, *base.tangent_lines)):
                continue
            lines = [traced for traced in rest[pen] if isinstance(traced.edge, Line)]
            bends, _ = bend_lines_of(lines, region, base.closes, base.reach)
            good = [bend for bend in bends if bend.short <= SHORT]
            bad = [bend for bend in bends if bend.short > SHORT]
            if not good or (_is_aside(pen) and not _is_bend(pen)):
                continue
            if len(bad) > _MOST_LEFT_OUT or (len(bad) > 3 * len(good) and not _is_bend(pen)):
                continue
            shared = any(edges[i].pen == pen for i in on_loops)
            same = [p for p in self.pens if p.layer == pen.layer and p != pen]
            text = choice_text(
                pen,
                line_type=bool(same),
                colour=any(p.line_type == pen.line_type for p in same),
                closed=False if shared else None,
            )
            why = "by its name" if _is_bend(pen) else "straight lines from edge to edge"
            chosen.append(self._chosen("bend_lines", text, why))
            left_out.extend(bend.at for bend in bad)
            arcs = [t.edge.point(0.5) for t in rest[pen] if isinstance(t.edge, Arc)]
            left_out.extend(p for p in arcs if region.contains(p))
        return tuple(chosen), left_out


def _words(pen: Pen) -> str:
    return f"{pen.layer} {pen.line_type}".lower()


def _is_bend(pen: Pen) -> bool:
    return any(re.search(rf"(?:^|[\W_]|\d){word}", _words(pen)) for word in _BEND_WORDS)


def _is_broken(pen: Pen) -> bool:
    return any(word in pen.line_type.lower() for word in _BROKEN)


def _is_aside(pen: Pen) -> bool:
    return any(word in pen.layer.lower() for word in _ASIDE_WORDS)


def _main(loops: Sequence[ClosedLoop], part_at: Point | None) -> ClosedLoop | None:
    around = [loop for loop in loops if part_at is None or loop.loop.contains(part_at)]
    if part_at is not None:
        return min(around, key=lambda loop: loop.loop.area, default=None)
    return max(around, key=lambda loop: loop.loop.area, default=None)


def _with_children(loops: Sequence[ClosedLoop], main: ClosedLoop | None) -> list[ClosedLoop]:
    if main is None:
        return []
    inside = [
        loop
        for loop in loops
        if loop is not main and main.loop.contains(loop.loop.edges[0].point(0.31))
    ]
    return [main, *inside]


def _region(loops: Sequence[ClosedLoop], part_at: Point | None) -> Region:
    outer = Region(loops[0].loop)
    regions = cut_out((outer,), [loop.loop for loop in loops[1:]])
    return max(regions, key=lambda region: region.area, default=outer)
