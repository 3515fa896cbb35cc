"""How this project's printer is set up."""

from __future__ import annotations

from blankwright.drawing.paper import PrinterError, PrintSetup, paper_named
from blankwright.jobs.project import Project

_BAR = 100.0


def print_setup(project: Project) -> PrintSetup:
    """Return paper and printer error of a project."""
    return PrintSetup(
        paper=paper_named(project.paper),
        printer=PrinterError.measured(
            across=(_BAR, project.across_100), along=(_BAR, project.down_100)
        ),
    )
