"""Views that are put together when they are first asked for, so that the page starts at once."""

from __future__ import annotations

from collections.abc import Callable, MutableMapping
from threading import Lock
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fastapi import FastAPI
    from starlette.routing import Route


class Later:
    """An application that is made when the first request for it comes.

    Args:
        put: puts its routes, with their whole addresses, on a new application
    """

    def __init__(self, put: Callable[[FastAPI], None]) -> None:
        self._put = put
        self._app: FastAPI | None = None
        self._lock = Lock()

    async def __call__(self, scope: MutableMapping[str, Any], receive: Any, send: Any) -> None:
        """Pass a request on."""
        from starlette.concurrency import run_in_threadpool

        made = await run_in_threadpool(self.make) if self._app is None else self._app
        await made(scope, receive, send)

    def make(self) -> FastAPI:
        """Return the application; made now if it was not yet."""
        from fastapi import FastAPI

        with self._lock:
            if self._app is None:
                app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
                self._put(app)
                self._app = app
            return self._app


def later(address: str, put: Callable[[FastAPI], None]) -> Route:
    """Return a route for an address and all below it, made when it is first asked for.

    Args:
        address: such as ``/tables``
        put: puts the routes on a new application
    """
    from starlette.routing import Route

    return Route(f"{address}{{rest:path}}", Later(put))
