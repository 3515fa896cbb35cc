import math

import pytest

from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.moments import area_moments
from blankwright.geom.move import Move
from blankwright.geom.region import Region


def test_rectangle() -> None:
    m = area_moments(Region.of(Loop.rectangle(1, 2, 5, 9)))
    assert m.area == pytest.approx(28)
    assert m.centroid == pytest.approx((3, 5.5))
    assert m.xx == pytest.approx(7 * (125 - 1) / 3)
    assert m.yy == pytest.approx(4 * (729 - 8) / 3)
    assert m.xy == pytest.approx((25 - 1) / 2 * (81 - 4) / 2)


def test_circle_off_the_origin() -> None:
    r, cx, cy = 3.5, 11.0, -7.0
    m = area_moments(Region.of(Loop.circle((cx, cy), r)))
    area = math.pi * r * r
    assert m.area == pytest.approx(area, rel=1e-14)
    assert m.centroid == pytest.approx((cx, cy), rel=1e-14)
    assert m.xx == pytest.approx(math.pi * r**4 / 4 + area * cx * cx, rel=1e-13)
    assert m.yy == pytest.approx(math.pi * r**4 / 4 + area * cy * cy, rel=1e-13)
    assert m.xy == pytest.approx(area * cx * cy, rel=1e-13)


def test_half_circle_centroid() -> None:
    """4r/3π off the diameter; own second moment (π/8 − 8/9π)·r⁴. (Any mechanics text.)"""
    r = 2.0
    half = Region.of(Loop((Line((-r, 0), (r, 0)), Arc((0, 0), r, 0, math.pi))))
    m = area_moments(half)
    assert m.centroid == pytest.approx((0, 4 * r / (3 * math.pi)), abs=1e-14)
    own = m.yy - m.area * m.centroid[1] ** 2
    assert own == pytest.approx((math.pi / 8 - 8 / (9 * math.pi)) * r**4, rel=1e-13)


def test_a_hole_takes_its_share_out() -> None:
    outer, hole = Loop.rectangle(0, 0, 40, 30), Loop.slot((17, 12), 14, 6, 0.4)
    both = area_moments(Region.of(outer, hole))
    parts = area_moments(Region.of(outer)), area_moments(Region.of(hole))
    for name in ("area", "x", "y", "xx", "xy", "yy"):
        wanted = getattr(parts[0], name) - getattr(parts[1], name)
        assert getattr(both, name) == pytest.approx(wanted, rel=1e-13)


def test_far_from_the_origin_no_digits_are_lost() -> None:
    region = Region.of(Loop.slot((0, 0), 20, 5, 0.7))
    here = area_moments(region)
    far = area_moments(region.moved(Move.shift(5000, -3000)))
    assert far.area == pytest.approx(here.area, rel=1e-10)
    own = far.xx - far.area * far.centroid[0] ** 2
    assert own == pytest.approx(here.xx, rel=1e-6)
