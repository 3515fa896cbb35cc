"""Chances against closed forms: linear gaps of sizes that are uniform within their plus/minus."""

import math
from collections.abc import Mapping

import pytest

from blankwright.fit.chance import Law, Varied, chance_of, slopes_of

SIZES = [
    Varied(name="a", plus_minus=0.3),
    Varied(name="b", plus_minus=0.1),
    Varied(name="c", plus_minus=0.0),
]


def linear(changes: Mapping[str, float]) -> Mapping[str, float]:
    a, b, c = (changes.get(n, 0.0) for n in "abc")
    return {"near": 0.2 + a - 2 * b, "far": 5.0 + c, "wide": 1.0 + a}


def test_slopes_worst_case_and_deviation_of_a_linear_gap() -> None:
    chance = chance_of(linear, SIZES, {"near": (0.0, math.inf)})
    (near,) = chance.spreads
    assert near.slopes == pytest.approx({"a": 1.0, "b": -2.0})
    assert near.worst == pytest.approx(0.2 - 0.3 - 0.2)
    # A uniform size within ±p has the deviation p/√3; independent ones add as squares.
    assert near.deviation == pytest.approx(math.hypot(0.3, 0.2) / math.sqrt(3))
    assert chance.off == pytest.approx(0.0, abs=1e-12)
    assert not chance.exact


def test_the_share_of_trials_is_the_closed_form() -> None:
    # One size: P(0.2 + a ≥ 0) with a uniform in ±0.3 is 0.5/0.6.
    one = chance_of(lambda d: {"g": 0.2 + d.get("a", 0.0)}, SIZES[:1], {"g": (0.0, math.inf)})
    assert one.all_fit == pytest.approx(0.5 / 0.6, abs=0.01)
    # Two: a + 2b with a in ±0.3 and 2b in ±0.2. P(sum < −0.2) is the corner triangle of side 0.3
    # in the rectangle 0.6 × 0.4, cut where 2b reaches its end: ∫ of the trapezoid's tail.
    two = chance_of(linear, SIZES, {"near": (0.0, math.inf)})
    assert two.all_fit == pytest.approx(1 - (0.3**2 / 2) / (0.6 * 0.4), abs=0.01)


def test_same_seed_same_answer_and_another_seed_another() -> None:
    limits = {"near": (0.0, math.inf)}
    assert chance_of(linear, SIZES, limits).all_fit == chance_of(linear, SIZES, limits).all_fit
    other = chance_of(linear, SIZES, limits, seed=21).all_fit
    assert other != chance_of(linear, SIZES, limits).all_fit


def test_all_must_fit_at_once_and_the_size_that_matters_most_is_told() -> None:
    limits = {"near": (0.0, math.inf), "wide": (0.0, 1.1)}
    chance = chance_of(linear, SIZES, limits)
    assert chance.all_fit < min(s.chance for s in chance.spreads)
    assert chance.matters[0][0] == "a"
    assert sum(share for _, share in chance.matters) == pytest.approx(1.0)


def test_a_gap_that_turns_at_the_stated_size_is_still_added_up_rightly() -> None:
    # P(|a| ≥ 0.05) with a uniform in ±0.3.
    told = chance_of(lambda d: {"g": 0.05 + abs(d.get("a", 0.0))}, SIZES[:1], {"g": (0.1, 9.0)})
    assert told.off < 1e-12
    assert told.all_fit == pytest.approx(1 - 0.05 / 0.3, abs=0.01)
    assert told.spreads[0].worst == pytest.approx(0.05)
    assert told.spreads[0].widest == pytest.approx(0.35)


def test_sizes_that_act_on_each_other_are_measured_anew() -> None:
    def crooked(changes: Mapping[str, float]) -> Mapping[str, float]:
        return {"g": 10 * changes.get("a", 0.0) * changes.get("b", 0.0)}

    both = [Varied(name="a", plus_minus=0.3), Varied(name="b", plus_minus=0.1)]
    slanted = lambda d: {"g": crooked(d)["g"] + d.get("a", 0.0)}  # noqa: E731
    limits = {"g": (0.0, math.inf)}
    told = chance_of(slanted, both, limits)
    assert told.off == pytest.approx(0.3)
    exact = chance_of(slanted, both, limits, exact_trials=4000)
    assert exact.exact
    # a·(1 + 10 b) ≥ 0 with 10 b in ±1: as likely as a ≥ 0.
    assert exact.all_fit == pytest.approx(0.5, abs=0.03)


def test_what_the_shop_makes_is_spread_as_a_bell() -> None:
    one = [Varied(name="a", plus_minus=0.3, law=Law.BELL)]
    chance = chance_of(lambda d: {"g": d.get("a", 0.0)}, one, {"g": (-0.3, 0.3)})
    # 95 % within plus/minus is what a shop states.
    assert chance.all_fit == pytest.approx(0.95, abs=0.005)
    assert chance.spreads[0].deviation == pytest.approx(0.3 / 1.959964, rel=1e-3)


def test_which_size_to_change_by_how_much() -> None:
    chance = chance_of(linear, SIZES, {"near": (0.5, math.inf)})
    changes = dict(chance.spreads[0].to_change(0.5))
    assert changes == pytest.approx({"a": 0.3, "b": -0.15})


def test_slopes_leave_out_what_does_not_matter() -> None:
    assert slopes_of(linear, SIZES)["far"] == {"a": 0.0, "b": 0.0, "c": pytest.approx(1.0)}
