"""Unfold a bent solid: skins, graph, lay-out, then the outline of each flat and bend."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.units import MM_PER_INCH, trimmed
from blankwright.develop.unfold.assemble import blank_of
from blankwright.develop.unfold.cells import CellOutlines
from blankwright.develop.unfold.curve2d import FIT
from blankwright.develop.unfold.graph import Node, graph_of, open_corners
from blankwright.develop.unfold.laid import AllowanceRule
from blankwright.develop.unfold.lay import lay_out
from blankwright.develop.unfold.mates import Mates
from blankwright.develop.unfold.metal import metal_kept
from blankwright.develop.unfold.model import Slack, SolidModel, place_of
from blankwright.develop.unfold.pressed import mark_pressed
from blankwright.develop.unfold.result import Unfolded
from blankwright.develop.unfold.rims import rims_of
from blankwright.develop.unfold.skins import Skins, find_skins
from blankwright.geom.pose import Array, Point3

SLACKS: Final = (
    Slack(),
    Slack(same=1e-3, parallel=1e-4, smooth=4e-3, join=2e-3),
    Slack(same=5e-3, parallel=5e-4, smooth=1e-2, join=0.01),
    Slack(same=0.02, parallel=1e-3, smooth=2e-2, join=0.04),
    Slack(same=0.06, parallel=2e-3, smooth=3e-2, join=0.1),
)
"""How true a solid is taken to be, the best first: the first that makes sense of it holds. Files
with few digits, faces turned into splines and bends with radii not quite one thickness apart call
for more than the first."""

_FINAL: Final = ("STEP-010", "STEP-014", "STEP-016", "STEP-018")
"""Refusals that no slack can mend."""

_THIN = 0.2
"""A sheet thinner than this may be inches read as mm [mm]. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnfoldWishes:
    """How a solid shall be unfolded, where it leaves a choice.

    Args:
        rule: from inside radius, thickness and angle to allowance and k
        own: neutral-axis factors of single bends, by their names in the blank that comes out [-]
        alloy: alloy and temper, which a solid does not tell
        root_at: a point of the flat that stays put [mm]; the largest flat when nothing
        seen_from: a direction the face side of the root looks to [-]; the side to which more bends
            go up when nothing
        fit: how far arcs may stand off cut edges that are neither line nor arc [mm]
    """

    rule: AllowanceRule
    own: Mapping[str, float] = field(default_factory=dict)
    alloy: str = ""
    root_at: Point3 | None = None
    seen_from: Point3 | None = None
    fit: float = FIT


def unfold(model: SolidModel, wishes: UnfoldWishes) -> Unfolded:
    """Unfold one solid.

    Raises:
        NotPossible: when it is no sheet part; each problem names what stops it and where
    """
    for edge in model.edges:
        if len(edge.faces) != 2:
            raise NotPossible(
                Problem(
                    code="STEP-022",
                    where=model.name,
                    got=f"{len(edge.faces)} faces meet at one edge",
                    allowed="two faces at every edge",
                    fix="Repair the solid in the program it was drawn in",
                )
            )
    first: NotPossible | None = None
    for slack in SLACKS:
        model.slack = slack
        try:
            return _unfold(model, wishes)
        except (NotPossible, ValueError, ArithmeticError) as error:
            refusal = error if isinstance(error, NotPossible) else _no_sense(model, error)
            first = first or refusal
            if any(problem.code in _FINAL for problem in refusal.problems):
                break
    assert first is not None
    raise first


def _no_sense(model: SolidModel, error: Exception) -> NotPossible:
    return NotPossible(
        Problem(
            code="STEP-026",
            where=model.name,
            got=f"its faces do not fit together ({error})",
            allowed="a sound solid",
            fix="Check and repair the solid in the program it was drawn in",
        )
    )


def _unfold(model: SolidModel, wishes: UnfoldWishes) -> Unfolded:
    mates = Mates(model)
    skins = find_skins(model, mates)
    if model.slack.same > max(SLACKS[0].same, skins.thickness / 20):
        raise NotPossible(
            Problem(code="STEP-017", where=model.name, got="its faces stand off from one another")
        )
    rims = rims_of(model, skins, mates, mark_pressed)
    nodes = graph_of(model, skins)
    flats = [node for node in nodes if node.is_flat]
    # Rolled sheet without any flat is laid out from where its largest bend begins.
    root = _root(flats or nodes, wishes)
    side = _face_side(nodes, skins, root, wishes)
    laid = lay_out(model, nodes, root, side, skins.thickness, wishes.rule, wishes.own)
    outlines = CellOutlines(model, skins, rims, side, wishes.fit)
    findings = [*laid.findings, *_suspicions(model, skins), *_open(model, skins, nodes)]
    blank = blank_of(laid, outlines, skins, wishes.alloy)
    if 2 * skins.thickness > min(blank.size):
        raise NotPossible(
            Problem(
                code="STEP-016",
                where=model.name,
                got=f"a block of {blank.size[0]:.2f} × {blank.size[1]:.2f} × "
                f"{skins.thickness:.2f} mm",
                allowed="a sheet part, at least twice as wide as it is thick",
                fix="This solid is no sheet part; leave it out",
            )
        )
    result = Unfolded(
        name=model.name,
        blank=blank,
        countersinks=tuple(outlines.countersinks),
        dimples=tuple(outlines.dimples),
        marks=tuple(outlines.marks),
        broken_edges=len(outlines.broken),
        findings=(*findings, *outlines.findings, *_slack_used(model)),
    )
    return replace(
        result, findings=(*result.findings, *metal_kept(model, result, outlines.pressed_volume))
    )


def _slack_used(model: SolidModel) -> list[Finding]:
    if model.slack.same <= SLACKS[0].same:
        return []
    within = model.slack.same
    return [
        Finding(
            code="STEP-033",
            level=Level.ASK if within > 0.005 else Level.NOTE,
            place=model.name,
            got="the faces of the solid fit one sheet with bends only to within"
            f" {trimmed(within, 4)} mm",
            fix="Compare the blank's sizes with the drawing; if they matter to that, save the solid"
            " with more digits, or draw inside and outside of its bends about one axis",
        )
    ]


def _root(flats: list[Node], wishes: UnfoldWishes) -> Node:
    if wishes.root_at is None:
        return max(flats, key=lambda node: (round(node.area, 6), -node.number))
    p = np.array(wishes.root_at)
    return min(flats, key=lambda node: (round(_distance(node, p), 6), node.number))


def _distance(node: Node, p: Array) -> float:
    """Return how far a point is from a flat [mm]: 0 on one of its faces."""
    best = math.inf
    for face in (*node.faces[0], *node.faces[1]):
        off = abs(float((p - face.origin) @ face.axis))
        foot = p - float((p - face.origin) @ face.axis) * face.axis
        x = np.cross(face.axis, np.eye(3)[int(np.argmin(np.abs(face.axis)))])
        x /= np.linalg.norm(x)
        frame = np.column_stack((x, np.cross(face.axis, x)))
        inside, beside = False, math.inf
        for edge in face.edges:
            q = (edge.points - foot) @ frame
            a, b = q[:-1], q[1:]
            # Crossings of the ray along x: an odd count is inside, in whatever order edges come.
            over = (a[:, 1] <= 0) != (b[:, 1] <= 0)
            t = np.where(over, a[:, 1] / np.where(over, a[:, 1] - b[:, 1], 1.0), 0.0)
            inside ^= bool((over & (a[:, 0] + t * (b[:, 0] - a[:, 0]) > 0)).sum() % 2)
            beside = min(beside, float(np.hypot(q[:, 0], q[:, 1]).min()))
        best = min(best, off if inside else math.hypot(off, beside))
    return best


def _face_side(nodes: list[Node], skins: Skins, root: Node, wishes: UnfoldWishes) -> int:
    if not root.is_flat:
        # Inside the roll is the face side.
        return 0 if any(face.outward < 0 for face in root.faces[0]) else 1

    def normal(side: int) -> Array:
        return root.faces[side][0].axis if root.faces[side] else -root.faces[1 - side][0].axis

    if wishes.seen_from is not None:
        return 0 if float(normal(0) @ np.array(wishes.seen_from)) > 0 else 1
    up = [0.0, 0.0]
    for node in nodes:
        for face in (*node.faces[0], *node.faces[1]):
            if not node.is_flat and face.outward < 0:
                up[0 if face.number in skins.sides[0] else 1] += face.area
    if abs(up[0] - up[1]) > 1e-6 * max(up):
        return 0 if up[0] > up[1] else 1
    # As many up as down: take the side that looks up, or else along y, or x.
    return 0 if tuple(np.round(normal(0)[::-1], 6)) > (0.0, 0.0, 0.0) else 1


def _open(model: SolidModel, skins: Skins, nodes: list[Node]) -> list[Finding]:
    return [
        Finding(
            code="STEP-032",
            level=Level.ASK,
            place=model.name,
            got=f"two walls touch at the sharp corner at {place_of(edge.middle)}; the blank leaves"
            " that corner open",
            fix="Bend it closed, and weld or rivet it if the drawing says so; add relief where"
            " the bends meet",
        )
        for edge in open_corners(model, skins, nodes)
    ]


def _suspicions(model: SolidModel, skins: Skins) -> list[Finding]:
    if skins.thickness >= _THIN:
        return []
    return [
        Finding(
            code="STEP-030",
            level=Level.ASK,
            place=model.name,
            got=f"the sheet is {skins.thickness:.4g} mm thick by the units of the file",
            limit=f"{skins.thickness * MM_PER_INCH:.4g} mm if the numbers were meant as inches",
            fix="Check the units the file was saved with; nothing was scaled here",
        )
    ]
