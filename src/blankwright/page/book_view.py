"""The job book on the page: plain pages and forms on the page's own server.

Every request goes through the page's guard, as all of the page does: this machine only.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from blankwright.base.errors import BlankwrightError
from blankwright.book import records as r
from blankwright.book.history import history
from blankwright.book.work import AIRPLANE, POSITION, SERIAL, setting
from blankwright.jobs import book_tasks
from blankwright.jobs.book_deviations import cases
from blankwright.jobs.book_hardware import shelf
from blankwright.jobs.book_inspection import stages, yearly_times
from blankwright.jobs.book_keep import check_book
from blankwright.jobs.book_log import Picture
from blankwright.jobs.book_materials import lots
from blankwright.jobs.book_measured import known_sizes
from blankwright.jobs.book_open import BookAt, book_at, start_book
from blankwright.page import book_html as html
from blankwright.page.book_actions import ACTIONS
from blankwright.page.book_deviation_html import deviations_page
from blankwright.page.book_forms import Doing
from blankwright.page.book_give import GIVERS, given
from blankwright.page.book_hardware_html import hardware_page
from blankwright.page.book_history_html import history_page, how_many
from blankwright.page.book_inspection_html import inspection_page
from blankwright.page.book_keep_html import keep_page
from blankwright.page.book_log_html import log_form, next_page
from blankwright.page.book_lots_html import lots_page
from blankwright.page.book_sent import Sent
from blankwright.page.book_views import log_view, order_view, parts_view, tasks_view
from blankwright.page.plain import problems_html

if TYPE_CHECKING:
    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.responses import Response

_PHOTO: Final = re.compile(r"[0-9a-f]{2}/[0-9a-f]{64}\.[a-z]{3,4}")
MOST_PHOTOS: Final = 20


def now() -> datetime:
    """The clock."""
    return datetime.now(UTC).astimezone()


def book_routes(app: FastAPI, root: Path) -> None:
    """Put the job book of a project on the page's server.

    Args:
        app: the page's application, before NiceGUI is put on it
        root: the project folder
    """
    from starlette.concurrency import run_in_threadpool
    from starlette.responses import FileResponse, HTMLResponse, PlainTextResponse, RedirectResponse
    from starlette.routing import Route

    def shown(name: str, doing: Doing, said: str = "", status: int = 200) -> Response:
        try:
            with book_at(root) as book:
                title, boxes, body = _page(book, name, doing)
        except BlankwrightError as error:
            if error.problems[0].code != "BOOK-003":
                trouble = problems_html(error.problems)
                return HTMLResponse(html.whole("Job book", name, (), trouble), 500)
            title, boxes, body = "Not started yet", (), _START
        return HTMLResponse(html.whole(title, name, boxes, said + body), status)

    async def show(request: Request) -> Response:
        name = request.path_params.get("name", "")
        if name not in dict(html.PAGES):
            return PlainTextResponse("There is no such page in the job book.\n", 404)
        words = dict(request.query_params)
        said = html.KEPT if words.get("kept") else ""
        return await run_in_threadpool(shown, name, Doing(words.get("do", ""), words), said)

    async def act(request: Request) -> Response:
        name = request.path_params["action"]
        if name != "start" and name not in ACTIONS:
            return PlainTextResponse("The job book can't do that.\n", 404)
        form = await request.form(max_files=MOST_PHOTOS, max_fields=20, max_part_size=100_000)
        # Browsers send line ends as CR LF, whatever was typed.
        words = {k: v.replace("\r\n", "\n") for k, v in form.items() if isinstance(v, str)}
        photos = [
            Picture(data=await upload.read(), name=upload.filename or "photo")
            for upload in form.getlist("photo")
            if not isinstance(upload, str) and upload.size
        ]

        def do() -> Response:
            back = ""
            try:
                if name == "start":
                    start_book(root, now(), builder=words.get("builder", ""))
                else:
                    back, work = ACTIONS[name]
                    with book_at(root) as book:
                        work(book, Sent(words, now(), photos))
            except BlankwrightError as error:
                return shown(back, Doing(name, words), problems_html(error.problems), 400)
            return RedirectResponse(f"/book{'/' if back else ''}{back}?kept=1", 303)

        return await run_in_threadpool(do)

    async def photo(request: Request) -> Response:
        from blankwright.files.photos import small_photo

        file = f"{request.path_params['inner']}/{request.path_params['file']}"
        if not _PHOTO.fullmatch(file):
            return PlainTextResponse("There is no such photo.\n", 404)
        path = root / "photos" / file
        if request.path_params["size"] == "small":
            try:
                path = await run_in_threadpool(small_photo, root / "photos", file)
            except BlankwrightError as error:
                return PlainTextResponse(f"{error}\n", 404)
        if not path.is_file():
            return PlainTextResponse("There is no such photo.\n", 404)
        # A photo never changes under its hash, so a browser may keep it.
        headers = {"cache-control": "private, max-age=31536000, immutable"}
        return FileResponse(path, headers=headers)

    async def give(request: Request) -> Response:
        name = request.path_params["file"]
        if name not in GIVERS:
            return PlainTextResponse("The job book gives no such file.\n", 404)
        return await run_in_threadpool(given, root, name, now())

    app.router.routes.extend(
        [
            Route("/book", show, methods=["GET"]),
            Route("/book/give/{file:str}", give, methods=["GET"]),
            Route("/book/{size:str}/{inner:str}/{file:str}", photo, methods=["GET"]),
            Route("/book/{name:str}", show, methods=["GET"]),
            Route("/book/{action:str}", act, methods=["POST"]),
        ]
    )


def _page(book: BookAt, name: str, doing: Doing) -> tuple[str, tuple[tuple[str, str], ...], str]:
    """Title, boxes of the head and body of a page of the book."""
    found = book_tasks.what_next(book, now())
    with book.read() as reader:
        title = setting(reader, AIRPLANE) or book.project.title
        serial = setting(reader, SERIAL)
        position = setting(reader, POSITION)
        deviations = cases(reader)
        parts = [part.name for part in reader.all(r.Part, order=("name",))]
    ready = sum(s.can_be_done for s in found)
    boxes = (
        ("Can be done", str(ready)),
        ("Wait", str(len(found) - ready)),
        ("Open deviations", str(sum(case.is_open for case in deviations))),
    )
    if name == "log":
        body = log_view(book, found, doing)
    elif name == "tasks":
        body = tasks_view(book, found, doing)
    elif name == "order":
        body = order_view(book, now(), doing)
    elif name == "parts":
        body = parts_view(book, doing)
    elif name == "keep":
        body = keep_page(book.book.name, check_book(book) if doing.words.get("check") else None)
    elif name == "hardware":
        body = hardware_page(shelf(book, now()), book_tasks.all_tasks(book), doing, parts)
    elif name == "deviations":
        body = deviations_page(deviations, doing, parts)
    elif name == "inspection":
        with book.read() as reader:
            yearly = yearly_times(reader, now(), ended=True)
            body = inspection_page(stages(reader), yearly, doing, parts)
    elif name == "lots":
        with book.read() as reader:
            body = lots_page(lots(reader), doing, parts)
    elif name == "history":
        with book.read() as reader:
            last = how_many(doing)
            body = history_page(history(reader, last=last), last)
    else:
        sizes = known_sizes(book.project)
        curing = book_tasks.what_cures(book, now())
        body = log_form(found, sizes, doing) + next_page(found, curing, position)
    return " ".join(filter(None, [title, serial])), boxes, body


_START: Final = """<section><h2>There is no job book in this project yet</h2>
<form class="bw-write" method="post" action="/book/start">
<label class="grow">Who builds<input type="text" name="builder"></label>
<button class="strong">Start the job book</button></form></section>"""
