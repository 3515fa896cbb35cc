"""Edits of a part file's text: all else stays, and no edit brings a problem in."""

from __future__ import annotations

import difflib
import tomllib
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput, FileProblem
from blankwright.files.partfile import read_part_text
from blankwright.files.partfile.editing import (
    NoPlace,
    add_table,
    add_value,
    remove_value,
    rename,
    save,
    set_value,
)
from blankwright.files.partfile.texts import comments

TRAY = (
    Path(__file__).parents[4] / "examples" / "tarn200" / "parts" / "battery-tray.toml"
).read_text(encoding="utf-8")


def changed(new: str, old: str = TRAY) -> list[str]:
    return [line for line in difflib.ndiff(old.splitlines(), new.splitlines()) if line[0] in "+-"]


def test_set_changes_one_line_and_keeps_its_comment_and_layout() -> None:
    new = set_value(TRAY, "sizes.clear", "1/32 in")
    assert changed(new) == [
        '- clear     = "0.75 mm"                   # each side, so that it drops in after priming',
        '+ clear     = "1/32 in"                   # each side, so that it drops in after priming',
    ]


def test_set_inside_lists_and_inline_tables() -> None:
    assert changed(set_value(TRAY, "flats.floor.outline.rectangle[2]", "5-1/4 in")) == [
        '- outline = { rectangle = ["width", "depth"] }',
        '+ outline = { rectangle = ["width", "5-1/4 in"] }',
    ]
    new = set_value(TRAY, "sizes.bay_width.measured", "186.9 mm")
    assert 'measured = "186.9 mm", plus_minus = "0.3 mm"' in new
    assert 'at    = ["1 in", "2 in"]' in set_value(TRAY, "holes.mount.at", '["1 in", "2 in"]')


def test_an_inch_mark_gets_single_quotes() -> None:
    assert "thickness = '0.040\"'" in set_value(TRAY, "sheet.thickness", '0.040"')


def test_kinds_stay_what_they_were() -> None:
    assert "columns = 3," in set_value(TRAY, "holes.mount.grid.columns", "3")
    assert 'columns = "n",' not in TRAY
    assert "up            = false" in set_value(
        set_value(TRAY, "bend_defaults.up", "false"), "bend_defaults.up", "false"
    )


def test_a_new_key_goes_behind_the_last_of_its_table() -> None:
    new = set_value(TRAY, "bends.left.inset", "1 mm")
    assert '[bends.left]\nfrom = "floor.left"\nleg  = { height = "wall" }\ninset = "1 mm"\n' in new
    new = set_value(TRAY, "bends.left.leg.radius", "1/8 in")
    assert 'leg  = { height = "wall", radius = "1/8 in" }' in new
    new = set_value(TRAY, "overrides.BEND-005", "grain can't be turned")
    assert new.endswith('\n[overrides]\nBEND-005 = "grain can\'t be turned"\n')
    new = set_value(TRAY, "hand", "left")
    assert tomllib.loads(new)["hand"] == "left"


def test_what_would_be_wrong_is_refused_with_the_reason() -> None:
    with pytest.raises(BadInput, match="QTY-001"):
        set_value(TRAY, "sheet.thickness", "0.040")
    with pytest.raises(BadInput, match="SIZE-004"):
        set_value(TRAY, "sizes.clear", "width/100")
    with pytest.raises(BadInput, match="PART-002"):
        set_value(TRAY, "sheet.temper", "T6")
    with pytest.raises(NoPlace):
        set_value(TRAY, "bends.none.angle", "90 deg")
    with pytest.raises(NoPlace):
        set_value(TRAY, "holes.mount.at[3]", "1 in")
    with pytest.raises(NoPlace):
        set_value(TRAY, "", "1 in")
    with pytest.raises(BadInput, match="EDIT-004"):
        set_value(TRAY, "holes.mount.at", '["1 in", ')


def test_a_file_with_problems_can_be_mended_one_by_one() -> None:
    broken = TRAY.replace('"5 in"', '"5"').replace('"1-1/2 in"\nflange', '"1-1/2 inn"\nflange')
    once = set_value(broken, "sizes.wall", "1-1/2 in")
    with pytest.raises(BadInput):
        read_part_text(once, "tray")
    read_part_text(set_value(once, "sizes.depth", "5 in"), "tray")
    with pytest.raises(BadInput, match="QTY-001"):
        set_value(broken, "sheet.thickness", "1")


def test_add_table_joins_its_kind() -> None:
    values = {"from": "front.tip", "up": "true", "leg": {"height": "5 mm"}}
    new = add_table(TRAY, "bends.front-lip", values)
    assert new.index("[bends.front-lip]") < new.index("[corner_defaults]")
    assert read_part_text(new, "tray").bend("front-lip").leg.outline.box[3] == pytest.approx(5.0)
    assert comments(new) == comments(TRAY)
    with pytest.raises(BadInput, match="EDIT-002"):
        add_table(TRAY, "bends.left", values)
    with pytest.raises(BadInput, match="PART-009"):
        add_table(TRAY, "bends.lip", {**values, "from": "none.tip"})


def test_add_value() -> None:
    new = add_value(TRAY, "sizes.margin", "1/4 in")
    assert 'rivet     = { drill = "#30" }\nmargin = "1/4 in"\n' in new
    with pytest.raises(BadInput, match="EDIT-002"):
        add_value(TRAY, "sizes.wall", "1/4 in")
    key = 'overrides."BEND-005 bend left"'
    new = add_value(TRAY, key, "can't turn the blank")
    assert "BEND-005 bend left" in read_part_text(new, "tray").overrides
    assert read_part_text(remove_value(new, key), "tray").overrides == {}


def test_remove() -> None:
    new = remove_value(TRAY, "bends.left-lip")
    assert [bend.name for bend in read_part_text(new, "tray").bends][-1] == "right-lip"
    assert "# Mitred, so that neighbours do not touch." in new
    assert 'leg  = { height = "flange" }' in remove_value(TRAY, "bends.left-lip.leg.taper")
    assert 'leg  = { taper = "45 deg" }' not in new
    with pytest.raises(BadInput, match="SIZE-003"):
        remove_value(TRAY, "sizes.wall")
    with pytest.raises(BadInput, match="PART-009"):
        remove_value(TRAY, "bends.left")
    with pytest.raises(KeyError):
        remove_value(TRAY, "bends.none")


def test_rename_a_size_in_every_formula() -> None:
    new = rename(TRAY, "sizes.width", "across")
    part, before = read_part_text(new, "tray"), read_part_text(TRAY, "tray")
    assert "width" not in [size.name for size in part.sizes]
    assert part.root.outline == before.root.outline
    assert part.holes == before.holes
    assert "bay_width - 2*clear" in new  # a name that only ends alike stays
    assert comments(new) == comments(TRAY)
    with pytest.raises(BadInput, match="EDIT-002"):
        rename(TRAY, "sizes.width", "depth")
    with pytest.raises(BadInput, match="SIZE-008"):
        rename(TRAY, "sizes.width", "in")


def test_rename_bends_and_flats_where_they_are_referred_to() -> None:
    text = TRAY + '\n[overrides]\n"BEND-005 bend left" = "grain is fixed"\n'
    new = rename(text, "bends.left", "port")
    part = read_part_text(new, "tray")
    assert part.bend("left-lip").parent == "port"
    assert "BEND-005 bend port" in part.overrides
    part = read_part_text(rename(TRAY, "flats.floor", "base"), "tray")
    assert part.root.name == "base"
    assert {bend.parent for bend in part.bends} == {"base", "left", "right"}
    assert {hole.flat for hole in part.holes} == {"base"}


def test_windows_line_ends_stay() -> None:
    text = TRAY.replace("\n", "\r\n")
    new = add_table(set_value(text, "bends.left.inset", "1 mm"), "holes.x", {
        "on": "floor", "at": '["1 in", "1 in"]', "drill": "#40",
    })  # fmt: skip
    assert "\n" not in new.replace("\r\n", "")


def test_save(tmp_path: Path) -> None:
    path = tmp_path / "tray.toml"
    save(path, TRAY)
    assert path.read_text(encoding="utf-8") == TRAY
    new = set_value(TRAY, "sizes.clear", "1 mm")
    save(path, new, seen=TRAY)
    with pytest.raises(FileProblem, match="FILE-002"):
        save(path, TRAY, seen=TRAY)
    assert path.read_text(encoding="utf-8") == new
    with pytest.raises(BadInput):
        save(path, new.replace("1/8 in", "1/8"), seen=new)
    assert path.read_text(encoding="utf-8") == new
    assert [p.name for p in tmp_path.iterdir()] == ["tray.toml"]


def test_save_keeps_the_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "tray.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TRAY.encode())
    save(path, set_value(TRAY, "sizes.clear", "1 mm"), seen=TRAY)
    assert path.read_bytes().startswith(b"\xef\xbb\xbf#")
