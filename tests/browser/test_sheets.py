"""The sheets view in a real browser: choose, lay, order, and put on the rack what is left."""

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
    shutil.rmtree(root / "out", ignore_errors=True)
    return root


def press(page, name: str) -> None:
    key = page.get_by_role("button", name=name, exact=True)
    key.focus()
    page.keyboard.press("Enter")


def told(page, words: str) -> None:
    page.locator(".bw-told", has_text=words).wait_for(timeout=60_000)


def test_chosen_parts_are_laid_ordered_and_cut(open_page, project) -> None:
    page = open_page("/cutting")
    tray = page.get_by_label("How many of battery-tray", exact=True)
    press(page, "None of them")
    assert tray.input_value() == "0"
    press(page, "Lay parts on sheets")
    told(page, "Nothing was laid out")
    page.get_by_text("PACK-018").wait_for()
    assert not (project / "out" / "sheets").exists()

    tray.fill("2")
    page.get_by_label("Seconds to try").fill("0")
    page.get_by_label("Lay them on").select_option("6061 040 half")
    press(page, "Lay parts on sheets")
    told(page, "2 parts on 1 sheets")
    assert page.locator("figure svg").count() == 1
    assert tray.input_value() == "2", "what is typed stays"

    press(page, "Make files for a service")
    told(page, "2 files for the service")
    with page.expect_download() as got:
        page.locator(".bw-made a", has_text=".dxf").click()
    assert (
        got.value.path().read_bytes()
        == next((project / "out" / "order").glob("*.dxf")).read_bytes()
    )

    before = (project / "rack.toml").read_text()
    press(page, "Take cut sheets off the rack")
    told(page, "The rack stays as it was")
    assert (project / "rack.toml").read_text() == before
    page.get_by_label("6061 040 half has been cut").check()
    press(page, "Take cut sheets off the rack")
    told(page, "Off the rack: 6061 040 half.")
    assert page.locator("figure svg").count() == 0
    assert page.locator("[data-cut]").count() == 0
    assert "6061 040 half offcut 1" in page.locator("table").inner_text()
    assert (project / "rack.toml").read_text() != before
