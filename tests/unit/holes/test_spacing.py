"""Where along a line the holes go."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from blankwright.base.quantities import BadText
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.holes.path import Path
from blankwright.holes.spacing import Spacing, space
from blankwright.holes.zones import Obstacle, Zone, point_obstacle, zones_on

LEAST = 9.0


def gaps(spaced):
    return [b - a for a, b in pairwise(spaced.at)]


def test_equal_pitch_from_end_distances():
    spaced = space(200, Spacing(left=10, right=15, pitch_at_most=25), LEAST)
    assert spaced.at[0] == 10
    assert spaced.at[-1] == pytest.approx(185)
    assert len(spaced.at) == 8
    assert gaps(spaced) == pytest.approx([25] * 7)


def test_a_pitch_that_divides_evenly_gains_no_hole():
    assert len(space(0.3, Spacing(pitch_at_most=0.1), 0.01).at) == 4


def test_count():
    spaced = space(100, Spacing(left=5, right=5, count=4), LEAST)
    assert spaced.at == pytest.approx((5, 35, 65, 95))
    assert space(100, Spacing(left=5, right=15, count=1), LEAST).at == (45,)


def test_exact_pitch_shares_what_is_left_between_the_ends():
    spaced = space(100, Spacing(left=5, right=5, pitch=20), LEAST)
    assert spaced.at == pytest.approx((10, 30, 50, 70, 90))


def test_stations_get_a_hole_and_bays_their_own_pitch():
    spaced = space(100, Spacing(pitch_at_most=20, stations=(30,)), LEAST)
    assert spaced.at == pytest.approx((0, 15, 30, 47.5, 65, 82.5, 100))


def test_frames_are_kept_free_on_both_sides():
    spaced = space(100, Spacing(pitch_at_most=20, frames=(50,), frame_clear=6), LEAST)
    assert 44 in spaced.at
    assert 56 in spaced.at
    assert not [s for s in spaced.at if 44 < s < 56]


def test_a_wide_obstacle_gets_a_hole_at_both_borders():
    spaced = space(200, Spacing(pitch_at_most=25), LEAST, [Zone(90, 120, ("hole drain",))])
    assert 90 in spaced.at
    assert 120 in spaced.at
    assert spaced.dodged == ("hole drain",)
    assert max(g for g in gaps(spaced) if g < 29.9) <= 25 + 1e-9


def test_a_narrow_obstacle_moves_one_hole_to_the_nearer_border():
    spaced = space(100, Spacing(pitch_at_most=25), LEAST, [Zone(48, 55, ("hole pin",))])
    assert 48 in spaced.at
    assert 55 not in spaced.at


def test_what_is_not_hit_is_not_dodged():
    zone = Zone(30, 45, ("hole pin",))
    spaced = space(100, Spacing(pitch_at_most=25), LEAST, [zone])
    assert spaced.at == pytest.approx((0, 25, 50, 75, 100))
    assert spaced.dodged == ()


def test_an_obstacle_over_the_end_moves_the_end():
    spaced = space(100, Spacing(pitch_at_most=25), LEAST, [Zone(-5, 12, ("bend left",))])
    assert spaced.at[0] == 12


def test_a_stated_pitch_under_the_least_stands():
    assert len(space(30, Spacing(count=7), LEAST).at) == 7


@pytest.mark.parametrize(
    ("length", "asked", "zones"),
    [
        (20, Spacing(left=15, right=15, pitch_at_most=5), ()),
        (20, Spacing(left=10, right=10, count=3), ()),
        (20, Spacing(pitch_at_most=5), (Zone(-1, 21, ("bend left",)),)),
        (20_000, Spacing(pitch_at_most=1), ()),
    ],
)
def test_no_room(length, asked, zones):
    with pytest.raises(BadText) as caught:
        space(length, asked, LEAST, zones)
    assert caught.value.code == "ROW-003"


def test_borders_of_a_round_obstacle_are_exact():
    path = Path((Line((0, 0), (100, 0)),))
    (zone,) = zones_on(path, [Obstacle("hole a", Loop.circle((50, 3), 6), 4)])
    half = math.sqrt(10**2 - 3**2)
    assert (zone.start, zone.end) == pytest.approx((50 - half, 50 + half), abs=1e-9)


def test_borders_of_a_point_and_of_a_strip():
    path = Path((Line((0, 0), (100, 0)),))
    (zone,) = zones_on(path, [point_obstacle("hole b", (20, 0), 9)])
    assert (zone.start, zone.end) == pytest.approx((11, 29), abs=1e-5)
    strip = Loop.rectangle(60, -50, 90, 50)
    (zone,) = zones_on(path, [Obstacle("bend left", strip, 5)])
    assert (zone.start, zone.end) == pytest.approx((55, 95), abs=1e-9)


def test_zones_that_overlap_are_one_and_name_both():
    path = Path((Line((0, 0), (50, 0)), Line((50, 0), (100, 0))))
    found = zones_on(
        path,
        [point_obstacle("hole a", (45, 0), 9), point_obstacle("hole b", (55, 0), 9)],
    )
    (zone,) = found
    assert zone.names == ("hole a", "hole b")
    assert (zone.start, zone.end) == pytest.approx((36, 64), abs=1e-5)
