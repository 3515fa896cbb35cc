"""ISO 286-1 standard tolerances, and ISO 2768-1 general tolerances.

ISO 286-1: mechguru.com/machine-design/din-iso-286 and engineersvault.blogspot.com/2007/02 agree.
ISO 2768-1: copies of the standard's tables; scribd.com/document/585640440 for f, m, v.
"""

import math
import re

import pytest

from blankwright.handbook.tolerances import (
    general_angle,
    general_edge,
    general_length,
    grade_width,
)

GRADES = ("IT5", "IT6", "IT7", "IT8", "IT9", "IT10", "IT11", "IT12", "IT13", "IT14")

# µm, by size over–to mm
ISO_286 = """
    0–3 4 6 10 14 25 40 60 100 140 250
    3–6 5 8 12 18 30 48 75 120 180 300
    6–10 6 9 15 22 36 58 90 150 220 360
    10–18 8 11 18 27 43 70 110 180 270 430
    18–30 9 13 21 33 52 84 130 210 330 520
    30–50 11 16 25 39 62 100 160 250 390 620
    50–80 13 19 30 46 74 120 190 300 460 740
    80–120 15 22 35 54 87 140 220 350 540 870
    120–180 18 25 40 63 100 160 250 400 630 1000
    180–250 20 29 46 72 115 185 290 460 720 1150
    250–315 23 32 52 81 130 210 320 520 810 1300
    315–400 25 36 57 89 140 230 360 - - -
    400–500 27 40 63 97 155 250 400 - - -
"""

STEPS = ((0.5, 3), (3, 6), (6, 30), (30, 120), (120, 400), (400, 1000), (1000, 2000), (2000, 4000))
LINEAR = """
    f 0.05 0.05 0.1 0.15 0.2 0.3 0.5 -
    m 0.1 0.1 0.2 0.3 0.5 0.8 1.2 2.0
    c 0.2 0.3 0.5 0.8 1.2 2.0 3.0 4.0
    v - 0.5 1.0 1.5 2.5 4.0 6.0 8.0
"""

LEGS = ((0, 10), (10, 50), (50, 120), (120, 400), (400, 1000))
ANGULAR = """
    f,m ±1° ±0°30′ ±0°20′ ±0°10′ ±0°5′
    c ±1°30′ ±1° ±0°30′ ±0°15′ ±0°10′
    v ±3° ±2° ±1° ±0°30′ ±0°20′
"""

ISO_CELLS = [
    (*(float(end) for end in line.split()[0].split("–")), grade, float(cell))
    for line in ISO_286.strip().splitlines()
    for grade, cell in zip(GRADES, line.split()[1:], strict=True)
    if cell != "-"
]


@pytest.mark.parametrize(("over", "to", "grade", "printed"), ISO_CELLS)
def test_iso_286(over: float, to: float, grade: str, printed: float) -> None:
    for size in (over + 1e-6, (over + to) / 2, to):
        assert grade_width(size, grade).value * 1000 == pytest.approx(printed)


def test_iso_286_formula() -> None:
    """FROM MEMORY (high): i = 0.45·D^⅓ + 0.001·D, D the geometric mean; IT6 is 10i, IT8 25i …

    Printed widths are rounded to whole µm, some by the standard's own rules."""
    middle = math.sqrt(6 * 10)
    unit = 0.45 * middle ** (1 / 3) + 0.001 * middle
    for grade, times in (("IT6", 10), ("IT8", 25), ("IT9", 40), ("IT10", 64), ("IT11", 100)):
        assert grade_width(8, grade).value * 1000 == pytest.approx(times * unit, abs=0.6)


def test_spot_values() -> None:
    # questionai.com/knowledge/kTDzN3ERAg-it-grade
    assert grade_width(10, "IT14").value == pytest.approx(0.36)
    assert grade_width(100, "IT14").value == pytest.approx(0.87)


@pytest.mark.parametrize("line", LINEAR.strip().splitlines(), ids=lambda line: line.split()[0])
def test_iso_2768_lengths(line: str) -> None:
    grade, *cells = line.split()
    for (over, to), printed in zip(STEPS, cells, strict=True):
        if printed == "-":
            continue
        for size in (over + 1e-6, (over + to) / 2, to):
            assert general_length(size, grade).value == float(printed)  # type: ignore[arg-type]


def test_iso_2768_begins_at_half_a_millimetre() -> None:
    assert general_length(0.5, "f").value == 0.05
    assert general_length(0.5, "c").value == 0.2
    assert general_length(0.501, "m").value == 0.1


def test_iso_2768_class_c_as_one_copy_misprints_it() -> None:
    """One copy prints 0.15 and 0.2 in the first two columns of class c; the standard 0.2, 0.3."""
    assert general_length(2, "c").value == 0.2
    assert general_length(5, "c").value == 0.3


@pytest.mark.parametrize("line", ANGULAR.strip().splitlines(), ids=lambda line: line.split()[0])
def test_iso_2768_angles(line: str) -> None:
    grades, *cells = line.split()
    for (over, to), printed in zip(LEGS, cells, strict=True):
        match = re.fullmatch(r"±(\d+)°(?:(\d+)′)?", printed)
        assert match
        wanted = math.radians(int(match[1]) + int(match[2] or 0) / 60)
        for grade in grades.split(","):
            for leg in (over + 1e-6, (over + to) / 2, to):
                assert general_angle(leg, grade).value == pytest.approx(wanted)  # type: ignore[arg-type]


def test_iso_2768_angle_of_class_c_that_copies_disagree_on() -> None:
    """Over 120 to 400: the standard 0°15′ (memory, high); one copy prints 0°20′."""
    fact = general_angle(200, "c")
    assert fact.value == pytest.approx(math.radians(15 / 60))
    assert fact.status == "MEMORY high"


@pytest.mark.parametrize(
    ("size", "fine", "coarse"),
    [
        (0.5, 0.2, 0.4),
        (3.0, 0.2, 0.4),
        (3.001, 0.5, 1.0),
        (6.0, 0.5, 1.0),
        (6.001, 1.0, 2.0),
        (100.0, 1.0, 2.0),
    ],
)
def test_iso_2768_broken_edges(size: float, fine: float, coarse: float) -> None:
    """FROM MEMORY (high): 0.5 to 3, over 3 to 6, over 6."""
    assert general_edge(size, "f").value == general_edge(size, "m").value == fine
    assert general_edge(size, "c").value == general_edge(size, "v").value == coarse
