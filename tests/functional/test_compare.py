"""`blankwright compare`: our blank against a flat drawing made by other means."""

from __future__ import annotations

import json
import math
import subprocess
import sys

import ezdxf
import pytest

import kernel_shapes as ks
from blankwright.jobs.bring_in_asked import Asked
from blankwright.jobs.compare_flat import blank_of_solid, hold_against

T, K, R = 2.0, 0.4, 3.0
STRIP = math.pi / 2 * (R + K * T)


def solid():
    """A channel of 25, 50 and 15 to the tangent lines, 60 wide, a hole in its web and one in a leg.

    The hole in the web is 12 from the first tangent line.
    """
    made = ks.strip_section((25, 50, 15), ((90, R), (90, R)), T, 60)
    return ks.cut(
        made,
        ks.rod(10, 20, -1, 4, 5),
        ks.rod(25, 45, R + T + 12, 2.5, 20, (1, 0, 0)),
    )


def flat(path, *, strip=STRIP, hole=8.0, bends=True, unit=1.0, units=4, mirrored=False):
    """The blank of it as the drawing office has it: worked out here, not by us."""
    doc = ezdxf.new("R2000")
    doc.units = units
    space = doc.modelspace()
    first, second = 25 + strip / 2, 25 + strip + 50 + strip / 2
    long = 25 + 50 + 15 + 2 * strip
    side = -1 if mirrored else 1

    def at(x, y):
        # Lies turned by 30° somewhere on the sheet.
        c, s = math.cos(math.pi / 6), math.sin(math.pi / 6)
        y = side * y
        return ((c * x - s * y + 400) * unit, (s * x + c * y - 50) * unit)

    corners = [at(0, 0), at(long, 0), at(long, 60), at(0, 60)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "PROFILE"})
    space.add_circle(at(10, 20), hole / 2 * unit, dxfattribs={"layer": "PROFILE"})
    web = 25 + strip + 12
    space.add_circle(at(web, 45), 2.5 * unit, dxfattribs={"layer": "PROFILE"})
    if bends:
        for x in (first, second):
            space.add_line(at(x, 0), at(x, 60), dxfattribs={"layer": "BENDS"})
    doc.saveas(path)
    return path


@pytest.fixture
def step(tmp_path):
    path = tmp_path / "channel.step"
    path.write_bytes(ks.step_of(ks.moved(solid(), (12, 3, 5), (1, 2, 3), 50)))
    return path


@pytest.mark.parametrize(
    "how", [{}, {"mirrored": True}, {"unit": 1 / 25.4, "units": 1}, {"bends": False}]
)
def test_the_same_blank_agrees(step, tmp_path, how):
    blank = blank_of_solid(step, Asked(k=str(K)))
    held = hold_against(blank, flat(tmp_path / "flat.dxf", **how), Asked(), "0.001 mm")
    assert held.agrees, held.compared.differences
    assert held.compared.openings == 2
    assert held.compared.bends == (2 if how.get("bends", True) else 0)


def test_another_k_is_told(step, tmp_path):
    blank = blank_of_solid(step, Asked(k=str(K)))
    other = math.pi / 2 * (R + 0.5 * T)
    path = flat(tmp_path / "flat.dxf", strip=other)
    held = hold_against(blank, path, Asked(), "0.05 mm")
    assert not held.agrees
    assert held.compared.k == pytest.approx(0.5, abs=1e-6)
    assert any("with k = 0.5000" in line for line in held.told)
    again = hold_against(blank_of_solid(step, Asked(k="0.5")), path, Asked(), "0.001 mm")
    assert again.agrees


def run(*words, folder):
    return subprocess.run(
        [sys.executable, "-m", "blankwright", "compare", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        cwd=folder,
    )


def test_the_command(step, tmp_path):
    path = flat(tmp_path / "flat.dxf", hole=8.5)
    done = run(step, path, "--k", K, "--picture", "both.svg", folder=tmp_path)
    assert done.returncode == 1
    assert "1 difference:" in done.stdout
    assert "the drawing has Ø 8.500 mm" in done.stdout
    assert (tmp_path / "both.svg").read_bytes().startswith(b"<?xml")
    done = run(step, path, "--k", K, "--within", "0.6 mm", "--json", folder=tmp_path)
    assert done.returncode == 0
    assert json.loads(done.stdout)["agrees"] is True
    (tmp_path / "flat.dxf").write_text("no drawing", encoding="utf-8")
    done = run(step, path, folder=tmp_path)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert "DRAWN-001" in done.stderr


@pytest.mark.parametrize("within", ["0.1", "-1 mm", "deg", "90 deg"])
def test_a_tolerance_that_is_none(step, tmp_path, within):
    done = run(step, flat(tmp_path / "f.dxf"), "--within", within, folder=tmp_path)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
