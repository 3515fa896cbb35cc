"""Setback: from a bend's mold line to its tangent line."""

from __future__ import annotations

import math

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.tolerance import ANGLE
from blankwright.base.trail import TrailStep
from blankwright.part.model import DrawnTo

SOURCE = "AC 43.13-1B ch. 4 and Table 4-7; FAA-H-8083-31 vol. 1 ch. 4, step 2"


def outside_setback(angle: float, inside_radius: float, thickness: float) -> float:
    """Return K(R+T) with K = tan(angle/2): outside mold line to bend tangent line.

    Args:
        angle: angle bent through, over 0 to π [rad]
        inside_radius: [mm]
        thickness: [mm]

    Returns:
        Setback [mm]; infinite at π, where the two outside faces are parallel and never meet.

    Source: AC 43.13-1B ch. 4 and Table 4-7; FAA-H-8083-31 vol. 1 ch. 4.
    """
    return _tangent(angle) * (inside_radius + thickness)


def inside_setback(angle: float, inside_radius: float) -> float:
    """Return K·R: inside mold line to bend tangent line.

    Args:
        angle: angle bent through, over 0 to π [rad]
        inside_radius: [mm]

    Returns:
        Setback [mm]; infinite at π unless the radius is nought.

    Source: the same triangle as `outside_setback`, on the inside face.
    """
    return 0.0 if inside_radius == 0.0 else _tangent(angle) * inside_radius


def outermost_setback(angle: float, inside_radius: float, thickness: float) -> float:
    """Return R + T: outermost line of the bend to its tangent line, for bends of 90° or more.

    Args:
        angle: angle bent through, π/2 to π [rad]
        inside_radius: [mm]
        thickness: [mm]

    Returns:
        Setback [mm].

    Raises:
        NotPossible: under 90° (SETBACK-002), where the leg itself stands out further

    Source: geometry; a quarter turn brings the outside face parallel to where the rule is laid.
    """
    _check(angle)
    if angle < math.pi / 2 - ANGLE:
        raise NotPossible(
            Problem(
                code="SETBACK-002",
                where=f"bend of {math.degrees(angle):g}°",
                got="a dimension is drawn to the outside of a bend of less than 90°, where the leg"
                " stands out further than the bend",
                fix="Draw it to the outside mold line, the inside mold line or the bend tangent"
                " line",
            )
        )
    return inside_radius + thickness


def setback(drawn_to: DrawnTo, angle: float, inside_radius: float, thickness: float) -> float:
    """Return how far the bend tangent line lies inside what a dimension is drawn to.

    Args:
        drawn_to: what the dimension ends at
        angle: angle bent through, over 0 to π [rad]
        inside_radius: [mm]
        thickness: [mm]

    Returns:
        Setback [mm], finite.

    Raises:
        NotPossible: when there is no such line: a mold line of a bend of 180° (SETBACK-001), the
            outside of a bend under 90° (SETBACK-002)
    """
    if drawn_to is DrawnTo.TANGENT_LINE:
        _check(angle)
        return 0.0
    if drawn_to is DrawnTo.OUTSIDE_OF_BEND:
        return outermost_setback(angle, inside_radius, thickness)
    if drawn_to is DrawnTo.INSIDE_MOLD_LINE:
        length = inside_setback(angle, inside_radius)
    else:
        length = outside_setback(angle, inside_radius, thickness)
    if math.isinf(length):
        raise NotPossible(
            Problem(
                code="SETBACK-001",
                where="bend of 180°",
                got=f"a dimension is drawn to the {drawn_to.value}, but the faces of a bend of"
                " 180° are parallel and have no mold line",
                fix="Draw it to the outside of the bend (the outermost line, as a rule laid across"
                " it shows) or to the bend tangent line",
            )
        )
    return length


def setback_step(
    name: str, drawn_to: DrawnTo, angle: float, inside_radius: float, thickness: float
) -> TrailStep:
    """Return the setback with its trail.

    Args:
        name: what it is called in the trail, such as ``bend left: setback``
        drawn_to: what the dimension ends at
        angle: angle bent through, over 0 to π [rad]
        inside_radius: [mm]
        thickness: [mm]

    Raises:
        NotPossible: as `setback`
    """
    formula = {
        DrawnTo.OUTSIDE_MOLD_LINE: "SB = K(R+T), K = tan(A/2)",
        DrawnTo.INSIDE_MOLD_LINE: "SB = K·R, K = tan(A/2)",
        DrawnTo.OUTSIDE_OF_BEND: "SB = R+T",
        DrawnTo.TANGENT_LINE: "SB = 0",
    }[drawn_to]
    source = SOURCE if drawn_to is DrawnTo.OUTSIDE_MOLD_LINE else "geometry of the bend"
    return TrailStep(
        name=name,
        value=setback(drawn_to, angle, inside_radius, thickness),
        formula=formula,
        inputs=(
            ("A", angle, "angle"),
            ("R", inside_radius, "length"),
            ("T", thickness, "length"),
        ),
        source=source,
    )


def _tangent(angle: float) -> float:
    _check(angle)
    # tan(π/2) in floating point is large, not infinite: say what is meant.
    return math.inf if angle > math.pi - ANGLE else math.tan(angle / 2)


def _check(angle: float) -> None:
    if not 0 < angle <= math.pi + ANGLE:
        raise NotPossible(
            Problem(
                code="SETBACK-003",
                where=f"bend of {math.degrees(angle):g}°",
                got="a bend can't be bent through this angle",
                allowed="more than 0° and no more than 180°",
            )
        )
