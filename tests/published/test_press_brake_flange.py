"""The shortest flange in a V, against a maker's air-bending chart.

Source: jmtusa.com/determine-proper-tonnage-bend (read): 1/4 in mild steel over a V of 2 in has a
shortest flange of 1-3/8 in.
"""

from __future__ import annotations

import math

import pytest

from blankwright.base.units import from_inches
from blankwright.bending.tools import PressBrake
from blankwright.bending.ways import shortest_flange

CHART_V, CHART_FLANGE = 2.0, 1.375
"""[in], as the chart prints them."""


def test_shortest_flange_is_on_the_safe_side_of_the_chart_and_near_it():
    tool = PressBrake(name="press", opening=from_inches(CHART_V))
    chart = from_inches(CHART_FLANGE)
    ours = shortest_flange(tool)
    assert chart <= ours <= 1.05 * chart


def test_it_is_where_a_right_angle_leaves_the_shoulder():
    """Bent to 90° each leg rests on a shoulder: half the V, seen at 45°. (Geometry.)"""
    tool = PressBrake(name="press", opening=10.0)
    assert shortest_flange(tool) == pytest.approx(5.0 / math.cos(math.pi / 4))
