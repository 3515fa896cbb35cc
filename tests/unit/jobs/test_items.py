"""What part files stand for, by name, and names that would share one folder."""

from __future__ import annotations

import pytest

from blankwright.base.errors import FileProblem
from blankwright.jobs.items import chosen, items_of
from blankwright.jobs.project import open_project, start_project

PLAIN = """\
title = "Plate"
hand = "left"
[sizes]
width = "4 in"
[variants.wide]
width = "6 in"
[sheet]
alloy = "6061-T6"
thickness = "0.040 in"
[flats.plate]
outline = { rectangle = ["width", "1 in"] }
"""


@pytest.fixture
def project(tmp_path):
    start_project(tmp_path / "p", "P")
    return open_project(tmp_path / "p")


def write(project, name, text, encoding="utf-8"):
    path = project.parts_folder / f"{name}.toml"
    path.write_bytes(text.encode(encoding))
    return path


def test_variants_and_hands(project):
    path = write(project, "plate", PLAIN)
    assert [item.name for item in items_of(path)] == ["plate", "plate-wide"]
    both = PLAIN.replace('hand = "left"', 'hand = "left"\nother_hand = true')
    path = write(project, "plate", both)
    assert [item.name for item in items_of(path)] == [
        *("plate-left", "plate-right", "plate-wide-left", "plate-wide-right")
    ]
    assert [item.read().name for item in items_of(path)] == [item.name for item in items_of(path)]


def test_a_byte_order_mark_and_windows_line_ends_hide_no_variant(project):
    path = write(project, "plate", PLAIN.replace("\n", "\r\n"), "utf-8-sig")
    assert [item.name for item in items_of(path)] == ["plate", "plate-wide"]
    assert items_of(path)[1].read().name == "plate-wide"


def test_two_items_of_one_name_are_refused(project):
    write(project, "plate", PLAIN)
    write(project, "Plate-Wide", PLAIN.replace("[variants.wide]\n", "[variants.x]\n"))
    with pytest.raises(FileProblem) as caught:
        chosen(project, ())
    assert [problem.code for problem in caught.value.problems] == ["PROJECT-006"]
    assert "plate-wide" in str(caught.value)


@pytest.mark.parametrize("name", ["a/b", "x:y", "..", "a b"])
def test_a_variant_that_can_be_no_file_name_is_refused(project, name):
    path = write(project, "plate", PLAIN.replace("[variants.wide]", f'[variants."{name}"]'))
    with pytest.raises(ValueError, match="PART-007"):
        items_of(path)[0].read()


@pytest.mark.parametrize("title", ['C:\\new "one"', "Tarn {200}", "Ångström 'x'", "two\nlines"])
def test_any_title_comes_back_as_typed(tmp_path, title):
    start_project(tmp_path / "p", title)
    assert open_project(tmp_path / "p").title == title


def test_a_project_file_with_a_byte_order_mark(tmp_path):
    project = start_project(tmp_path / "p", "P")
    path = project.root / "blankwright.toml"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    assert open_project(project.root) == project
