"""A drawing laid out by what its lines are said to be: outline, openings, bend lines."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from blankwright.base.errors import BadInput, Problem
from blankwright.develop.flat.bend_lines import DrawnBendLine, bend_lines_of
from blankwright.develop.flat.clean import Repair, Traced
from blankwright.develop.flat.closing import ClosedLoop, Sorted, sort_edges
from blankwright.develop.flat.rounds import rounded
from blankwright.develop.flat.tangent_pairs import between_pairs
from blankwright.files.dxf_drawn.chains import chains_of, loose_ends, round_again
from blankwright.files.dxf_drawn.choose import Choice, chosen
from blankwright.files.dxf_drawn.laid_out import LaidOut as LaidOut
from blankwright.files.dxf_drawn.loops import (
    centre_marks,
    container_of,
    middle_of,
    said_loop,
    touches,
)
from blankwright.files.dxf_drawn.model import Drawn
from blankwright.geom import vec
from blankwright.geom.boolean import cut_out
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.region import Region
from blankwright.geom.vec import Point

CLOSES = 0.02
"""Gaps up to this are closed unless stated otherwise [mm]."""

FIT = 0.005
"""Arcs stand off ellipses and splines by this at most unless stated otherwise [mm]."""

REACH = 0.5
"""Bend lines may end this short of the edge unless stated otherwise [mm]."""

_MOST_TOLD = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What the lines of a drawing are said to be.

    Args:
        outline: the outer edge, and openings unless these are stated apart
        openings: openings
        bend_lines: bend lines
        tangent_lines: bend tangent lines, two for each bend line
        closes: widest gap to close [mm]
        reach: how far a bend line may end short of the edge [mm]
        part_at: a point on the metal of the one part that is meant [mm]; nothing when the drawing
            holds but one
        leave_out: points on lines that are none of these, whatever they are drawn with [mm]
        rounds: whether circles and arcs drawn as many short lines are made round
    """

    outline: tuple[Choice, ...]
    openings: tuple[Choice, ...] = ()
    bend_lines: tuple[Choice, ...] = ()
    tangent_lines: tuple[Choice, ...] = ()
    closes: float = CLOSES
    reach: float = REACH
    part_at: Point | None = None
    leave_out: tuple[Point, ...] = ()
    rounds: bool = True


def lay_out(drawn: Drawn, choices: Choices, name: str) -> LaidOut:
    """Lay a drawing out.

    Args:
        drawn: the drawing, in mm
        choices: what its lines are
        name: what messages call the file

    Raises:
        BadInput: with every problem, each with its place: DRAWN-011 nothing is drawn so, DRAWN-020
            open ends, DRAWN-021 more than one loop possible, DRAWN-022 several parts, DRAWN-023
            loops within an opening, DRAWN-024 curved bend lines, DRAWN-025 lines off the plane
    """
    return _Layout(drawn, choices, name).laid_out()


class _Layout:
    def __init__(self, drawn: Drawn, choices: Choices, name: str) -> None:
        self.drawn = drawn
        self.choices = choices
        self.name = name
        self.problems: list[Problem] = []
        self.repairs: list[Repair] = []
        self.bends: list[Traced] = []
        self.either: set[int] = set()
        self.stray: list[Traced] = []

    def laid_out(self) -> LaidOut:
        choices, edges = self.choices, self.drawn.edges
        out = self._left_out()
        across = chosen(edges, (c for c in choices.bend_lines if c.closed is None)) - out
        maybe = chosen(edges, (c for c in choices.bend_lines if c.closed is not None)) - across
        maybe -= out
        openings = chosen(edges, choices.openings) - across - out
        outline = chosen(edges, choices.outline) - across - out
        # Of these only what closes is meant; the rest may be anything.
        self.either = (outline | openings) - chosen(
            edges, (c for c in (*choices.outline, *choices.openings) if c.closed is None)
        )
        self._none("outline", choices.outline)
        self._none("openings", choices.openings)
        self._none("bend_lines", choices.bend_lines)
        self._none("tangent_lines", choices.tangent_lines)
        self._tell_off_plane()
        self.bends = [Traced(edges[i].edge, i) for i in sorted(across)]
        tangents = chosen(edges, choices.tangent_lines) - out
        together = outline | maybe
        apart = openings - together
        outer = self._sorted(together, maybe)
        inner = self._sorted(apart, set()) if apart else None
        self._raise()
        region, aside = self._region(outer, inner)
        self._raise()
        may_be = [piece.source for piece in (*self.stray, *self.bends)]
        marks = centre_marks(edges, may_be, region)
        self.bends = [piece for piece in self.bends if piece.source not in marks]
        straight = self._straight(region)
        self._raise()
        bend_lines, repairs = bend_lines_of(straight, region, choices.closes, choices.reach)
        self.repairs.extend(repairs)
        if tangents and not choices.bend_lines:
            bend_lines = self._between(tangents, region)
            self._raise()
        used = across | maybe | openings | outline | tangents | out
        unused = Counter(
            str(edge.pen) for i, edge in enumerate(edges) if i not in used and not edge.hidden
        )
        return LaidOut(
            outline=region,
            bend_lines=bend_lines,
            tangents=tuple(
                edge for i in sorted(tangents) if isinstance(edge := edges[i].edge, Line)
            ),
            repairs=tuple(self.repairs),
            aside=tuple(aside),
            unused=tuple(sorted(unused.items())),
            stray=tuple(
                p
                for piece in self.stray
                if region.contains(p := piece.edge.point(0.5)) and piece.source not in marks
            ),
            centre_marks=len(marks),
        )

    def _between(self, tangents: set[int], region: Region) -> tuple[DrawnBendLine, ...]:
        """Return the bend lines amid pairs of bend tangent lines, where these alone are drawn."""
        choices, edges = self.choices, self.drawn.edges
        lines = [Traced(edges[i].edge, i) for i in sorted(tangents)]
        found, repairs = bend_lines_of(lines, region, choices.closes, choices.reach)
        self.repairs.extend(repairs)
        middle, alone = between_pairs(found)
        for line in alone:
            self._add(
                "DRAWN-026",
                f"the bend tangent line through ({line.at[0]:.3f}, {line.at[1]:.3f}) stands alone",
                "Bend tangent lines come in pairs, one on each side of a bend",
            )
        return middle

    def _left_out(self) -> set[int]:
        """Return the numbers of the lines that stated points say to leave out."""
        out: set[int] = set()
        edges = self.drawn.edges
        for p in self.choices.leave_out:
            off = [(edge.edge.distance(p), i) for i, edge in enumerate(edges) if not edge.hidden]
            nearest = [i for d, i in off if d <= max(self.choices.closes, 0.05)]
            if nearest:
                out.update(nearest)
            else:
                self._add(
                    "DRAWN-012",
                    f"leave_out: no line is drawn at ({p[0]:.3f}, {p[1]:.3f})",
                    "State a point on the line, or take it off the list",
                )
        return out

    def _raise(self) -> None:
        if self.problems:
            raise BadInput(*self.problems)

    def _add(self, code: str, got: str, fix: str, allowed: str = "") -> None:
        self.problems.append(Problem(code=code, where=self.name, got=got, allowed=allowed, fix=fix))

    def _none(self, role: str, choices: Sequence[Choice]) -> None:
        edges = self.drawn.edges
        for choice in choices:
            if any(choice.takes(edge) for edge in edges):
                continue
            hidden = [edge for edge in edges if edge.hidden and choice.fits(edge.pen)]
            if hidden:
                self._add(
                    "DRAWN-011",
                    f"{role}: what `{choice.text}` means is hidden ({hidden[0].hidden})",
                    "State its layer too, or turn the layer on in the drawing",
                )
                continue
            self._add(
                "DRAWN-011",
                f"{role}: nothing is drawn as `{choice.text}`",
                "State what the drawing has",
                "; ".join(sorted({str(edge.pen) for edge in edges if not edge.hidden})[:12]),
            )

    def _tell_off_plane(self) -> None:
        choices = self.choices
        layers = {c.layer for c in (*choices.outline, *choices.openings, *choices.bend_lines)}
        for kind, (x, y) in self.drawn.off_plane[:_MOST_TOLD]:
            layer = kind.rsplit(" ", 1)[-1].upper()
            if layer in layers or "" in layers:
                self._add(
                    "DRAWN-025",
                    f"a {kind} at ({x:.2f}, {y:.2f}) does not lie flat in the drawing's plane",
                    "Draw the blank flat, seen from above, or lay it flat before it is saved",
                )

    def _sorted(self, numbers: set[int], maybe_bends: set[int]) -> Sorted:
        edges = self.drawn.edges
        found = sort_edges([Traced(edges[i].edge, i) for i in sorted(numbers)], self.choices.closes)
        self.repairs.extend(found.repairs)
        loops = []
        for one in found.loops:
            loop = round_again(one.loop)
            if self.choices.rounds:
                loop, more = rounded(loop)
                self.repairs.extend(more)
            loops.append(replace(one, loop=loop))
        found = replace(found, loops=tuple(loops))
        loose: list[Traced] = []
        for piece in found.open:
            if piece.source in maybe_bends:
                self.bends.append(piece)
            elif piece.edge.length <= self.choices.closes:
                self.repairs.append(
                    Repair("runs past a corner", piece.edge.start, piece.edge.length)
                )
            else:
                loose.append(piece)
        self._tell_loose(loose if not self.either else self._in_earnest(loose))
        return found

    def _in_earnest(self, loose: Sequence[Traced]) -> list[Traced]:
        """Of lines that need not close, return those that all but do: a slip of the pen."""
        kept: list[Traced] = []
        for chain in chains_of(loose):
            ends = loose_ends(chain)
            length = sum(piece.edge.length for piece in chain)
            nearly = (
                len(ends) == 2
                and vec.distance(*ends) < length / 5
                and (len(chain) > 2 or any(isinstance(piece.edge, Arc) for piece in chain))
            )
            if nearly or any(piece.source not in self.either for piece in chain):
                kept.extend(chain)
            else:
                self.stray.extend(chain)
        return kept

    def _tell_loose(self, loose: Sequence[Traced]) -> None:
        """Say where a chain does not close: its ends, and how far they are from one another."""
        ends = loose_ends(loose)
        told = 0
        while ends and told < _MOST_TOLD:
            p = ends.pop(0)
            told += 1
            near = min(ends, key=lambda q: vec.distance(p, q), default=None)
            if near is None:
                got = f"a line ends at ({p[0]:.3f}, {p[1]:.3f}) and goes no further"
            else:
                ends.remove(near)
                got = (
                    f"the outline is open between ({p[0]:.3f}, {p[1]:.3f}) and"
                    f" ({near[0]:.3f}, {near[1]:.3f}), {vec.distance(p, near):.3f} mm apart"
                )
            self._add(
                "DRAWN-020",
                got,
                f"Close it in the drawing, state a wider `closes` than {self.choices.closes:g} mm"
                " if it is a slip of the pen, or state these lines as bend lines",
            )
        if loose and not ends and told == 0:
            x, y = loose[0].edge.point(0.5)
            self._add(
                "DRAWN-020",
                f"a line at ({x:.3f}, {y:.3f}) is on no edge of the blank",
                "Remove it, or state what it is",
            )

    def _region(self, outer: Sorted, inner: Sorted | None) -> tuple[Region, list[Point]]:
        loops = sorted(outer.loops, key=lambda found: -found.loop.area)
        inside = [container_of(found.loop, loops) for found in loops]
        chosen_loop = self._chosen(loops, inside)
        if chosen_loop is None:
            return Region(Loop.rectangle(0, 0, 1, 1)), []
        main = loops[chosen_loop].loop
        holes = [
            found.loop for found, home in zip(loops, inside, strict=True) if home == chosen_loop
        ]
        deeper = [
            found.loop
            for found, home in zip(loops, inside, strict=True)
            if home >= 0 and home != chosen_loop and loops[home].loop in holes
        ]
        if inner is not None:
            cutters = [found.loop for found in inner.loops if touches(found.loop, main)]
            for loop in cutters:
                if container_of(loop, inner.loops) >= 0:
                    deeper.append(loop)
                else:
                    holes.append(loop)
        if deeper and self.choices.part_at is None:
            self._tell_deeper(deeper)
        else:
            own = [f for f, home in zip(loops, inside, strict=True) if home == chosen_loop]
            self._tell_unclear([*own, *(inner.loops if inner is not None else ())])
        regions = cut_out((Region(main),), holes)
        if len(regions) != 1:
            self._add(
                "DRAWN-022",
                f"the openings part the outline into {len(regions)} pieces",
                "Check which lines are openings",
            )
            return Region(main), []
        aside = [
            middle_of(found.loop)
            for i, found in enumerate(loops)
            if i != chosen_loop and inside[i] != chosen_loop
        ]
        return regions[0], aside

    def _chosen(self, loops: Sequence[ClosedLoop], inside: Sequence[int]) -> int | None:
        """Return the number of the loop that is the part's outer edge."""
        at = self.choices.part_at
        if not loops:
            self._add(
                "DRAWN-020",
                "no line of the outline closes a loop",
                "State which lines are the outline; close it in the drawing",
            )
            return None
        if at is not None:
            around = [i for i, found in enumerate(loops) if found.loop.contains(at)]
            if not around:
                self._add(
                    "DRAWN-022",
                    f"no loop is drawn round ({at[0]:g}, {at[1]:g})",
                    "State a point on the metal of the part",
                )
                return None
            return around[-1]
        outermost = [i for i, home in enumerate(inside) if home < 0]
        if len(outermost) > 1:
            self._add(
                "DRAWN-022",
                f"the drawing holds {len(outermost)} parts: "
                + "; ".join(said_loop(loops[i].loop) for i in outermost[:_MOST_TOLD]),
                "State `part_at`, a point on the metal of the one that is meant",
            )
            return None
        return outermost[0]

    def _tell_unclear(self, openings: Iterable[ClosedLoop]) -> None:
        places = list(dict.fromkeys(found.branches[0] for found in openings if found.branches))
        for x, y in places[:_MOST_TOLD]:
            self._add(
                "DRAWN-021",
                f"lines meet at ({x:.3f}, {y:.3f}) such that more than one opening is possible",
                "Put bend lines in a layer of their own and state it, or remove the line too many;"
                " if a frame stands around the part, state `part_at`, a point on its metal",
            )

    def _tell_deeper(self, loops: Sequence[Loop]) -> None:
        self._add(
            "DRAWN-023",
            f"{len(loops)} loops lie within an opening: "
            + "; ".join(said_loop(loop) for loop in loops[:_MOST_TOLD]),
            "If a frame stands around the part, or other parts in its openings, state `part_at`, a"
            " point on the part's metal",
        )

    def _straight(self, region: Region) -> list[Traced]:
        straight: list[Traced] = []
        for traced in self.bends:
            edge = traced.edge
            if isinstance(edge, Arc) and region.contains(edge.point(0.5)):
                x, y = edge.point(0.5)
                self._add(
                    "DRAWN-024",
                    f"a bend line at ({x:.3f}, {y:.3f}) is an arc",
                    "Only straight lines can be bent; a flange on a curve is formed over a block",
                    "straight bend lines",
                )
            elif isinstance(edge, Line):
                straight.append(traced)
        return straight
