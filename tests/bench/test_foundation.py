"""Speed of the main loop; targets are DESIGN.md's, for two cores."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import samples
from blankwright.jobs.develop_parts import develop_parts
from blankwright.jobs.items import chosen
from blankwright.jobs.outputs import input_key
from blankwright.jobs.part_state import state_of, state_of_text
from blankwright.jobs.project import find_project, start_project

EXAMPLE = Path(__file__).parents[2] / "examples" / "tarn200" / "parts" / "battery-tray.toml"


def test_edit_of_a_busy_part(measured):
    part = samples.busy()
    measured("12 bends, 200 holes: develop, form, check", lambda: state_of(part), target="50 ms")


def test_edit_of_a_size_as_text(measured):
    text = EXAMPLE.read_text(encoding="utf-8")
    measured(
        "battery tray from its text: read, develop, form, check",
        lambda: state_of_text(text, "battery-tray"),
        target="50 ms",
    )


def test_help(measured):
    command = [sys.executable, "-m", "blankwright", "--help"]
    measured(
        "blankwright --help",
        lambda: subprocess.run(command, check=True, capture_output=True),
        target="300 ms",
    )


def test_four_hundred_parts_unchanged(measured, tmp_path):
    """Outputs are stand-ins of the right names and sizes: only the look-up is measured."""
    import json

    project = start_project(tmp_path / "fleet")
    for i in range(400):
        shutil.copy(EXAMPLE, project.parts_folder / f"part-{i:03}.toml")
    project = find_project(project.root)
    for item in chosen(project, ()):
        folder = project.out / item.name
        folder.mkdir(parents=True)
        names = [f"{item.name}-{n}" for n in ("blank.dxf", "formed.step", "traveler.pdf")]
        for name in names:
            (folder / name).write_bytes(b"x" * 1000)
        made = {
            "input": input_key(project, item),
            "sizes": dict.fromkeys(names, 1000),
            "files": dict.fromkeys(names, ""),
            "findings": [],
        }
        (folder / "made.json").write_text(json.dumps(made), encoding="utf-8")

    def run():
        again = find_project(project.root)
        outcomes = develop_parts(again, chosen(again, ()))
        assert all(o.made is not None and o.made.unchanged for o in outcomes)

    measured("400 parts, nothing changed", run, target="1000 ms", rounds=3)
