"""Looks: read by people who can't see well, on a tablet and on a wide screen, light and dark."""

from __future__ import annotations

from pathlib import Path

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SIZES = [(1440, 900), (820, 1180)]
LIGHTS = ["light", "dark"]
VIEWS = ["rack", "new part", "sizes", "findings", "file", "trail", "make"]

LEAST_TEXT = 16
"""Nothing to be read is smaller [px]; see docs/look.md."""

LEAST_TOUCH = 44
"""Nothing to be pressed is lower [px]; common practice for fingers, more for gloves."""


def show(open_page, view: str, width: int, height: int, light: str):
    path = "/" if view in ("rack", "new part") else "/part/battery-tray"
    page = open_page(path, width, height, color_scheme=light)
    if view == "new part":
        page.get_by_role("button", name="New part", exact=True).click()
    elif view != "rack":
        page.locator(f"#tab-{view}").click()
        if view == "sizes":
            page.get_by_role("button", name="Bend left").click()
    page.wait_for_timeout(400)
    return page


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_axe_finds_nothing_serious(open_page, width, height, light):
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the accessibility checker is missing"
    ).Axe()
    found: list[str] = []
    for view in VIEWS:
        page = show(open_page, view, width, height, light)
        for violation in axe.run(page).response["violations"]:
            if violation["impact"] in ("serious", "critical"):
                nodes = [node["html"][:160] for node in violation["nodes"][:3]]
                found.append(f"{view}: {violation['id']}: {violation['help']}: {nodes}")
    assert found == []


def test_axe_would_find_something(open_page):
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the accessibility checker is missing"
    ).Axe()
    page = show(open_page, "sizes", 1440, 900, "light")
    page.evaluate("() => document.querySelectorAll('.bw-line label').forEach(l => l.remove())")
    assert "label" in {violation["id"] for violation in axe.run(page).response["violations"]}


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_nothing_is_too_small_or_sticks_out(open_page, width, height, tmp_path: Path):
    for view in VIEWS:
        page = show(open_page, view, width, height, "light")
        page.screenshot(path=str(tmp_path / f"{view}-{width}.png"))
        found = page.evaluate(
            (Path(__file__).parent / "looks.js").read_text(encoding="utf-8"),
            [LEAST_TEXT, LEAST_TOUCH],
        )
        assert found == [], view


@pytest.mark.parametrize("light", LIGHTS)
def test_the_same_state_looks_the_same_twice(open_page, light):
    """Two windows on one state differ in no more than a hair: nothing hangs on chance or time."""
    pictures = []
    for _ in range(2):
        page = show(open_page, "sizes", 1440, 900, light)
        page.mouse.move(720, 20)
        page.wait_for_timeout(300)
        pictures.append(page.screenshot(animations="disabled", caret="hide"))
    assert unlike(*pictures) < 0.002


def test_light_and_dark_differ_but_say_the_same(open_page):
    light = show(open_page, "findings", 1440, 900, "light")
    dark = show(open_page, "findings", 1440, 900, "dark")
    assert light.locator(".bw").first.inner_text() == dark.locator(".bw").first.inner_text()
    assert unlike(light.screenshot(), dark.screenshot()) > 0.5


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


def test_every_view_prints(open_page):
    for view in ("rack", "sizes", "findings", "trail", "make"):
        page = show(open_page, view, 1440, 900, "dark")
        page.emulate_media(media="print")
        shown = page.evaluate(
            "() => getComputedStyle(document.documentElement).getPropertyValue('--ink')"
        )
        assert shown.strip() == "#000", "prints are black on white, also from the dark page"
        assert not page.locator(".bw-keys").is_visible()
        assert page.pdf().startswith(b"%PDF")
        page.emulate_media(media="screen")


def unlike(first: bytes, second: bytes) -> float:
    """Return the share of pixels that differ to the eye."""
    from io import BytesIO

    import numpy as np
    from PIL import Image

    a, b = (np.asarray(Image.open(BytesIO(p)).convert("RGB"), dtype=int) for p in (first, second))
    assert a.shape == b.shape
    return float((np.abs(a - b).max(axis=2) > 24).mean())
