"""Bend lines as stated, and the strips of metal that they make of an outline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.tolerance import TOUCH
from blankwright.geom import vec
from blankwright.geom.boolean import difference, overlap
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region

NEAR = 10 * TOUCH
_BESIDE = 0.01
"""How far beside a line it is looked whether there is metal on both sides [mm]."""

THIN = 0.01
"""Width of the strips that tell which flats a bend line parts [mm]."""


class BendLineKind(Enum):
    """What a drawn bend line is."""

    CENTER = "centre line"
    TANGENT = "bend tangent line"
    """The tangent line on the root's side."""
    SIGHT = "sight line"
    """One inside radius from the root's tangent line: the root's side is clamped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatBend:
    """A bend line as drawn on a flat.

    Args:
        name: its name
        line: as drawn [mm]
        kind: what the line is
        angle: angle bent through [rad]
        inside_radius: [mm]
        up: whether the leg goes to the face side
        allowance: width of the strip [mm]
        k: neutral-axis factor it stands for [-]
        where: where it stands in the drawing, for messages
        of: name of the line, where it is one of several bends on it
    """

    name: str
    line: Line
    kind: BendLineKind = BendLineKind.CENTER
    angle: float
    inside_radius: float
    up: bool
    allowance: float
    k: float
    where: str = ""
    of: str = ""


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip: its frame (y from one tangent line to the other) and the metal in it."""

    bend: FlatBend
    place: Move
    width: float
    regions: tuple[Region, ...]


class OutlineCut:
    """An outline that bend lines cut into flats and strips.

    Args:
        outline: what is cut out, openings as holes [mm]
        thickness: [mm]
        reach: how far a bend line may end short of the edge, or past it [mm]
    """

    def __init__(self, outline: Region, thickness: float, reach: float) -> None:
        self.outline = outline
        self.thickness = thickness
        self.reach = reach

    def cut(self, bends: Sequence[FlatBend]) -> tuple[list[Region], dict[str, Strip]]:
        """Cut the outline into flats and strips."""
        problems: list[Problem] = []
        strips: dict[str, Strip] = {}
        for bend in bends:
            try:
                strips[bend.name] = self._strip(bend)
            except NotPossible as error:
                problems.extend(error.problems)
        names = list(strips)
        for i, a in enumerate(names):
            for b in names[i + 1 :]:
                both = [r for r in overlap(strips[a].regions, strips[b].regions) if r.area > 1e-4]
                if both and _meet_at_corner(strips[a], strips[b]):
                    problems.append(_unrelieved(strips[a].bend, b, both))
                elif both:
                    problems.append(
                        bend_problem(
                            "FLAT-011",
                            strips[a].bend,
                            f"its strip runs into that of {b}: the bends are nearer than their"
                            " allowances",
                            "Check radius, angle and which lines are bend lines",
                        )
                    )
        if problems:
            raise NotPossible(*problems)
        left: tuple[Region, ...] = (self.outline,)
        for strip in strips.values():
            left = difference(left, strip.regions)
        return [region for region in left if region.area > 1e-6], strips

    def relieved(self, bends: Sequence[FlatBend]) -> tuple[Region, list[Region]]:
        """Take out the metal where the strips of two bends that meet at a corner overlap.

        Returns:
            The outline, and what was taken out of it.
        """
        strips = [self._strip(bend) for bend in bends]
        gone: list[Region] = []
        for i, a in enumerate(strips):
            for b in strips[i + 1 :]:
                if _meet_at_corner(a, b):
                    gone += [r for r in overlap(a.regions, b.regions) if r.area > 1e-4]
        left: tuple[Region, ...] = (self.outline,)
        for region in gone:
            left = difference(left, (region,))
        return max(left, key=lambda region: region.area), gone

    def _strip(self, bend: FlatBend) -> Strip:
        direction = bend.line.direction()
        offset = {
            BendLineKind.CENTER: -bend.allowance / 2,
            BendLineKind.TANGENT: 0.0,
            BendLineKind.SIGHT: -bend.inside_radius,
        }[bend.kind]
        place = Move.onto(vec.along(bend.line.start, vec.left(direction), offset), direction)
        length = bend.line.length
        far = 2 * bend.allowance + self.reach
        pieces = self._band(place, bend.allowance, -far, length + far, length)
        if not pieces:
            raise NotPossible(
                bend_problem(
                    "FLAT-010", bend, "it lies off the metal", "Check which lines are bends"
                )
            )
        low, high = _span(pieces, place)
        for end, at, over in (
            ("start", bend.line.start, low < NEAR - far),
            ("end", bend.line.end, high > length + far - NEAR),
        ):
            beyond = self._beyond(bend.line if end == "end" else bend.line.reversed())
            if beyond > self.reach:
                raise NotPossible(
                    bend_problem(
                        "FLAT-012",
                        bend,
                        f"metal goes on past its {end} at ({at[0]:.3f}, {at[1]:.3f})",
                        "Draw the bend line from edge to edge, or cut relief at its end",
                    )
                )
            if over:
                # Beside the bend's end the flat goes on, unrelieved: the strip ends at the line's.
                first, last = (-far, length) if end == "end" else (0.0, length + far)
                cut = self._band(place, bend.allowance, first, last, length)
                pieces = [r for piece in pieces for r in overlap((piece,), cut) if r.area > 1e-6]
                low, high = _span(pieces, place)
        shifted = Move.shift(low, 0.0).then(place)
        return Strip(bend, shifted, high - low, tuple(pieces))

    def _band(
        self, place: Move, allowance: float, low: float, high: float, length: float
    ) -> list[Region]:
        """Return the metal of a band that lies beside its line itself: what lies beyond a slit at
        the line's end is another bend's, or none's."""
        band = Region(Loop.rectangle(low, 0.0, high, allowance).moved(place))
        pieces = [r for r in overlap((self.outline,), (band,)) if r.area > 1e-6]
        return [r for r in pieces if _along(r, place.inverse(), length)]

    def _beyond(self, line: Line) -> float:
        """Return how far metal goes on behind a line's end on the line itself [mm]."""
        step = self.reach / 8
        at = step / 2
        d = line.direction()
        while at < 2 * self.reach:
            # An edge along the line's lengthening, as beside a notch, is no metal that goes on.
            p = vec.along(line.end, d, at)
            beside = (vec.along(p, vec.left(d), side) for side in (_BESIDE, -_BESIDE))
            if not all(map(self.outline.contains, beside)):
                break
            at += step
        return at - step / 2


def _meet_at_corner(a: Strip, b: Strip) -> bool:
    """Say whether two bends meet at the end of either, rather than side by side or crosswise."""
    la, lb = a.bend.line, b.bend.line
    turn = vec.cross(la.direction(), lb.direction())
    if abs(turn) < 0.05:
        return False
    for line, other, wide in ((la, lb, b.bend.allowance), (lb, la, a.bend.allowance)):
        # Where the other line crosses this one, from its start.
        off = vec.sub(other.start, line.start)
        at = vec.cross(off, other.direction()) / vec.cross(line.direction(), other.direction())
        if min(at, line.length - at) < 2 * wide:
            return True
    return False


def _unrelieved(bend: FlatBend, other: str, both: Sequence[Region]) -> Problem:
    x0, y0, x1, y1 = both[0].box
    return bend_problem(
        "FLAT-017",
        bend,
        f"it meets {other} without relief: their strips share {x1 - x0:.2f} × {y1 - y0:.2f} mm at"
        f" ({(x0 + x1) / 2:.2f}, {(y0 + y1) / 2:.2f})",
        "Draw relief there, or state `relieve`: then what both strips share is taken out",
    )


def _span(pieces: Sequence[Region], place: Move) -> tuple[float, float]:
    back = place.inverse()
    boxes = [piece.moved(back).box for piece in pieces]
    return min(b[0] for b in boxes), max(b[2] for b in boxes)


def _along(piece: Region, back: Move, length: float) -> bool:
    """Say whether a piece lies beside the line itself and not only beside its lengthening."""
    x0, _, x1, _ = piece.moved(back).box
    return x1 > NEAR and x0 < length - NEAR


def bend_problem(code: str, bend: FlatBend, got: str, fix: str) -> Problem:
    """Return a problem of a bend, with its place in the drawing."""
    where = f"bend {bend.name}" + (f" ({bend.where})" if bend.where else "")
    return Problem(code=code, where=where, got=got, fix=fix)
