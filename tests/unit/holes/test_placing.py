"""Where a template goes, from what is measured."""

from __future__ import annotations

import pytest

from blankwright.holes.placing import Measured, Wish, adjust, place


def m(name, first, second, distance, plus_minus=0.5, ends=("low", "high")):
    return Measured(
        name=name,
        first=first,
        second=second,
        distance=distance,
        plus_minus=plus_minus,
        ends=ends,
    )


def centered(width, left="left", right="right"):
    """Both edges asked to lie on their rows: what is left over is halved."""
    return [
        Wish(reference=left, edge=0.0, distance=0.0),
        Wish(reference=right, edge=width, distance=0.0),
    ]


def test_halves_of_the_difference_are_done():
    found = place(adjust(["left", "right"], [m("rows", "left", "right", 307.4)]), centered(280))
    # (307.4 - 280)/2 on either side.
    assert found.at["left"] == pytest.approx((-13.7, -13.7))
    assert found.at["right"] == pytest.approx((293.7, 293.7))


def test_rows_that_are_not_parallel_get_sizes_at_both_ends():
    measured = [
        m("front", "left", "right", 307.4, ends=("low",)),
        m("back", "left", "right", 306.6, ends=("high",)),
    ]
    found = place(adjust(["left", "right"], measured), centered(280))
    assert found.at["left"] == pytest.approx((-13.7, -13.3))
    assert found.at["right"] == pytest.approx((293.7, 293.3))


def test_what_is_measured_at_one_end_holds_for_the_other():
    measured = [m("front", "left", "right", 307.4, ends=("low",))]
    found = place(adjust(["left", "right"], measured), centered(280))
    assert found.at["left"] == pytest.approx((-13.7, -13.7))


def test_asked_for_more_than_fits():
    wishes = [
        Wish(reference="left", edge=0.0, distance=14.5),
        Wish(reference="right", edge=280.0, distance=-14.5),
    ]
    found = place(adjust(["left", "right"], [m("rows", "left", "right", 307.4)]), wishes)
    # 14.5 + 280 + 14.5 = 309.0: 1.6 too much, 0.8 on either side.
    assert [s.off for s in found.splits] == pytest.approx([0.8, 0.8])
    assert found.splits[0].comes_to == pytest.approx((13.7, 13.7))


def ring(third=187.2):
    return [
        m("rows", "left", "right", 307.4, 0.3),
        m("to frame", "left", "frame", 120.2, 0.3),
        m("from frame", "frame", "right", third, 0.3),
    ]


NAMES = ["left", "frame", "right"]


def test_a_ring_that_closes_is_no_contradiction():
    found = adjust(NAMES, ring())
    assert found.contradictions == ()
    assert found.at["right", "low"] == pytest.approx(307.4)
    # Within what the plus/minus explains: 0.3 times the root of three.
    assert adjust(NAMES, ring(187.7)).contradictions == ()


def test_a_ring_that_does_not_close_tells_by_how_much():
    (found,) = adjust(NAMES, ring(186.0)).contradictions
    # 307.4 - 120.2 = 187.2, and 186.0 was measured.
    assert found.size == pytest.approx(1.2)
    assert found.others_say == pytest.approx(187.2)
    assert found.allowed == pytest.approx(0.3 * 3**0.5)
    # In a single ring none can be told from another.
    assert set(found.suspects) == {"rows", "to frame", "from frame"}


def test_equal_plus_minus_shares_the_contradiction_equally():
    found = adjust(NAMES, ring(186.0))
    # 1.2 too little in all: 0.4 to each, the sum of two down and one up.
    assert found.residuals["rows", "low"] == pytest.approx(-0.4)
    assert found.residuals["to frame", "low"] == pytest.approx(0.4)
    assert found.residuals["from frame", "low"] == pytest.approx(0.4)


def test_a_surer_measurement_gives_way_less():
    measured = [m("tape", "left", "right", 307.0, 1.0), m("caliper", "left", "right", 307.4, 0.1)]
    found = adjust(["left", "right"], measured)
    # Weights go by the square: 100 to 1.
    assert found.at["right", "low"] == pytest.approx((307.0 + 100 * 307.4) / 101)


def test_with_two_rings_the_wrong_one_is_named():
    measured = [
        *ring(),
        m("post", "left", "post", 60.0, 0.3),
        m("post to frame", "post", "frame", 60.2, 0.3),
        m("post to right", "post", "right", 249.9, 0.3),
    ]
    # 307.4 - 60 = 247.4 and 60.2 + 187.2 = 247.4: the last was misread by 2.5.
    (found,) = adjust(["left", "post", "frame", "right"], measured).contradictions
    assert found.name == "post to right"
    assert found.suspects == ("post to right",)
    assert found.others_say == pytest.approx(247.4)


def test_what_is_not_tied_is_said():
    found = place(
        adjust(["left", "right", "door"], [m("rows", "left", "right", 300)]), centered(280)
    )
    assert found.unlocated == ("door",)
    assert "door" not in found.at


def test_order_of_measurements_does_not_matter():
    one = adjust(NAMES, ring(186.5))
    other = adjust(NAMES, list(reversed(ring(186.5))))
    for key, value in one.at.items():
        assert other.at[key] == pytest.approx(value)
