"""What the page's tests share: the part they work on, the browser, and the server."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

ARGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--enable-unsafe-swiftshader",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)

TRAY = """\
# Battery tray: these words must survive every edit.
title   = "Battery tray"
drawing = "T200-53-04"

[sizes]
width = "150 mm"   # across the bay
depth = "4 in"
wall  = "1-1/2 in"

[sheet]
alloy     = "6061-T6"
thickness = "0.040 in"

[bend_defaults]
angle         = "90 deg"
inside_radius = "1/8 in"
up            = true

[flats.floor]
outline = { rectangle = ["width", "depth"] }

[bends.left]
from = "floor.left"
leg  = { height = "wall" }

[bends.right]
from = "floor.right"
leg  = { height = "wall" }

[holes.vent]
on       = "floor"
at       = ["width/2", "depth/2"]
diameter = "12 mm"
"""


def link_or_skip(link: Path, target: Path) -> None:
    """Make a link, or skip the test where that takes a right of its own, as on Windows."""
    try:
        link.symlink_to(target)
    except OSError as error:
        pytest.skip(f"links can't be made here: {error}")


def chromium_path() -> str | None:
    """Return the system's Chromium, or nothing to let Playwright look for its own."""
    for name in ("chromium", "chromium-browser", "google-chrome"):
        found = shutil.which(name)
        if found:
            return found
    return None


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
            self.process.kill()
            self.process.communicate()
            self.process = None
