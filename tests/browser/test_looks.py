"""Looks: read by people who can't see well, on a tablet and on a wide screen, light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from blankwright.jobs.project import start_project
from browser_parts import TRAY, Server

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SIZES = [(1440, 900), (820, 1180)]
LIGHTS = ["light", "dark"]
LEAVES = ["sizes", "findings", "file", "trail", "make"]
PLAIN = {
    "tables": "/tables",
    "table": "/tables/bend-radius-faa",
    "found": "/tables?find=6061",
    "coupons": "/coupons",
    "shop": "/shop",
    "prints": "/prints",
    "sheets": "/cutting",
    "fit": "/fit",
    "bend plan": "/bend-plan/battery-tray",
    "holes": "/holes/battery-tray?final=3.2+mm",
    "compare": "/compare/battery-tray",
    "nothing": "/nowhere",
}

LEAST_TEXT = 16
"""Nothing to be read is smaller [px]; see docs/look.md."""

LEAST_TOUCH = 44
"""Nothing to be pressed is lower [px]; common practice for fingers, more for gloves."""


@pytest.fixture(scope="module")
def project(tmp_path_factory) -> Path:
    """One project for all looks: none of them changes it."""
    root = tmp_path_factory.mktemp("looks") / "tarn"
    start_project(root, "Tarn 200")
    (root / "parts" / "battery-tray.toml").write_text(TRAY, encoding="utf-8")
    (root / "shop.toml").write_text('[drills]\nsets = ["number"]\n', encoding="utf-8")
    return root


@pytest.fixture(scope="module")
def server(project: Path) -> Iterator[Server]:
    server = Server(project)
    server.start()
    yield server
    server.kill()


def show(open_page, view: str, width: int, height: int, light: str):
    page = open_page("/part/battery-tray", width, height, color_scheme=light)
    turn(page, view)
    return page


def turn(page, view: str) -> None:
    """Turn to a leaf of the card on a page that is open."""
    page.locator(f"#tab-{view}").click()
    if view == "sizes":
        page.get_by_role("button", name="Bend left", exact=True).click()
    page.wait_for_timeout(400)


def every_view(open_page, width: int, height: int, light: str):
    """Yield every view with its page, with as few pages opened as can be."""
    page = open_page("/", width, height, color_scheme=light)
    page.wait_for_timeout(300)
    yield "rack", page
    page.get_by_role("button", name="New part", exact=True).click()
    page.wait_for_timeout(300)
    yield "new part", page
    page.goto(page.url.rsplit("/", 1)[0] + "/part/battery-tray")
    page.wait_for_selector(".bw-edge")
    for leaf in LEAVES:
        turn(page, leaf)
        yield leaf, page
    turn(page, "sizes")
    page.get_by_role("button", name="Rivet row", exact=True).click()
    page.wait_for_timeout(200)
    yield "new row", page
    for view, path in PLAIN.items():
        page.goto(page.url.split("/", 3)[0] + "//" + page.url.split("/", 3)[2] + path)
        page.wait_for_selector(".bw-ways")
        if view == "bend plan":
            page.wait_for_selector(".bend-scene", timeout=60_000)
        yield view, page


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_axe_finds_nothing_serious_and_nothing_sticks_out(open_page, width, height, light):
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the accessibility checker is missing"
    ).Axe()
    look = (Path(__file__).parent / "looks.js").read_text(encoding="utf-8")
    found: list[str] = []
    for view, page in every_view(open_page, width, height, light):
        for violation in axe.run(page).response["violations"]:
            if violation["impact"] in ("serious", "critical"):
                nodes = [node["html"][:160] for node in violation["nodes"][:3]]
                found.append(f"{view}: {violation['id']}: {violation['help']}: {nodes}")
        if light == "light":
            small = page.evaluate(look, [LEAST_TEXT, LEAST_TOUCH])
            found.extend(f"{view}: {one}" for one in small)
    assert found == []


def test_axe_would_find_something(open_page):
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the accessibility checker is missing"
    ).Axe()
    page = show(open_page, "sizes", 1440, 900, "light")
    page.evaluate("() => document.querySelectorAll('.bw-line label').forEach(l => l.remove())")
    assert "label" in {violation["id"] for violation in axe.run(page).response["violations"]}


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


def test_every_view_prints(open_page):
    for view, page in every_view(open_page, 1440, 900, "dark"):
        if view == "new part":
            page.keyboard.press("Escape")
            continue
        page.emulate_media(media="print")
        shown = page.evaluate(
            "() => getComputedStyle(document.documentElement).getPropertyValue('--ink')"
        )
        assert shown.strip() == "#000", "prints are black on white, also from the dark page"
        assert page.locator(".bw-keys:visible, .bw-ways:visible").count() == 0, view
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
