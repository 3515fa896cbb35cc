"""Packing: every answer is checked exactly; grain, pairs, clamps, openings, several sheets."""

import math
import random
from dataclasses import replace

import pytest

from blankwright.cutting.fill import nested_in
from blankwright.cutting.offcuts import offcuts_of
from blankwright.cutting.packer import Search, pack
from blankwright.cutting.packing import (
    PackedSheet,
    Packing,
    PackPart,
    PackSettings,
    Placement,
    StripAnswer,
)
from blankwright.cutting.packing_check import check_packing
from blankwright.cutting.stock import Material, StockSheet, material_of, turns_for_grain
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from cutting_samples import clamp, random_part

FIRST = Search(rounds=0)
SETTINGS = PackSettings()


def stock(name="full", width=600.0, height=400.0, **more):
    fields = {
        "alloy": "6061-T6",
        "material": Material.ALUMINIUM,
        "thickness": 1.0,
        "region": Region(Loop.rectangle(0, 0, width, height)),
        "price": 10.0,
    }
    return StockSheet(name=name, **{**fields, **more})


def block(name, width, height, **more):
    return PackPart(name=name, region=Region(Loop.rectangle(0, 0, width, height)), **more)


def random_parts(seed, count):
    rng = random.Random(seed)
    return [
        PackPart(
            name=f"p{i}",
            region=random_part(rng, f"p{i}").region,
            grain=rng.choice([None, 0.0, math.pi / 2, 0.6]),
            pair=f"pair {i // 2}" if i < 4 else "",
        )
        for i in range(count)
    ]


@pytest.mark.parametrize("seed", range(3))
def test_random_parts_keep_every_distance(seed):
    parts = random_parts(seed, 10)
    sheets = [
        stock(grain=0.0, count=3, clamps=(clamp(0, 0, 50, 40),)),
        stock(
            "offcut",
            offcut=True,
            grain=math.pi / 2,
            region=Region(Loop.polygon([(0, 0), (300, 0), (260, 250), (0, 180)])),
        ),
    ]
    packing = pack(parts, sheets, SETTINGS, FIRST)
    assert packing.left == ()
    assert check_packing(packing, parts, SETTINGS) == ()


def test_the_check_catches_each_kind_of_wrong():
    parts = [block("a", 100, 50, grain=0.0, pair="x"), block("b", 80, 50, pair="x")]
    sheet = stock(grain=0.0, clamps=(clamp(300, 0, 340, 40),))

    def codes(*placed, left=()):
        packed = PackedSheet(sheet=sheet, number=1, placements=placed)
        packing = Packing(sheets=(packed,), left=left)
        return {f.code for f in check_packing(packing, parts, SETTINGS)}

    a = Placement(part=parts[0], move=Move.shift(10, 10))
    b = Placement(part=parts[1], move=Move.shift(10, 80))
    assert codes(a, b) == set()
    assert codes(replace(a, move=Move.shift(5.99, 10)), b) == {"PACK-001"}
    assert codes(replace(a, move=Move.shift(-50, 10)), b) == {"PACK-001"}
    assert codes(a, replace(b, move=Move.shift(250, 10))) == {"PACK-002"}
    assert codes(a, replace(b, move=Move.shift(10, 65.9))) == {"PACK-003"}
    assert codes(a, replace(b, move=Move.shift(20, 20))) == {"PACK-003"}
    flipped = Move(1.0, 0.0, 10.0, 200.0, True)
    assert "PACK-004" in codes(a, replace(b, move=flipped))
    turned = Move.turn(math.pi / 2).then(Move.shift(200, 100))
    assert codes(replace(a, move=turned), b) == {"PACK-005"}
    assert codes(a) == {"PACK-006"}
    assert codes(a, left=(parts[1],)) == {"PACK-007", "PACK-008"}


def test_grain_leaves_two_turns_and_no_grain_leaves_all():
    assert turns_for_grain(None, 0.0) is None
    assert turns_for_grain(0.0, None) is None
    assert turns_for_grain(0.3, math.pi / 2) == pytest.approx(
        (math.pi / 2 - 0.3, 3 * math.pi / 2 - 0.3)
    )
    assert turns_for_grain(math.pi, 0.0) == pytest.approx((0.0, math.pi))


def test_a_long_part_with_grain_across_finds_no_room_where_it_would_fit_along():
    sheet = [stock(width=600, height=200, grain=0.0)]
    along, across = block("along", 500, 50, grain=0.0), block("across", 500, 50, grain=math.pi / 2)
    assert pack([along], sheet, SETTINGS, FIRST).left == ()
    assert pack([across], sheet, SETTINGS, FIRST).left == (across,)


def test_a_pair_goes_on_one_sheet_or_waits_together():
    parts = [block("left", 300, 180, pair="p"), block("right", 300, 180, pair="p")]
    small = [stock(width=330, height=220, count=2)]
    packing = pack(parts, small, SETTINGS, FIRST)
    assert {part.name for part in packing.left} == {"left", "right"}
    single = [replace(part, pair="") for part in parts]
    assert pack(single, small, SETTINGS, FIRST).left == ()


def test_small_parts_go_into_large_openings():
    frame = Region.of(Loop.rectangle(0, 0, 360, 260), Loop.rectangle(30, 30, 330, 230))
    parts = [PackPart(name="frame", region=frame), *(block(f"b{i}", 80, 60) for i in range(6))]
    sheet = [stock(width=380, height=280)]
    packing = pack(parts, sheet, SETTINGS, FIRST)
    assert check_packing(packing, parts, SETTINGS) == ()
    ((host, inside),) = nested_in(packing.sheets[0].placements)
    assert host.part.name == "frame"
    assert len(inside) == 6


def test_an_offcut_is_used_before_a_sheet_and_a_small_sheet_before_a_large_one():
    part = [block("a", 100, 80)]
    sheets = [
        stock("large", 1200, 600, price=40.0),
        stock("small", 300, 200, price=6.0),
        stock("offcut", 200, 150, offcut=True, price=1.0),
    ]
    assert pack(part, sheets, SETTINGS, FIRST).sheets[0].sheet.name == "offcut"
    assert pack(part, sheets[:2], SETTINGS, FIRST).sheets[0].sheet.name == "small"


def test_parts_that_fit_nowhere_are_told():
    part = block("wing", 3000, 100)
    packing = pack([part, block("a", 50, 50)], [stock()], SETTINGS, FIRST)
    assert packing.left == (part,)
    found = check_packing(packing, [part, block("a", 50, 50)], SETTINGS)
    assert [f.code for f in found] == ["PACK-007"]


def test_the_same_seed_gives_the_same_packing_and_rounds_only_better_ones():
    parts = random_parts(9, 5)
    sheets = [stock(grain=0.0, count=4)]

    def run(rounds):
        packing = pack(parts, sheets, SETTINGS, Search(rounds=rounds))
        return packing, [[(p.part.name, p.move) for p in s.placements] for s in packing.sheets]

    first, more = run(0), run(2)
    assert run(2)[1] == more[1]
    assert more[0].merit <= first[0].merit


def test_stopping_at_once_keeps_the_first_filling():
    parts = random_parts(2, 8)
    told = []
    packing = pack(
        parts,
        [stock(count=4)],
        SETTINGS,
        Search(stop=lambda: True, tell=lambda best, what: told.append(what)),
    )
    assert told == ["first filling"]
    assert sum(len(s.placements) for s in packing.sheets) == 8


def test_a_strip_packer_that_lies_is_not_believed():
    parts = random_parts(4, 4)

    def liar(items, height, gap, seed):
        return StripAnswer(length=1.0, moves=tuple((item.name, Move()) for item in items))

    sheets = [stock(count=3)]
    packing = pack(parts, sheets, SETTINGS, Search(strip=liar, rounds=1))
    assert check_packing(packing, parts, SETTINGS) == ()


def test_a_good_strip_packer_is_used():
    parts = [block(f"b{i}", 90, 60) for i in range(4)]
    asked = []

    def rows(items, height, gap, seed):
        asked.append(len(items))
        moves = [(item.name, Move.shift(1.0, 1.0 + i * (60 + gap))) for i, item in enumerate(items)]
        return StripAnswer(length=92.0, moves=tuple(moves))

    loose = replace(SETTINGS, turns=(math.pi / 2,))
    packing = pack(parts, [stock()], loose, Search(strip=rows, rounds=1))
    assert asked
    assert check_packing(packing, parts, loose) == ()


def test_offcuts_are_large_straight_and_carry_what_the_sheet_was():
    sheet = stock(grain=0.2, film="face", price=100.0)
    packed = PackedSheet(
        sheet=sheet,
        number=1,
        placements=(Placement(part=block("a", 150, 390), move=Move.shift(5, 5)),),
    )
    ((offcut, at),) = offcuts_of(packed, SETTINGS)
    assert offcut.size == pytest.approx((600 - 155 - 6, 400))
    assert at == pytest.approx((161, 0))
    assert (offcut.grain, offcut.film, offcut.offcut, offcut.count) == (0.2, "face", True, 1)
    assert offcut.price == pytest.approx(100 * 439 / 600, abs=0.01)


def test_an_offcut_of_an_odd_sheet_keeps_its_outline_and_scraps_are_not_kept():
    odd = stock(region=Region(Loop.polygon([(0, 0), (600, 0), (500, 400), (0, 400)])))
    at_left = PackedSheet(
        sheet=odd,
        number=1,
        placements=(Placement(part=block("a", 150, 390), move=Move.shift(5, 5)),),
    )
    ((offcut, _),) = offcuts_of(at_left, SETTINGS)
    assert offcut.area == pytest.approx(odd.area - 161 * 400)
    full = PackedSheet(
        sheet=stock(),
        number=1,
        placements=(Placement(part=block("a", 560, 360), move=Move.shift(5, 5)),),
    )
    assert offcuts_of(full, SETTINGS) == ()


def test_alloys_that_are_aluminium_and_those_that_are_not():
    for alloy in ("6061-T6", "2024-T3", "Alclad 2024-T3", "5052-H32", "3003"):
        assert material_of(alloy) is Material.ALUMINIUM
    for alloy in ("4130", "304", "hardboard", ""):
        assert material_of(alloy) is None


def test_a_sheet_fits_by_alloy_and_thickness():
    assert stock().fits("6061-t6", 1.004)
    assert not stock().fits("6061-T6", 1.02)
    assert not stock().fits("6061-T4", 1.0)


def test_what_is_cut_out_of_a_large_opening_goes_back_unless_a_part_lies_in_it():
    panel = PackPart(
        name="panel",
        region=Region.of(Loop.rectangle(0, 0, 420, 300), Loop.rectangle(90, 70, 330, 230)),
    )
    small = block("small", 40, 24)
    sheet = stock(width=440.0, height=320.0)
    for parts, count in (([panel], 1), ([panel, small], 0)):
        (packed,) = pack(parts, [sheet], SETTINGS, FIRST).sheets
        assert len(packed.placements) == len(parts)
        windows = [offcut for offcut, _ in offcuts_of(packed, SETTINGS) if offcut.area < 40_000]
        assert len(windows) == count
        for offcut in windows:
            assert offcut.size == pytest.approx((240 - SETTINGS.gap, 160 - SETTINGS.gap), abs=0.01)
            assert offcut.offcut
