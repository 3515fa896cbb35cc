"""Packing of the irregular instances of the literature, against published strip lengths.

Sources: see `packing_instances`. Eight seconds with two threads and seed 1; where a busy machine
falls short of the aim in that time, seeds 2 and 3 are tried too. The search runs by the clock, so
the bound is a share of the published density that a slower machine reaches as well; densities
seen on an idle one in ten seconds were 0.96 to 1.00 of A.
"""

import math

import pytest
from shapely import STRtree
from shapely.geometry import Polygon

from packing_instances import PUBLISHED, packed, path_of, read

SECONDS, SEEDS = 8, (1, 2, 3)
AIM, LEAST_SHARE = 0.93, 0.90
"""Of the density published in A: what is aimed at, and what time and seeds must reach."""


@pytest.mark.slow
@pytest.mark.parametrize("name", PUBLISHED)
def test_strip_length(name, record_property):
    if not path_of(name).is_file():
        pytest.skip(f"the instance is not beside the project: {path_of(name)}")
    instance = read(name)
    a, b = PUBLISHED[name]
    answer, seed, _ = packed(instance, SEEDS, SECONDS, enough=a / AIM)
    assert answer is not None
    for what, value in (("seed", seed), ("length", answer.length)):
        record_property(what, value)
    record_property("share of A", a / answer.length)
    record_property("share of B", b / answer.length)

    # The answer is held to its word: all placed, turned as allowed, inside, and no overlap.
    moves = dict(answer.moves)
    assert sorted(moves) == sorted(item.name for item in instance.items)
    slack = 1e-3 * instance.height / 40
    polygons = []
    for item in instance.items:
        move = moves[item.name]
        assert min(abs(math.remainder(move.angle - t, math.tau)) for t in item.turns) < 1e-9
        polygon = Polygon([move(p) for p in item.corners])
        x0, y0, x1, y1 = polygon.bounds
        assert x0 >= -slack
        assert y0 >= -slack
        assert x1 <= answer.length + slack
        assert y1 <= instance.height + slack
        polygons.append(polygon)
    tree = STRtree(polygons)
    for i, j in tree.query(polygons, predicate="intersects").T.tolist():
        if i < j:
            assert polygons[i].intersection(polygons[j]).area <= 1e-5 * instance.area
    assert a / answer.length >= LEAST_SHARE
    # Nothing can be denser than full.
    assert instance.density(answer.length) <= 1 + 1e-6
