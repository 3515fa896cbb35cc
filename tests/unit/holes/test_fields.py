"""Fields of holes, and their open area found a second way."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon
from shapely.ops import unary_union

from blankwright.base.quantities import BadText
from blankwright.geom.boolean import cut_out
from blankwright.geom.loop import Loop
from blankwright.geom.region import Region
from blankwright.holes.fields import AskedField, endless_open_area, lay_field
from blankwright.jobs.part_state import state_of_text

PLATE = Loop.rectangle(0, 0, 120, 80)
OUTLINES = {
    "plate": PLATE,
    "disc": Loop.circle((10, -20), 45),
    "slot": Loop.slot((0, 0), 160, 50, 0.4),
    "ell": Loop.polygon([(0, 0), (100, 0), (100, 30), (40, 30), (40, 90), (0, 90)]),
}


def lay(outline, **asked):
    return lay_field((Region(outline),), outline.area, AskedField(**asked))


def test_square_pattern_that_just_fits():
    field = lay(PLATE, diameter=10, margin=5, staggered=False, pitch=20)
    assert len(field.centers) == 6 * 4
    assert field.open_area == pytest.approx(24 * math.pi * 25 / 9600)


def test_staggered_neighbours_stand_60_degrees_to_one_another():
    field = lay(PLATE, diameter=4, margin=2, pitch=9)
    p = np.array(field.centers)
    gaps = np.hypot(*(p[:, None] - p[None]).transpose(2, 0, 1))
    np.fill_diagonal(gaps, np.inf)
    assert gaps.min() == pytest.approx(9)
    assert (np.isclose(gaps, 9).sum(axis=1) == 6).any()


@pytest.mark.parametrize("name", OUTLINES)
@pytest.mark.parametrize("staggered", [True, False])
@pytest.mark.parametrize("turn", [0.0, 0.3])
def test_open_area_by_a_second_computation(name, staggered, turn):
    outline = OUTLINES[name]
    field = lay(outline, diameter=3.5, margin=2, staggered=staggered, turn=turn, pitch=7)
    assert field.open_area == pytest.approx(field.open_area_by_cut, abs=1e-9)
    # By another library on polygons.
    region = Polygon(outline.points(0.0005))
    holes = unary_union([ShapelyPoint(p).buffer(1.75, 256) for p in field.centers])
    assert region.intersection(holes).area / outline.area == pytest.approx(
        field.open_area, rel=1e-4
    )
    # Every hole keeps the margin.
    assert all(outline.contains(p) and outline.distance(p) >= 3.75 - 1e-6 for p in field.centers)


def test_a_large_field_nears_the_endless_pattern():
    big = Loop.rectangle(0, 0, 400, 400)
    for staggered in (True, False):
        field = lay(big, diameter=4, margin=0, staggered=staggered, pitch=8)
        endless = endless_open_area(4, 8, staggered)
        assert field.open_area == pytest.approx(endless, rel=0.04)
    assert endless_open_area(4, 8, False) == pytest.approx(math.pi / 16)
    assert endless_open_area(1, 2, True) == pytest.approx(0.2267, abs=1e-4)


@pytest.mark.parametrize("count", [1, 7, 12, 24, 60])
def test_by_count(count):
    field = lay(PLATE, diameter=5, margin=4, staggered=False, count=count)
    assert abs(len(field.centers) - count) <= max(1, count // 12)
    assert field.pitch > 5


def test_the_pitch_for_a_count_is_the_greatest():
    field = lay(PLATE, diameter=5, margin=4, staggered=False, count=24)
    assert len(field.centers) == 24
    # 6 by 4 between the margins: 107 mm over 5 gaps, 67 mm over 3 gaps.
    assert field.pitch == pytest.approx(min(107 / 5, 67 / 3), abs=1e-3)


@pytest.mark.parametrize("wanted", [0.1, 0.25, 0.4])
def test_by_open_area(wanted):
    field = lay(OUTLINES["disc"], diameter=4, margin=1, open_area=wanted)
    assert field.open_area == pytest.approx(wanted, abs=0.01)


def test_makes_room_for_openings_that_are_there():
    openings = [Loop.circle((60, 40), 20)]
    regions = cut_out((Region(PLATE),), openings)
    field = lay_field(regions, PLATE.area, AskedField(diameter=4, margin=3, pitch=9))
    assert min(math.dist(p, (60, 40)) for p in field.centers) >= 20 + 5 - 1e-6


@pytest.mark.parametrize(
    "asked",
    [
        {"diameter": 5.0, "margin": 40.0, "pitch": 9.0},
        {"diameter": 5.0, "margin": 4.0, "pitch": 4.0},
        {"diameter": 0.5, "margin": 1.0, "count": 9000},
        {"diameter": 0.01, "margin": 1.0, "pitch": 0.02},
        {"diameter": 5.0, "margin": 4.0},
        {"diameter": 5.0, "margin": 4.0, "count": 4, "pitch": 9.0},
    ],
)
def test_no_such_field(asked):
    with pytest.raises(BadText) as caught:
        lay(PLATE, **asked)
    assert caught.value.code == "FIELD-001"


PART = """
title = "Outlet"
[sheet]
alloy = "6061-T6"
thickness = "0.032 in"
[flats.plate]
outline = { rectangle = ["120 mm", "80 mm"] }
[holes.tube]
on = "plate"
at = ["30 mm", "40 mm"]
diameter = "20 mm"
[holes.vent]
on = "plate"
diameter = "4 mm"
field = { open_area = 0.3, margin = "5 mm" }
"""


def test_field_of_a_part_file():
    state = state_of_text(PART, "outlet")
    (field,) = state.part.fields
    assert field.open_area == pytest.approx(0.3, abs=0.01)
    assert not [f for f in state.findings if f.code.startswith(("FIELD", "HOLE"))]
    lost = 9600 - state.blank.outline.area - math.pi * 100
    assert lost / 9600 == pytest.approx(field.open_area, rel=1e-9)


def test_thin_webs_and_missed_counts_are_told():
    thin = PART.replace("open_area = 0.3", 'pitch = "4.5 mm"')
    assert "FIELD-002" in {f.code for f in state_of_text(thin, "outlet").findings}
    much = PART.replace("open_area = 0.3", "open_area = 0.85")
    assert "FIELD-003" in {f.code for f in state_of_text(much, "outlet").findings}
