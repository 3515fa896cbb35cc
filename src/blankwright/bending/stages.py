"""Stages of making a bend: how the part goes in, the stroke, how it comes out.

Each stage is a few legs: turns about the bend or straight shifts, as seen from some of the tool's
bodies.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from blankwright.bending.motion import Kind
from blankwright.bending.sections import Role
from blankwright.bending.tools import HandBlock, Tool
from blankwright.bending.ways import Way

FAR = 5000.0
"""Out of the tool's reach [mm]."""


class Stage(Enum):
    """A stage of making a bend; the value is how a card words it."""

    STROKE = "the bend"
    IN_FRONT = "in from the front"
    IN_FRONT_LIFTED = "in from the front, bar lifted"
    IN_END = "in from the end"
    IN_BEHIND = "in from behind, bar lifted"
    IN_BACK = "block let down behind the bend and brought forward"
    IN_FAR_BACK = "block let down well behind the bend and brought forward"
    OUT_FRONT = "out to the front"
    OUT_FRONT_LIFTED = "bar lifted, out to the front"
    OUT_END = "off the end"
    OUT_BEHIND = "bar lifted, out behind"
    OUT_BACK = "block drawn back, then lifted"
    OUT_FAR_BACK = "block drawn well back, then lifted"


INS = (
    Stage.IN_FRONT,
    Stage.IN_FRONT_LIFTED,
    Stage.IN_END,
    Stage.IN_BEHIND,
    Stage.IN_BACK,
    Stage.IN_FAR_BACK,
)
OUTS = (
    Stage.OUT_FRONT,
    Stage.OUT_FRONT_LIFTED,
    Stage.OUT_END,
    Stage.OUT_BEHIND,
    Stage.OUT_BACK,
    Stage.OUT_FAR_BACK,
)
_BACK = {
    Stage.IN_BACK: 15.0,
    Stage.OUT_BACK: 15.0,
    Stage.IN_FAR_BACK: 30.0,
    Stage.OUT_FAR_BACK: 30.0,
}
"""How far a loose block is drawn back before it is lifted [mm]."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Leg:
    """One leg of a stage: how the part moves as seen from some of the bodies.

    Args:
        roles: the bodies' roles
        kind: turn, by `Kind`
        shift: where the part is when the leg begins (y, z) [mm]
        way: where it goes from there [mm]
        whole: whether the bar counts as if it ran the whole length
        free: whether the free side is tried
        held: whether the held side is tried
        near_free: whether the flat of the free side at the bend is tried too
        near_held: whether that of the held side is
    """

    roles: tuple[Role, ...]
    kind: Kind = Kind.REST
    shift: tuple[float, float] = (0.0, 0.0)
    way: tuple[float, float] = (0.0, 0.0)
    whole: bool = False
    free: bool = True
    held: bool = True
    near_free: bool = True
    near_held: bool = True


_LIFTS = (Role.RUN, Role.BEAM)


def legs_of(stage: Stage, way: Way, tool: Tool) -> tuple[Leg, ...] | None:
    """Return the legs of a stage; nothing when the tool has no such stage."""
    press = way.set_up.share < 1.0
    lift = way.set_up.lift
    if stage is Stage.STROKE:
        return _press_stroke() if press else _leaf_stroke()
    out = stage in OUTS
    retreat = (
        (Leg(roles=(Role.LEAF,), kind=Kind.LEAF_COMES, near_free=False),)
        if out and not press
        else ()
    )
    loose = isinstance(tool, HandBlock)
    if stage in _BACK or (loose and stage in (Stage.IN_FRONT_LIFTED, Stage.OUT_FRONT_LIFTED)):
        return _loose(_BACK.get(stage, 0.0), lift) if loose else None
    if stage in (Stage.IN_END, Stage.OUT_END):
        if not tool.ends_open:
            return None
        return (*retreat, Leg(roles=_LIFTS, whole=True))
    if stage in (Stage.IN_FRONT, Stage.OUT_FRONT):
        if press:
            return None
        still = (Role.BED, Role.BOARD, Role.LEAF)
        return (*retreat, Leg(roles=(*_LIFTS, *still), way=(FAR, 0.0)))
    if stage in (Stage.IN_BEHIND, Stage.OUT_BEHIND) and not tool.behind_open:
        return None
    to = FAR if stage in (Stage.IN_FRONT_LIFTED, Stage.OUT_FRONT_LIFTED) else -FAR
    raised = way.set_up.opening / 2 + 2.0 if press and out else 0.0
    return (
        *retreat,
        Leg(roles=_LIFTS, way=(0.0, -lift)),
        Leg(roles=_LIFTS, shift=(0.0, raised - lift), way=(to, 0.0)),
        Leg(roles=(Role.BED, Role.BOARD, Role.LEAF, Role.DIE), shift=(0.0, raised), way=(to, 0.0)),
    )


def _loose(back: float, lift: float) -> tuple[Leg, ...]:
    """Take a loose block back and up, and the board down."""
    legs = [Leg(roles=(Role.BOARD,), way=(0.0, lift))]
    if back:
        legs.append(Leg(roles=_LIFTS, way=(back, 0.0)))
    return (*legs, Leg(roles=_LIFTS, shift=(back, 0.0), way=(0.0, -lift)))


def _leaf_stroke() -> tuple[Leg, ...]:
    stay = (Role.RUN, Role.BEAM, Role.BED, Role.BOARD)
    return (
        Leg(roles=stay, free=False),
        Leg(roles=stay, kind=Kind.SWING, held=False),
        Leg(roles=(Role.LEAF,), kind=Kind.LEAF_COMES, free=False),
        Leg(roles=(Role.LEAF,), kind=Kind.WITH_LEAF, held=False, near_free=False),
    )


def _press_stroke() -> tuple[Leg, ...]:
    return (
        Leg(roles=_LIFTS, kind=Kind.SWING_HELD, free=False),
        Leg(roles=_LIFTS, kind=Kind.SWING, held=False),
        Leg(roles=(Role.DIE,), kind=Kind.SWING_HELD, free=False, near_held=False),
        Leg(roles=(Role.DIE,), kind=Kind.SWING, held=False, near_free=False),
    )
