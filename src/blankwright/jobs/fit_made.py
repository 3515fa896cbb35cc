"""The part as this shop makes it: bends that land beside their line, turn too far, take more metal.

Sources of error are those of the shop's stated accuracy of bending; how they carry through the
part is geometry alone: each bend's leg goes where its bend puts it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from blankwright.bending.tools import Capability
from blankwright.develop.blank import Blank
from blankwright.develop.coupons import Coupons
from blankwright.develop.formed import BendShape, Formed, as_pose, leg_turn
from blankwright.fit.chance import Law, Varied
from blankwright.geom.move import Move
from blankwright.geom.pose import Pose

SHOP = "shop"
"""First word of the names of the shop's sources of error."""


def shop_errors(
    blank: Blank, capability: Capability, coupons: Coupons | None = None
) -> tuple[Varied, ...]:
    """Return the sources of error of a part's bends, each with its plus/minus at 95 %.

    Args:
        blank: the part's blank
        capability: how closely the shop works
        coupons: where a coupon says how sure k is
    """
    found = []
    for bend in blank.bends:
        k = capability.k
        if coupons is not None:
            match = coupons.best(blank.alloy, blank.thickness, bend.inside_radius, bend.angle)
            k = capability.k if match is None else match.k_plus_minus
        for what, plus_minus, kind in (
            ("angle", capability.angle, "angle"),
            ("place", capability.sight, "length"),
            ("allowance", bend.angle * blank.thickness * k, "length"),
        ):
            name = f"{SHOP} {what} of bend {bend.name}"
            found.append(Varied(name=name, plus_minus=plus_minus, kind=kind, law=Law.BELL))
    return tuple(found)


def as_made(formed: Formed, errors: Mapping[str, float]) -> Formed:
    """Return the part bent with errors, its root flat where it was.

    Args:
        formed: the part without error, bent to its full angles
        errors: by name of the source, as `shop_errors` names them [mm or rad]
    """
    blank = formed.blank
    flats = {blank.root.name: formed.flats[blank.root.name]}
    bends: dict[str, BendShape] = {}
    for bend in blank.bends:

        def error(what: str, name: str = bend.name) -> float:
            return errors.get(f"{SHOP} {what} of bend {name}", 0.0)

        shape = formed.bends[bend.name]
        angle = shape.angle + error("angle")
        radius = shape.inside_radius
        strip = as_pose(Move.shift(0.0, error("place"))).then(as_pose(bend.place))
        place = strip.then(flats[bend.parent])
        bends[bend.name] = replace(shape, angle=angle, place=place)
        axis = blank.thickness + radius if bend.up else -radius
        turn = (
            Pose()
            if shape.is_flat or not math.isfinite(radius)
            else leg_turn(bend.allowance + error("allowance"), angle, axis, bend.up)
        )
        # The leg's metal keeps its place on the blank: what the bend takes, the leg lacks.
        flats[bend.leg] = strip.inverse().then(turn).then(place)
    return Formed(blank=blank, flats=flats, bends=bends)
