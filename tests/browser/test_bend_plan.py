"""The bend plan view in a real browser: the section at the tool, step by step and in motion."""

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


def corners(page) -> list[list[float]]:
    text = page.locator(".bend-free").first.get_attribute("points")
    return [[float(v) for v in pair.split(",")] for pair in text.split()]


def at(page, share: int) -> None:
    page.locator(".bend-drive input").evaluate(
        "(el, v) => { el.value = v; el.dispatchEvent(new Event('input')); }", share
    )
    page.wait_for_timeout(100)


def test_the_stroke_swings_the_free_side_and_lets_it_spring_back(open_page) -> None:
    page = open_page("/bend-plan/twin-clip")
    page.locator(".bend-board").wait_for(timeout=90_000)
    steps = page.locator(".bend-steps button")
    assert steps.count() == 2
    at(page, 0)
    flat = corners(page)
    assert max(z for _, z in flat) < 5.0
    at(page, 850)
    up = corners(page)
    assert "90.7°" in page.locator(".bend-told").inner_text()
    assert max(z for _, z in up) > max(z for _, z in flat) + 8.0
    at(page, 1000)
    assert "90.0°" in page.locator(".bend-told").inner_text()
    before = page.locator(".bend-board table").inner_text()
    page.get_by_role("button", name="One step on").click()
    assert page.locator(".bend-board table").inner_text() != before
    assert steps.nth(1).get_attribute("aria-pressed") == "true"


def test_run_ends_by_itself(open_page) -> None:
    page = open_page("/bend-plan/twin-clip")
    page.locator(".bend-board").wait_for(timeout=90_000)
    page.get_by_role("button", name="Run", exact=True).click()
    page.wait_for_function(
        "() => Number(document.querySelector('.bend-drive input').value) >= 1000", timeout=20_000
    )
    page.get_by_role("button", name="Run", exact=True).wait_for()


def test_part_of_no_name(open_page) -> None:
    page = open_page("/bend-plan/nothing")
    page.get_by_text("This project has no part named nothing.").wait_for()


def test_letters_are_large_enough(open_page) -> None:
    page = open_page("/bend-plan/twin-clip")
    page.locator(".bend-board").wait_for(timeout=90_000)
    small = page.evaluate(
        """() => [...document.querySelectorAll('.bw-bend :is(p, td, th, button)')]
            .filter((el) => parseFloat(getComputedStyle(el).fontSize) < 16).length"""
    )
    assert small == 0


def test_the_card_is_made_and_offered(open_page) -> None:
    page = open_page("/bend-plan/twin-clip")
    page.locator(".bend-board").wait_for(timeout=90_000)
    page.get_by_role("button", name="Make the card").click()
    link = page.get_by_role("link", name="twin-clip-bend-plan.pdf")
    link.wait_for(timeout=90_000)
    answer = page.request.get(page.url.split("/bend-plan/")[0] + link.get_attribute("href"))
    assert answer.body().startswith(b"%PDF")


def test_what_is_in_the_way_is_shown_where_no_order_works(open_page) -> None:
    page = open_page("/bend-plan/taper-bracket")
    page.locator(".bend-board").wait_for(timeout=90_000)
    assert page.locator(".bend-steps button").count() == 2
    assert "runs into the bar" in page.locator(".bend-board table").inner_text()
