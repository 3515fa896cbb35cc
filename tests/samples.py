"""Named parts for tests, built in code so that they need no part file."""

from __future__ import annotations

import math
import random

from blankwright.geom.loop import Loop
from blankwright.part.model import (
    Corner,
    CornerRule,
    DrawnBend,
    DrawnFlat,
    DrawnHole,
    DrawnTo,
    HoleKind,
    Part,
    Sheet,
)

ROOT = ("front", "right", "back", "left")
LEG = ("bend", "right", "tip", "left")
OML = DrawnTo.OUTSIDE_MOLD_LINE


def flat(name, width, depth, edges=ROOT, drawn_to=OML):
    return DrawnFlat(
        name=name,
        outline=Loop.rectangle(0, 0, width, depth),
        edges=edges,
        drawn_to=drawn_to,
    )


def bend(
    name,
    parent,
    edge,
    length,
    height,
    *,
    angle=90.0,
    radius=3.175,
    up=True,
    start=0.0,
    end=None,
    drawn_to=OML,
    **more,
):
    """A bend of `angle` degrees on an edge of a given length [mm], with a rectangular leg."""
    stop = length if end is None else end
    return DrawnBend(
        name=name,
        parent=parent,
        edge=edge,
        start=start,
        end=stop,
        angle=math.radians(angle),
        inside_radius=radius,
        up=up,
        leg=flat(name, stop - start, height, LEG, drawn_to),
        drawn_to=drawn_to,
        **more,
    )


def part(root, bends=(), *, thickness=1.016, alloy="6061-T6", **more):
    return Part(
        name="sample",
        title="Sample",
        drawing="T200-00-00",
        sheet=Sheet(alloy=alloy, thickness=thickness),
        sizes=(),
        root=root,
        bends=tuple(bends),
        **more,
    )


def hole(name, on, center, diameter, kind=HoleKind.ROUND):
    return DrawnHole(
        name=name, flat=on, kind=kind, loop=Loop.circle(center, diameter / 2), center=center
    )


def angle(width=80.0, depth=50.0, height=30.0, **more):
    """One flat, one leg along its back edge."""
    return part(flat("web", width, depth), [bend("leg", "web", "back", width, height, **more)])


def channel(width=80.0, web=50.8, height=25.4, radius=4.064, thickness=1.016, up=(True, True)):
    """The handbook's U channel: legs on the front and back edges."""
    return part(
        flat("web", width, web),
        [
            bend("front", "web", "front", width, height, radius=radius, up=up[0]),
            bend("back", "web", "back", width, height, radius=radius, up=up[1]),
        ],
        thickness=thickness,
        alloy="2024-T3",
    )


def tray(rule=CornerRule.CLOSED, *, returns=True, gap=0.5, width=120.0, depth=80.0, height=30.0):
    """Four walls up, and return flanges turned in."""
    sides = (("front", width), ("right", depth), ("back", width), ("left", depth))
    bends = [bend(name, "floor", name, length, height) for name, length in sides]
    if returns:
        bends += [
            bend(f"r{name}", name, "tip", length, 12.0, start=14.0, end=length - 14.0)
            for name, length in sides
        ]
    corners = tuple(
        Corner(first=sides[i][0], second=sides[(i + 1) % 4][0], rule=rule, gap=gap)
        for i in range(4)
    )
    return part(flat("floor", width, depth), bends, corners=corners)


def random_part(seed):
    """A random part: any valid tree of up to seven bends, holes among them.

    Legs are no wider than what is left of the edge they stand on, and every flat keeps some
    metal between its tangent lines, so that development always has an answer.
    """
    rng = random.Random(seed)
    thickness = rng.choice((0.508, 0.813, 1.016, 1.6, 2.286))
    radius = thickness * rng.choice((1.0, 2.0, 3.0, 4.0))
    room = 8 * (radius + thickness)
    width, depth = (room * rng.uniform(2.5, 8) for _ in range(2))
    root = flat("root", width, depth)
    bends, holes = [], []
    open_edges = [("root", edge, (width, depth)[i % 2]) for i, edge in enumerate(ROOT)]
    for n in range(rng.randint(1, 7)):
        if not open_edges:
            break
        parent, edge, length = open_edges.pop(rng.randrange(len(open_edges)))
        degrees = rng.choice((90.0, 90.0, rng.uniform(5.0, 120.0)))
        inset = (0.0, 0.0)
        if rng.random() < 0.4:
            inset = (length * rng.uniform(0.05, 0.2), length * rng.uniform(0.05, 0.2))
        height = room * rng.uniform(0.8, 3.0)
        made = bend(
            f"b{n}",
            parent,
            edge,
            length,
            height,
            angle=degrees,
            radius=radius,
            up=rng.random() < 0.6,
            start=inset[0],
            end=length - inset[1],
            drawn_to=rng.choice((OML, OML, DrawnTo.INSIDE_MOLD_LINE, DrawnTo.TANGENT_LINE)),
        )
        bends.append(made)
        open_edges.append((made.name, "tip", made.end - made.start))
        if rng.random() < 0.5:
            at = ((made.end - made.start) / 2, height / 2)
            holes.append(hole(f"h{n}", made.name, at, thickness * 2))
    return part(root, bends, thickness=thickness, holes=tuple(holes))


def busy(holes=200):
    """The part that speed is measured on: twelve bends and 200 holes."""
    base = tray(width=400.0, depth=300.0, height=60.0)
    sides = (("front", 400.0), ("right", 300.0), ("back", 400.0), ("left", 300.0))
    lips = [
        bend(f"l{name}", f"r{name}", "tip", length - 28.0, 14.0, start=6.0, end=length - 34.0)
        for name, length in sides
    ]
    grid = [
        hole(f"g[{n + 1}]", "floor", (30.0 + 18.0 * (n % 20), 40.0 + 22.0 * (n // 20)), 3.264)
        for n in range(holes)
    ]
    return part(base.root, (*base.bends, *lips), corners=base.corners, holes=tuple(grid))
