"""The page's server: on this machine, for this machine.

One project a process: NiceGUI keeps its pages in one place for the whole process.
"""

from __future__ import annotations

import gc
import socket
import sys
import threading
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from blankwright.base.errors import FileProblem, Problem
from blankwright.jobs.project import find_project

if TYPE_CHECKING:
    from fastapi import FastAPI

    from blankwright.page.desk import Desk
    from blankwright.page.guard import Guard

HOST = "127.0.0.1"
PORT = 8620


def create_app(project: Path, port: int = PORT) -> Guard:
    """Return the page of a project as an ASGI application.

    Args:
        project: the project folder, or a folder or file in it
        port: the port it will be asked at; requests that name another are refused

    Raises:
        FileProblem: when there is no project there
        BadInput: when its file is wrong
    """
    with _left_out("aiohttp"):
        import nicegui.ui_run_with
    from fastapi import FastAPI

    from blankwright.page.bring_in import upload_route
    from blankwright.page.desk import Desk
    from blankwright.page.guard import Guard
    from blankwright.page.hand_out import download_route
    from blankwright.page.later import later
    from blankwright.page.lost import lost_route
    from blankwright.page.views import register

    desk = Desk(find_project(project))
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    upload_route(app, desk)
    download_route(app, desk)
    app.router.routes.append(later("/book", partial(_put_book, find_project(project).root)))
    app.router.routes.append(later("/compare", partial(_put_compare, desk)))
    register(desk, app)
    lost_route()
    nicegui.ui_run_with.run_with(
        app,
        title="Blankwright",
        favicon=Path(__file__).parent / "static" / "mark.svg",
        dark=None,
        language="en-US",
        tailwind=False,
        show_welcome_message=False,
        reconnect_timeout=30.0,
        binding_refresh_interval=None,
    )
    return Guard(app, port)


def _put_book(root: Path, app: FastAPI) -> None:
    from blankwright.page.book_view import book_routes

    book_routes(app, root)


def _put_compare(desk: Desk, app: FastAPI) -> None:
    from blankwright.page.compare_view import routes

    routes(app, desk)


@contextmanager
def _left_out(package: str) -> Iterator[None]:
    """Import without a package that is only used where it is there.

    The web socket library reads it for its client, which we have no use for: a tenth of the start.
    """
    if package in sys.modules:
        yield
        return
    sys.modules[package] = None  # type: ignore[assignment]
    try:
        yield
    finally:
        del sys.modules[package]


def serve(project: Path, port: int = 0, open_browser: bool = True) -> None:
    """Serve the page of a project until interrupted.

    Args:
        project: the project folder, or a folder or file in it
        port: the port to listen on; 0 takes our usual one, or a free one when that is taken
        open_browser: whether to open the page in the builder's browser

    Raises:
        FileProblem: when there is no project there, or the port is taken
        BadInput: when the project's file is wrong
    """
    find_project(project)  # what is wrong is said before a browser opens
    listener = _listen(port)
    taken = int(listener.getsockname()[1])
    address = f"http://{HOST}:{taken}/"
    if open_browser:
        # The port listens already: the browser starts while we import what the page needs.
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
    print(f"Blankwright's page: {address}  (Ctrl+C ends it)", flush=True)
    # What is imported now stays: looking it through for garbage would cost a tenth of the start.
    gc.disable()
    import uvicorn

    config = uvicorn.Config(
        create_app(project, taken), log_level="warning", ws_max_size=64 * 1024 * 1024
    )
    gc.freeze()
    gc.enable()
    uvicorn.Server(config).run(sockets=[listener])


def _listen(port: int) -> socket.socket:
    for wanted in (port,) if port else (PORT, 0):
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((HOST, wanted))
        except OSError:
            listener.close()
            continue
        listener.listen(128)
        return listener
    raise FileProblem(
        Problem(
            code="PAGE-004",
            where=f"port {port}",
            got="another program listens there",
            fix="Close it, or choose another port",
        )
    )
