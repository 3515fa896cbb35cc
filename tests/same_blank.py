"""Blanks held against one another: edge on edge, and formed point on formed point."""

from __future__ import annotations

import math

from blankwright.develop.formed import form

SAME = 1e-6
"""Round trips are held to this [mm]."""


def same_outline(a, b, within=SAME):
    """Every edge of one lies on an edge of the other, both ways, by points along it."""
    for one, other in ((a, b), (b, a)):
        for edge in one.edges:
            for t in (0.0, 0.25, 0.5, 0.75, 1.0):
                p = edge.point(t)
                gap = min(e.distance(p) for e in other.edges)
                assert gap < within, (p, gap)
    assert len(a.holes) == len(b.holes)


def same_formed(a, b, names=None, within=SAME):
    """The finished parts agree wherever the first has metal, root on root."""
    one, other = form(a), form(b)
    for bend in a.bends:
        there = (names or {}).get(bend.name, bend.name)
        assert there in b.bend_by_name, (there, list(b.bend_by_name))
        for line in (bend.parent_tangent, bend.leg_tangent):
            for t in (0.1, 0.5, 0.9):
                for z in (0.0, a.thickness):
                    p = one.point(line.point(t), z, on=bend.label)
                    q = other.point(line.point(t), z, on=f"bend {there}")
                    assert math.dist(p, q) < within, bend.name


def inside(region):
    """A point of a region, just off its first edge."""
    edge = region.outer.edges[0]
    x, y = edge.point(0.5)
    dx, dy = edge.direction(0.5)
    return (x - dy * 1e-2, y + dx * 1e-2)
