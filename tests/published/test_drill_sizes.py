"""Twist drill sizes, ASME B94.11M. Inch and mm as printed; mm is inch × 25.4 to three places.

The numbers are from memory (high) except where SEEN names the page. The table of the program is
a second copy: a digit that slipped in one stands out against the other.
"""

import pytest

from blankwright.handbook.drills import find_drill, nearest_drill

PRINTED = """
    #1 0.2280 5.791, #2 0.2210 5.613, #3 0.2130 5.410, #4 0.2090 5.309,
    #5 0.2055 5.220, #6 0.2040 5.182, #7 0.2010 5.105, #8 0.1990 5.055,
    #9 0.1960 4.978, #10 0.1935 4.915, #11 0.1910 4.851, #12 0.1890 4.801,
    #13 0.1850 4.699, #14 0.1820 4.623, #15 0.1800 4.572, #16 0.1770 4.496,
    #17 0.1730 4.394, #18 0.1695 4.305, #19 0.1660 4.216, #20 0.1610 4.089,
    #21 0.1590 4.039, #22 0.1570 3.988, #23 0.1540 3.912, #24 0.1520 3.861,
    #25 0.1495 3.797, #26 0.1470 3.734, #27 0.1440 3.658, #28 0.1405 3.569,
    #29 0.1360 3.454, #30 0.1285 3.264, #31 0.1200 3.048, #32 0.1160 2.946,
    #33 0.1130 2.870, #34 0.1110 2.819, #35 0.1100 2.794, #36 0.1065 2.705,
    #37 0.1040 2.642, #38 0.1015 2.578, #39 0.0995 2.527, #40 0.0980 2.489,
    #41 0.0960 2.438, #42 0.0935 2.375, #43 0.0890 2.261, #44 0.0860 2.184,
    #45 0.0820 2.083, #46 0.0810 2.057, #47 0.0785 1.994, #48 0.0760 1.930,
    #49 0.0730 1.854, #50 0.0700 1.778, #51 0.0670 1.702, #52 0.0635 1.613,
    #53 0.0595 1.511, #54 0.0550 1.397, #55 0.0520 1.321, #56 0.0465 1.181,
    #57 0.0430 1.092, #58 0.0420 1.067, #59 0.0410 1.041, #60 0.0400 1.016,
    A 0.234 5.944, B 0.238 6.045, C 0.242 6.147, D 0.246 6.248,
    E 0.250 6.350, F 0.257 6.528, G 0.261 6.629, H 0.266 6.756,
    I 0.272 6.909, J 0.277 7.036, K 0.281 7.137, L 0.290 7.366,
    M 0.295 7.493, N 0.302 7.671, O 0.316 8.026, P 0.323 8.204,
    Q 0.332 8.433, R 0.339 8.611, S 0.348 8.839, T 0.358 9.093,
    U 0.368 9.347, V 0.377 9.576, W 0.386 9.804, X 0.397 10.084,
    Y 0.404 10.262, Z 0.413 10.490,
"""

SEEN = {
    # powertoolstoday.com/number-letter-drill-bit-sizes
    "#1": 0.2280, "#2": 0.2210, "#3": 0.2130, "#4": 0.2090, "#7": 0.2010, "#10": 0.1935,
    "#21": 0.1590, "#25": 0.1495,
    # paperzz.com/doc/8844239
    "#53": 0.0595, "#54": 0.0550, "#55": 0.0520,
    "#57": 0.0430, "#58": 0.0420, "#59": 0.0410, "#60": 0.0400,
    # aircraft repair manual of the 1940s
    "#30": 0.1285, "#41": 0.096, "#22": 0.157, "#12": 0.189,
    # unitplanet.com/crafts/drill-bit-sizes, the ends of the ranges
    "#80": 0.0135, "A": 0.234, "Z": 0.413,
}  # fmt: skip

ROWS = [tuple(item.split()) for item in PRINTED.replace("\n", " ").split(",") if item.strip()]


def test_all_are_there() -> None:
    assert len(ROWS) == 60 + 26


@pytest.mark.parametrize(("name", "inch", "mm"), ROWS)
def test_printed_size(name: str, inch: str, mm: str) -> None:
    drill = find_drill(name)
    assert drill.diameter == pytest.approx(float(inch) * 25.4, abs=1e-9)
    assert drill.diameter == pytest.approx(float(mm), abs=0.00051)


@pytest.mark.parametrize(("name", "inch"), list(SEEN.items()))
def test_seen_size(name: str, inch: float) -> None:
    assert find_drill(name).diameter == pytest.approx(inch * 25.4, abs=1e-9)


def test_letter_e_is_a_quarter_inch() -> None:
    # FROM MEMORY (high): letter E and 1/4 in are one size.
    assert find_drill("E").diameter == find_drill("1/4 in").diameter


def test_fractions_are_exact() -> None:
    for sixty_fourths in range(1, 65):
        drill = find_drill(f"{sixty_fourths}/64 in")
        assert drill.diameter == pytest.approx(sixty_fourths * 25.4 / 64, abs=1e-12)


def test_nearest_to_a_rivet_hole() -> None:
    # The hole of a 1/8 rivet, .1285, is a number drill exactly; by fractions 1/8 is nearest.
    drill, error = nearest_drill(0.1285 * 25.4)
    assert (drill.name, error) == ("#30", 0.0)
    drill, error = nearest_drill(0.1285 * 25.4, ("fraction",))
    assert drill.name == "1/8 in"
    assert error == pytest.approx(-0.0035 * 25.4)
