"""However messily a blank is drawn, all in one layer, its outline and bend lines are found."""

from __future__ import annotations

import itertools
import random

import pytest

import samples
from blankwright.develop.develop import develop_blank
from blankwright.develop.flat.bend_lines import bend_lines_of
from blankwright.develop.flat.clean import Traced
from blankwright.develop.flat.closing import sort_edges
from blankwright.geom.boolean import cut_out
from blankwright.geom.edges import Arc, Line
from blankwright.geom.region import Region
from same_blank import same_outline


def pieces(edge, rng):
    """An edge in up to four pieces, each either way round, some of them drawn twice."""
    marks = sorted({0.0, 1.0, *(rng.uniform(0.1, 0.9) for _ in range(rng.randint(0, 3)))})
    for a, b in itertools.pairwise(marks):
        piece = edge if (a, b) == (0.0, 1.0) else edge.part(a, b)
        yield piece if rng.random() < 0.5 else piece.reversed()
        if rng.random() < 0.15:
            yield piece.part(0.1, 0.9) if rng.random() < 0.5 else piece


def messy(blank, rng):
    edges = [piece for edge in blank.outline.edges for piece in pieces(edge, rng)]
    for bend in blank.bends:
        for region in bend.regions:
            for t in (0.5,):
                line = bend.line_at(bend.allowance * t)
                ends = sorted(line.share(p) for edge in region.edges for p in crossings(edge, line))
                edges.append(line.part(ends[0], ends[-1]))
    edges.append(Line((0.0, 0.0), (0.0, 0.0)))
    rng.shuffle(edges)
    return edges


def crossings(edge, line):
    from blankwright.geom.meet import meetings

    return meetings(edge, line)


@pytest.mark.parametrize("seed", range(60))
def test_outline_and_bend_lines_are_found(seed):
    blank = develop_blank(samples.random_part(seed))
    if blank.overlaps or blank.loose:
        pytest.skip("no sound part")
    rng = random.Random(seed)
    edges = messy(blank, rng)
    found = sort_edges([Traced(edge, i) for i, edge in enumerate(edges)], 0.02)
    loops = sorted(found.loops, key=lambda loop: -loop.loop.area)
    (region,) = cut_out((Region(loops[0].loop),), [loop.loop for loop in loops[1:]])
    same_outline(blank.outline, region, within=2e-6)
    assert region.area == pytest.approx(blank.outline.area, abs=1e-3)
    lines = [piece for piece in found.open if isinstance(piece.edge, Line)]
    assert not any(isinstance(piece.edge, Arc) for piece in found.open)
    bends, _ = bend_lines_of(lines, region, 0.02, 0.5)
    assert len(bends) == len(blank.bends)
    for bend in blank.bends:
        assert min(bend.center_line.distance(line.at) for line in bends) < 1e-6


@pytest.mark.parametrize("seed", range(20))
def test_gaps_under_the_tolerance_close_and_wider_ones_do_not(seed):
    blank = develop_blank(samples.random_part(seed))
    if blank.overlaps or blank.loose:
        pytest.skip("no sound part")
    rng = random.Random(seed)
    edges = list(blank.outline.edges)
    jittered = []
    for edge in edges:
        if isinstance(edge, Line) and edge.length > 1.0:
            cut = 0.008 / edge.length
            edge = edge.part(rng.uniform(0, cut), 1 - rng.uniform(0, cut))
        jittered.append(edge)
    traced = [Traced(edge, i) for i, edge in enumerate(jittered)]
    found = sort_edges(traced, 0.02)
    assert len(found.loops) == len(blank.outline.loops)
    outer = max(found.loops, key=lambda loop: loop.loop.area)
    # Lines were lengthened along themselves: the corners are where they were.
    same_outline(Region(blank.outline.outer), Region(outer.loop), within=1e-5)
    longest = max(range(len(edges)), key=lambda i: edges[i].length)
    traced[longest] = Traced(edges[longest].part(0.0, 1 - 0.5 / edges[longest].length), longest)
    assert len(sort_edges(traced, 0.02).loops) < len(found.loops)
