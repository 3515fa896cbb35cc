"""Random parts, anywhere in space, saved with few digits or as splines, unfold all the same."""

import math
import re

import pytest
from OCP.Interface import Interface_Static

import kernel_shapes as ks
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.develop.restate import part_of_blank
from blankwright.develop.unfold.result import Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes
from blankwright.files.kernel.session import prepare
from blankwright.files.kernel.solid import solid_of
from blankwright.files.kernel.step_read import blanks_in
from samples import random_part

SEEDS = (200, 202, 204, 206, 208)


def with_digits(data, digits):
    """Round the coordinates of a file."""

    def rounded(match):
        numbers = (f"{float(v):.{digits}f}".encode() for v in match[2].split(b","))
        return match[1] + b",".join(numbers) + match[3]

    head, body = data.split(b"DATA;", 1)
    return head + b"DATA;" + re.sub(rb"(CARTESIAN_POINT\('[^']*',\()([^)]*)(\))", rounded, body)


def inches(solid):
    prepare()
    Interface_Static.SetCVal_s("write.step.unit", "INCH")
    try:
        return ks.step_of(solid)
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")


WAYS = {
    "as it is": (ks.step_of, 1e-6),
    "4 digits": (lambda s: with_digits(ks.step_of(s), 4), 1e-4),
    "3 digits": (lambda s: with_digits(ks.step_of(s), 3), 1e-3),
    "inches, 4 digits": (lambda s: with_digits(inches(s), 4), 4e-3),
    "splines, 4 digits": (lambda s: with_digits(ks.step_of(ks.as_free_form(s)), 4), 1e-3),
}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_part_however_it_is_saved(seed, way):
    blank = develop_blank(random_part(seed))
    solid = ks.moved(solid_of(form(blank)).shape, (13.1, -7.7, 4.2), (1, 2, 3), 37.3)
    solid = ks.moved(solid, (100, 200, -300), (0.3, -0.7, 0.2), 71)
    write, within = WAYS[way]

    def rule(radius, thickness, angle):
        bend = min(blank.bends, key=lambda b: abs(b.inside_radius - radius) + abs(b.angle - angle))
        return bend.allowance * angle / bend.angle, bend.k

    (result,) = blanks_in(write(solid), "part.step", UnfoldWishes(rule=rule))
    assert isinstance(result, Unfolded), result
    back = result.blank
    # An edge that is off by the file's rounding makes as much area as it is long.
    length = sum(edge.length for edge in blank.outline.edges)
    assert back.outline.area == pytest.approx(blank.outline.area, abs=within * length)
    assert len(back.outline.holes) == len(blank.outline.holes)
    found = sorted(math.degrees(bend.angle) for bend in back.bends)
    assert found == pytest.approx(sorted(math.degrees(b.angle) for b in blank.bends), abs=0.05)
    # It can be made a part of, which develops into it again.
    again = develop_blank(part_of_blank(back, "part", ""))
    assert again.outline.area == pytest.approx(back.outline.area, abs=within * length)
