"""The way in of a part that springs: how far its leg must give, the steps, the stress in it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import shapely

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import fixed, show_angle
from blankwright.fit.decide import question_of
from blankwright.fit.place import PlaneOfFit, Spring
from blankwright.fit.solid import Piece, Solid
from blankwright.fit.sprung import Springing, Sprung, SprungLeg, answer_sprung
from blankwright.fit.steps import Words, tell
from blankwright.fit.surely import Passing
from blankwright.fit.sweep import Sweep
from blankwright.geom.pose import Pose
from blankwright.jobs.fit_open import Fit
from blankwright.jobs.fit_solid import SolidCheck, along_states


@dataclass(frozen=True, kw_only=True)
class SprungWay:
    """The way in of a part that may be sprung.

    Args:
        section: the plane it was decided in
        spring: what springs, as stated
        answer: what was found
        steps: the way in, from outside to rest, in words
        solid: the way checked with the whole solid; nothing where there is none
        stress: bending stress when sprung as far as the way needs [MPa]
    """

    section: PlaneOfFit
    spring: Spring
    answer: Sprung
    steps: tuple[str, ...]
    solid: SolidCheck | None
    stress: float


def sprung_way(fit: Fit, plane: PlaneOfFit) -> SprungWay:
    """Look for the way in of a part that may be sprung as far as its place states.

    Metal may touch metal on it: that is how a part is sprung past an edge.

    Args:
        fit: part and place; the place states what springs
        plane: the section to decide in

    Raises:
        BadInput: PLACE-011 when the bend that gives way is not there, or does not run square to
            the section; FIT-010 when the section misses the part, or what springs
    """
    spring = fit.place.spring
    assert spring is not None
    part, walls = fit.cut(plane)
    question, _ = question_of(fit.place, plane, part, walls, touching=True)
    springing = springing_of(fit, plane, part.features, spring)
    answer = answer_sprung(question, springing, spring.squeeze)
    needed = answer.enough if math.isfinite(answer.enough) else spring.squeeze
    return SprungWay(
        section=plane,
        spring=spring,
        answer=answer,
        steps=tuple(_steps(springing, answer, part.features, plane.words, spring.bend)),
        solid=_solid(fit, plane, springing, answer.legs) if answer.legs else None,
        stress=spring_stress(
            needed, spring.length, fit.part.sheet.thickness, spring.modulus or math.nan
        ),
    )


def springing_of(fit: Fit, plane: PlaneOfFit, features: Any, spring: Spring) -> Springing:
    """Return what springs in a section. Raises as `sprung_way`."""
    bends = {bend.name: bend for bend in fit.formed.blank.bends}
    where = f"{fit.place.name}, spring.bend"
    if spring.bend not in bends:
        raise BadInput(
            Problem(
                code="PLACE-011",
                where=where,
                got=f"the part has no bend `{spring.bend}`" if spring.bend else "it is not stated",
                allowed=f"the bend whose leg gives way: {', '.join(bends) or 'the part has none'}",
            )
        )
    beyond, names = {bends[spring.bend].leg}, set()
    for bend in fit.formed.blank.bends:
        if bend.parent in beyond:
            beyond.add(bend.leg)
            names.add(f"bend {bend.name}")
    names |= beyond
    shape = fit.formed.bends[spring.bend]
    axis = shape.place.then(fit.place.part.frame)
    along = plane.frame.inverse().vector(axis.x)
    if abs(abs(along[2]) - 1.0) > 1e-3:
        raise BadInput(
            Problem(
                code="PLACE-011",
                where=where,
                got=f"bend {spring.bend} runs"
                f" {show_angle(math.acos(min(1.0, abs(along[2]))))} off square to section"
                f" {plane.name}",
                allowed="a bend that runs square to the section",
            )
        )
    x, y, _ = plane.frame.inverse()(axis((0.0, 0.0, shape.axis_height(fit.formed.blank.thickness))))
    leg = [features[name] for name in sorted(names) if name in features]
    root = [features[name] for name in sorted(features) if name not in names]
    if not leg or not root:
        raise BadInput(
            Problem(
                code="FIT-010",
                where=f"{fit.place.name}, section {plane.name}",
                got=f"the section misses what springs beyond bend {spring.bend}",
                fix="Move the section's reference to where both sides of the bend are",
            )
        )
    return Springing(
        root=shapely.union_all(root),
        leg=shapely.union_all(leg),
        pivot=(x, y),
        features=frozenset(names),
    )


def _steps(
    springing: Springing, answer: Sprung, features: Any, words: Words, bend: str
) -> list[str]:
    """Tell the way in: its stretches backward, and what is sprung between them."""
    told: list[str] = []
    held = 0.0
    for leg in reversed(answer.legs):
        if abs(leg.spring - held) > 1e-9:
            told.append(_springs(springing, leg, held, words, bend))
        held = leg.spring
        moved = {
            name: springing.sprung(shape, leg.spring) if name in springing.features else shape
            for name, shape in features.items()
        }
        if len(leg.states) > 1:
            sweep = Sweep(leg.question)
            told += [s.text for s in tell(sweep, leg.states, moved, words, going_in=not told)]
    return told


def _springs(springing: Springing, leg: SprungLeg, held: float, words: Words, bend: str) -> str:
    if abs(leg.spring) < 1e-9:
        return f"Let the leg beyond bend {bend} spring back."
    corners = shapely.get_coordinates(springing.leg)
    far = max(corners.tolist(), key=lambda p: math.dist(p, springing.pivot))
    dx, dy = -(far[1] - springing.pivot[1]), far[0] - springing.pivot[0]
    turn = leg.states[0].turn
    x = (dx * math.cos(turn) - dy * math.sin(turn)) * leg.spring
    y = (dx * math.sin(turn) + dy * math.cos(turn)) * leg.spring
    if abs(x) > abs(y):
        way = words.right if x > 0 else words.left
    else:
        way = words.up if y > 0 else words.down
    more = "" if held == 0 or held * leg.spring < 0 else " in all"
    return (
        f"Spring the leg beyond bend {bend} {fixed(abs(leg.spring), 2)} mm{more} {way}, and hold."
    )


def _solid(
    fit: Fit, plane: PlaneOfFit, springing: Springing, legs: tuple[SprungLeg, ...]
) -> SolidCheck:
    """Move the whole solid, sprung as each stretch has it, and return the worst of all."""
    from blankwright.files.collision import MeshCollider

    found = []
    for leg in legs:
        if len(leg.states) < 2:
            continue
        solid = _sprung_solid(fit.solid, plane.frame, springing, leg.spring)
        collider = MeshCollider(solid, fit.place.solids, fit.soft)
        found.append(
            along_states(fit, solid, collider, plane.frame, leg.question.middle, leg.states)
        )
    order = (Passing.FREE, Passing.UNSURE, Passing.MEETS)
    return max(found, key=lambda check: (order.index(check.passing), -check.surely))


def _sprung_solid(solid: Solid, frame: Pose, springing: Springing, spring: float) -> Solid:
    x, y = springing.pivot
    turn = Pose.turn((x, y, 0.0), (0.0, 0.0, 1.0), spring / springing.reach)
    pose = frame.inverse().then(turn).then(frame)
    pieces = tuple(
        Piece(p.feature, pose.points(p.wedges.reshape(-1, 3)).reshape(-1, 6, 3), p.error)
        if p.feature in springing.features
        else p
        for p in solid.pieces
    )
    return replace(solid, pieces=pieces)


def spring_stress(squeeze: float, length: float, thickness: float, modulus: float) -> float:
    """Return the greatest bending stress in a strip sprung at its free end [MPa].

    Args:
        squeeze: how far its end is moved [mm]
        length: free length [mm]
        thickness: [mm]
        modulus: modulus of elasticity [MPa]

    Source:
        a cantilever with a load at its end: f = F·L³/(3·E·I), M = F·L, σ = M·t/(2·I), so
        σ = 3·E·t·f/(2·L²) (any text on strength of materials)
    """
    return 1.5 * modulus * thickness * squeeze / length**2
