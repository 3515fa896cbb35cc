"""Features added through a form: they read, they do what was asked, the rest of the file stays."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput
from blankwright.files.partfile import read_part_text
from blankwright.jobs.features import add_feature, features_of
from blankwright.jobs.part_state import state_of_text
from browser_parts import TRAY

EXAMPLES = Path(__file__).parents[3] / "examples/tarn200/parts"

FORMS = {
    "bend": {"from": "floor.front", "height": "20 mm", "way": "down", "angle": "80 deg"},
    "hole": {"on": "floor", "x": "20 mm", "y": "width/5", "diameter": "#30"},
    "row": {
        **{"on": "left", "x": "20 mm", "y": "20 mm", "to_x": "80 mm", "to_y": "20 mm"},
        **{"count": "5", "diameter": "1/8 in"},
    },
    "rivets": {"edge": "floor.front", "rivet": "1/8 in", "kind": "solid", "pitch_at_most": "1 in"},
    "corner": {"one": "left", "other": "right", "rule": "open"},
}


def add(text, key, name, **more):
    part = read_part_text(text, "tray")
    return add_feature(text, part, key, name, {**FORMS[key], **more})


def without_new(text, table):
    """The text with a table and the empty line before it left out."""
    begin = text.index(f"[{table}]")
    end = text.find("\n[", begin)
    return text[:begin] + (text[end + 1 :] if end > 0 else "")


@pytest.mark.parametrize(
    ("key", "table"),
    [("bend", "bends.n"), ("hole", "holes.n"), ("row", "holes.n"), ("rivets", "rivets.n")],
)
def test_the_rest_of_the_file_stays(key, table):
    new = add(TRAY, key, "n")
    assert without_new(new, table).split() == TRAY.split()


def test_a_bend_folds_the_edge_it_was_asked_for():
    part = read_part_text(add(TRAY, "bend", "lip"), "tray")
    bend = next(bend for bend in part.bends if bend.name == "lip")
    assert (bend.parent, bend.edge, bend.up) == ("floor", "front", False)
    assert bend.angle == pytest.approx(80 / 180 * 3.14159265358979)


def test_holes_and_rows_come_where_they_were_asked_for():
    blank = state_of_text(add(add(TRAY, "hole", "one"), "row", "many"), "tray").blank
    one = next(hole for hole in blank.holes if hole.name == "one")
    assert one.center == pytest.approx((20.0, 30.0))
    many = [hole for hole in blank.holes if hole.name.startswith("many[")]
    assert len(many) == 5
    steps = {round(abs(b.center[1] - a.center[1]), 6) for a, b in itertools.pairwise(many)}
    assert steps == {15.0}


def test_a_taken_name_and_empty_lines_are_refused():
    for key, name, more in (
        ("hole", "vent", {}),
        ("hole", "", {}),
        ("hole", "n", {"diameter": ""}),
        ("bend", "n", {"from": "floor.left"}),
        ("bend", "no name", {}),
        ("hole", "n", {"x": "20"}),
    ):
        with pytest.raises(BadInput):
            add(TRAY, key, name, **more)


def test_what_can_be_added_follows_the_part():
    edges = features_of(read_part_text(TRAY, "tray"))[0].lines[0].choices
    assert "floor.front" in edges
    assert "floor.left" not in edges
    assert "left.tip" in edges
    new = add(TRAY, "bend", "lip")
    after = features_of(read_part_text(new, "tray"))[0].lines[0].choices
    assert set(edges) - set(after) == {"floor.front"}
    assert "lip.tip" in after


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_offered_edge_of_the_examples_is_one_that_the_reader_knows(path):
    text = path.read_text(encoding="utf-8")
    part = read_part_text(text, path.stem)
    if not part.bends:
        return
    for feature in features_of(part):
        for edge in feature.lines[0].choices if feature.key == "bend" else ():
            fields = {"from": edge, "height": "9 mm", "way": "up", "angle": "10 deg"}
            got = ""
            try:
                add_feature(text, part, "bend", "zz", {**fields, "inside_radius": "3 mm"})
            except BadInput as error:
                got = str(error)
            # It may be too short or too round to bend; but it is an edge.
            assert "no edge" not in got
            assert "no flat" not in got
