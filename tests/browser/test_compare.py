"""The blank held against somebody else's flat drawing, in a real browser, by keyboard."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def theirs(path: Path) -> Path:
    """A flat drawing without a unit, of a tray that is 10 mm too short."""
    doc = ezdxf.new("R2000")
    doc.units = 0
    space = doc.modelspace()
    corners = [(0, 0), (210.84, 0), (210.84, 101.6), (0, 101.6)]
    space.add_lwpolyline(corners, close=True)
    space.add_circle((105.42, 50.8), 6)
    doc.saveas(path)
    return path


@pytest.mark.parametrize(("width", "height", "light"), [(1440, 900, "light"), (820, 1180, "dark")])
def test_from_the_part_to_what_differs(open_page, tmp_path, width, height, light) -> None:
    page = open_page("/part/battery-tray", width, height, color_scheme=light)
    page.locator("#tab-make").click()
    page.get_by_role("link", name="Hold the blank against").click()
    page.get_by_role("heading", name="Their flat drawing").wait_for()
    page.get_by_label("Their flat drawing").set_input_files(theirs(tmp_path / "flat.dxf"))
    key = page.get_by_role("button", name="Hold against the blank")
    key.focus()
    page.keyboard.press("Enter")
    page.get_by_text("SOURCE-012").wait_for(timeout=60_000)
    page.get_by_label("Unit of their drawing").select_option("mm")
    page.get_by_label("How much may differ").fill("0.5 mm")
    page.keyboard.press("Enter")
    page.locator(".bw-both svg").wait_for(timeout=60_000)
    assert "difference" in page.locator(".bw-big").inner_text()
    rows = page.locator("tbody tr").count()
    assert rows > 0
    assert page.locator(".bw-both svg text").count() == rows
    sizes = page.locator(".bw-both svg text").evaluate_all(
        "all => all.map(t => parseFloat(getComputedStyle(t).fontSize) * t.getCTM().a)"
    )
    assert min(sizes) >= 16, "as tall on the screen as all else"
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the accessibility checker is missing"
    ).Axe()
    assert axe.run(page).response["violations"] == []
