"""Laws of development and forming, over random parts: at least 500 a run."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

import samples
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form, locate
from blankwright.develop.setback import outside_setback
from blankwright.geom.move import Move
from blankwright.geom.pose import cross3, dot3
from blankwright.part.model import DrawnTo

PARTS = 500
BLOCKS = 10
MAP = 1e-9
"""The map is held to this both ways [mm]."""


def parts(block):
    size = PARTS // BLOCKS
    for seed in range(block * size, (block + 1) * size):
        yield seed, samples.random_part(seed)


def metal_points(blank, rng, count):
    """Random points on the flats and bends of a blank, by name."""
    places = [(flat.name, (flat.region,)) for flat in blank.flats]
    places += [(bend.label, bend.regions) for bend in blank.bends if bend.regions]
    found = []
    while len(found) < count:
        name, regions = rng.choice(places)
        region = rng.choice(regions)
        x0, y0, x1, y1 = region.box
        p = (rng.uniform(x0, x1), rng.uniform(y0, y1))
        if region.contains(p):
            found.append((name, p))
    return found


@pytest.mark.parametrize("block", range(BLOCKS))
def test_map_goes_both_ways_at_any_state(block):
    for seed, part in parts(block):
        rng = random.Random(seed)
        blank = develop_blank(part)
        if blank.overlaps:
            continue  # a point there has two places, and the checks say stop
        formed = form(blank, {bend.name: rng.uniform(0, 1) for bend in blank.bends})
        for name, p in metal_points(blank, rng, 12):
            z = rng.uniform(0, blank.thickness)
            space = formed.point(p, z)
            q, height, _ = formed.blank_point(space, on=locate(blank, p))
            assert math.dist(p, q) < MAP, (seed, name)
            assert abs(height - z) < MAP, (seed, name)


@pytest.mark.parametrize("block", range(BLOCKS))
def test_flats_are_rigid_and_bends_meet_them(block):
    for seed, part in parts(block):
        rng = random.Random(seed)
        blank = develop_blank(part)
        formed = form(blank, rng.uniform(0.05, 1.0))
        for flat in blank.flats:
            a, b, c = ((rng.uniform(-50, 50), rng.uniform(-50, 50)) for _ in range(3))
            for p, q in ((a, b), (b, c), (a, c)):
                space = math.dist(
                    formed.point(p, 0.0, on=flat.name), formed.point(q, 0.0, on=flat.name)
                )
                assert space == pytest.approx(math.dist(p, q), abs=1e-9), seed
        for bend in blank.bends:
            for line, side in ((bend.parent_tangent, bend.parent), (bend.leg_tangent, bend.leg)):
                for share in (0.0, 0.4, 1.0):
                    for z in (0.0, blank.thickness):
                        p = line.point(share)
                        on_bend = formed.point(p, z, on=bend.label)
                        on_flat = formed.point(p, z, on=side)
                        assert math.dist(on_bend, on_flat) < 1e-9, (seed, bend.name)


@pytest.mark.parametrize("block", range(BLOCKS))
def test_neutral_fibre_keeps_its_length(block):
    for seed, part in parts(block):
        blank = develop_blank(part)
        share = random.Random(seed).uniform(0.1, 1.0)
        formed = form(blank, share)
        for bend in blank.bends:
            depth = bend.k * blank.thickness
            z = blank.thickness - depth if bend.up else depth
            across = np.linspace(0.0, bend.allowance, 257)
            strip = np.column_stack((np.zeros_like(across), across, np.full_like(across, z)))
            spaced = formed.bends[bend.name].locals(strip, blank.thickness)
            chords = np.linalg.norm(np.diff(spaced, axis=0), axis=1).sum()
            # 256 chords of an arc are short of it by A²/(24·256²) of its length.
            angle = bend.angle * share
            short = angle**2 / (24 * 256**2)
            assert chords == pytest.approx(bend.allowance * (1 - short), rel=1e-9), (seed, bend)


@pytest.mark.parametrize("block", range(BLOCKS))
def test_finished_legs_measure_what_the_drawing_says(block):
    """The outside faces of a leg and its parent meet on the mold line as drawn."""
    for seed, part in parts(block):
        blank = develop_blank(part)
        formed = form(blank)
        for drawn in part.bends:
            if drawn.leg.drawn_to is not DrawnTo.OUTSIDE_MOLD_LINE:
                continue
            outside = 0.0 if drawn.up else blank.thickness
            parent, leg = formed.flats[drawn.parent], formed.flats[drawn.leg.name]
            # The mold line is in both outside planes: two points of the leg's y = 0 line.
            place = blank.flat_by_name[drawn.leg.name].place
            for x in (0.0, drawn.end - drawn.start):
                p = leg((*place((x, 0.0)), outside))
                height = dot3(parent.z, p) - dot3(parent.z, parent.origin)
                assert height == pytest.approx(outside, abs=1e-9), (seed, drawn.name)
            bent = math.acos(max(-1.0, min(1.0, dot3(parent.z, leg.z))))
            assert bent == pytest.approx(drawn.angle, abs=1e-7), (seed, drawn.name)
            turned = dot3(cross3(parent.z, leg.z), leg.vector((*place.vector((1.0, 0.0)), 0.0)))
            assert (turned > 0) == drawn.up or math.sin(drawn.angle) < 1e-6, (seed, drawn.name)


@pytest.mark.parametrize("block", range(BLOCKS))
def test_area_of_the_blank_is_that_of_its_pieces(block):
    for seed, part in parts(block):
        blank = develop_blank(part)
        if blank.overlaps or blank.loose:
            continue
        pieces = sum(flat.region.area for flat in blank.flats)
        pieces += sum(r.area for bend in blank.bends for r in bend.regions)
        assert blank.outline.area == pytest.approx(pieces, abs=1e-5), seed


def test_flat_state_is_the_blank():
    for seed in range(60):
        blank = develop_blank(samples.random_part(seed))
        formed = form(blank, 0.0)
        for name, p in metal_points(blank, random.Random(seed), 5):
            assert math.dist(formed.point(p, 0.3, on=name), (*p, 0.3)) < 1e-9, (seed, name)


def test_moved_part_gives_a_congruent_blank():
    import dataclasses

    move = Move.turn(0.7).then(Move.shift(31.0, -12.0))
    for seed in range(60):
        part = samples.random_part(seed)
        root = dataclasses.replace(part.root, outline=part.root.outline.moved(move))
        holes = tuple(
            dataclasses.replace(h, loop=h.loop.moved(move), center=move(h.center))
            if h.flat == part.root.name
            else h
            for h in part.holes
        )
        moved = develop_blank(dataclasses.replace(part, root=root, holes=holes))
        still = develop_blank(part)
        assert len(moved.outline.edges) == len(still.outline.edges), seed
        assert moved.outline.area == pytest.approx(still.outline.area, abs=1e-6), seed
        expected = sorted(move(edge.point(0.5)) for edge in still.outline.edges)
        got = sorted(edge.point(0.5) for edge in moved.outline.edges)
        worst = max(min(math.dist(p, q) for q in got) for p in expected)
        assert worst < 1e-6, seed


def test_straight_back_strip_for_sharp_numbers():
    """A 90° angle: the blank is legs less two setbacks plus one allowance, worked by hand."""
    part = samples.angle(width=80.0, depth=50.0, height=30.0, radius=3.0)
    blank = develop_blank(part)
    setback = outside_setback(math.pi / 2, 3.0, 1.016)
    assert setback == pytest.approx(4.016)
    allowance = (0.017453292519943295 * 3.0 + 0.0078 * 1.016) * 90
    assert blank.size == pytest.approx((80.0, 50.0 + 30.0 - 2 * 4.016 + allowance), abs=1e-9)
