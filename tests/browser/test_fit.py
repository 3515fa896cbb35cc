"""The fit view in a real browser: the way in, gone through step by step."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.slow]

EXAMPLE = Path(__file__).parents[2] / "examples" / "tarn200"


@pytest.fixture
def project(tmp_path: Path) -> Path:
    root = tmp_path / "tarn"
    shutil.copytree(EXAMPLE, root)
    return root


def looked_at(open_page, place: str, width: int, height: int, light: str = "light"):
    page = open_page("/fit", width, height, color_scheme=light)
    page.get_by_role("button", name=place, exact=True).click()
    page.locator(".fit-board").wait_for(timeout=90_000)
    return page


def turned(page) -> str:
    return page.locator(".fit-now").get_attribute("transform")


def test_the_way_in_is_gone_through_step_by_step(open_page) -> None:
    page = looked_at(open_page, "vent-opening", 1440, 900)
    told = page.locator(".fit-told")
    steps = page.locator(".bw-fit ol").first.locator("li")
    count = steps.count()
    assert count >= 2
    outside = turned(page)
    for k in range(count):
        assert told.inner_text().startswith(f"Step {k + 1} of {count}.")
        # What is told beside the picture is what the list says.
        assert steps.nth(k).inner_text() in told.inner_text()
        page.get_by_role("button", name="One step on").click()
    assert page.get_by_role("button", name="One step on").is_disabled()
    # At rest the part lies on its dashed outline.
    moved = page.evaluate(
        "() => { const box = (s) => document.querySelector(s).getBoundingClientRect();"
        " const a = box('.fit-now'), b = box('.fit-goal');"
        " return Math.abs(a.x - b.x) + Math.abs(a.y - b.y); }"
    )
    assert moved < 2
    for _ in range(count):
        page.get_by_role("button", name="One step back").click()
    assert turned(page) == outside
    assert page.get_by_role("button", name="One step back").is_disabled()


def test_it_runs_and_is_held_and_the_slide_goes_anywhere(open_page) -> None:
    page = looked_at(open_page, "tensioner-bay", 820, 1180)
    slide = page.get_by_role("slider")
    begin = turned(page)
    page.get_by_role("button", name="Run").click()
    page.wait_for_function("() => Number(document.querySelector('.fit-drive input').value) > 5")
    page.get_by_role("button", name="Hold").click()
    held = turned(page)
    assert held != begin
    page.wait_for_timeout(200)
    assert turned(page) == held
    slide.focus()
    slide.press("End")
    assert page.get_by_role("button", name="One step on").is_disabled()
    assert "mm to spare" in slide.get_attribute("aria-valuetext")
    slide.press("Home")
    assert turned(page) == begin
    # Nothing wider than the page.
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 820


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize(("width", "height"), [(1440, 900), (820, 1180)])
def test_what_is_read_is_large_and_what_is_pressed_is_high(
    open_page, width: int, height: int, light: str
) -> None:
    page = looked_at(open_page, "tensioner-bay", width, height, light)
    small = page.evaluate(
        """() => [...document.querySelectorAll('.fit-board p, .fit-board figcaption')]
        .filter((e) => parseFloat(getComputedStyle(e).fontSize) < 16).length"""
    )
    assert small == 0
    # Text in pictures: its size on the glass.
    glass = page.evaluate(
        """() => [...document.querySelectorAll('.fit-plot text')]
        .map((e) => 20 * Math.hypot(e.getScreenCTM().a, e.getScreenCTM().b))"""
    )
    assert glass
    assert min(glass) >= 16
    low = page.evaluate(
        """() => [...document.querySelectorAll('.fit-drive > *')]
        .filter((e) => e.getBoundingClientRect().height < 44).length"""
    )
    assert low == 0
    # No table reaches out of its column.
    assert page.evaluate(
        """() => [...document.querySelectorAll('.bw-fit section')]
        .every((s) => s.scrollWidth <= s.clientWidth)"""
    )


def test_where_there_is_no_way_the_part_is_shown_at_rest(open_page, project: Path) -> None:
    place = project / "places" / "vent-opening.toml"
    place.write_text(
        place.read_text().replace('file     = "vent-gate"', 'file = "vent-gate"\nvariant = "long"')
    )
    page = open_page("/fit")
    page.get_by_role("button", name="vent-opening", exact=True).click()
    page.locator("figure svg .fit-rest").first.wait_for(timeout=90_000)
    assert page.locator(".fit-board").count() == 0
    assert "no way" in page.locator(".bw-fit h2").first.inner_text()
