"""What is shown where there is nothing."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from blankwright.page.plain import whole

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response


def lost(title: str, why: str) -> Response:
    """Return the page for something that is not there, with a way back."""
    from starlette.responses import HTMLResponse

    body = (
        f"<section><h2>{escape(title)}</h2><p>{escape(why)}</p>"
        '<p><a class="key" href="/">All parts</a></p></section>'
    )
    return HTMLResponse(whole("", "Blankwright", title, body), 404)


def lost_route() -> None:
    """Show our own page for every address that leads nowhere."""
    from nicegui import app

    @app.exception_handler(404)
    async def nowhere(request: Request, error: Exception) -> Response:
        return lost("Nothing here", "No view has this address. Its part may have been renamed.")
