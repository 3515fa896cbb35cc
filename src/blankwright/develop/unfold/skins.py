"""The two skins of a sheet: which faces are its face side, which its back, and how thick it is.

A face of the sheet has a mate: the same plane or axis, one thickness behind it, looking the other
way. From the largest pair the skins grow over smooth edges, a face on one side taking its mate on
the other along. Rims, hole walls, chamfers and what else is left are not reached, because they
join the skins at an edge, or have no mate.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from blankwright.base.errors import NotPossible, Problem
from blankwright.develop.unfold.mates import Mates
from blankwright.develop.unfold.model import (
    SolidFace,
    SolidModel,
    SurfaceKind,
    place_of,
)


@dataclass(eq=False)
class Skins:
    """The two sides of a sheet.

    Args:
        thickness: [mm]
        sides: numbers of the faces of each side
        mates: for each face of a side the faces behind it, on the other side
    """

    thickness: float
    sides: tuple[set[int], set[int]]
    mates: dict[int, list[int]] = field(default_factory=dict)

    @property
    def all(self) -> set[int]:
        """Faces of both sides."""
        return self.sides[0] | self.sides[1]


def find_skins(model: SolidModel, mates: Mates) -> Skins:
    """Find the thickness and both skins of a sheet.

    Args:
        model: the solid
        mates: of the same solid

    Raises:
        NotPossible: when no two faces make a sheet
    """
    thickness = _thickness(model, mates)
    seed = next(
        face
        for face in sorted(model.faces, key=lambda f: (-round(f.area, 6), f.number))
        if mates.at(face, thickness)
    )
    return _grown(model, mates, thickness, seed)


def _thickness(model: SolidModel, mates: Mates) -> float:
    """Return the distance over which most area of the solid has a face behind it."""
    largest = sorted(model.faces, key=lambda f: (-f.area, f.number))[:24]
    votes: list[tuple[float, float]] = []
    flat: set[float] = set()
    for face in largest:
        behind = mates.nearest(face)
        if behind is not None:
            votes.append((behind[0], face.area))
            if face.kind is SurfaceKind.PLANE:
                flat.add(behind[0])
    if not votes:
        worst = largest[0]
        if worst.kind not in (SurfaceKind.PLANE, SurfaceKind.CYLINDER):
            raise NotPossible(curved_problem(model, worst))
        raise NotPossible(
            Problem(
                code="STEP-010",
                where=model.name,
                got="no two faces lie one behind the other",
                allowed="a sheet part of one thickness",
                fix="This solid is no sheet part; leave it out",
            )
        )
    best, weight = 0.0, -1.0
    for distance, _ in votes:
        near = [(d, area) for d, area in votes if abs(d - distance) <= mates.slack.same]
        total = sum(area for _, area in near)
        if total > weight + 1e-9 or (abs(total - weight) <= 1e-9 and distance < best):
            best, weight = distance, total
            # In bends the sheet may be drawn a little off.
            near = [(d, area) for d, area in near if d in flat] or near
            if max(near)[0] - min(near)[0] > 1e-9:
                best = sum(d * area for d, area in near) / sum(area for _, area in near)
    return best


def curved_problem(model: SolidModel, face: SolidFace) -> Problem:
    """Say that a cone or a doubly curved face stops the part from being unfolded."""
    code, got = "STEP-012", f"a doubly curved face ({face.kind.value})"
    if face.kind is SurfaceKind.CONE:
        half = math.degrees(abs(face.half_angle))
        code, got = "STEP-014", f"a cone of {half:.3f}° half angle"
    return Problem(
        code=code,
        where=model.name,
        got=f"{got} at {place_of(face.some_point)}",
        allowed="plane flats and cylinder bends of one thickness",
        fix="Such a solid can't be unfolded as a sheet part",
    )


def _grown(model: SolidModel, mates: Mates, thickness: float, seed: SolidFace) -> Skins:
    sides: tuple[set[int], set[int]] = (set(), set())
    skins = Skins(thickness, sides)
    waiting: list[tuple[int, SolidFace]] = [(0, seed)]
    while waiting:
        side, face = waiting.pop()
        if face.number in sides[side]:
            continue
        if face.number in sides[1 - side]:
            raise NotPossible(
                Problem(
                    code="STEP-011",
                    where=model.name,
                    got=f"the face at {place_of(face.some_point)} is on both sides of the sheet",
                    allowed="a sheet with a face side and a back",
                    fix="Look at the solid there",
                )
            )
        sides[side].add(face.number)
        behind = mates.at(face, thickness)
        skins.mates[face.number] = [mate.number for mate in behind]
        waiting += [(1 - side, mate) for mate in behind]
        for edge, other in model.neighbours(face):
            if is_skin(other, mates, thickness) and model.meet_smoothly(edge, face, other):
                waiting.append((side, other))
    return skins


def is_skin(face: SolidFace, mates: Mates, thickness: float) -> bool:
    """Say whether a face may be one side of sheet of a `thickness` [mm]."""
    if mates.at(face, thickness):
        return True
    # A bend without inside radius has an outer face only.
    return (
        face.kind is SurfaceKind.CYLINDER
        and face.outward > 0
        and abs(face.radius - thickness) <= mates.slack.same
    )
