"""Features pressed into flats: the blank is plain there, and it is said; bosses are refused."""

import math

import pytest

import kernel_shapes as ks
from blankwright.develop.unfold.result import NotSheet, Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes
from blankwright.files.kernel.step_read import blanks_in

T = 1.0
PLATE = 60.0 * 40.0


def rule(radius, thickness, angle):
    return angle * (radius + 0.4 * thickness), 0.4


def read(solid):
    (result,) = blanks_in(ks.step_of(solid), "part.step", UnfoldWishes(rule=rule))
    return result


def plate():
    return ks.box(0, 0, 0, 60, 40, T)


def emboss():
    """A cone pressed up by 2, all of 1 mm sheet."""
    bump, hollow = ks.cone(30, 20, T, 8, 6, 2), ks.cone(30, 20, 0, 7.5, 5.5, 2)
    return ks.cut(ks.fuse(plate(), bump), hollow)


def cup():
    """A cup pressed up by 3: straight walls 1 mm thick."""
    return ks.cut(ks.fuse(plate(), ks.rod(30, 20, 0, 6, 4)), ks.rod(30, 20, -1, 5, 4))


def extruded_hole(rounded=True):
    solid = ks.cut(ks.fuse(plate(), ks.rod(30, 20, 0, 4, 4)), ks.rod(30, 20, -1, 3, 9))
    if not rounded:
        return solid

    def foot(x, y, z):
        return abs(z - T) < 1e-6 and abs((x - 30) ** 2 + (y - 20) ** 2 - 16) < 1e-3

    return ks.fillet(solid, 0.8, foot)


def louver():
    bridge = ks.cut(ks.rod(20, 20, 0, 5, 20, (1, 0, 0)), ks.box(0, 0, -20, 60, 40, 0))
    bridge = ks.cut(bridge, ks.rod(19, 20, 0, 4, 22, (1, 0, 0)))
    return ks.fuse(ks.cut(plate(), ks.box(20, 15.5, -1, 40, 24.5, 3)), bridge)


@pytest.mark.parametrize(
    ("make", "hole", "tall"),
    [
        (emboss, None, 2.0),
        (cup, None, 3.0),
        (extruded_hole, 3.0, 3.0),
        (lambda: extruded_hole(False), 3.0, 3.0),
        (louver, None, 4.0),
    ],
)
def test_the_blank_is_plain_and_the_feature_is_told(make, hole, tall):
    result = read(make())
    assert isinstance(result, Unfolded), result
    gone = 0.0 if hole is None else math.pi * hole**2
    assert result.blank.outline.area == pytest.approx(PLATE - gone, abs=1e-6)
    (finding,) = [f for f in result.findings if f.code == "STEP-036"]
    assert f"pressed {tall:.1f} mm out" in finding.got
    assert finding.at == pytest.approx((30, 20), abs=0.6)


def test_a_feature_on_the_leg_of_a_bent_part():
    angle = ks.strip_section((30, 40), ((90, 3),), T, 50)
    solid = ks.cut(
        ks.fuse(angle, ks.rod(33, 25, 24, 4, 6, (1, 0, 0))), ks.rod(20, 25, 24, 3, 40, (1, 0, 0))
    )
    result = read(solid)
    assert isinstance(result, Unfolded), result
    whole = (70 + math.pi / 2 * 3.4) * 50
    assert result.blank.outline.area == pytest.approx(whole - 9 * math.pi, abs=1e-6)
    (hole,) = result.blank.holes
    assert hole.diameter == pytest.approx(6)


def boss():
    return ks.fuse(plate(), ks.rod(30, 20, 0, 5, 6))


def nut():
    return ks.cut(ks.fuse(plate(), ks.rod(30, 20, 0, 6, 6)), ks.rod(30, 20, -1, 2.5, 9))


def rib():
    return ks.fuse(plate(), ks.box(20, 15, 0, 40, 17, 5))


@pytest.mark.parametrize("make", [boss, nut, rib])
def test_what_stands_on_one_side_alone_is_refused(make):
    result = read(make())
    assert isinstance(result, NotSheet), result
    assert result.problems[0].code in ("STEP-013", "STEP-015", "STEP-017")
