import math
import random
from dataclasses import replace
from statistics import fmean, stdev

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base.errors import NotPossible
from blankwright.base.findings import Level
from blankwright.develop.allowance import bend_allowance_neutral_axis
from blankwright.develop.coupon import (
    Coupon,
    Reading,
    Strip,
    check_coupon,
    measured_to_for,
)
from blankwright.develop.coupons import Coupons
from blankwright.develop.setback import setback
from blankwright.part.model import DrawnTo

RIGHT = math.pi / 2
READING = Reading(length=0.1, angle=math.radians(0.5), inside_radius=0.1, thickness=0.01)


def bent(
    k: float,
    radius: float = 3.0,
    thickness: float = 1.0,
    angle: float = RIGHT,
    before: float = 100.0,
    share: float = 0.5,
    measured_to: DrawnTo = DrawnTo.OUTSIDE_MOLD_LINE,
) -> Strip:
    """A strip as it comes out of a tool that bends with factor k."""
    allowance = bend_allowance_neutral_axis(radius, thickness, angle, k)
    back = setback(measured_to, angle, radius, thickness)
    flats = before - allowance
    return Strip(
        before=before, legs=(share * flats + back, (1 - share) * flats + back), angle=angle
    )


def coupon(*strips: Strip, **changes: object) -> Coupon:
    base = Coupon(
        name="c",
        date="2026-03-14",
        alloy="6061",
        temper="T6",
        thickness=1.0,
        tool="leaf brake",
        inside_radius=3.0,
        angle=RIGHT,
        strips=strips or (bent(0.42),),
        reading=READING,
    )
    return replace(base, **changes)  # type: ignore[arg-type]


@settings(derandomize=True, deadline=None)
@given(
    st.floats(0.1, 0.9),
    st.floats(0, 20),
    st.floats(0.3, 5),
    st.floats(math.radians(5), math.radians(170)),
    st.floats(0.2, 0.8),
)
def test_k_is_learned_back(k: float, r: float, t: float, a: float, share: float) -> None:
    for line in (measured_to_for(a), DrawnTo.OUTSIDE_MOLD_LINE):
        strip = bent(k, r, t, a, 500.0, share, line)
        test = coupon(strip, thickness=t, inside_radius=r, angle=a, measured_to=line)
        assert test.learned.k == pytest.approx(k, abs=1e-6)
        assert test.learned.allowance == pytest.approx(
            bend_allowance_neutral_axis(r, t, a, k), abs=1e-6
        )


def test_strips_bent_to_other_angles_teach_the_same_k() -> None:
    strips = tuple(bent(0.4, angle=math.radians(degrees)) for degrees in (88, 90, 93))
    learned = coupon(*strips).learned
    assert learned.strip_ks == pytest.approx((0.4, 0.4, 0.4))
    assert learned.scatter == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("measured_to", [DrawnTo.OUTSIDE_MOLD_LINE, DrawnTo.OUTSIDE_OF_BEND])
@pytest.mark.parametrize("degrees", [92, 120])
def test_uncertainty_of_readings_agrees_with_random_readings(
    measured_to: DrawnTo, degrees: int
) -> None:
    """Monte Carlo: throw every reading anywhere inside its plus/minus and look how k scatters."""
    angle = math.radians(degrees)
    strip = bent(0.42, angle=angle, measured_to=measured_to)
    test = coupon(strip, angle=angle, measured_to=measured_to)
    rng = random.Random(20260314)

    def off(limit: float) -> float:
        return rng.uniform(-limit, limit)

    ks = []
    for _ in range(20000):
        thrown = Strip(
            before=strip.before + off(READING.length),
            legs=(strip.legs[0] + off(READING.length), strip.legs[1] + off(READING.length)),
            angle=strip.angle + off(READING.angle),
        )
        ks.append(
            replace(
                test,
                strips=(thrown,),
                inside_radius=test.inside_radius + off(READING.inside_radius),
                thickness=test.thickness + off(READING.thickness),
            ).learned.k
        )
    assert fmean(ks) == pytest.approx(0.42, abs=3 * stdev(ks) / math.sqrt(len(ks)) + 2e-3)
    assert test.learned.k_standard == pytest.approx(stdev(ks), rel=0.02)


def test_scatter_counts_by_the_number_of_strips_and_students_t() -> None:
    exact = Reading(length=1e-9)
    learned = coupon(bent(0.40), bent(0.44), reading=exact).learned
    assert learned.k == pytest.approx(0.42)
    assert learned.scatter == pytest.approx(stdev((0.40, 0.44)))
    assert learned.k_standard == pytest.approx(learned.scatter / math.sqrt(2))
    assert learned.freedom == pytest.approx(1.0)
    assert learned.factor == 12.706
    assert learned.k_plus_minus == pytest.approx(12.706 * learned.k_standard)
    assert learned.allowance_plus_minus == pytest.approx(RIGHT * 1.0 * learned.k_plus_minus)


def test_the_interval_covers_the_truth_as_often_as_it_says() -> None:
    """Tools that scatter and rules that err: the true k lies inside in 95 of 100 at least."""
    rng = random.Random(7)
    inside = 0
    for _ in range(400):
        wrong = [rng.uniform(-0.1, 0.1) for _ in range(3)]
        strips = []
        for _ in range(3):
            true = bent(0.42 + rng.gauss(0, 0.02))
            strips.append(
                Strip(
                    before=true.before + wrong[0],
                    legs=(true.legs[0] + wrong[1], true.legs[1] + wrong[2]),
                    angle=true.angle,
                )
            )
        learned = coupon(*strips, reading=Reading(length=0.1)).learned
        inside += abs(learned.k - 0.42) <= learned.k_plus_minus
    assert inside >= 0.95 * 400


def test_what_is_not_counted_is_said() -> None:
    bare = coupon(reading=Reading(length=0.1)).learned
    assert bare.not_counted == (
        "the reading of the angle",
        "the reading of the inside radius",
        "the reading of the thickness",
        "the scatter from strip to strip",
    )
    assert coupon(bent(0.4), bent(0.41)).learned.not_counted == ()
    assert bare.k_plus_minus < coupon().learned.k_plus_minus


def test_no_strip_is_no_coupon() -> None:
    with pytest.raises(NotPossible, match="COUPON-010"):
        replace(coupon(), strips=())


def test_what_legs_are_measured_to() -> None:
    assert measured_to_for(math.radians(45)) is DrawnTo.OUTSIDE_MOLD_LINE
    assert measured_to_for(RIGHT) is DrawnTo.OUTSIDE_MOLD_LINE
    assert measured_to_for(math.radians(91)) is DrawnTo.OUTSIDE_OF_BEND


def test_doubtful_coupons() -> None:
    three = (bent(0.42), bent(0.421), bent(0.419))
    assert check_coupon(coupon(*three)) == ()
    assert [f.code for f in check_coupon(coupon())] == ["COUPON-031"]
    low = check_coupon(coupon(*(bent(0.2),) * 3))
    assert [(f.code, f.level) for f in low] == [("COUPON-030", Level.ASK)]
    wild = coupon(bent(0.3), bent(0.42), bent(0.5), reading=Reading(length=0.02))
    assert [f.code for f in check_coupon(wild)] == ["COUPON-032"]


# Matching


def named(name: str, **changes: object) -> Coupon:
    thickness = float(changes.get("thickness", 1.0))  # type: ignore[arg-type]
    radius = float(changes.get("inside_radius", 3.0))  # type: ignore[arg-type]
    angle = float(changes.get("angle", RIGHT))  # type: ignore[arg-type]
    strip = bent(0.42, radius, thickness, angle, 300.0)
    return coupon(strip, name=name, **changes)


def best(tests: list[Coupon], **wanted: object) -> str:
    asked: dict[str, object] = {
        "alloy": "6061-T6",
        "thickness": 1.0,
        "inside_radius": 3.0,
        "angle": RIGHT,
        "tool": "leaf brake",
    } | wanted
    names = set()
    for order in (tests, tests[::-1]):
        match = Coupons(tests=tuple(order)).best(**asked)  # type: ignore[arg-type]
        names.add(match.coupon.name if match else "")
    (name,) = names
    return name


def test_no_coupons_no_match() -> None:
    assert Coupons().best("6061-T6", 1.0, 3.0, RIGHT) is None


def test_another_alloy_never_matches() -> None:
    assert best([named("a", alloy="2024", temper="T3")]) == ""
    assert best([named("a")], alloy="brass") == ""


def test_an_exact_match_has_nothing_off() -> None:
    match = Coupons((named("a"),)).best("6061-T6", 1.0, 3.0, RIGHT, "Leaf  Brake")
    assert match is not None
    assert match.off == ()
    assert "tool Leaf  Brake" in match.matched
    assert match.source == f"coupon a of 2026-03-14, k ± {match.k_plus_minus:.3f}"


@pytest.mark.parametrize(
    ("near", "far"),
    [
        ({"tool": "vise"}, {"temper": "T4"}),
        ({"thickness": 1.2, "inside_radius": 3.6}, {"temper": "T4"}),
        ({"inside_radius": 4.0}, {"thickness": 1.2, "inside_radius": 3.6}),
        ({"tool": "vise"}, {"inside_radius": 4.0}),
        ({"angle": math.radians(60)}, {"tool": "vise"}),
        ({}, {"clad": True}),
        ({"thickness": 1.1, "inside_radius": 3.3}, {"thickness": 1.2, "inside_radius": 3.6}),
        ({"inside_radius": 3.5}, {"inside_radius": 2.0}),
        ({"thickness": 1.02}, {"tool": "vise"}),
    ],
)
def test_what_weighs_more(near: dict[str, object], far: dict[str, object]) -> None:
    assert best([named("near", **near), named("far", **far)]) == "near"


def test_a_hairs_breadth_does_not_decide_and_the_newest_wins() -> None:
    old = named("old", date="2025-01-01")
    new = named("new", date="2026-01-01", thickness=1.02)
    assert best([old, new]) == "new"


@pytest.mark.parametrize(
    ("thickness", "radius", "matches"),
    [
        (0.8, 2.4, True),
        (0.79, 2.4, False),
        (1.25, 3.75, True),
        (1.26, 3.78, False),
        (1.0, 1.5, True),
        (1.0, 1.49, False),
        (1.0, 6.0, True),
        (1.0, 6.1, False),
        (1.0, 0.0, False),
    ],
)
def test_reach(thickness: float, radius: float, matches: bool) -> None:
    assert bool(best([named("a")], thickness=thickness, inside_radius=radius)) == matches


def test_a_sharp_coupon_speaks_for_sharp_bends() -> None:
    assert best([named("a", inside_radius=0.0)], inside_radius=0.0) == "a"


def test_what_is_off_is_told_with_both_values() -> None:
    test = named("a", temper="T4", clad=True, tool="vise", angle=math.radians(60))
    match = Coupons((test,)).best("6061-T6", 1.1, 3.0, RIGHT, "leaf brake")
    assert match is not None
    off = "; ".join(match.off)
    assert "temper T4 instead of T6" in off
    assert "clad instead of bare" in off
    assert "thickness 1.000 mm instead of 1.100 mm" in off
    assert "R/T 3.00 instead of 2.73" in off
    assert "tool vise instead of leaf brake" in off
    assert "angle 60" in off
    assert match.source.endswith(off)


def test_the_step_is_by_the_neutral_axis() -> None:
    match = Coupons((named("a"),)).best("6061-T6", 1.0, 3.0, RIGHT)
    assert match is not None
    step = match.step("bend left: allowance", 3.0, 1.0, RIGHT)
    assert step.value == pytest.approx(RIGHT * 3.42)
    assert step.source == match.source
    assert match.allowance_plus_minus(1.0, RIGHT) == pytest.approx(RIGHT * match.k_plus_minus)
