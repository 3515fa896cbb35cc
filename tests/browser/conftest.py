"""A real browser on a real server: fixtures for the page's journeys."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from blankwright.jobs.project import start_project
from browser_parts import TRAY

ARGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--enable-unsafe-swiftshader",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def chromium_path() -> str | None:
    """Return the system's Chromium, or nothing to let Playwright look for its own."""
    for name in ("chromium", "chromium-browser", "google-chrome"):
        found = shutil.which(name)
        if found:
            return found
    return None


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


class Server:
    """The page's server as a process of its own, that can be killed."""

    def __init__(self, project: Path) -> None:
        self.project = project
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = int(probe.getsockname()[1])
        self.url = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        code = (
            "import sys; from pathlib import Path; from blankwright.page.app import serve; "
            "serve(Path(sys.argv[1]), int(sys.argv[2]), open_browser=False)"
        )
        self.process = subprocess.Popen(
            [sys.executable, "-c", code, str(self.project), str(self.port)],
            env={**os.environ, "NICEGUI_SCREEN_TEST_PORT": ""},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
        )
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            if self.process.poll() is not None:
                assert self.process.stderr is not None
                raise AssertionError(self.process.stderr.read().decode())
            try:
                with urllib.request.urlopen(self.url, timeout=30):
                    return
            except (urllib.error.URLError, ConnectionError, TimeoutError):
                time.sleep(0.1)
        raise AssertionError("the server did not answer within a minute")

    def kill(self) -> None:
        """As pulling the plug: no goodbye."""
        if self.process is not None:
            self.process.send_signal(signal.SIGKILL)
            self.process.communicate()
            self.process = None


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
