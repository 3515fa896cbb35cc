"""What every view of the page has: our look, and no light flash before it is read."""

from __future__ import annotations

from functools import cache

from nicegui import ui

from blankwright.page.elements import STATIC
from blankwright.page.plain import EARLY, head_html

__all__ = ["EARLY", "dress", "head"]


@cache
def _style() -> str:
    return f"<style>{(STATIC / 'look.css').read_text(encoding='utf-8')}</style>"


def dress() -> None:
    """Put our look on the view that is being built."""
    ui.add_head_html(_style() + EARLY)


def head(here: str, name: str, title: str) -> None:
    """Put the head on the view that is being built; arguments as `plain.head_html`."""
    with ui.element("header").classes("bw-head"):
        ui.html(head_html(here, name, title), sanitize=False).style("display: contents")
