"""The box around a formed part, against sums by hand and points all over the metal."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

import samples
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form, places, regions_on
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.part.model import DrawnTo


def formed(part, state=1.0):
    return form(develop_blank(part), state)


@pytest.mark.parametrize("up", [True, False])
def test_plate_hemmed_at_both_edges_is_as_deep_as_drawn(up):
    """By hand: drawn over the outside of the hems it is 60 mm deep; high 2 R + 3 T each way."""
    over = {"angle": 180.0, "radius": 0.8, "drawn_to": DrawnTo.OUTSIDE_OF_BEND}
    part = samples.part(
        samples.flat("plate", 200.0, 60.0, drawn_to=DrawnTo.OUTSIDE_OF_BEND),
        [
            samples.bend("back", "plate", "back", 200.0, 10.0, up=up, **over),
            samples.bend("front", "plate", "front", 200.0, 9.0, up=not up, **over),
        ],
        thickness=0.8,
    )
    least, most = formed(part).box
    assert np.subtract(most, least) == pytest.approx((200.0, 60.0, 2 * (2 * 0.8 + 2 * 0.8) - 0.8))
    assert least[1] == pytest.approx(0.0, abs=1e-9)


def test_eye_of_an_upright_reaches_as_high_as_drawn():
    """By hand: an upright 60 mm high to the top of its eye."""
    eye = Loop(
        (
            Line((0.0, 0.0), (30.0, 0.0)),
            Line((30.0, 0.0), (30.0, 45.0)),
            Arc((15.0, 45.0), 15.0, 0.0, math.pi),
            Line((0.0, 45.0), (0.0, 0.0)),
        )
    )
    plain = samples.bend("leg", "web", "back", 30.0, 60.0)
    leg = dataclasses.replace(plain.leg, outline=eye, edges=("bend", "right", "eye", "left"))
    bend = dataclasses.replace(plain, leg=leg)
    part = samples.part(samples.flat("web", 30.0, 40.0), [bend])
    least, most = formed(part).box
    assert most[2] - least[2] == pytest.approx(60.0, abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("state", [0.0, 0.37, 1.0])
def test_box_holds_all_the_metal_and_no_more(seed, state):
    """Against many points along every edge of straight-edged parts, bent by the one map."""
    part = formed(samples.random_part(seed), state)
    least, most = part.box
    found = [np.full(3, np.inf), np.full(3, -np.inf)]
    for name in places(part.blank):
        for region in regions_on(part.blank, name):
            rim = np.array([e.point(t) for e in region.edges for t in np.linspace(0, 1, 60)])
            for z in (0.0, part.blank.thickness):
                array = part.points(np.column_stack((rim, np.full(len(rim), z))), name)
                found[0] = np.minimum(found[0], array.min(axis=0))
                found[1] = np.maximum(found[1], array.max(axis=0))
    assert np.all(np.array(least) <= found[0] + 1e-9)
    assert np.all(np.array(most) >= found[1] - 1e-9)
    assert np.array(least) == pytest.approx(found[0], abs=0.02)
    assert np.array(most) == pytest.approx(found[1], abs=0.02)
