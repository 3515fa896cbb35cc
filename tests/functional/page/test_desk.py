"""The desk without a browser: edits land in the file, drafts do not, nobody is overwritten."""

from __future__ import annotations

import asyncio

import pytest

from blankwright.base.errors import BlankwrightError
from blankwright.jobs.project import open_project, start_project
from blankwright.page.desk import Desk
from blankwright.page.rows import typed_at
from blankwright.page.sheet import Clash
from browser_parts import TRAY, link_or_skip


@pytest.fixture
def project(tmp_path):
    start_project(tmp_path / "p", "Tarn 200")
    (tmp_path / "p/parts/tray.toml").write_text(TRAY)
    return open_project(tmp_path / "p")


@pytest.fixture
def sheet(project):
    return Desk(project).sheet("tray")


def on_disk(project):
    return (project.parts_folder / "tray.toml").read_text()


def test_an_edit_changes_its_place_and_nothing_else(project, sheet):
    told = []
    sheet.listeners.append(told.append)
    sheet.set("sizes.wall", "2 in", "1-1/2 in", "w-1")
    assert on_disk(project) == TRAY.replace('"1-1/2 in"', '"2 in"')
    assert told[-1]["part"]["undo"] == "sizes.wall: 2 in"
    assert told[-1]["scene"]["size"][0] == pytest.approx(sheet.state.blank.size[0])


def test_a_draft_is_kept_over_a_restart_and_not_in_the_file(project, sheet):
    sheet.set("sizes.wall", "2 i", "1-1/2 in", "w-1")
    state = sheet.json()["part"]
    assert state["draft"]
    assert state["files"] == "Blocked"
    assert [p["place"] for p in state["problems"]] == ["sizes.wall"]
    assert on_disk(project) == TRAY
    again = Desk(project).sheet("tray")
    assert again.text == TRAY.replace('"1-1/2 in"', '"2 i"')
    again.set("sizes.wall", "2 in", "2 i", "w-2")
    assert on_disk(project) == TRAY.replace('"1-1/2 in"', '"2 in"')
    assert not Desk(project).sheet("tray").draft


def test_undo_drops_the_draft_first(project, sheet):
    sheet.set("sizes.depth", "5 in", "4 in", "w-1")
    sheet.set("sizes.wall", "oops", "1-1/2 in", "w-2")
    sheet.undo()
    assert sheet.text == on_disk(project) == TRAY.replace('"4 in"', '"5 in"')
    sheet.undo()
    assert on_disk(project) == TRAY


def test_a_draft_made_before_the_file_changed_is_not_put_in_silently(project, sheet):
    sheet.set("sizes.wall", "2 i", "1-1/2 in", "w-1")
    theirs = TRAY.replace('"4 in"', '"6 in"')
    (project.parts_folder / "tray.toml").write_text(theirs)
    again = Desk(project).sheet("tray")
    assert again.draft
    assert "changed outside" in again.said
    assert on_disk(project) == theirs


def test_the_same_line_in_two_windows_clashes_for_the_second(project, sheet):
    sheet.set("sizes.wall", "30 mm", "1-1/2 in", "one-1")
    with pytest.raises(Clash) as caught:
        sheet.set("sizes.wall", "44 mm", "1-1/2 in", "two-1")
    assert (caught.value.theirs, caught.value.mine) == ("30 mm", "44 mm")
    assert '"30 mm"' in on_disk(project)
    # The first goes on typing, and other lines are free.
    sheet.set("sizes.wall", "31 mm", "30 mm", "one-1")
    sheet.set("sizes.depth", "5 in", "4 in", "two-2")


def test_the_whole_text_clashes_with_what_it_was_not_based_on(project, sheet):
    sheet.set("sizes.wall", "30 mm", "1-1/2 in", "one-1")
    with pytest.raises(Clash):
        sheet.put_text(TRAY + "# more\n", TRAY, "two-1")
    sheet.put_text(sheet.text + "# more\n", sheet.text, "two-1")
    assert on_disk(project).endswith("# more\n")


def test_a_clash_with_another_program_is_seen_too(project, sheet):
    (project.parts_folder / "tray.toml").write_text(TRAY.replace('"1-1/2 in"', '"33 mm"'))
    with pytest.raises(Clash):
        sheet.set("sizes.wall", "44 mm", "1-1/2 in", "one-1")
    assert '"33 mm"' in on_disk(project)


def test_text_that_is_no_toml_is_a_draft_with_its_problem(project, sheet):
    sheet.put_text("[sizes\n", TRAY, "w-1")
    part = sheet.json()["part"]
    assert part["groups"] is None
    assert part["problems"]
    assert part["stale"]
    assert on_disk(project) == TRAY


def test_overrides_land_in_the_file_and_come_out_again(project, sheet):
    sheet.set("bend_defaults.inside_radius", "0.5 mm", "1/8 in", "w-1")
    stops = [f for f in sheet.state.findings if f.blocks]
    assert stops
    for i, stop in enumerate(stops):
        sheet.let_pass(stop.code, stop.place, "drawn so, the designer agreed", f"pass-{i}")
    assert not sheet.state.blocked
    assert f'"{stops[0].code} {stops[0].place}" = ' in on_disk(project)
    sheet.hold_up(stops[0].code, stops[0].place, "w-3")
    assert sheet.state.blocked
    for _ in range(len(stops) + 1):
        sheet.undo()
    assert on_disk(project) == TRAY.replace('inside_radius = "1/8 in"', 'inside_radius = "0.5 mm"')


def test_blocked_parts_make_no_files(project, sheet):
    sheet.set("bend_defaults.inside_radius", "0.5 mm", "1/8 in", "w-1")
    asyncio.run(sheet.make())
    assert not project.out.exists()


def test_sizes_light_up_what_hangs_on_them(project, sheet):
    lights = sheet.json()["part"]["lights"]
    assert lights["size wall"] == ["bend left", "bend right"]
    assert "hole vent" in lights["size depth"]
    assert "flat floor" in lights["size depth"]


def test_the_trail_reaches_every_number_of_the_form(project, sheet):
    part = sheet.json()["part"]
    keys = {step["key"] for step in part["trail"]}
    shown = [row for group in part["groups"] for row in group["rows"] if row["kind"]]
    assert shown
    assert {row["trail"] for row in shown} <= keys
    assert {dim["trail"] for dim in sheet.json()["scene"]["dims"]} <= keys


def test_new_part_and_its_undo(project):
    desk = Desk(project)
    name = desk.new_part("channel", "Tunnel stiffener", {"web": "2 in"})
    assert name == "tunnel-stiffener"
    assert 'web    = "2 in"' in (project.parts_folder / f"{name}.toml").read_text()
    with pytest.raises(BlankwrightError, match="PAGE-007"):
        desk.new_part("channel", "Tunnel Stiffener", {})
    desk.history.undo()
    assert desk.names() == ("tray",)


def test_the_rack_stands_by_title_before_and_after_the_parts_are_read(project):
    text = (project.parts_folder / "tray.toml").read_text()
    for name, title in (("a1", "Zinc plate"), ("z9", "access cover")):
        made = text.replace('"Battery tray"', f'"{title}"')
        (project.parts_folder / f"{name}.toml").write_text(made)
    desk = Desk(project)
    titles = ["access cover", "Battery tray", "Zinc plate"]
    assert [slip["title"] for slip in desk.rack()["parts"]] == titles
    for name in desk.waiting():
        desk.work_out(name)
    assert [slip["title"] for slip in desk.rack()["parts"]] == titles


def test_the_rack_shows_the_state_of_each_part(project):
    (project.parts_folder / "bad.toml").write_text("title = 1\n")
    desk = Desk(project)
    assert all(slip["waiting"] for slip in desk.rack()["parts"])
    for name in desk.waiting():
        desk.work_out(name)
    assert desk.waiting() == ()
    slips = {slip["name"]: slip for slip in desk.rack()["parts"]}
    assert slips["bad"]["problems"] > 0
    assert slips["tray"]["alloy"] == "6061-T6"
    assert slips["tray"]["picture"]["facets"]


def test_a_part_file_that_leads_outside_is_not_there(project, tmp_path):
    (tmp_path / "secret.toml").write_text(TRAY)
    link_or_skip(project.parts_folder / "leak.toml", tmp_path / "secret.toml")
    desk = Desk(project)
    assert desk.names() == ("tray",)
    assert desk.sheet("leak") is None
    assert desk.sheet("../secret") is None


def test_features_are_added_renamed_and_removed_with_undo(project, sheet):
    fields = {"from": "floor.front", "height": "20 mm", "way": "up"}
    sheet.change("add", {"key": "bend", "name": "lip", "fields": fields}, "w-1")
    assert [bend.name for bend in sheet.state.part.bends] == ["left", "right", "lip"]
    sheet.change("rename", {"place": "bends.lip", "name": "front"}, "w-2")
    assert sheet.state.part.bends[-1].name == "front"
    sheet.change("add_line", {"place": "bends.front.angle", "typed": "80 deg"}, "w-3")
    assert 'angle = "80 deg"' in on_disk(project)
    sheet.change("take_out", {"place": "bends.front.angle"}, "w-4")
    sheet.change("take_out", {"place": "bends.front"}, "w-5")
    assert [bend.name for bend in sheet.state.part.bends] == ["left", "right"]
    for _ in range(5):
        sheet.undo()
    assert on_disk(project) == TRAY


def test_what_others_hang_on_is_not_taken_out(project, sheet):
    for place in ("flats.floor", "sizes.wall", "sheet.alloy", "title"):
        with pytest.raises(BlankwrightError):
            sheet.change("take_out", {"place": place}, "w-1")
        assert on_disk(project) == TRAY


def test_every_line_on_offer_has_a_place_that_takes_it(project, sheet):
    groups = {group["name"]: group for group in sheet.json()["part"]["groups"]}
    assert groups["bends.left"]["more"]
    assert not any(m["place"] == "bends.left.from" for m in groups["bends.left"]["more"])
    tried = {"leg.taper": "30 deg", "leg.radius": "3 mm", "inset": "5 mm", "note": "by hand first"}
    for group in ("bends.left", "holes.vent", "sheet", ""):
        for more in groups[group]["more"]:
            key = more["place"].removeprefix("bends.left.")
            typed = tried.get(key) or (more["choices"][0] if more["choices"] else None)
            if typed is None or key in ("down", "up", "edge_drawn_to"):
                continue
            sheet.change("add_line", {"place": more["place"], "typed": typed}, "w-1")
            # It is there, and what it may lack yet is another line, not another place.
            assert typed_at(sheet.text, more["place"]) in (typed, "yes")
            assert all("not known" not in p.got for p in sheet.problems)
            sheet.undo()
            assert on_disk(project) == TRAY


def test_a_part_is_removed_and_comes_back_by_undo(project, sheet):
    told = []
    sheet.listeners.append(told.append)
    sheet.set("sizes.wall", "2 i", "1-1/2 in", "w-1")
    sheet.remove()
    assert not (project.parts_folder / "tray.toml").exists()
    assert sheet.desk.names() == ()
    assert told[-1]["part"]["gone"]
    sheet.desk.history.undo()
    assert on_disk(project) == TRAY


def test_the_drawn_value_of_a_measured_size_is_worked_out_too(project):
    text = TRAY.replace('width = "150 mm"', 'width = { drawn = "6 in", measured = "150 mm" }')
    (project.parts_folder / "tray.toml").write_text(text)
    rows = {row["place"]: row for row in Desk(project).sheet("tray").json()["part"]["sizes"]}
    assert rows["sizes.width.drawn"]["value"] == pytest.approx(152.4)
    assert rows["sizes.width.measured"]["value"] == pytest.approx(150.0)


def test_findings_light_up_everything_they_name(project):
    """Every finding of the examples that names something on the blank lights it up."""
    from pathlib import Path

    dead = []
    for path in sorted((Path(__file__).parents[3] / "examples/tarn200/parts").glob("*.toml")):
        (project.parts_folder / path.name).write_text(path.read_text())
        state = Desk(project).sheet(path.stem).json()
        scene, part = state["scene"], state["part"]
        things = {
            f"{word} {thing['name']}"
            for word in ("bend", "flat", "hole")
            for thing in scene[f"{word}s"]
        }
        for finding in part["findings"]:
            named = {finding["place"], *part["lights"].get(finding["place"], [])} & things
            if not named and not finding["at"] and finding["place"].split()[0] in ("bend", "hole"):
                dead.append(f"{path.stem}: {finding['code']} {finding['place']}")
    assert dead == []
