"""A real browser on a real server: fixtures for the page's journeys."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from blankwright.jobs.project import start_project
from browser_parts import ARGS, TRAY, Server, chromium_path


@pytest.fixture(scope="session")
def browser():
    sync_api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")
    with sync_api.sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(executable_path=chromium_path(), args=list(ARGS))
        except sync_api.Error as error:
            pytest.skip(f"no Chromium to drive: {str(error).splitlines()[0]}")
        yield browser
        browser.close()


@pytest.fixture
def project(tmp_path: Path) -> Path:
    root = tmp_path / "tarn"
    start_project(root, "Tarn 200")
    (root / "parts" / "battery-tray.toml").write_text(TRAY, encoding="utf-8")
    return root


@pytest.fixture
def server(project: Path) -> Iterator[Server]:
    server = Server(project)
    server.start()
    yield server
    server.kill()


@pytest.fixture
def open_page(browser, server: Server):
    """Open pages that fail the test on any script error or any request to elsewhere."""
    contexts = []
    troubles: list[str] = []

    def opened(path: str = "/", width: int = 1440, height: int = 900, **options):
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(15_000)
        page.on("pageerror", lambda error: troubles.append(f"script error: {error}"))
        page.on(
            "request",
            lambda request: (
                None
                if request.url.startswith((server.url, server.url.replace("http", "ws")))
                or request.url.startswith(("data:", "blob:"))
                else troubles.append(f"asked elsewhere: {request.url}")
            ),
        )
        page.goto(server.url + path)
        if path.startswith("/part/"):
            page.wait_for_selector(".bw-edge")
        return page

    yield opened
    for context in contexts:
        context.close()
    assert troubles == []
