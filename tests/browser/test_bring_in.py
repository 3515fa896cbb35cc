"""A drawing dropped on the page: shown as understood, asked about, then made a part."""

from __future__ import annotations

from pathlib import Path

import pytest

CORPUS = Path(__file__).parents[1] / "corpus" / "dxf"

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def drop(page, name):
    page.locator("#bw-bring").set_input_files(str(CORPUS / name))


def test_a_flat_drawing_is_asked_about_and_made_a_part(open_page, project):
    page = open_page("/")
    drop(page, "no-units.dxf")
    dialog = page.get_by_role("dialog")
    dialog.wait_for()
    make = dialog.get_by_role("button", name="Make the part file")
    assert make.is_disabled()
    assert "outline = layer CUT" in dialog.inner_text()
    assert dialog.locator("svg text").all_text_contents() == ["bend-1"]
    dialog.get_by_label("What unit").select_option("in")
    dialog.get_by_label("What alloy").fill("6061-T6")
    dialog.get_by_label("How thick").fill("0.040 in")
    dialog.get_by_label("bent up or down").select_option("down")
    dialog.get_by_label("what angle").fill("90 deg")
    dialog.get_by_label("inside radius").fill("1/8 in")
    dialog.get_by_role("button", name="Look again").click()
    dialog.get_by_text("What the checks find").wait_for()
    assert not list((project / "drawings").glob("*"))
    make.click()
    page.wait_for_url("**/part/no-units")
    page.wait_for_selector(".bw-edge")
    text = (project / "parts" / "no-units.toml").read_text()
    assert 'units      = "in"' in text
    assert (project / "drawings" / "no-units.dxf").is_file()


def test_what_can_not_be_read_is_told(open_page):
    page = open_page("/")
    drop(page, "cut-off.dxf")
    page.locator(".bw-notice").wait_for()
    assert "DRAWN-003" in page.locator(".bw-notice").inner_text()
    drop(page, "two-parts.dxf")
    dialog = page.get_by_role("dialog")
    dialog.wait_for()
    assert "DRAWN-022" in dialog.inner_text()
    dialog.get_by_text("State more").click()
    dialog.get_by_label("A point on the part").fill("150 mm, 50 mm")
    dialog.get_by_role("button", name="Look again").click()
    page.wait_for_function(
        "() => !document.querySelector('[role=dialog]').innerText.includes('DRAWN-022')"
    )
    dialog.get_by_role("button", name="Leave").click()
    dialog.wait_for(state="detached")
