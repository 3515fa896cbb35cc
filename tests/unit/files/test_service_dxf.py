"""Files for a service: closed loops only, proved; every spoiled file is noticed."""

import math

import pytest

from blankwright.files.dxf_read import read_dxf
from blankwright.files.service_dxf import (
    ServicePart,
    order_sheet,
    prove_service_dxf,
    rows_of,
    service_dxf,
)
from blankwright.geom.loop import Loop
from blankwright.geom.region import Region

PLATE = Region.of(
    Loop.rectangle(0, 0, 120, 60), Loop.circle((20, 20), 3), Loop.slot((70, 30), 30, 8, 0.3)
)
PARTS = (
    ServicePart(name="plate", region=PLATE, copies=3),
    ServicePart(name="strip", region=Region(Loop.rectangle(0, 0, 30, 200)), grain=math.pi / 2),
)


def test_it_holds_every_copy_as_closed_loops_and_nothing_else():
    data = service_dxf(PARTS, "Tarn 200")
    file = read_dxf(data)
    assert file.units == 4
    assert file.texts == ()
    assert not any(file.edges.values())
    assert {layer: len(loops) for layer, loops in file.loops.items()} == {
        "BLANK-EDGE": 4,
        "HOLES": 6,
    }
    areas = sorted(abs(loop.area) for loop in file.loops["BLANK-EDGE"])
    assert areas == pytest.approx([6000, 7200, 7200, 7200])


def test_grain_lies_along_x():
    strip = rows_of(PARTS)[-1]
    assert strip.box[2] - strip.box[0] == pytest.approx(200)


def test_the_same_parts_give_the_same_bytes():
    assert service_dxf(PARTS, "Tarn 200") == service_dxf(PARTS, "Tarn 200")


def test_rows_do_not_run_on_for_ever():
    many = rows_of([ServicePart(name="plate", region=PLATE, copies=60)])
    assert max(r.box[2] for r in many) <= 2000
    assert len(many) == 60


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (lambda regions: regions[1:], "SERVICE-002"),
        (lambda regions: (*regions[:-1], regions[0]), "SERVICE-003"),
        (lambda regions: (*regions, regions[0]), "SERVICE-004"),
    ],
)
def test_a_file_that_differs_is_noticed(change, code):
    data = service_dxf(PARTS, "Tarn 200")
    found = prove_service_dxf(data, change(rows_of(PARTS)))
    assert code in {problem.code for problem in found}


def test_the_order_sheet_counts_right():
    text = order_sheet(PARTS, "Tarn 200", "6061-T6", 1.016, "6061.dxf")
    assert "4 pieces, 10 loops" in text
    length = 3 * sum(loop.length for loop in PLATE.loops) + 460
    assert f"{length:.0f} mm of cut" in text
    assert "1.016 mm (0.040 in)" in text
    assert "grain along x" in text
