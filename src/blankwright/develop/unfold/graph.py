"""Flats and bends of a sheet as a graph: skin faces put together with mates and neighbours."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np

from blankwright.base.errors import NotPossible, Problem
from blankwright.develop.cells import Classes
from blankwright.develop.unfold.mates import arc_span, axes_apart, in_plane
from blankwright.develop.unfold.model import (
    Slack,
    SolidEdge,
    SolidFace,
    SolidModel,
    SurfaceKind,
    place_of,
)
from blankwright.develop.unfold.skins import Skins
from blankwright.geom.pose import Array


@dataclass(eq=False)
class Node:
    """A flat, or one piece of a bend, in the solid.

    Args:
        number: its number in the graph
        kind: plane or cylinder
        faces: its faces on each side; a bend without inside radius has none inside
        joints: edges at which it runs into other nodes, with the number of the node
        window: the stretch along the axis, as p · axis [mm], that this node is of a bend which
            carries several flats
    """

    number: int
    kind: SurfaceKind
    faces: tuple[list[SolidFace], list[SolidFace]]
    joints: list[tuple[SolidEdge, int]] = field(default_factory=list)
    window: tuple[float, float] = (-math.inf, math.inf)

    @property
    def is_flat(self) -> bool:
        """Whether it is a flat."""
        return self.kind is SurfaceKind.PLANE

    @property
    def any_face(self) -> SolidFace:
        """One of its faces."""
        return (self.faces[0] or self.faces[1])[0]

    @property
    def area(self) -> float:
        """Area of one side [mm²]."""
        return max(sum(face.area for face in side) for side in self.faces)

    @property
    def points(self) -> Array:
        """Points of its edges, shape (n, 3) [mm]."""
        faces = (*self.faces[0], *self.faces[1])
        return np.concatenate([edge.points for face in faces for edge in face.edges])


def graph_of(model: SolidModel, skins: Skins) -> list[Node]:
    """Return flats and bends with their joints.

    Raises:
        NotPossible: when a bend closes on itself, or is not tangent where it ends
    """
    classes = Classes()
    for number in sorted(skins.all):
        face = model.faces[number]
        for mate in skins.mates.get(number, ()):
            classes.join(number, mate)
        for _, other in model.neighbours(face):
            if other.number in _side_of(skins, number) and _one_surface(face, other, model.slack):
                classes.join(number, other.number)
    groups: dict[int, list[int]] = defaultdict(list)
    for number in sorted(skins.all):
        groups[classes.of(number)].append(number)
    nodes: list[Node] = []
    owner: dict[int, Node] = {}
    for members in groups.values():
        faces = [model.faces[n] for n in members]
        node = Node(
            len(nodes),
            faces[0].kind,
            (
                [f for f in faces if f.number in skins.sides[0]],
                [f for f in faces if f.number in skins.sides[1]],
            ),
        )
        nodes.append(node)
        owner.update(dict.fromkeys(members, node))
    _join(model, skins, owner)
    for node in list(nodes):
        if not node.is_flat:
            _part(model, nodes, node, skins.thickness)
    return nodes


def _part(model: SolidModel, nodes: list[Node], node: Node, thickness: float) -> None:
    """Part a bend that carries several flats at one end between them: each gets its own strip."""
    same = model.slack.same
    arch = arch_of(node, thickness, model)
    ends: tuple[dict[int, list[float]], ...] = ({}, {})
    for edge, number in node.joints:
        end = ends[0 if float(arch.angle(edge.points).mean()) < arch.span / 2 else 1]
        end.setdefault(number, []).extend(float(s) for s in edge.points @ arch.axis)
    cuts: set[float] = set()
    for end in ends:
        spans = sorted((min(s), max(s)) for s in end.values())
        for (_, high), (low, _) in itertools.pairwise(spans):
            if low < high - model.slack.same:
                raise NotPossible(
                    Problem(
                        code="STEP-021",
                        where=model.name,
                        got=f"two flats leave the bend at {place_of(node.any_face.some_point)} at"
                        " one place",
                        fix="Look at the solid there",
                    )
                )
            cuts.add(round((low + high) / 2, 6))
    if not cuts:
        return
    stops = [-math.inf, *sorted(cuts), math.inf]
    joints = node.joints
    for other in nodes:
        other.joints = [joint for joint in other.joints if joint[1] != node.number]
    for i, window in enumerate(itertools.pairwise(stops)):
        part = node
        if i:
            part = Node(len(nodes), node.kind, node.faces)
            nodes.append(part)
        part.window = window
        part.joints = []
        for edge, number in joints:
            s = edge.points @ arch.axis
            if float(s.max()) > window[0] + same and float(s.min()) < window[1] - same:
                part.joints.append((edge, number))
                nodes[number].joints.append((edge, part.number))


def _join(model: SolidModel, skins: Skins, owner: dict[int, Node]) -> None:
    for number in sorted(skins.all):
        face, node = model.faces[number], owner[number]
        for edge, other in model.neighbours(face):
            beyond = owner.get(other.number)
            if (
                beyond is not None
                and beyond is not node
                and other.number in _side_of(skins, number)
                and model.meet_smoothly(edge, face, other)
            ):
                node.joints.append((edge, beyond.number))


def open_corners(model: SolidModel, skins: Skins, nodes: list[Node]) -> list[SolidEdge]:
    """Return one edge for each two flats or bends that touch at a sharp corner of the solid.

    Both are carried by bends of their own, so the part unfolds, with the corner left open. Flats
    on either side of a bend without inside radius touch too; that is no corner.
    """
    owner = {f.number: node for node in nodes for side in node.faces for f in side}
    sharp = [
        {number for _, number in node.joints}
        for node in nodes
        if not node.is_flat and not (node.faces[0] and node.faces[1])
    ]
    found: dict[tuple[int, int], SolidEdge] = {}
    for number in sorted(skins.all):
        face, node = model.faces[number], owner[number]
        for edge, other in model.neighbours(face):
            if other.number not in _side_of(skins, number) or model.meet_smoothly(
                edge, face, other
            ):
                continue
            pair = (min(node.number, owner[other.number].number), owner[other.number].number)
            pair = (pair[0], max(node.number, pair[1]))
            flats = node.is_flat and owner[other.number].is_flat
            if flats and pair[0] != pair[1] and not any(set(pair) <= carried for carried in sharp):
                found.setdefault(pair, edge)
    return list(found.values())


def _side_of(skins: Skins, number: int) -> set[int]:
    return skins.sides[0] if number in skins.sides[0] else skins.sides[1]


def _one_surface(a: SolidFace, b: SolidFace, slack: Slack) -> bool:
    """Say whether two neighbours are parts of one plane or one cylinder."""
    if a.kind is not b.kind:
        return False
    if a.kind is SurfaceKind.PLANE:
        same = float(np.linalg.norm(a.axis - b.axis)) < slack.parallel
        return same and abs(float((a.spot - b.spot) @ (a.axis + b.axis))) < 2 * slack.same
    return (
        a.outward == b.outward
        and abs(a.radius - b.radius) < slack.same
        and axes_apart(a, b) < 10 * slack.same
    )


@dataclass(frozen=True, eq=False)
class Arch:
    """The cross-section of a bend: its axis, where round it the metal begins, and how far it goes.

    Args:
        center: a point of the axis [mm]
        axis: its direction; angles grow counter-clockwise about it [-]
        x: direction of the angle 0 [-]
        y: direction of the angle π/2 [-]
        begin: angle at which the metal begins [rad]
        span: angle over which it goes [rad]
        inside: inside radius [mm]
    """

    center: Array
    axis: Array
    x: Array
    y: Array
    begin: float
    span: float
    inside: float

    def angle(self, points: Array) -> Array:
        """Return angles of points from where the metal begins, within half a gap of it [rad]."""
        d = points - self.center
        turn = (np.arctan2(d @ self.y, d @ self.x) - self.begin) % math.tau
        result: Array = np.where(turn > (math.tau + self.span) / 2, turn - math.tau, turn)
        return result


def arch_of(node: Node, thickness: float, model: SolidModel) -> Arch:
    """Return the cross-section of a bend in sheet of a `thickness` [mm].

    Raises:
        NotPossible: when it goes all the way round
    """
    # The inside of a bend is what the tool makes: it counts where the outside stands off a little.
    face = next((f for side in node.faces for f in side if f.outward < 0), node.any_face)
    x = in_plane(face.axis)
    y = np.cross(face.axis, x)
    d = node.points - face.origin
    begin, span = arc_span(np.arctan2(d @ y, d @ x))
    seams = any(f.seams for side in node.faces for f in side)
    if seams or span > math.tau - 1e-6:
        raise NotPossible(
            Problem(
                code="STEP-018",
                where=model.name,
                got=f"the tube at {place_of(face.some_point)} closes on itself",
                allowed="a bend of less than a whole turn",
                fix="Cut it open along its length in the drawing, where the seam shall be",
            )
        )
    inside = face.radius if face.outward < 0 else face.radius - thickness
    return Arch(
        face.origin, face.axis, x, y, begin, span, 0.0 if inside < model.slack.same else inside
    )
