"""What the sheets view asks for and makes: counts, orders, and sheets that were cut."""

from __future__ import annotations

import re
import shutil
from html import unescape
from pathlib import Path

import ezdxf
import pytest

from blankwright.base.errors import BadInput, FileProblem, NotPossible
from blankwright.files.rackfile import read_rack
from blankwright.jobs.cutting_pack import PackAsk, pack_project
from blankwright.jobs.cutting_typed import counted, cuttable, laid_titles, pack_ask, take_cut
from blankwright.jobs.project import open_project
from blankwright.page.cut_html import (
    counts_html,
    cut_html,
    make_order,
    pictures_html,
    stock_html,
)
from blankwright.page.views.cutting import Form

EXAMPLE = Path(__file__).resolve().parents[3] / "examples" / "tarn200"


@pytest.fixture
def project(tmp_path):
    shutil.copytree(EXAMPLE, tmp_path / "tarn")
    shutil.rmtree(tmp_path / "tarn" / "out", ignore_errors=True)
    return open_project(tmp_path / "tarn")


def laid(project, typed, **asked):
    return pack_project(project, pack_ask(project, typed, seconds="0", **asked))


def names_of(result) -> list[str]:
    return sorted(p.part.name for packed in result.sheets for p in packed.placements)


def test_every_item_has_its_field_and_templates_start_at_none(project):
    page = counts_html(cuttable(project))
    values = {
        name: value for value, name in re.findall(r'value="(\d)" data-copies="([^"]+)"', page)
    }
    assert {"seat-hinge-left", "seat-hinge-right", "access-cover", "access-cover-long"} <= {*values}
    for name, value in values.items():
        assert value == ("0" if name.startswith("template-") else "1")
    labels = re.findall(r'aria-label="How many of ([^"]+)"', page)
    assert [unescape(label) for label in labels] == list(values)


def test_just_what_is_counted_is_laid_on_sheets(project):
    typed = {item.name: "" for item in cuttable(project)}
    typed |= {"battery-tray": " 2 ", "access-cover-long": "1", "access-cover": "0"}
    assert names_of(laid(project, typed)) == [
        "access-cover-long",
        "battery-tray 1",
        "battery-tray 2",
    ]


def test_a_part_that_shares_its_name_with_its_variants_is_counted_alone(project):
    _, copies = counted(project, {"access-cover": "3"})
    assert copies == {"access-cover": 3, "access-cover-long": 0}


def test_a_plate_is_laid_on_the_stock_that_is_named(project):
    plate = next(item.name for item in cuttable(project) if item.is_template)
    result = laid(project, {plate: "1"}, on="hardboard")
    assert {packed.sheet.name for packed in result.sheets} == {"hardboard"}
    with pytest.raises(NotPossible, match="PACK-015"):
        laid(project, {plate: "1"}, on="nowhere")


@pytest.mark.parametrize("count", ["-1", "1.5", "two", "99999", "٣"])
def test_every_count_that_is_none_is_told(project, count):
    with pytest.raises(BadInput) as wrong:
        counted(project, {"battery-tray": count, "seat-hinge-left": "1", "shutoff-gate": count})
    assert [(p.code, p.where) for p in wrong.value.problems] == [
        ("PACK-018", "how many of battery-tray"),
        ("PACK-018", "how many of shutoff-gate"),
    ]


def test_nothing_to_cut_and_numbers_that_are_none_are_refused_before_anything_is_written(project):
    for typed in ({}, {"battery-tray": "0"}, {"battery-tray": ""}):
        with pytest.raises(BadInput, match="PACK-018"):
            pack_ask(project, typed)
    with pytest.raises(BadInput) as wrong:
        pack_ask(project, {"battery-tray": "1"}, seconds="soon", seed="-3")
    assert len(wrong.value.problems) == 2
    with pytest.raises(FileProblem, match="PROJECT-002"):
        pack_ask(project, {"no-such": "1"})
    assert not project.out.exists()
    ask = pack_ask(project, {"battery-tray": "1"}, seconds="", seed="7")
    assert (ask.seconds, ask.seed) == (20.0, 7)


def test_a_stop_of_a_part_that_is_left_out_keeps_nothing_from_being_cut(project):
    path = project.parts_folder / "twin-clip.toml"
    # A radius that no table allows.
    text = path.read_text().replace('"5052-H32"', '"6061-T6"').replace('"1/16 in"', '"1/64 in"')
    path.write_text(text)
    with pytest.raises(NotPossible, match="PACK-014"):
        laid(project, {"battery-tray": "1", "twin-clip": "1"})
    assert names_of(laid(project, {"battery-tray": "1", "twin-clip": "0"})) == ["battery-tray"]
    names = ("battery-tray", "twin-clip")
    ask = PackAsk(names=names, copies={"twin-clip": 0}, seconds=0)
    assert names_of(pack_project(project, ask)) == ["battery-tray"]


def test_an_order_holds_as_many_as_were_typed(project):
    word, below = make_order(project, {"battery-tray": "3", "shutoff-gate": "0"})
    links = re.findall(r'href="(/out/order/[^"]+)"', below)
    files = [project.out / link.removeprefix("/out/") for link in links]
    assert word.startswith("2 files")
    assert sorted(path.suffix for path in files) == [".dxf", ".txt"]
    assert sorted(p.name for p in (project.out / "order").iterdir()) == sorted(
        p.name for p in files
    )
    sheet = next(path for path in files if path.suffix == ".txt").read_text()
    row = next(line for line in sheet.splitlines() if line.strip().startswith("battery-tray"))
    assert re.search(r"\b3\b", row)
    assert "shutoff" not in sheet
    assert ezdxf.readfile(next(p for p in files if p.suffix == ".dxf")).modelspace()


def test_cut_sheets_go_off_the_rack_and_out_of_the_pictures(project):
    laid(project, {"battery-tray": "1", "shutoff-gate": "1"})
    titles = laid_titles(project)
    assert len(titles) == 2
    boxes = re.findall(r'data-cut="([^"]+)"', cut_html(titles))
    assert [unescape(box) for box in boxes] == list(titles)
    folder = project.out / "sheets"
    assert pictures_html(folder, titles).count("<svg") == 2
    before = {sheet.name: sheet.count for sheet in read_rack(project.root / "rack.toml")}
    with pytest.raises(BadInput, match="PACK-018"):
        take_cut(project, ())
    with pytest.raises(BadInput, match="PACK-016"):
        take_cut(project, ("nowhere",))
    assert {s.name: s.count for s in read_rack(project.root / "rack.toml")} == before
    offcuts = take_cut(project, titles[:1])
    after = {sheet.name: sheet.count for sheet in read_rack(project.root / "rack.toml")}
    gone = {name for name, count in before.items() if after.get(name, 0) < count}
    assert len(gone) == 1
    assert set(after) - set(before) == set(offcuts)
    assert laid_titles(project) == titles[1:]
    assert pictures_html(folder, laid_titles(project)).count("<svg") == 1


def test_names_are_never_taken_for_html():
    assert "<b>" not in cut_html(["<b>x"]) + stock_html(["<b>x"])


def test_fields_that_are_none_of_ours_are_left_out():
    form = Form.sent(
        {"copies": {"a": 1}, "asked": {"on": "x", "tell": "y", "seconds": 3}, "cut": ["s"]}
    )
    assert form == Form(copies={"a": "1"}, asked={"on": "x", "seconds": "3"}, cut=("s",))
