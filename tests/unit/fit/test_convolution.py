import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from blankwright.fit.convolution import Tracing, convolution, free_regions, simple_pieces

DOMAIN = np.array(((-200.0, -200.0), (200.0, -200.0), (200.0, 200.0), (-200.0, 200.0)))


def tracings(polygon: shapely.Polygon) -> list[Tracing]:
    return [Tracing.of(outline) for outline in simple_pieces(polygon)]


def free(part: shapely.Polygon, wall: shapely.Polygon) -> shapely.Geometry:
    return shapely.union_all(free_regions(DOMAIN, tracings(wall), tracings(part)))


def test_two_boxes_give_the_box_of_both_widths() -> None:
    blocked = shapely.Polygon(DOMAIN).difference(
        free(shapely.box(-1, -2, 1, 2), shapely.box(10, 20, 13, 25))
    )
    assert blocked.equals_exact(shapely.box(9, 18, 14, 27), 1e-5, normalize=True)


def test_a_part_fits_in_a_hole_and_is_caught_there() -> None:
    ring = shapely.Point(0, 0).buffer(30, quad_segs=32).difference(shapely.box(-10, -10, 10, 10))
    inside = list(free_regions(DOMAIN, tracings(ring), tracings(shapely.box(-3, -4, 3, 4))))
    boxes = sorted(p.bounds for p in inside if p.area < 1000)
    assert boxes == [pytest.approx((-7, -6, 7, 6), abs=1e-5)]


def test_chains_close_and_balance() -> None:
    rng = np.random.default_rng(4)
    for _ in range(40):
        a, b = (
            shapely.LineString(np.cumsum(rng.normal(size=(5, 2)) * 8, axis=0)).buffer(
                1, cap_style="flat", quad_segs=3
            )
            for _ in range(2)
        )
        if a.interiors or b.interiors:
            continue
        chains = convolution(tracings(a)[0], tracings(b)[0])
        # Every stretch is an edge of one of the two, so no chain jumps.
        longest = max(
            float(np.hypot(*np.diff(np.asarray(p.exterior.coords), axis=0).T).max()) for p in (a, b)
        )
        for chain in chains:
            steps = np.roll(chain, -1, axis=0) - chain
            assert float(np.hypot(*steps.T).max()) <= longest + 1e-9


@pytest.mark.parametrize("seed", range(12))
def test_free_places_agree_with_plain_overlap(seed: int) -> None:
    rng = np.random.default_rng(seed)

    def strip(corners: int) -> shapely.Polygon:
        line = shapely.LineString(np.cumsum(rng.normal(size=(corners, 2)) * 12, axis=0))
        return line.buffer(1, cap_style="flat", join_style="round", quad_segs=4)

    part, wall = strip(5), strip(4)
    regions = free(part, wall)
    for x, y in rng.uniform(-70, 70, size=(200, 2)):
        moved = affinity.translate(part, x, y)
        if moved.distance(wall) > 1e-4:
            assert regions.contains(shapely.Point(x, y))
        elif moved.intersection(wall).area > 1e-4:
            assert not regions.contains(shapely.Point(x, y))


def test_parallel_edges_and_half_turns() -> None:
    square = shapely.box(0, 0, 4, 4)
    turned = [t.turned(math.pi / 2) for t in tracings(square)]
    regions = free_regions(DOMAIN, tracings(shapely.box(0, 0, 10, 10)), turned)
    blocked = shapely.Polygon(DOMAIN).difference(shapely.union_all(regions))
    assert blocked.bounds == pytest.approx((0, -4, 14, 10), abs=1e-5)
    assert blocked.area == pytest.approx(14 * 14, abs=1e-3)


@pytest.mark.parametrize("noise", [0.0, 2.8e-16, -2.8e-16, 4.5e-16, 6.7e-16, -6.7e-16, 1e-12])
@pytest.mark.parametrize("start", range(10))
def test_edges_that_are_parallel_but_for_rounding(noise: float, start: int) -> None:
    # A hooked strip and a slotted wall with all edges along the axes, turned by quarters: every
    # edge has parallel ones in the other outline, a few ulps off.
    strip = shapely.Polygon([(0, 0), (7, 0), (7, 5), (5, 5), (5, 2), (2, 2), (2, 9), (0, 9)])
    wall = shapely.Polygon(
        [
            (-30, 0),
            (-4, 0),
            (-4, 12),
            (-2, 12),
            (-2, -3),
            (3, -3),
            (3, 4),
            (30, 4),
            (30, -9),
            (-30, -9),
        ]
    )
    # Which corner comes first decides where whole turns are counted on.
    outline = np.roll(np.asarray(wall.exterior.coords)[:-1], start, axis=0)
    rng = np.random.default_rng(start)
    for quarter in range(4):
        angle = quarter * math.pi / 2 + noise
        turned = affinity.rotate(strip, angle, origin=(0, 0), use_radians=True)
        part = [t.turned(angle) for t in tracings(strip)]
        regions = shapely.union_all(free_regions(DOMAIN, [Tracing.of(outline)], part))
        for x, y in rng.uniform(-40, 40, size=(60, 2)):
            moved = affinity.translate(turned, x, y)
            if moved.distance(wall) > 1e-4:
                assert regions.contains(shapely.Point(x, y))
            elif moved.intersection(wall).area > 1e-3:
                assert not regions.contains(shapely.Point(x, y))
