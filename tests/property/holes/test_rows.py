"""Laws of rivet rows over random obstacles."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base.quantities import BadText
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.holes.path import Path
from blankwright.holes.spacing import Spacing, space
from blankwright.holes.zones import Obstacle, zones_on

LENGTH = 400.0
LEAST = 9.525

obstacle = st.tuples(
    st.floats(0, LENGTH), st.floats(-15, 15), st.floats(0.5, 25), st.floats(0, 12)
).map(lambda o: Obstacle("hole", Loop.circle((o[0], o[1]), o[2]), o[3]))


@settings(derandomize=True, deadline=None, max_examples=300)
@given(st.lists(obstacle, max_size=6), st.floats(10, 60), st.floats(0, 20))
def test_rows_dodge_and_keep_their_pitch(obstacles, pitch, end):
    path = Path((Line((0, 0), (150, 0)), Line((150, 0), (LENGTH, 0))))
    zones = zones_on(path, obstacles)
    try:
        spaced = space(LENGTH, Spacing(left=end, right=end, pitch_at_most=pitch), LEAST, zones)
    except BadText:
        # Nothing is left only where the whole line is forbidden.
        assert all(any(o.forbids((x, 0.0)) for o in obstacles) for x in _sampled(end))
        return
    for s in spaced.at:
        assert end - 1e-6 <= s <= LENGTH - end + 1e-6
        for o in obstacles:
            assert o.loop.distance(path.point(s)) >= o.reach - 1e-5
    for a, b in pairwise(spaced.at):
        wide = [z for z in zones if a - 1e-6 <= z.start and z.end <= b + 1e-6]
        if not wide:
            assert b - a <= pitch + LEAST + 1e-6
        if b - a < LEAST - 1e-6:
            assert a == spaced.at[0] or b == spaced.at[-1]


def _sampled(end):
    return [end + (LENGTH - 2 * end) * (i + 0.5) / 400 for i in range(400)]


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.floats(20, 3000), st.floats(5, 100), st.floats(0, 9))
def test_without_obstacles_the_pitch_is_equal_and_as_great_as_may_be(length, pitch, end):
    spaced = space(length, Spacing(left=end, right=end, pitch_at_most=pitch), 1.0)
    gaps = [b - a for a, b in pairwise(spaced.at)]
    assert max(gaps) - min(gaps) < 1e-6
    assert max(gaps) <= pitch + 1e-6
    # One hole fewer would break the pitch.
    if len(gaps) > 1:
        assert (length - 2 * end) / (len(gaps) - 1) > pitch - 1e-6
