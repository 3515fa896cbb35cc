"""The page's views: one file each. Those of `VIEWS` that are there make the way round the page."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, partial
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
        plain: whether it is plain HTML: its file has ``routes(app, desk)`` and is read when the
            view is first asked for; the others have ``register(desk)``, and NiceGUI shows them
    """

    title: str
    address: str
    module: str = ""
    plain: bool = False


VIEWS = (
    View("Parts", "/", "project"),
    View("Job book", "/book"),
    View("Sheets", "/cutting", "cutting"),
    View("Fit", "/fit", "fit"),
    View("Prints", "/prints", "prints", plain=True),
    View("Coupons", "/coupons", "coupons", plain=True),
    View("Shop tools", "/shop", "shop", plain=True),
    View("Tables", "/tables", "tables", plain=True),
    View("Part", "/part/{part}", "part"),
    View("Bend plan", "/bend-plan/{part}", "bend_plan"),
    View("Holes", "/holes/{part}", "holes", plain=True),
)
"""Every view, in the order of the way round the page. To add one: a line here, a file beside."""


def register(desk: Desk, app: FastAPI) -> None:
    """Put every view on the page of a project."""
    from blankwright.page.later import later

    for view in _there():
        if view.plain:
            put = partial(_put_plain, f"{__name__}.{view.module}", desk)
            app.router.routes.append(later(view.address, put))
        elif view.module:
            import_module(f"{__name__}.{view.module}").register(desk)


def _put_plain(module: str, desk: Desk, app: FastAPI) -> None:
    import_module(module).routes(app, desk)


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
