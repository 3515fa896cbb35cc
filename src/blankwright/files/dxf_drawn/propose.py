"""A proposal of what the lines of a drawing are: shown to the builder before anything is made."""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from blankwright.develop.flat.bend_lines import DrawnBendLine, allowance_drawn, bend_lines_of
from blankwright.develop.flat.clean import Traced
from blankwright.develop.flat.closing import ClosedLoop, Sorted, sort_edges
from blankwright.develop.flat.tangent_pairs import pairs_of
from blankwright.drawing.layers import BEND_CENTER, BEND_TANGENT, BLANK_EDGE, HOLES
from blankwright.files.dxf_drawn.chains import chains_of
from blankwright.files.dxf_drawn.choose import Choice, choice_text, read_choice
from blankwright.files.dxf_drawn.layout import Choices
from blankwright.files.dxf_drawn.loops import centre_marks
from blankwright.files.dxf_drawn.model import Drawn, Pen
from blankwright.files.dxf_drawn.notes import pen_note
from blankwright.geom.boolean import cut_out
from blankwright.geom.edges import Arc, Box, Line, box_around
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

SHORT: Final = 3.0
"""A line that ends this near to the edges on both sides may be a bend line [mm]."""

FAR_SHORT: Final = 0.15
"""Lines that are named as bend lines may end short by this share of their length [-]."""

_BEND_WORDS: Final = ("fold", "brake", "crease", "bieg", "kant", "falz", "pli", "pieg")
_TANGENT_WORDS: Final = ("tangent", "extent", "bend_limit", "bend limit", "bendlimit", "btl")
_AXIS_WORDS: Final = ("center", "centre", "axis", "axes", "sym", "achs", "mitt")
_BROKEN: Final = ("center", "centre", "dash", "hidden", "phantom", "dot", "chain")
_ASIDE_WORDS: Final = (
    *("dim", "text", "note", "title", "border", "frame", "hatch", "defpoints", "label", "anno"),
    *("mark", "construction", "sheet", "viewport", "table", "leader", "sight", "scribe"),
    *("engrav", "etch", "stamp", "letter", "logo", "gravur", "arc_cent"),
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


def propose(drawn: Drawn, base: Choices, strip: tuple[float, float] | None = None) -> Proposed:
    """Propose outline, openings and bend lines; what is stated already stays as stated.

    Args:
        drawn: the drawing, in mm
        base: what is stated; roles without a choice are proposed
        strip: how wide the strips of the bends can be by what is stated of them, least and most
            [mm]; nothing when that is not known
    """
    return _Proposal(drawn, base, strip).proposed()


class _Proposal:
    def __init__(
        self, drawn: Drawn, base: Choices, strip: tuple[float, float] | None = None
    ) -> None:
        self.drawn = drawn
        self.base = base
        self.strip = strip
        self.why: list[tuple[str, str, str]] = []
        self.seen = [i for i, edge in enumerate(drawn.edges) if not edge.hidden]
        self.pens = Counter(drawn.edges[i].pen for i in self.seen)
        stated = (*base.outline, *base.openings, *base.bend_lines, *base.tangent_lines)
        self.stated = stated
        self.loose: tuple[Traced, ...] = ()

    def proposed(self) -> Proposed:
        names = {pen.layer for pen in self.pens}
        if BLANK_EDGE.name in names:
            return self._ours(names)
        outline, openings, loops = self._edges()
        if not loops:
            return Proposed(choices=replace(self.base, outline=outline), why=tuple(self.why))
        region = _region(loops, self.base.part_at)
        bends, tangents, left_out = self._bend_lines(region, loops)
        choices = replace(
            self.base,
            outline=outline,
            openings=openings,
            bend_lines=bends,
            tangent_lines=tangents,
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
            return self._inside(base.outline)
        plain = [pen for pen in self.pens if not _is_aside(pen) and not _is_bend(pen)]
        whole = [pen for pen in plain if not _is_broken(pen)]
        for pens in (whole, plain, list(self.pens)):
            taken = [pen for pen in pens if not any(c.fits(pen) for c in base.bend_lines)]
            found = self._sort(taken)
            self.loose = found.open
            main = _main(found.loops, base.part_at)
            broken = self._broken_outline(found, main)
            if broken:
                return self._texts("outline", broken, set(), "it does not close"), base.openings, []
            if main is not None:
                break
        else:
            return (), base.openings, []
        loops = _with_children(found.loops, main)
        edges = self.drawn.edges
        outer = {edges[i].pen for i in loops[0].sources}
        inner = {edges[i].pen for loop in loops[1:] for i in loop.sources} - outer
        loose = {edges[piece.source].pen for piece in found.open}
        why = "the largest loop is drawn so"
        if len(outer) > 1 and (pen := self._alone(outer, loops[0])) is not None:
            return self._inside(self._texts("outline", {pen}, loose, why))
        outline = self._texts("outline", outer, loose, why)
        if base.openings:
            return outline, base.openings, loops
        openings = self._texts("openings", inner, loose, "loops inside the outline are drawn so")
        return outline, openings, loops

    def _inside(
        self, outline: tuple[Choice, ...]
    ) -> tuple[tuple[Choice, ...], tuple[Choice, ...], list[ClosedLoop]]:
        """Propose openings inside an outline that is known, sorted apart from it."""
        base, edges = self.base, self.drawn.edges
        own = [pen for pen in self.pens if any(c.fits(pen) for c in outline)]
        others = [pen for pen in self.pens if any(c.fits(pen) for c in base.openings)]
        if not base.openings:
            others = [
                pen
                for pen in self.pens
                if pen not in own
                and not (_is_aside(pen) or _is_bend(pen) or _is_broken(pen))
                and not any(c.fits(pen) for c in (*base.bend_lines, *base.tangent_lines))
            ]
        alone = self._sort(own)
        apart = self._sort(pen for pen in others if pen not in own)
        self.loose = (*alone.open, *apart.open)
        loops = _with_children((*alone.loops, *apart.loops), _main(alone.loops, base.part_at))
        if base.openings:
            return outline, base.openings, loops
        inner = {edges[i].pen for loop in loops[1:] for i in loop.sources} - set(own)
        loose = {edges[piece.source].pen for piece in self.loose}
        why = "loops inside the outline are drawn so"
        return outline, self._texts("openings", inner, loose, why), loops

    def _alone(self, outer: set[Pen], main: ClosedLoop) -> Pen | None:
        """Return the one pen that draws the whole outline by itself, where others cross it."""
        for pen in sorted(outer, key=str):
            found = _main(self._sort([pen]).loops, self.base.part_at)
            if found is not None and found.loop.area >= 0.8 * main.loop.area:
                return pen
        return None

    def _broken_outline(self, found: Sorted, main: ClosedLoop | None) -> set[Pen]:
        """Return the pens of a chain that runs round every loop but does not close."""
        if self.base.part_at is not None:
            return set()
        edges = self.drawn.edges
        around: set[Pen] = set()
        for chain in chains_of(found.open):
            if len(chain) < 2:
                continue
            outer = box_around([piece.edge.box for piece in chain])
            inner = main.loop.box if main is not None else outer
            wider = any(abs(p - q) > 0.1 for p, q in zip(outer, inner, strict=True))
            if (wider or main is None) and _around(outer, inner):
                around.update(edges[piece.source].pen for piece in chain)
        return around

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
    ) -> tuple[tuple[Choice, ...], tuple[Choice, ...], list[Point]]:
        """Propose bend lines, their tangent lines, and what of their pens is neither."""
        base, edges = self.base, self.drawn.edges
        if base.bend_lines:
            return base.bend_lines, base.tangent_lines, []
        shared = {edges[i].pen for loop in loops for i in loop.sources}
        rest: dict[Pen, list[Traced]] = defaultdict(list)
        for piece in self.loose:
            rest[edges[piece.source].pen].append(piece)
        sorted_pens = set(rest) | shared
        for i in self.seen:
            if edges[i].pen not in sorted_pens:
                rest[edges[i].pen].append(Traced(edges[i].edge, i))
        found: dict[Pen, list[DrawnBendLine]] = {}
        left_out: dict[Pen, list[Point]] = {}
        for pen in sorted(rest, key=lambda pen: (pen.layer, pen.line_type, pen.colour)):
            if any(choice.fits(pen) for choice in (*base.openings, *base.tangent_lines)):
                continue
            marks = centre_marks(edges, sorted({p.source for p in rest[pen]}), region)
            pieces = [piece for piece in rest[pen] if piece.source not in marks]
            taken = self._taken(pieces, pen, region)
            if taken is not None:
                found[pen], left_out[pen] = taken
        tangent_pens = _tangent_pens(found) if not base.tangent_lines else set()
        kept = _bends_meant(found, tangent_pens)
        found = {pen: bends for pen, bends in found.items() if pen in kept}
        if not tangent_pens and not base.tangent_lines:
            tangent_pens = self._pairs_alone(found)
        chosen: list[Choice] = []
        tangents = list(base.tangent_lines)
        for pen in found:
            role, why = "bend_lines", "straight lines from edge to edge"
            if _is_bend(pen):
                why = "by its name"
            if pen in tangent_pens:
                alone = len(tangent_pens) == len(found)
                role, why = "tangent_lines", "a pair of them beside each bend line"
                why = "in pairs, with a bend between the two" if alone else why
            same = [p for p in self.pens if p.layer == pen.layer and p != pen]
            text = choice_text(
                pen,
                line_type=bool(same),
                colour=any(p.line_type == pen.line_type for p in same),
                closed=False if pen in shared else None,
            )
            (tangents if pen in tangent_pens else chosen).append(self._chosen(role, text, why))
        bend_pens = set(found) - tangent_pens
        points = [p for pen, own in left_out.items() if pen in bend_pens for p in own]
        return tuple(chosen), tuple(tangents), points

    def _pairs_alone(self, found: dict[Pen, list[DrawnBendLine]]) -> set[Pen]:
        """Return the pens of bend tangent lines that have no bend line between them: by their name,
        or because they are as far apart as the bends that are stated call for."""
        pens: set[Pen] = set()
        for pen, lines in found.items():
            pairs = pairs_of(lines)
            if not pairs or 2 * len(pairs) != len(lines):
                continue
            low, high = self.strip or (math.inf, -math.inf)
            if _is_tangent(pen) or all(low <= gap <= high for _, _, gap in pairs):
                pens.add(pen)
        # Where there are bend lines too, these would be drawn between.
        return pens if len(pens) == len(found) else set()

    def _taken(
        self, pieces: Sequence[Traced], pen: Pen, region: Region
    ) -> tuple[list[DrawnBendLine], list[Point]] | None:
        """Return the bend lines of a pen, and points on its lines that are none."""
        base = self.base
        lines = [traced for traced in pieces if isinstance(traced.edge, Line)]
        arcs = [traced.edge.point(0.5) for traced in pieces if isinstance(traced.edge, Arc)]
        arcs = [p for p in arcs if region.contains(p)]
        bends, _ = bend_lines_of(lines, region, base.closes, max(base.reach, SHORT))
        if _is_bend(pen) or _is_tangent(pen):
            # What is called so is taken so; what can't be one is told when it is laid out.
            return (list(bends), []) if bends or arcs else None
        good = [bend for bend in bends if bend.short <= SHORT]
        bad = [bend.at for bend in bends if bend.short > SHORT]
        if not good or _is_aside(pen):
            return None
        if len(bad) > _MOST_LEFT_OUT or len(bad) > 3 * len(good):
            return None
        return good, [*bad, *arcs]


def _bends_meant(found: dict[Pen, list[DrawnBendLine]], tangent_pens: set[Pen]) -> set[Pen]:
    """Of pens whose lines run from edge to edge, return those that are bends: where some are called
    so the others are not meant, and lines of symmetry are not where there are others."""
    named = {
        pen
        for pen in found
        if pen not in tangent_pens and (_is_bend(pen) or pen_note(pen) is not None)
    }
    if named:
        return named | tangent_pens
    plain = {pen for pen in found if not _is_axis(pen)}
    return plain if plain - tangent_pens else set(found)


def _tangent_pens(found: dict[Pen, list[DrawnBendLine]]) -> set[Pen]:
    """Return the pens whose lines stand in pairs, one on each side of bend lines of other pens."""
    pens: set[Pen] = set()
    # Most lines first: there are two tangent lines to a bend line.
    for pen in sorted(found, key=lambda pen: -len(found[pen])):
        beside = [line.line for line in found[pen]]
        between = [
            bend
            for other, bends in found.items()
            if other != pen and other not in pens
            for bend in bends
            if allowance_drawn(bend.line, beside) is not None
        ]
        if between and 2 * len(between) == len(beside):
            pens.add(pen)
    return pens


def _around(outer: Box, inner: Box) -> bool:
    """Say whether a box goes round another, or is the same."""
    return (
        outer[0] <= inner[0]
        and outer[1] <= inner[1]
        and outer[2] >= inner[2]
        and outer[3] >= inner[3]
    )


def allowed_short(pen: Pen, bend: DrawnBendLine) -> float:
    """Return how far short of the edge a line may be proposed as a bend line [mm]."""
    return max(SHORT, FAR_SHORT * bend.line.length) if _is_bend(pen) else SHORT


def _words(pen: Pen) -> str:
    return f"{pen.layer} {pen.line_type}".lower()


def _is_bend(pen: Pen) -> bool:
    words = _words(pen)
    return "bend" in words or any(
        re.search(rf"(?:^|[\W_]|\d){word}", words) for word in _BEND_WORDS
    )


def _is_tangent(pen: Pen) -> bool:
    return any(word in pen.layer.lower() for word in _TANGENT_WORDS)


def _is_axis(pen: Pen) -> bool:
    return any(word in pen.layer.lower() for word in _AXIS_WORDS)


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
