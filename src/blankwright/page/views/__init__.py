"""The page's views: one file each."""

from __future__ import annotations

from blankwright.page.desk import Desk


def register(desk: Desk) -> None:
    """Put every view on the page of a project."""
    from blankwright.page.views import cutting, fit, part, project

    project.register(desk)
    part.register(desk)
    cutting.register(desk)
    fit.register(desk)
