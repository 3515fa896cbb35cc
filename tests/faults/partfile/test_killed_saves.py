"""A save killed at any moment leaves the old or the new file, whole."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

TRAY = Path(__file__).parents[3] / "examples" / "tarn200" / "parts" / "battery-tray.toml"

# Saves two texts in turn, as fast as it can, until it is killed.
SAVER = """
import sys
from pathlib import Path
from blankwright.files.partfile.editing import set_value
from blankwright.files.whole import write_whole
import blankwright.files.partfile.editing as editing
path = Path(sys.argv[1])
old = path.read_text(encoding="utf-8")
new = set_value(old, "sizes.clear", "1.25 mm")
# Long enough that a plain write would be caught half way.
pad = "# " + "x" * 2_000_000 + "\\n"
texts = (old + pad, new + pad)
print("ready", flush=True)
while True:
    for text in texts:
        write_whole(path, text.encode("utf-8"))
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is POSIX")
def test_killed_a_hundred_times(tmp_path: Path) -> None:
    rng = random.Random(200)
    path = tmp_path / "tray.toml"
    original = TRAY.read_text(encoding="utf-8")
    seen: set[str] = set()
    kills = 0
    while kills < 100:
        path.write_text(original, encoding="utf-8")
        saver = subprocess.Popen(
            [sys.executable, "-c", SAVER, str(path)], stdout=subprocess.PIPE, text=True
        )
        assert saver.stdout is not None
        assert saver.stdout.readline() == "ready\n"
        # One start of Python serves many moments: stop it, look, let it go on, and kill it last.
        for _ in range(24):
            time.sleep(rng.random() * 0.02)
            os.kill(saver.pid, signal.SIGSTOP)
            seen.add(check(path, original))
            os.kill(saver.pid, signal.SIGCONT)
        time.sleep(rng.random() * 0.02)
        saver.kill()
        saver.wait()
        saver.stdout.close()
        seen.add(check(path, original))
        kills += 25
    assert {"old", "new"} <= seen


def check(path: Path, original: str) -> str:
    text = path.read_text(encoding="utf-8")
    if text == original:
        return "untouched"
    body, _, pad = text.rpartition("# ")
    assert pad == "x" * 2_000_000 + "\n", f"half a file of {len(text)} characters"
    if body == original:
        return "old"
    assert body == original.replace('clear     = "0.75 mm"', 'clear     = "1.25 mm"')
    return "new"
