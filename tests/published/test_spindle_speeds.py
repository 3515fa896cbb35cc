"""Spindle speeds against the table that machinists' handbooks print.

Source: Machinery's Handbook, "Revolutions per minute for various cutting speeds and diameters",
rows for 1/4, 1/2 and 1 in; from memory, high confidence (the printed table rounds to whole turns).
"""

import pytest

from blankwright.base.units import from_inches
from blankwright.cutting.feeds import spindle_speed

SPEEDS_FPM = (40, 50, 60, 70, 80, 90, 100, 120, 140, 160, 180, 200)
PRINTED = {
    0.25: (611, 764, 917, 1070, 1222, 1375, 1528, 1833, 2139, 2445, 2750, 3056),
    0.5: (306, 382, 458, 535, 611, 688, 764, 917, 1070, 1222, 1375, 1528),
    1.0: (153, 191, 229, 267, 306, 344, 382, 458, 535, 611, 688, 764),
}


@pytest.mark.parametrize("diameter_in", PRINTED)
def test_revolutions_a_minute(diameter_in):
    for fpm, printed in zip(SPEEDS_FPM, PRINTED[diameter_in], strict=True):
        m_per_min = from_inches(12.0 * fpm) / 1000.0
        rpm = spindle_speed(m_per_min, from_inches(diameter_in))
        assert rpm == pytest.approx(printed, abs=0.51)
