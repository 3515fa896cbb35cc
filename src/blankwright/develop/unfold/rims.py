"""What is not skin: rims, hole walls, countersinks, chamfered and rounded edges, marks, dimples."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum

import numpy as np

from blankwright.base.errors import NotPossible, Problem
from blankwright.develop.unfold.mates import Mates
from blankwright.develop.unfold.model import (
    CurveKind,
    SolidEdge,
    SolidFace,
    SolidModel,
    SurfaceKind,
    place_of,
)
from blankwright.develop.unfold.skins import Skins, curved_problem, is_skin
from blankwright.geom.pose import Array

_LEANS = 0.05
"""A rim whose normal has more than this share along the skin's leans outward from it [-]."""


class RimKind(Enum):
    """What a connected set of rim faces is."""

    THROUGH = "through"
    """It joins both skins: the outside edge, a hole, a countersink."""
    MARK = "mark"
    """It cuts into one skin only: engraved letters, a shallow pocket."""
    DIMPLE = "dimple"
    """A hole whose edge is pressed into a cone."""
    OFF = "off"
    """It stands off the sheet: refused, unless it turns out to be pressed."""
    PRESSED = "pressed"
    """An emboss, a louver or an extruded hole within one flat."""


@dataclass(eq=False)
class Rim:
    """A connected set of faces that are not skin."""

    faces: list[SolidFace]
    touches: tuple[set[int], set[int]] = field(default_factory=lambda: (set(), set()))
    kind: RimKind = RimKind.THROUGH
    depth: float = 0.0

    @property
    def points(self) -> Array:
        """Points of its edges, shape (n, 3) [mm]."""
        return np.concatenate([edge.points for face in self.faces for edge in face.edges])


def rims_of(
    model: SolidModel,
    skins: Skins,
    mates: Mates,
    mark_pressed: Callable[[SolidModel, Skins, list[Rim]], None],
) -> list[Rim]:
    """Sort what is not skin into connected rims, and refuse what no sheet has.

    `mark_pressed` says, of rims that stand off, which are pressed features of a flat.

    Raises:
        NotPossible: doubly curved, conical, welded, or of another thickness; with the place
    """
    rims: list[Rim] = []
    seen = set(skins.all)
    for face in model.faces:
        if face.number in seen:
            continue
        seen.add(face.number)
        rim, waiting = Rim([]), [face]
        while waiting:
            member = waiting.pop()
            rim.faces.append(member)
            for _, other in model.neighbours(member):
                for side in (0, 1):
                    if other.number in skins.sides[side]:
                        rim.touches[side].add(other.number)
                if other.number not in seen:
                    seen.add(other.number)
                    waiting.append(other)
        rims.append(rim)
    found = [(rim, _sorted_out(model, skins, mates, rim)) for rim in rims]
    mark_pressed(model, skins, rims)
    problems = [
        problem for rim, problem in found if problem is not None and rim.kind is not RimKind.PRESSED
    ]
    if problems:
        # One of a kind tells enough: the eight corners of a drawn box are one reason, not eight.
        raise NotPossible(*{problem.code: problem for problem in reversed(problems)}.values())
    return rims


def depth_of(points: Array, face: SolidFace) -> Array:
    """Return how deep points lie behind a plane or cylinder face [mm]."""
    if face.kind is SurfaceKind.PLANE:
        result: Array = -((points - face.spot) @ face.axis)
        return result
    d = points - face.origin
    off = d - np.outer(d @ face.axis, face.axis)
    radius: Array = np.linalg.norm(off, axis=1)
    return (face.radius - radius) * face.outward


def _sorted_out(model: SolidModel, skins: Skins, mates: Mates, rim: Rim) -> Problem | None:
    t = skins.thickness
    touched = [model.faces[n] for n in sorted(rim.touches[0] | rim.touches[1])]
    if not touched:
        return _problem(model, "STEP-013", rim.faces[0], "a hollow space inside the metal")
    within = np.zeros(len(rim.points), dtype=bool)
    near = 10 * model.slack.same
    for face in touched:
        depth = depth_of(rim.points, face)
        within |= (depth > -near) & (depth < t + near)
    if not within.all():
        if _is_dimple(model, skins, rim):
            rim.kind = RimKind.DIMPLE
            return None
        rim.kind = RimKind.OFF
        return _why_not(model, skins, mates, rim, rim.points[int(np.argmin(within))])
    for face in rim.faces:
        skin_like = _runs_on(model, skins, face)
        if skin_like is not None:
            return skin_like
    if not (rim.touches[0] and rim.touches[1]):
        rim.kind = RimKind.MARK
        rim.depth = max(float(depth_of(rim.points, face).max()) for face in touched)
        return None
    if rim.kind is RimKind.THROUGH:
        return _thin(model, skins, mates, rim)
    return None


def _runs_on(model: SolidModel, skins: Skins, face: SolidFace) -> Problem | None:
    """Find a face that two faces of one skin run into smoothly: skin that is no flat or bend."""
    smooth: tuple[set[int], set[int]] = (set(), set())
    for edge, other in model.neighbours(face):
        for side in (0, 1):
            if other.number in skins.sides[side] and model.meet_smoothly(edge, face, other):
                smooth[side].add(other.number)
    if max(len(smooth[0]), len(smooth[1])) < 2:
        return None
    if face.kind is SurfaceKind.CYLINDER:
        return _eccentric(model, skins, face)
    if face.kind is SurfaceKind.PLANE:
        got = f"the flat has none behind it at {skins.thickness:.3f} mm"
        return _problem(model, "STEP-017", face, got)
    return curved_problem(model, face)


def _eccentric(model: SolidModel, skins: Skins, face: SolidFace) -> Problem:
    got = (
        f"the bend's face of {face.radius:.3f} mm radius has no face {skins.thickness:.3f} mm"
        " behind it about the same axis, so the sheet is not of one thickness in the bend,"
    )
    return _problem(model, "STEP-017", face, got)


def _thin(model: SolidModel, skins: Skins, mates: Mates, rim: Rim) -> Problem | None:
    """Find a wide land milled into the sheet; the step of a counterbore may stay."""
    t = skins.thickness
    for face in rim.faces:
        if face.kind is SurfaceKind.PLANE and len(face.loops) < 2 and face.area > 4 * t * t:
            for distance, mate in mates.opposite(face):
                if distance > t - 10 * model.slack.same:
                    break
                if mate.number in skins.all and mates.overlap(face, mate):
                    got = f"the metal is {distance:.3f} mm thick there and {t:.3f} mm else"
                    return _problem(model, "STEP-017", face, got)
    return None


def _is_dimple(model: SolidModel, skins: Skins, rim: Rim) -> bool:
    """Say whether a rim is a dimple: coaxial cones in both skins of one flat, with a hole."""
    cones = [face for face in rim.faces if face.kind is SurfaceKind.CONE]
    if len(cones) < 2 or not (rim.touches[0] and rim.touches[1]):
        return False
    if len(rim.touches[0]) > 1 or len(rim.touches[1]) > 1:
        return False
    (skin,) = (model.faces[n] for n in rim.touches[0])
    if skin.kind is not SurfaceKind.PLANE:
        return False
    axis, origin = cones[0].axis, cones[0].origin
    if abs(abs(float(axis @ skin.axis)) - 1) > 1e-6:
        return False
    for face in rim.faces:
        if face.kind in (SurfaceKind.OTHER, SurfaceKind.SPHERE):
            return False
        if abs(abs(float(face.axis @ axis)) - 1) > 1e-6:
            return False
        if face.kind is not SurfaceKind.PLANE:
            apart = face.origin - origin
            if float(np.linalg.norm(apart - (apart @ axis) * axis)) > 1e-3:
                return False
    # The skins' own cones are parallel; the hole's edge may be a cone too, square to them.
    largest = sorted(cones, key=lambda cone: -cone.area)[:2]
    return abs(abs(largest[0].half_angle) - abs(largest[1].half_angle)) < 1e-6


def _why_not(model: SolidModel, skins: Skins, mates: Mates, rim: Rim, at: Array) -> Problem:
    """Name the face that stops the part from being a sheet."""
    beside = [
        (face, other)
        for face in rim.faces
        for edge, other in model.neighbours(face)
        if other.number in skins.all and model.meet_smoothly(edge, face, other)
    ]
    worst = max((face for face, _ in beside), key=lambda f: f.area, default=None)
    largest = max(rim.faces, key=lambda f: f.area)
    suspect = worst if worst is not None and worst.area > largest.area / 10 else largest
    if suspect.kind not in (SurfaceKind.PLANE, SurfaceKind.CYLINDER):
        return curved_problem(model, suspect)
    if worst is not None and worst.kind is SurfaceKind.CYLINDER:
        return _eccentric(model, skins, worst)
    welded = [f for f in rim.faces if is_skin(f, mates, skins.thickness) and f.area > 1.0]
    welded = [f for f in welded if _corner(model, skins, f) is not None] or welded
    if welded:
        face = max(welded, key=lambda f: f.area)
        corner = _corner(model, skins, face)
        place = face if corner is None else corner
        return _problem(
            model,
            "STEP-015",
            place,
            "flats meet at a sharp corner without a bend, as welded or glued plates do",
        )
    behind = mates.nearest(largest)
    if behind is not None:
        return _problem(
            model,
            "STEP-017",
            largest,
            f"the metal is {behind[0]:.3f} mm thick there and {skins.thickness:.3f} mm else",
        )
    return _problem(model, "STEP-013", at, "something that stands off the sheet")


def _corner(model: SolidModel, skins: Skins, face: SolidFace) -> SolidEdge | None:
    """Return an edge at which a face meets a skin with a corner, if it has one."""
    for edge, other in model.neighbours(face):
        if other.number in skins.all and edge.kind is CurveKind.LINE:
            return edge
    return None


def _problem(model: SolidModel, code: str, at: SolidFace | SolidEdge | Array, got: str) -> Problem:
    p = at.some_point if isinstance(at, SolidFace) else at
    p = p.middle if isinstance(p, SolidEdge) else p
    return Problem(
        code=code,
        where=model.name,
        got=f"{got} at {place_of(p)}",
        allowed="plane flats and cylinder bends of one thickness",
        fix="Such a solid can't be unfolded as a sheet part",
    )


def outer_edges(
    model: SolidModel, skins: Skins, skin: SolidFace, edge: SolidEdge
) -> tuple[list[SolidEdge], list[SolidFace]]:
    """Return where the metal ends beside an edge of a skin: past chamfers and rounded edges.

    Returns:
        The edges that stand for it, in order, and the faces passed over.
    """
    passed: list[SolidFace] = []
    face, near = model.beyond(edge, skin), edge
    edges = [edge]
    while face.number not in skins.all and len(passed) < 4:
        p = near.middle
        if float(face.normal(p) @ skin.normal(edge.middle)) < _LEANS:
            break
        far = far_edges(face, near)
        if not far:
            break
        reached = {model.beyond(e, face).number for e in far} & skins.all
        if reached and not _whole_bevel(skin, face, far, reached <= set(skins.mates[skin.number])):
            break
        passed.append(face)
        edges = far
        if len(far) > 1:
            break
        near = far[0]
        face = model.beyond(near, face)
    return edges, passed


def _whole_bevel(skin: SolidFace, face: SolidFace, far: list[SolidEdge], to_mate: bool) -> bool:
    """Say whether a face through the whole thickness is a bevel of a flat's edge, or a sink.

    A cut bored straight through a bend leans too, but differently at every point of its edge;
    and the rim of a neighbour without inside radius ends on this skin's tangent line.
    """
    plain = (SurfaceKind.PLANE, SurfaceKind.CONE)
    return to_mate and len(far) == 1 and skin.kind is SurfaceKind.PLANE and face.kind in plain


def far_edges(face: SolidFace, near: SolidEdge) -> list[SolidEdge]:
    """Return the edges of a face across from one of its edges."""
    seams = face.seams
    for loop in face.loops:
        if all(e is not near for e in loop):
            continue
        rest = [e for e in loop if e is not near and e.number not in seams]
        far = [e for e in rest if not {e.start, e.end} & {near.start, near.end}]
        if far or not near.closed:
            return far
        if rest:
            return rest
    others = [loop for loop in face.loops if all(e is not near for e in loop)]
    return others[0] if len(others) == 1 else []
