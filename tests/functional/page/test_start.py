"""The page starts at once: what is heavy and not needed for the first page loads later."""

from __future__ import annotations

import subprocess
import sys

import pytest

START = """
import sys
from pathlib import Path
from blankwright.jobs.project import start_project
from blankwright.page.app import create_app
from starlette.testclient import TestClient

root = Path(sys.argv[1])
start_project(root / "p", "Tarn 200")
guard = create_app(root / "p", 8620)
heavy = ("sqlalchemy", "numpy", "shapely", "OCP", "ezdxf", "reportlab", "aiohttp")
print([name for name in heavy if name in sys.modules])
client = TestClient(guard, base_url="http://127.0.0.1:8620")
pages = [client.get(path).status_code for path in ("/", "/tables", "/book", "/coupons", "/shop")]
print(pages)
import aiohttp
print(aiohttp.__name__)
"""


@pytest.mark.slow
def test_nothing_heavy_is_loaded_before_the_first_page(tmp_path):
    """In a process of its own: NiceGUI keeps its pages for the whole process."""
    done = subprocess.run(
        [sys.executable, "-c", START, str(tmp_path)], capture_output=True, text=True, check=False
    )
    # What was left out for the start can be used afterwards, and every view comes when asked for.
    want = ["[]", "[200, 200, 200, 200, 200]", "aiohttp"]
    assert done.stdout.split("\n")[:3] == want, done.stderr[-2000:]
