"""What the cutting view says about machine files.

Without the page's own machinery, so that a process that only makes them starts soon.
"""

from __future__ import annotations

import html
from pathlib import Path
from typing import TYPE_CHECKING

from blankwright.jobs.project import Project
from blankwright.page.plain import findings_html

if TYPE_CHECKING:
    from blankwright.jobs.cutting_machine import MachineFile

_CARE = (
    "Eye and ear protection. Clamp the work, keep hands out, extract dust. "
    "Run the dry run above the work before you cut."
)


def make_machine_files(project: Project) -> tuple[str, str]:
    """Make the machine files; in a process of its own."""
    from blankwright.jobs.cutting_machine import machine_files

    made = machine_files(project)
    return _machine_word(made), "".join(_machine_block(file, paths) for file, paths in made)


def _machine_word(made: tuple[tuple[MachineFile, tuple[Path, ...]], ...]) -> str:
    good = sum(not file.blocked for file, _ in made)
    return f"{good} of {len(made)} machine files proved and kept in out/machine. {_CARE}"


def _machine_block(file: MachineFile, paths: tuple[Path, ...]) -> str:
    word = "STOP, no file was made" if file.blocked else "proved by two readers"
    names = "".join(f"<li>{html.escape(path.name)}</li>" for path in paths)
    title = html.escape(file.title)
    return f"<h3>{title}: {word}</h3><ul>{names}</ul>{findings_html(file.findings)}"
