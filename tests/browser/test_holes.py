"""The holes view in a real browser: by mouse and keyboard, read by all, and in print."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.slow]

EXAMPLE = Path(__file__).parents[2] / "examples" / "tarn200"
PARTS = ["battery-tray", "tunnel-angle", "vent-grille", "shutoff-gate"]
LEAST_TEXT, LEAST_TOUCH = 16, 44

DRAWN = """least => [...document.querySelectorAll("figure svg text")].map(t =>
    [parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a, t.textContent])
    .filter(([size]) => size < least).map(([size, text]) => `${size} px: ${text}`)"""


@pytest.fixture
def project(tmp_path: Path) -> Path:
    root = tmp_path / "tarn"
    shutil.copytree(EXAMPLE, root, ignore=shutil.ignore_patterns("out"))
    return root


def shown(open_page, part: str, **options):
    page = open_page(f"/holes/{part}", **options)
    page.wait_for_selector(".bw-ways")
    return page


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize(("width", "height"), [(1440, 900), (820, 1180)])
def test_axe_finds_nothing_and_nothing_sticks_out(open_page, width, height, light):
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the accessibility checker is missing"
    ).Axe()
    look = (Path(__file__).parent / "looks.js").read_text(encoding="utf-8")
    found: list[str] = []
    for part in PARTS:
        page = shown(open_page, part, width=width, height=height, color_scheme=light)
        for violation in axe.run(page).response["violations"]:
            if violation["impact"] in ("serious", "critical"):
                nodes = [node["html"][:160] for node in violation["nodes"][:3]]
                found.append(f"{part}: {violation['id']}: {violation['help']}: {nodes}")
        small = page.evaluate(DRAWN, LEAST_TEXT)  # of drawings, as they come out on the screen
        page.evaluate("() => document.querySelectorAll('figure svg text').forEach(t => t.remove())")
        small += page.evaluate(look, [LEAST_TEXT, LEAST_TOUCH])
        found.extend(f"{part}: {one}" for one in small)
        page.context.close()
    assert found == []


def test_one_hole_is_drilled_up_by_keyboard_alone(open_page):
    page = shown(open_page, "battery-tray")
    page.get_by_label("Final hole").focus()
    page.keyboard.type("#11")
    page.keyboard.press("Tab")
    page.keyboard.type("#40")
    page.keyboard.press("Enter")
    page.wait_for_url("**final=*")
    assert "Likely hole" in page.locator("body").inner_text()
    assert page.get_by_label("Final hole").input_value() == "#11"


def test_matched_holes_are_put_in_with_one_key_and_taken_back(open_page, project):
    path = project / "parts" / "tunnel-angle.toml"
    before = path.read_text("utf-8")
    page = shown(open_page, "battery-tray")
    page.get_by_role("button", name="Put the holes drilled on the flat into").click()
    page.get_by_role("status").wait_for()
    assert "tunnel-angle.toml" in page.get_by_role("status").inner_text()
    text = path.read_text("utf-8")
    assert text.startswith(before)
    assert text.count("[holes.matched-battery-bay-") == 2
    assert "there already" in page.locator("body").inner_text()
    page.goto(page.url.split("/holes/")[0] + "/")
    page.get_by_role("button", name="Undo").first.click()
    page.wait_for_timeout(500)
    assert path.read_text("utf-8") == before


def test_lengths_follow_the_switch(open_page):
    page = shown(open_page, "tunnel-angle")
    page.get_by_role("button", name="mm", exact=True).click()
    metric = page.locator("body").inner_text()
    page.get_by_role("button", name="in", exact=True).click()
    inches = page.locator("body").inner_text()
    assert metric != inches
    # Names of drills and rivets are no lengths: they stay.
    assert "#30" in metric
    assert "#30" in inches


def test_it_prints(open_page):
    page = shown(open_page, "vent-grille", color_scheme="dark")
    page.emulate_media(media="print")
    ink = page.evaluate(
        "() => getComputedStyle(document.documentElement).getPropertyValue('--ink')"
    )
    assert ink.strip() == "#000"
    assert page.locator(".bw-keys:visible, .bw-ways:visible").count() == 0
    assert page.pdf().startswith(b"%PDF")
