"""The rack and shop files: read by hand-written text, all problems at once, saved without loss."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput
from blankwright.cutting.job import BendLine, BendMarks
from blankwright.cutting.machine import CutterKind, Dialect, FileUnits, ToolChange
from blankwright.cutting.stock import Material
from blankwright.files import rackfile
from blankwright.files.rackfile import (
    free_names,
    parse_rack,
    rack_after,
    read_rack,
    write_rack,
)
from blankwright.files.shopfile import parse_shop, read_shop
from blankwright.files.shopfile_machine import cut_settings_of, machine_of, pack_settings_of

RACK = rackfile.__doc__.split("::\n\n")[1].split("\n\nAn outline")[0]
RACK = "\n".join(line[4:] for line in RACK.splitlines())
EXAMPLES = Path(__file__).resolve().parents[3] / "examples" / "tarn200"


def shop(text):
    return parse_shop(text, Path("shop.toml"))


def problems_of(read, text):
    with pytest.raises(BadInput) as caught:
        read(text)
    return [(problem.code, problem.where) for problem in caught.value.problems]


def test_the_example_in_the_rack_files_own_words_is_read():
    full, offcut = parse_rack(RACK)
    assert (full.name, full.count, full.film, full.grain) == ("full 040", 2, "face", 0.0)
    assert full.thickness == pytest.approx(1.016)
    assert full.size == pytest.approx((1219.2, 609.6))
    assert full.material is Material.ALUMINIUM
    assert full.clamps[0].height == 12
    assert offcut.offcut
    assert offcut.area == pytest.approx(300 * 225)


def test_an_outline_with_arcs_keeps_them():
    (sheet,) = parse_rack(
        '[[sheets]]\nname = "round"\nalloy = "3003"\nthickness = "1 mm"\n'
        'outline = [["0 mm", "0 mm", 1.0], ["100 mm", "0 mm", 1.0]]\n'
    )
    assert sheet.area == pytest.approx(math.pi * 2500)


def test_every_problem_of_a_rack_is_told_at_once():
    text = """
[[sheets]]
name = "a"
alloy = "4130"
thickness = "0.04"
size = ["10 in"]
grain = "sideways"
film = "top"
price = -3
colour = "red"

[[sheets]]
name = "a"
thickness = "1 mm"
"""
    found = problems_of(parse_rack, text)
    keys = {where.rsplit(", ", 1)[1] for _, where in found}
    assert {code for code, _ in found} == {"RACK-003"}
    wanted = {"material", "thickness", "size", "grain", "film", "price", "colour", "alloy"}
    assert wanted <= keys


def test_broken_toml_is_told():
    assert problems_of(parse_rack, "[[sheets]\n") == [("RACK-002", "rack.toml")]


def test_a_cut_sheet_comes_off_and_an_offcut_goes_on_and_comments_stay():
    text = "# my rack\n" + RACK
    (full, odd) = parse_rack(RACK)
    new = [replace(odd, name="full 040 offcut 2", note="left of full 040")]
    after = rack_after(text, [("full 040", 1), ("full 040 offcut 1", 1)], new)
    assert after.startswith("# my rack")
    assert '# "along y", an angle, or "none"' in after
    left, back = parse_rack(after)
    assert (left.name, left.count) == ("full 040", 1)
    assert back.name == "full 040 offcut 2"
    assert back.area == pytest.approx(odd.area, abs=0.1)
    assert back.offcut
    both = parse_rack(rack_after(text, [("full 040", 2)], []))
    assert [sheet.name for sheet in both] == ["full 040 offcut 1"]
    assert full.count == 2


def test_an_empty_rack_takes_its_first_offcut():
    (_, odd) = parse_rack(RACK)
    (back,) = parse_rack(rack_after("", [], [odd]))
    assert back.region.area == pytest.approx(odd.region.area, abs=0.1)


HOLED = """
[[sheets]]
name = "offcut with windows"
alloy = "6061-T6"
thickness = "1 mm"
size = ["300 mm", "200 mm"]
openings = [
  { center = ["60 mm", "60 mm"], diameter = "40 mm" },
  [["150 mm", "50 mm"], ["250 mm", "50 mm"], ["250 mm", "150 mm", 0.3], ["150 mm", "150 mm"]],
]
"""


def test_openings_in_a_sheet_are_read_and_come_back_as_they_were():
    (sheet,) = parse_rack(HOLED)
    angle = 4 * math.atan(0.3)
    radius = 50 / math.sin(angle / 2)
    segment = radius**2 / 2 * (angle - math.sin(angle))
    wanted = 300 * 200 - math.pi * 400 - (100 * 100 + segment)
    assert sheet.area == pytest.approx(wanted, rel=1e-9)
    assert len(sheet.region.holes) == 2
    (back,) = parse_rack(rack_after("", [], [sheet]))
    assert back.area == pytest.approx(wanted, abs=0.05)
    assert [len(hole.edges) for hole in back.region.holes] == [1, 4]


@pytest.mark.parametrize(
    ("opening", "said"),
    [
        ('{ center = ["10 mm", "60 mm"], diameter = "40 mm" }', "openings"),
        ('{ center = ["60 mm", "60 mm"], diameter = "400 mm" }', "openings"),
        ('{ center = ["60 mm", "70 mm"], diameter = "30 mm" }', "openings"),
        ('{ centre = ["60 mm", "70 mm"], diameter = "30 mm" }', "centre"),
        ('[["1 mm", "2 mm"]]', "openings 3"),
        ('"round"', "openings 3"),
    ],
)
def test_an_opening_that_makes_no_sense_is_told(opening, said):
    text = HOLED.replace("openings = [", f"openings = [\n  {opening},")
    if said == "openings 3":
        text = HOLED.replace("],\n]", f"],\n  {opening},\n]")
    keys = {where.rsplit(", ", 1)[1] for _, where in problems_of(parse_rack, text)}
    assert said in keys


def test_an_offcut_gets_a_name_that_is_free():
    (_, odd) = parse_rack(RACK)
    names = [o.name for o in free_names([odd, odd], [odd.name, "full 040"])]
    assert names == [f"{odd.name} (2)", f"{odd.name} (3)"]
    assert free_names([odd], ["full 040"]) == (odd,)


def test_line_ends_and_byte_order_mark_of_a_rack_stay(tmp_path):
    (_, odd) = parse_rack(RACK)
    path = tmp_path / "rack.toml"
    before = b"\xef\xbb\xbf" + f"# mine\n{RACK}\n".replace("\n", "\r\n").encode()
    path.write_bytes(before)
    text = rack_after(path.read_text(encoding="utf-8-sig"), [], free_names([odd], [odd.name]))
    write_rack(path, text)
    after = path.read_bytes()
    assert after.startswith(before.rstrip())
    assert after.count(b"\n") == after.count(b"\r\n") > before.count(b"\n")
    assert len(read_rack(path)) == 3


MACHINE = """
[machine]
name = "mill"
travel = ["30 in", "20 in", "4 in"]
zero = ["1 in", "1 in", "2 in"]
units = "inch"
words = "ISO 6983"
slowest = "5000 rpm"
most_feed = "60 in/min"
tool_change = "by machine"
ramp = "4 deg"

[[machine.cutters]]
number = 3
name = "eighth"
kind = "router bit"
diameter = "1/8 in"
chip_load = "0.0006 in"
cutting_speed = "400 ft/min"
source = "its maker"
"""


def test_a_machine_is_read():
    machine = machine_of(shop(MACHINE))
    assert machine.travel == pytest.approx((762, 508, 101.6))
    assert (machine.units, machine.dialect) == (FileUnits.INCH, Dialect.ISO_6983)
    assert machine.tool_change is ToolChange.BY_MACHINE
    assert machine.most_feed == pytest.approx(1524)
    assert machine.ramp == pytest.approx(math.radians(4))
    (cutter,) = machine.cutters
    assert cutter.kind is CutterKind.ROUTER_BIT
    assert cutter.surface_speed == pytest.approx(400 * 0.3048)
    assert cutter.chip_load == pytest.approx(0.01524)
    assert machine.reach[0] == pytest.approx((-25.4, 736.6))


def test_every_problem_of_a_machine_is_told_at_once():
    text = MACHINE.replace('"60 in/min"', '"60"').replace('"4 deg"', '"80 deg"')
    text = text.replace('kind = "router bit"', 'kind = "wheel"').replace("name = ", "nmae = ")
    found = problems_of(lambda t: machine_of(shop(t)), text)
    keys = {where.rsplit(", ", 1)[1] for _, where in found}
    assert {"most_feed", "ramp", "kind", "nmae"} <= keys


def test_a_shop_without_a_machine_says_so_and_other_tables_are_let_be():
    text = '[brake]\nname = "leaf brake"\n[[something]]\nelse = 1\n'
    assert problems_of(lambda t: machine_of(shop(t)), text) == [("SHOP-004", "shop.toml")]
    assert shop(text).table("brake") == {"name": "leaf brake"}
    assert shop(text).table("machine") == {}


def test_a_misspelt_table_is_told():
    assert problems_of(shop, "[mashine]\n") == [("SHOP-003", "shop.toml, mashine")]


def test_a_missing_shop_file_has_no_tables(tmp_path):
    assert read_shop(tmp_path / "shop.toml").tables == {}


def test_cutting_and_packing_tables():
    text = (
        '[cutting]\nbend_marks = "pen"\nbend_line = "bend tangent lines"\ntabs = 4\nclimb = false\n'
        '[packing]\ngap = "1/4 in"\nseed = 7\n'
    )
    settings = cut_settings_of(shop(text))
    assert (settings.bend_marks, settings.bend_line) == (BendMarks.PEN, BendLine.TANGENT)
    assert (settings.tab_count, settings.climb) == (4, False)
    packing = pack_settings_of(shop(text))
    assert packing.gap == pytest.approx(6.35)
    assert packing.seed == 7


def test_the_example_airplanes_rack_and_shop_are_read():
    assert len(rackfile.read_rack(EXAMPLES / "rack.toml")) >= 5
    read = read_shop(EXAMPLES / "shop.toml")
    assert machine_of(read).cutters
    assert cut_settings_of(read).bend_marks is BendMarks.PEN
    assert pack_settings_of(read).gap > 0


def test_the_gap_between_blanks_is_worked_out_from_the_bit_unless_it_is_stated():
    assert pack_settings_of(shop("")).gap == 6.0
    eighth = pack_settings_of(shop(MACHINE)).gap
    assert 2 * 3.175 + 1 < eighth < 2 * 3.175 + 2
    assert pack_settings_of(shop(MACHINE + '[packing]\ngap = "5 mm"\n')).gap == 5.0
