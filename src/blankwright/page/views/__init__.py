"""The page's views: one file each. Those of `VIEWS` that are there make the way round the page."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

if TYPE_CHECKING:
    from fastapi import FastAPI

    from blankwright.page.desk import Desk


@dataclass(frozen=True, slots=True)
class View:
    """A view of the page.

    Args:
        title: as the way round the page names it
        address: its address; ``{part}`` stands for a part's name, in views of one part
        module: its file in this folder, which puts it on the page; a view whose file is not
            there is left out. Empty for a view that is put on the page elsewhere.
    """

    title: str
    address: str
    module: str = ""


VIEWS = (
    View("Parts", "/", "project"),
    View("Job book", "/book"),
    View("Sheets", "/cutting", "cutting"),
    View("Fit", "/fit", "fit"),
    View("Prints", "/prints", "prints"),
    View("Coupons", "/coupons", "coupons"),
    View("Shop tools", "/shop", "shop"),
    View("Tables", "/tables", "tables"),
    View("Part", "/part/{part}", "part"),
    View("Bend plan", "/bend-plan/{part}", "bend_plan"),
    View("Holes", "/holes/{part}", "holes"),
)
"""Every view, in the order of the way round the page. To add one: a line here, a file beside."""


def register(desk: Desk, app: FastAPI) -> None:
    """Put every view on the page of a project.

    A view's file has ``register(desk)`` when NiceGUI shows it, or ``routes(app, desk)`` when it is
    plain HTML.
    """
    for view in _there():
        if not view.module:
            continue
        module: Any = import_module(f"{__name__}.{view.module}")
        if hasattr(module, "routes"):
            module.routes(app, desk)
        else:
            module.register(desk)


def ways(here: str, part: str = "") -> list[dict[str, Any]]:
    """Return the way round the page.

    Args:
        here: title of the view that is shown
        part: name of the part that is shown; views of one part are left out without it

    Returns:
        Each view's ``title`` and ``address``, and whether it is ``here``.
    """
    return [
        {
            "title": view.title,
            "address": view.address.format(part=quote(part, safe="")),
            "here": view.title == here,
        }
        for view in _there()
        if part or "{part}" not in view.address
    ]


@cache
def _there() -> tuple[View, ...]:
    return tuple(v for v in VIEWS if not v.module or find_spec(f"{__name__}.{v.module}"))
