"""Lay flats and bends out on the blank, from the root outwards."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Mapping

import numpy as np

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.develop.unfold.flatten import BendFrame, FlatFrame
from blankwright.develop.unfold.graph import Arch, Node, arch_of
from blankwright.develop.unfold.laid import (
    AllowanceRule,
    Laid,
    LaidBend,
    LaidFlat,
    root_frame,
    widen,
)
from blankwright.develop.unfold.model import SolidEdge, SolidModel, place_of
from blankwright.geom.pose import Array


def lay_out(
    model: SolidModel,
    nodes: list[Node],
    root: Node,
    face_side: int,
    thickness: float,
    rule: AllowanceRule,
    own: Mapping[str, float],
) -> Laid:
    """Lay the nodes of a sheet of a `thickness` [mm] out on the blank; `own` k of bends by name.

    Raises:
        NotPossible: when a bend is not tangent to its flats, or carries two flats at one end
    """
    return _Layer(model, nodes, face_side, thickness, rule, own).run(root)


class _Layer:
    def __init__(
        self,
        model: SolidModel,
        nodes: list[Node],
        face_side: int,
        thickness: float,
        rule: AllowanceRule,
        own: Mapping[str, float],
    ) -> None:
        self.model = model
        self.name = model.name
        self.slack = model.slack
        self.near_turn = max(1e-3, 2 * self.slack.smooth)
        self.nodes = nodes
        self.face_side = face_side
        self.t = thickness
        self.rule = rule
        self.own = own
        self.flats: list[LaidFlat] = []
        self.bends: list[LaidBend] = []
        self.findings: list[Finding] = []
        self.at: dict[int, LaidFlat] = {}
        self.seen: set[int] = set()
        self.waiting: deque[tuple[LaidFlat, Node, list[SolidEdge]]] = deque()

    def run(self, root: Node) -> Laid:
        if root.is_flat:
            self.reach(self.new_flat(root_frame(root, self.face_side, self.t), root, None))
        else:
            self.start_rolled(root)
        while self.waiting:
            flat, bend, edges = self.waiting.popleft()
            if bend.number not in self.seen:
                self.seen.add(bend.number)
                arch = arch_of(bend, self.t, self.model)
                self.lay_bend(flat, bend, arch, self.runs_forward(bend, arch, edges))
        return Laid(self.flats, self.bends, self.findings)

    @property
    def next_name(self) -> str:
        """Name of the bend that is laid next."""
        return f"bend {len(self.bends) + 1}"

    def new_flat(self, frame: FlatFrame, node: Node | None, bend: LaidBend | None) -> LaidFlat:
        flat = LaidFlat(f"flat {len(self.flats) + 1}", frame, node, bend)
        self.flats.append(flat)
        if node is not None:
            self.at[node.number] = flat
        return flat

    def reach(self, flat: LaidFlat) -> None:
        """Queue the bends of a flat, in their order along its edges."""
        assert flat.node is not None
        edges: dict[int, list[SolidEdge]] = {}
        for edge, number in flat.node.joints:
            edges.setdefault(number, []).append(edge)
        for number, found in edges.items():
            self.waiting.append((flat, self.nodes[number], found))

    def start_rolled(self, root: Node) -> None:
        """Lay a part without any flat out from where its rolled sheet begins."""
        arch = arch_of(root, self.t, self.model)
        up = self.is_up(root)
        radial = arch.x * math.cos(arch.begin) + arch.y * math.sin(arch.begin)
        across = np.cross(arch.axis, radial)
        normal = -radial if up else radial
        along = np.cross(across, normal)
        radius = arch.inside if up else arch.inside + self.t
        low = float(((root.points - arch.center) @ along).min())
        origin = arch.center + radial * radius + along * low
        frame = FlatFrame(origin, along, across, np.zeros(2))
        flat = self.new_flat(frame, None, None)
        flat.line = (np.zeros(2), np.array((float(np.ptp(root.points @ along)), 0.0)))
        self.seen.add(root.number)
        self.lay_bend(flat, root, arch, True)

    def runs_forward(self, node: Node, arch: Arch, edges: list[SolidEdge]) -> bool:
        """Say whether a bend begins, by its arch, at the edges it shares with its parent."""
        turns = [float(arch.angle(edge.points).mean()) for edge in edges]
        forward = all(abs(t) < self.near_turn for t in turns)
        if not forward and not all(abs(t - arch.span) < self.near_turn for t in turns):
            raise self.refused(
                "STEP-019",
                f"the bend at {place_of(edges[0].middle)} leaves its flat in the middle of its arc",
                "Look at the solid there",
            )
        return forward

    def lay_bend(self, parent: LaidFlat, node: Node, arch: Arch, forward: bool) -> None:
        up = self.is_up(node)
        ends: dict[int, list[SolidEdge]] = {}
        for edge, number in node.joints:
            turn = float(arch.angle(edge.points).mean())
            if abs(turn - (arch.span if forward else 0.0)) < self.near_turn:
                ends.setdefault(number, []).append(edge)
        if len(ends) > 1:
            raise self.refused(
                "STEP-021",
                f"the bend at {self.place(node)} carries {len(ends)} flats at one end",
                "Let the slots between the flats run into the bend, each its own relief",
            )
        other = self.nodes[next(iter(ends))] if ends else None
        plane = self.plane_of(other) if other is not None and other.is_flat else None
        frame, width, k = self.strip(parent.frame, node, arch, up, forward, plane)
        bend = LaidBend(
            self.next_name,
            parent,
            parent,
            frame,
            arch.inside,
            up,
            k,
            width,
            [node],
        )
        leg_frame = self.leg_frame(bend)
        if other is not None and other.is_flat and other.number in self.at:
            self.close(bend, self.at[other.number], leg_frame, node)
            return
        if plane is not None:
            leg_frame = self.settled(leg_frame, plane, node)
        flat_node = other if other is not None and other.is_flat else None
        self.bends.append(bend)
        bend.leg = self.new_flat(leg_frame, flat_node, bend)
        if flat_node is not None:
            self.reach(bend.leg)
        else:
            bend.leg.line = (frame.at + frame.allowance * frame.y, frame.x * width)
            if other is not None:
                self.waiting.appendleft((bend.leg, other, next(iter(ends.values()))))

    def close(self, bend: LaidBend, flat: LaidFlat, frame: FlatFrame, node: Node) -> None:
        """Join a bend to a flat that is laid already, or cut it open where they do not meet."""
        for other in self.bends:
            if other.parent is bend.parent and other.leg is flat and self.same_strip(other, bend):
                widen(other, bend)
                return
        off = float(np.abs(frame(flat.frame.origin[None, :]) - flat.frame.at).max())
        turned = float(np.abs(frame.x - flat.frame.x).max() + np.abs(frame.y - flat.frame.y).max())
        self.bends.append(bend)
        if off < max(1e-3, 20 * self.slack.same) and turned < max(1e-6, 2 * self.slack.parallel):
            bend.leg = flat
            return
        bend.leg = self.new_flat(frame, None, bend)
        bend.leg.line = (
            bend.frame.at + bend.frame.allowance * bend.frame.y,
            bend.frame.x * bend.width,
        )
        self.findings.append(
            Finding(
                code="STEP-020",
                level=Level.ASK,
                place=f"{self.name}: {bend.name}",
                got="the bends close in a ring, so the part is cut open along the bend tangent line"
                f" between {bend.name} and {flat.name}",
                fix="State another place for the cut, or make the seam in the drawing",
                at=(float(bend.leg.line[0][0]), float(bend.leg.line[0][1])),
            )
        )

    def same_strip(self, a: LaidBend, b: LaidBend) -> bool:
        off = a.frame.at - b.frame.at
        return (
            abs(float(off @ a.frame.y)) < 10 * self.slack.same
            and float(np.abs(a.frame.y - b.frame.y).max()) < max(1e-5, 2 * self.slack.parallel)
            and abs(a.inside_radius - b.inside_radius) < self.slack.same
            and a.up == b.up
        )

    def is_up(self, node: Node) -> bool:
        """Say whether the bend's leg goes to the face side."""
        front = node.faces[self.face_side]
        if front:
            return front[0].outward < 0
        return node.faces[1 - self.face_side][0].outward > 0

    def strip(
        self,
        parent: FlatFrame,
        node: Node,
        arch: Arch,
        up: bool,
        forward: bool,
        plane: tuple[Array, Array] | None,
    ) -> tuple[BendFrame, float, float]:
        """Return where the strip lies, its width and its k."""
        normal = parent.normal
        start = -normal if up else normal
        axis = arch.axis - float(arch.axis @ normal) * normal
        axis = axis / np.linalg.norm(axis)
        across = np.cross(axis, start) * (1.0 if forward else -1.0)
        along = np.cross(across, normal)
        reach = (node.points - arch.center) @ along
        low, high = float(reach.min()), float(reach.max())
        ends = [
            float(along @ arch.axis) * (s - float(arch.center @ arch.axis)) for s in node.window
        ]
        low, high = max(low, min(ends)), min(high, max(ends))
        center = arch.center + along * low
        angle = arch.span
        if plane is not None:
            # The planes of both flats tell the angle better than the ends of the bend's edges.
            end = -plane[1] if up else plane[1]
            turn = math.atan2(float(end @ across), float(end @ start))
            turn += math.tau * round((angle - turn) / math.tau)
            angle = turn if abs(turn - angle) < self.near_turn else angle
        k = self.own.get(self.next_name, -1.0)
        allowance = angle * (arch.inside + k * self.t)
        if k < 0:
            allowance, k = self.rule(arch.inside, self.t, angle)
        (at,) = parent(center[None, :])
        x, y = parent.vector(along), parent.vector(across)
        frame = BendFrame(center, along, start, across, angle, allowance, at, x, y)
        return frame, high - low, k

    def leg_frame(self, bend: LaidBend) -> FlatFrame:
        """Return where the plane at the far tangent line lies on the blank."""
        f = bend.frame
        sin, cos = math.sin(f.angle), math.cos(f.angle)
        radial = f.start * cos + f.across * sin
        across = f.across * cos - f.start * sin
        radius = bend.inside_radius if bend.up else bend.inside_radius + self.t
        return FlatFrame(
            f.center + radial * radius,
            f.x[0] * f.along + f.y[0] * across,
            f.x[1] * f.along + f.y[1] * across,
            f.at + f.allowance * f.y,
        )

    def place(self, node: Node) -> str:
        return place_of(node.any_face.some_point)

    def plane_of(self, node: Node) -> tuple[Array, Array] | None:
        """Return a point and the normal of a flat's face side."""
        front, back = node.faces[self.face_side], node.faces[1 - self.face_side]
        if front:
            return front[0].spot, front[0].axis
        return (back[0].spot - back[0].axis * self.t, -back[0].axis) if back else None

    def settled(self, frame: FlatFrame, plane: tuple[Array, Array], bend: Node) -> FlatFrame:
        """Lay the frame at a bend's end into the plane of the flat there, so that slips don't add
        up from flat to flat."""
        spot, normal = plane
        off = float((spot - frame.origin) @ normal)
        tilt = float(np.linalg.norm(frame.normal - normal))
        if abs(off) > max(0.01, 10 * self.slack.same) or tilt > max(1e-3, self.slack.smooth):
            raise self.refused(
                "STEP-019",
                f"the bend at {self.place(bend)} is not tangent to the flat it carries",
                "Look at the solid there",
            )
        x = frame.x - float(frame.x @ normal) * normal
        x = x / np.linalg.norm(x)
        return FlatFrame(frame.origin + off * normal, x, np.cross(normal, x), frame.at)

    def refused(self, code: str, got: str, fix: str) -> NotPossible:
        return NotPossible(Problem(code=code, where=self.name, got=got, fix=fix))
