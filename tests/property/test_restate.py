"""A blank restated as a part develops into that blank; a flat drawing of it is that blank."""

from __future__ import annotations

import math

import pytest

import samples
from blankwright.develop.develop import develop_blank
from blankwright.develop.flat.bends import FlatBend, blank_of_flat
from blankwright.develop.formed import form
from blankwright.develop.restate import part_of_blank

SAME = 1e-6
"""Round trips are held to this [mm]."""

NAMED = {
    "tray": samples.tray(),
    "tray open": samples.tray(samples.CornerRule.OPEN),
    "channel": samples.channel(),
    "z": samples.channel(up=(True, False)),
    "angle": samples.angle(start=10.0, end=60.0),
}


def sound_parts(count):
    for seed in range(count):
        part = samples.random_part(seed)
        blank = develop_blank(part)
        if not blank.overlaps and not blank.loose:
            yield f"random {seed}", part, blank


def same_outline(a, b):
    """Every edge of one lies on an edge of the other, both ways, by ends and middle."""
    for one, other in ((a, b), (b, a)):
        for edge in one.edges:
            for t in (0.0, 0.5, 1.0):
                p = edge.point(t)
                assert min(e.distance(p) for e in other.edges) < SAME, p
    assert a.area == pytest.approx(b.area, abs=1e-4)


def same_formed(a, b):
    """The finished parts agree wherever the first has metal."""
    one, other = form(a), form(b)
    for bend in a.bends:
        for line in (bend.parent_tangent, bend.leg_tangent):
            for t in (0.1, 0.5, 0.9):
                for z in (0.0, a.thickness):
                    p = one.point(line.point(t), z, on=bend.label)
                    q = other.point(line.point(t), z, on=bend.label)
                    assert math.dist(p, q) < SAME, bend.name


def drawn_flat(blank):
    """The blank as a flat drawing: outline and centre lines."""
    bends = [
        FlatBend(
            name=bend.name,
            line=bend.center_line,
            angle=bend.angle,
            inside_radius=bend.inside_radius,
            up=bend.up,
            allowance=bend.allowance,
            k=bend.k,
        )
        for bend in blank.bends
    ]
    region = blank.root.region
    edge = region.outer.edges[0]
    x, y = edge.point(0.5)
    dx, dy = edge.direction(0.5)
    inside = (x - dy * 1e-2, y + dx * 1e-2)
    return blank_of_flat(
        blank.outline, bends, thickness=blank.thickness, alloy=blank.alloy, root_at=inside
    )


@pytest.mark.parametrize("name", NAMED)
def test_restated_named_parts(name):
    blank = develop_blank(NAMED[name])
    again = develop_blank(part_of_blank(blank, "again", "Again"))
    same_outline(blank.outline, again.outline)
    same_formed(blank, again)


@pytest.mark.parametrize("name", NAMED)
def test_flat_drawing_of_named_parts(name):
    blank = develop_blank(NAMED[name])
    again = drawn_flat(blank)
    same_outline(blank.outline, again.outline)
    same_formed(blank, again)


def test_restated_random_parts():
    for name, _, blank in sound_parts(150):
        again = develop_blank(part_of_blank(blank, name, name))
        same_outline(blank.outline, again.outline)
        same_formed(blank, again)


def test_flat_drawings_of_random_parts():
    for _, _, blank in sound_parts(150):
        again = drawn_flat(blank)
        same_formed(blank, again)
        restated = develop_blank(part_of_blank(again, "x", "x"))
        same_outline(blank.outline, restated.outline)
