"""Lines of the form: every value of the file, at the place that the part file knows it by."""

from __future__ import annotations

import tomllib

from blankwright.files.partfile import read_part_text
from blankwright.jobs.edit import set_value
from blankwright.page.rows import groups_of, typed_at
from browser_parts import TRAY


def rows(text):
    return {row["place"]: row for group in groups_of(text) for row in group["rows"]}


def leaves(value):
    if isinstance(value, dict):
        return sum(leaves(v) for v in value.values())
    if isinstance(value, list):
        return sum(leaves(v) for v in value)
    return 1


def test_every_value_of_the_file_is_one_line():
    assert len(rows(TRAY)) == leaves(tomllib.loads(TRAY))


def test_places_are_those_of_the_part_file():
    stated = read_part_text(TRAY, "tray").stated
    assert {p for p in stated if not p.startswith("sizes.")} <= set(rows(TRAY))
    for place, row in rows(TRAY).items():
        if row.get("choices") != ["yes", "no"]:
            assert set_value(TRAY, place, row["typed"]) == TRAY, place


def test_a_line_changed_is_one_line_changed():
    for place, row in rows(TRAY).items():
        if "choices" in row:
            continue
        changed = set_value(TRAY, place, row["typed"] + "1")
        assert typed_at(changed, place) == row["typed"] + "1"
        others = {p: r["typed"] for p, r in rows(changed).items() if p != place}
        assert others == {p: r["typed"] for p, r in rows(TRAY).items() if p != place}


def test_what_is_no_toml_has_no_lines():
    assert groups_of("[sizes\n") is None
    assert typed_at("[sizes\n", "sizes.a") is None


def test_groups_stand_for_things():
    things = [group["thing"] for group in groups_of(TRAY) if group["thing"]]
    assert things == ["flat floor", "bend left", "bend right", "hole vent"]


def test_names_that_need_quotes_keep_them():
    text = '[overrides]\n"BEND-001 bend left" = "the designer said so"\n'
    assert rows(text)['overrides."BEND-001 bend left"']["typed"] == "the designer said so"
