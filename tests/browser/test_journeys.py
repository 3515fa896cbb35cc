"""What a builder does on the page, in a real browser."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from blankwright.page.views import VIEWS

pytestmark = [pytest.mark.browser, pytest.mark.slow]

CORPUS = Path(__file__).parents[1] / "corpus" / "dxf"


def field(page, place: str):
    return page.locator(f'[id="f-{place}"]')


def shows(page, value: str) -> None:
    """Wait until some line of the form is worked out to a value."""
    page.get_by_role("button", name=re.compile(rf" is {re.escape(value)}\.")).first.wait_for()


def blank_width(page) -> float:
    """Length of the blank along x as the read-out shows it [mm]."""
    text = page.locator(".bw-foot .bw-cell", has_text="Length").inner_text()
    return float(re.search(r"([\d.]+) mm", text)[1])


def waits(page, check: str, *args) -> None:
    page.wait_for_function(check, arg=args[0] if args else None, timeout=15000)


def test_makes_a_tray_from_nothing_changes_it_and_folds_it(open_page, project):
    page = open_page("/")
    page.get_by_role("button", name="New part", exact=True).click()
    page.get_by_role("button", name="Tray").click()
    page.get_by_label("Name of the part").fill("Radio tray")
    page.get_by_role("textbox", name="Width").fill("120 mm")
    page.get_by_role("textbox", name="Depth").fill("80 mm")
    page.get_by_role("textbox", name="Wall height").fill("20 mm")
    page.get_by_role("button", name="Make the part file").click()
    page.wait_for_url("**/part/radio-tray")
    page.wait_for_selector(".bw-edge")
    file = project / "parts" / "radio-tray.toml"
    assert 'width  = "120 mm"' in file.read_text()

    before = blank_width(page)
    edge = page.locator(".bw-edge").get_attribute("d")
    field(page, "sizes.wall").fill("1 in")
    shows(page, "25.40 mm")
    # Nothing picked: the read-out shows the blank. Two walls grow by 5.4 mm each.
    page.locator(".bw-paper").click(position={"x": 5, "y": 5})
    page.mouse.move(700, 20)
    assert blank_width(page) == pytest.approx(before + 10.8, abs=0.011)
    assert page.locator(".bw-edge").get_attribute("d") != edge
    assert 'wall   = "1 in"' in file.read_text()

    # Folded flat, the part seen from the side is no taller than the sheet.
    page.get_by_label("Fold, from flat to formed").fill("0")
    assert page.locator(".bw-fold output").inner_text() == "0 %"
    page.get_by_role("button", name="Paper model").click()
    assert "Paper model" in page.locator(".bw-form .bw-caption-name").inner_text()


def test_pointing_lights_up_everywhere(open_page):
    page = open_page("/part/battery-tray")
    page.get_by_role("button", name="Bend left").hover()
    assert page.locator('path.bw-bend.lit[data-thing="bend left"]').count() == 1
    waits(page, "() => document.querySelector('.bw-tag').textContent === 'bend left'")
    assert "3.18 mm" in page.locator(".bw-foot").inner_text()
    page.mouse.move(700, 20)
    # The other way: from the blank to the card.
    strip = page.locator('.bw-strip[data-thing="bend right"]').bounding_box()
    page.mouse.move(strip["x"] + strip["width"] / 2, strip["y"] + strip["height"] / 3)
    assert page.locator("h3.lit").inner_text() == "Bend right"
    # A size lights up what is built from it.
    field(page, "sizes.wall").hover()
    assert page.locator("path.bw-bend.lit").count() == 2


def test_half_typed_number_is_kept_but_never_in_the_file(open_page, project, server):
    file = project / "parts" / "battery-tray.toml"
    before = file.read_text()
    page = open_page("/part/battery-tray")
    field(page, "sizes.wall").fill("2 i")
    page.locator(".bw-wrong").first.wait_for()
    assert "Not in the file yet" in page.locator(".bw-wrong").first.inner_text()
    assert file.read_text() == before
    assert page.locator(".bw-plan .bw-was").inner_text() == "as it was"
    field(page, "sizes.wall").fill("2 in")
    page.locator(".bw-wrong").first.wait_for(state="detached")
    assert file.read_text() == before.replace('"1-1/2 in"', '"2 in"')


def test_killed_in_mid_edit_goes_on_where_it_was(open_page, project, server):
    file = project / "parts" / "battery-tray.toml"
    page = open_page("/part/battery-tray")
    field(page, "sizes.depth").fill("110 mm")
    shows(page, "110.00 mm")
    field(page, "sizes.wall").fill("1-3/4 i")
    page.locator(".bw-wrong").first.wait_for()
    page.close()
    server.kill()
    assert 'depth = "110 mm"' in file.read_text()
    server.start()
    again = open_page("/part/battery-tray")
    assert field(again, "sizes.wall").input_value() == "1-3/4 i"
    assert "what you typed before" in again.locator(".bw-notice").inner_text()
    # Undo goes back over the restart: first what is not in the file, then the depth.
    again.get_by_role("button", name="Undo").click()
    waits(again, "() => document.getElementById('f-sizes.wall').value === '1-1/2 in'")
    again.get_by_role("button", name="Undo").click()
    waits(again, "() => document.getElementById('f-sizes.depth').value === '4 in'")
    again.get_by_role("button", name="Redo").click()
    waits(again, "() => document.getElementById('f-sizes.depth').value === '110 mm'")
    assert "# across the bay" in file.read_text()


def test_two_windows_see_each_other_and_never_overwrite_silently(open_page, project):
    one = open_page("/part/battery-tray")
    two = open_page("/part/battery-tray")
    field(one, "sizes.depth").fill("90 mm")
    waits(two, "() => document.getElementById('f-sizes.depth').value === '90 mm'")
    # A field that is only looked at follows the other window.
    field(two, "sizes.wall").focus()
    field(one, "sizes.wall").fill("30 mm")
    waits(two, "() => document.getElementById('f-sizes.wall').value === '30 mm'")
    # Both type before they have heard of each other: the second is asked, nothing is lost.
    two.evaluate(
        """async () => {
          const { wire } = await import("blankwright-page/wire.js");
          wire.say("set", {place: "sizes.wall", typed: "44 mm", seen: "1-1/2 in", group: "late"});
        }"""
    )
    clash = two.get_by_role("alertdialog")
    clash.wait_for()
    assert "30 mm" in clash.inner_text()
    assert "44 mm" in clash.inner_text()
    file = project / "parts" / "battery-tray.toml"
    assert 'wall  = "30 mm"' in file.read_text()
    clash.get_by_role("button", name="Use mine").click()
    waits(one, "() => document.getElementById('f-sizes.wall').value === '44 mm'")
    assert 'wall  = "44 mm"' in file.read_text()


def test_file_changed_on_disk_is_noticed_and_can_be_taken_back(open_page, project):
    file = project / "parts" / "battery-tray.toml"
    page = open_page("/part/battery-tray")
    file.write_text(file.read_text().replace('"4 in"', '"5 in"'))
    waits(page, "() => document.getElementById('f-sizes.depth').value === '5 in'")
    assert "changed outside" in page.locator(".bw-notice").inner_text()
    page.get_by_role("button", name="Undo").click()
    waits(page, "() => document.getElementById('f-sizes.depth').value === '4 in'")
    assert '"4 in"' in file.read_text()


def test_the_file_as_text_and_the_form_keep_in_step(open_page, project):
    page = open_page("/part/battery-tray")
    page.get_by_role("tab", name="Part file").click()
    text = page.get_by_label("Part file").last
    typed = text.input_value().replace('"1-1/2 in"', '"45 mm"') + "\n# a last word\n"
    text.fill(typed)
    waits(page, "() => document.getElementById('bw-file-note').innerText.includes('holds')")
    page.get_by_role("tab", name="Sizes").click()
    waits(page, "() => document.getElementById('f-sizes.wall').value === '45 mm'")
    field(page, "sizes.width").fill("160 mm")
    shows(page, "160.00 mm")
    on_disk = (project / "parts" / "battery-tray.toml").read_text()
    assert on_disk == typed.replace('"150 mm"', '"160 mm"')


def test_a_stop_blocks_until_mended_or_let_pass_with_a_reason(open_page, project):
    page = open_page("/part/battery-tray")
    # A radius that no table allows will crack the sheet.
    field(page, "bend_defaults.inside_radius").fill("0.5 mm")
    page.get_by_role("tab", name="Findings").click()
    page.locator(".bw-finding.stop").first.wait_for()
    page.get_by_role("tab", name="Make").click()
    make = page.get_by_role("button", name="Make the files")
    assert make.is_disabled()
    page.get_by_role("button", name="Show findings").click()
    while page.locator(".bw-finding.stop").count():
        stop = page.locator(".bw-finding.stop").first
        reason = stop.get_by_role("textbox")
        reason.fill("ok")
        assert stop.get_by_role("button", name="Let it pass").is_disabled()
        reason.fill("drawn so, the designer said yes on the phone")
        count = page.locator(".bw-finding.stop").count()
        stop.get_by_role("button", name="Let it pass").click()
        waits(page, "n => document.querySelectorAll('.bw-finding.stop').length < n", count)
    assert "the designer said yes" in (project / "parts" / "battery-tray.toml").read_text()
    page.get_by_role("tab", name="Make").click()
    assert make.is_enabled()
    page.get_by_role("button", name="Undo").click()
    waits(page, "() => document.querySelector('.bw-stack .strong').disabled")


def test_every_number_shows_its_trail(open_page):
    page = open_page("/part/battery-tray")
    page.get_by_role("button", name="Bend left").click()
    page.get_by_role("button", name=re.compile("Bend allowance .*Show where")).click()
    step = page.locator(".bw-step").first
    assert "bend left: allowance" in step.inner_text()
    assert "Source: FAA-H-8083-31" in step.inner_text()
    page.get_by_role("tab", name="Sizes").click()
    page.get_by_role("button", name=re.compile("^wall is 38.10 mm")).click()
    assert "size wall" in page.locator(".bw-step").first.inner_text()


def test_units_switch_without_touching_what_was_typed(open_page, project):
    page = open_page("/part/battery-tray")
    before = (project / "parts" / "battery-tray.toml").read_text()
    page.get_by_role("button", name="in", exact=True).click()
    assert page.get_by_role("button", name=re.compile("^wall is 1.500 in")).count() == 1
    page.get_by_role("button", name="both", exact=True).click()
    assert page.get_by_role("button", name=re.compile(r"^wall is 38.10 mm \[1.500 in\]")).count()
    assert field(page, "sizes.wall").input_value() == "1-1/2 in"
    assert (project / "parts" / "battery-tray.toml").read_text() == before


def test_measures_on_the_blank(open_page):
    page = open_page("/part/battery-tray")
    page.locator(".bw-plan").get_by_role("button", name="Measure").click()
    d = page.locator(".bw-edge").get_attribute("d")
    numbers = [float(x) for x in re.findall(r"-?\d+(?:\.\d+)?", d.split("Z")[0])]
    xs, ys = numbers[0::2], numbers[1::2]
    box = page.locator(".bw-paper").bounding_box()
    values = page.locator(".bw-paper > g").first.get_attribute("transform")
    dx, dy, scale = (float(x) for x in re.findall(r"-?\d+(?:\.\d+)?", values))

    def click(x: float, y: float) -> None:
        page.mouse.click(box["x"] + x * scale + dx, box["y"] + y * scale + dy)

    click(min(xs), max(ys))
    click(max(xs), max(ys))
    said = page.locator(".bw-plan .bw-said").inner_text()
    assert float(said.split()[0]) == pytest.approx(max(xs) - min(xs), abs=0.006)


def test_works_by_keyboard_alone(open_page):
    page = open_page("/part/battery-tray")
    page.locator(".bw-paper").focus()
    page.keyboard.press("PageDown")
    assert page.locator(".bw-foot .thing").inner_text().split() == ["Bend", "left"]
    page.keyboard.press("PageDown")
    assert page.locator(".bw-foot .thing").inner_text().split() == ["Bend", "right"]
    page.locator("#tab-sizes").focus()
    page.keyboard.press("ArrowRight")
    assert page.locator("#tab-findings").get_attribute("aria-selected") == "true"
    field_text = "() => document.getElementById('f-sizes.wall')?.value"
    page.keyboard.press("ArrowLeft")
    field(page, "sizes.wall").fill("50 mm")
    shows(page, "50.00 mm")
    page.keyboard.press("Control+z")
    waits(page, f"() => ({field_text})() === '1-1/2 in'")


def test_search_and_an_unreadable_part_on_the_rack(open_page, project):
    (project / "parts" / "broken.toml").write_text('title = "No sheet"\n')
    page = open_page("/")
    assert page.locator(".bw-slip").count() == 2
    waits(page, "() => !document.body.innerText.includes('being read')")
    assert "can't be read" in page.locator(".bw-slip", has_text="broken").inner_text()
    page.get_by_label("Find a part").fill("53-04")
    assert page.locator(".bw-slip strong").all_inner_texts() == ["Battery tray"]


def test_a_wrong_file_dropped_says_what_may_come(open_page):
    page = open_page("/")
    page.locator("#bw-bring").set_input_files(
        files=[{"name": "wing.pdf", "mimeType": "application/pdf", "buffer": b"%PDF"}]
    )
    page.locator(".bw-notice").wait_for()
    assert "PAGE-005" in page.locator(".bw-notice").inner_text()


def test_bend_up_and_down_differ_without_colour(open_page, project):
    file = project / "parts" / "battery-tray.toml"
    file.write_text(
        file.read_text().replace('from = "floor.right"', 'from = "floor.right"\ndown = true')
    )
    page = open_page("/part/battery-tray")
    dash = [
        page.locator(f'path.bw-bend[data-thing="bend {name}"]').evaluate(
            "e => getComputedStyle(e).strokeDasharray"
        )
        for name in ("left", "right")
    ]
    assert dash[0] != dash[1]
    labels = " ".join(page.locator(".bw-marks text").all_text_contents())
    assert "▲ up 90°" in labels
    assert "▼ down 90°" in labels


def test_one_way_round_leads_to_every_view(open_page, project):
    page = open_page("/part/battery-tray")
    titles = page.locator(".bw-ways a").all_inner_texts()
    assert {"Parts", "Job book", "Prints", "Coupons", "Shop tools", "Tables"} <= set(titles)
    of_one_part = {view.title for view in VIEWS if "{part}" in view.address}
    assert of_one_part <= set(titles)
    for title in (title for title in titles if title not in of_one_part):
        page.get_by_role("navigation", name="Views").get_by_role(
            "link", name=title, exact=True
        ).click()
        page.wait_for_selector(".bw-ways a[aria-current]")
        assert page.locator(".bw-ways a[aria-current]").inner_text() == title
    # Light is kept from one view to the next, plain or not.
    page.locator("[data-key=light]").click()
    assert page.locator("html").get_attribute("data-light") == "dark"
    page.get_by_role("link", name="Parts", exact=True).click()
    page.wait_for_selector(".bw-slip")
    assert page.locator("html").get_attribute("data-light") == "dark"


def test_features_are_added_changed_and_removed_through_the_form(open_page, project):
    file = project / "parts" / "battery-tray.toml"
    before = file.read_text()
    page = open_page("/part/battery-tray")
    add = page.get_by_role("region", name="Add to the part")
    add.get_by_role("button", name="Bend", exact=True).click()
    add.get_by_label("Name").fill("front")
    add.get_by_label("From the edge").select_option("floor.front")
    add.get_by_label("Height of its leg").fill("20")
    add.get_by_role("button", name="Add bend").click()
    # No number without a unit: it says so, and the file stays.
    add.locator(".bw-wrong").wait_for()
    assert file.read_text() == before
    add.get_by_label("Height of its leg").fill("20 mm")
    add.get_by_role("button", name="Add bend").click()
    page.locator('.bw-strip[data-thing="bend front"]').wait_for()
    assert 'from = "floor.front"' in file.read_text()
    # It is lit at once; its lines can be added to, it can be named anew, and go again.
    assert "front" in page.locator(".bw-foot .thing").inner_text()
    page.get_by_role("button", name="Bend front", exact=True).click()
    tend = page.get_by_role("group", name="Change Bend front")
    tend.get_by_label("Line to add to Bend front").select_option(label="angle")
    tend.get_by_role("textbox", name="angle").fill("60 deg")
    tend.get_by_role("button", name="Add", exact=True).click()
    field(page, "bends.front.angle").wait_for()
    assert field(page, "bends.front.angle").input_value() == "60 deg"
    tend.get_by_label("New name of Bend front").fill("lip")
    tend.get_by_role("button", name="Rename").click()
    page.get_by_role("button", name="Bend lip", exact=True).click()
    page.get_by_role("button", name="Remove bend lip").click()
    page.locator('.bw-strip[data-thing="bend lip"]').wait_for(state="detached")
    assert "floor.front" not in file.read_text()
    for _ in range(4):
        page.keyboard.press("Control+z")
    waits(page, "() => document.querySelector('.bw-keys button').disabled")
    assert file.read_text() == before


def test_a_part_is_removed_and_comes_back(open_page, project):
    file = project / "parts" / "battery-tray.toml"
    before = file.read_text()
    page = open_page("/part/battery-tray")
    page.get_by_role("tab", name="Part file").click()
    page.get_by_role("button", name="Remove this part").click()
    page.get_by_role("button", name="Remove battery-tray from the project").click()
    page.wait_for_selector(".bw-rack", state="attached")
    page.get_by_text("No part yet.").wait_for()
    assert not file.exists()
    page.get_by_role("button", name="Undo").click()
    page.locator(".bw-slip").wait_for()
    assert file.read_text() == before


def test_files_are_made_shown_as_they_go_and_can_be_cancelled(open_page, project):
    page = open_page("/part/battery-tray")
    out = project / "out" / "battery-tray"
    page.get_by_role("tab", name="Make").click()
    page.get_by_role("button", name="Make the files").click()
    page.get_by_role("button", name="Cancel").click()
    page.get_by_role("button", name="Make the files").wait_for()
    assert "Cancelled" in page.locator(".bw-notice").inner_text()
    assert not (out / "made.json").exists()
    assert page.locator(".bw-made a").count() == 0
    page.get_by_role("button", name="Make the files").click()
    page.get_by_text(re.compile("Making battery-tray-")).first.wait_for(timeout=60_000)
    assert re.search(r"\d of \d+ done", page.locator(".bw-work").inner_text())
    page.locator(".bw-made a").first.wait_for(timeout=120_000)
    assert (out / "made.json").exists()
    links = page.locator(".bw-made a")
    names = {links.nth(i).locator("span").first.inner_text() for i in range(links.count())}
    assert {"battery-tray-blank.dxf", "battery-tray-formed.step"} <= names
    for i in range(links.count()):
        answer = page.request.get(page.url.split("/part/")[0] + links.nth(i).get_attribute("href"))
        assert answer.ok
        assert len(answer.body()) > 100
    # What was made is out of date as soon as the part changes.
    page.get_by_role("tab", name="Sizes").click()
    field(page, "sizes.wall").fill("30 mm")
    shows(page, "30.00 mm")
    page.get_by_role("tab", name="Make").click()
    page.get_by_text("out of date").wait_for()


def test_a_coupon_is_entered_learned_and_kept(open_page, project):
    page = open_page("/coupons")
    for label, typed in (
        ("Thickness, as measured", "1.00 mm"),
        ("Inside radius", "3.0 mm"),
        ("Bent on", "leaf brake"),
        ("Strip 1, length before", "100.0 mm"),
        ("Strip 1, first leg", "51.2 mm"),
        ("Strip 1, second leg", "51.3 mm"),
    ):
        page.get_by_label(label).fill(typed)
    page.get_by_role("button", name="Learn k").click()
    page.get_by_text("What these strips teach").wait_for()
    assert page.get_by_label("Inside radius").input_value() == "3.0 mm"
    page.get_by_role("button", name="Keep in coupons.toml").click()
    page.get_by_text("Kept in coupons.toml").wait_for()
    assert "leaf brake" in (project / "coupons.toml").read_text()


def test_a_finding_lights_its_place_up_on_both_drawings(open_page):
    page = open_page("/part/battery-tray")
    field(page, "bend_defaults.inside_radius").fill("0.5 mm")
    page.get_by_role("tab", name="Findings").click()
    stop = page.locator(".bw-finding.stop").first
    place = stop.locator("header button")
    place.click()
    page.mouse.move(700, 20)
    name = place.inner_text()
    assert page.locator("path.lit").count() >= 1
    waits(page, "name => document.querySelector('.bw-tag').textContent === name", name)


def answer_all(page, answers: dict[str, str]) -> None:
    """Answer what is asked back, by the words of the question."""
    sheet = page.get_by_role("dialog")
    for words, typed in answers.items():
        box = sheet.get_by_label(re.compile(words, re.IGNORECASE))
        for i in range(box.count()):
            one = box.nth(i)
            if one.evaluate("e => e.tagName") == "SELECT":
                one.select_option(typed)
            else:
                one.fill(typed)


def test_a_flat_drawing_becomes_a_part_once_all_is_stated(open_page, project):
    drawing = CORPUS / "plain.dxf"
    page = open_page("/")
    page.locator("#bw-bring").set_input_files(drawing)
    sheet = page.get_by_role("dialog")
    sheet.get_by_text("To be stated first").wait_for()
    make = sheet.get_by_role("button", name="Make the part file")
    assert make.is_disabled()
    # Nothing is in the project until the builder says so.
    assert [p.name for p in (project / "parts").iterdir()] == ["battery-tray.toml"]
    answers = {"alloy": "5052-H32", "thick": "0.032 in", "angle": "90 deg", "radius": "1/8 in"}
    answer_all(page, {**answers, "up or down|which way|direction": "up"})
    sheet.get_by_label("Title of the part").fill("Door angle")
    sheet.get_by_role("button", name="Look again").click()
    waits(page, "() => !document.querySelector('.bw-sheet .strong').disabled")
    make.click()
    page.wait_for_url("**/part/door-angle")
    page.wait_for_selector(".bw-edge")
    assert page.locator(".bw-strip").count() == 1
    text = (project / "parts" / "door-angle.toml").read_text()
    assert "plain.dxf" in text
    assert '"0.032 in"' in text


def test_a_bent_solid_becomes_a_part_with_the_same_blank(open_page, project):
    from blankwright.files.kernel import formed_step
    from blankwright.jobs.part_state import state_of_text
    from browser_parts import TRAY

    state = state_of_text(TRAY, "tray")
    solid = project.parent / "sump.step"
    solid.write_bytes(formed_step(state.formed, "sump", "Sump"))
    page = open_page("/")
    page.locator("#bw-bring").set_input_files(solid)
    sheet = page.get_by_role("dialog")
    sheet.get_by_text("To be stated first").wait_for(timeout=60_000)
    answer_all(page, {"alloy": "6061-T6"})
    sheet.get_by_role("button", name="Look again").click()
    waits(page, "() => !document.querySelector('.bw-sheet .strong').disabled")
    sheet.get_by_role("button", name="Make the part file").click()
    page.wait_for_url("**/part/sump")
    page.wait_for_selector(".bw-edge")
    assert page.locator(".bw-strip").count() == 2
    # The blank it was folded from, along whichever axis it lies now.
    cells = page.locator(".bw-foot .bw-cell", has_text=" mm").all_inner_texts()
    got = sorted(float(re.search(r"([\d.]+) mm", cell)[1]) for cell in cells[:2])
    assert got == pytest.approx(sorted(state.blank.size), abs=0.02)


def test_a_dropped_part_file_is_read_before_it_is_taken(open_page, project):
    from browser_parts import TRAY

    page = open_page("/")
    bring = page.locator("#bw-bring")
    bad = TRAY.replace('"1-1/2 in"', '"1-1/2"').encode()
    bring.set_input_files({"name": "pan.toml", "mimeType": "text/plain", "buffer": bad})
    page.locator(".bw-notice.stop").first.wait_for()
    assert not (project / "parts" / "pan.toml").exists()
    bring.set_input_files({"name": "pan.toml", "mimeType": "text/plain", "buffer": TRAY.encode()})
    page.wait_for_url("**/part/pan")
    assert (project / "parts" / "pan.toml").read_text() == TRAY
