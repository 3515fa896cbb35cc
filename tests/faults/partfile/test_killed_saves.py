"""A save killed at any moment leaves the old or the new file, whole."""

from __future__ import annotations

import itertools
import os
import random
import signal
import sys
import time
from pathlib import Path

import pytest

from blankwright.files.partfile import read_part
from blankwright.files.partfile.editing import set_value
from blankwright.files.whole import write_whole

TRAY = Path(__file__).parents[3] / "examples" / "tarn200" / "parts" / "battery-tray.toml"
KILLS = 150
# Long enough that a plain write would be caught half way.
PAD = "# " + "x" * 1_000_000 + "\n"


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL and fork are POSIX")
def test_killed_saves_leave_a_whole_file(tmp_path: Path) -> None:
    rng = random.Random(200)
    original = TRAY.read_text(encoding="utf-8")
    texts = (original + PAD, set_value(original, "sizes.clear", "1.25 mm") + PAD)
    path = tmp_path / "tray.toml"
    write_whole(path, texts[0].encode())
    found = set()
    for _ in range(KILLS):
        child = os.fork()
        if child == 0:  # the saver: saves one text after the other until it is killed
            for text in itertools.cycle(texts):
                write_whole(path, text.encode())
        time.sleep(0.002 + rng.random() * 0.02)
        os.kill(child, signal.SIGKILL)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
        left = path.read_text(encoding="utf-8")
        assert left in texts, f"half a file of {len(left)} characters"
        found.add(texts.index(left))
    assert found == {0, 1}
    # Killed in the middle for sure: what it was writing lies beside, and does no harm.
    assert list(tmp_path.glob(".tray.toml.*.part"))
    assert read_part(path).name == "tray"
