"""The job book on the page: plain pages and forms on the page's own server.

Every request goes through the page's guard, as all of the page does: this machine only.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from blankwright.base.errors import BlankwrightError
from blankwright.book.history import history
from blankwright.book.work import AIRPLANE, POSITION, SERIAL, setting
from blankwright.jobs import book_tasks
from blankwright.jobs.book_deviations import cases
from blankwright.jobs.book_hardware import shelf
from blankwright.jobs.book_inspection import stages, yearly_times
from blankwright.jobs.book_keep import take_change_back
from blankwright.jobs.book_log import Picture, log, log_page
from blankwright.jobs.book_open import BookAt, book_at, start_book
from blankwright.jobs.book_sizes import put_size
from blankwright.page import book_html as html

if TYPE_CHECKING:
    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.responses import Response

_PHOTO: Final = re.compile(r"[0-9a-f]{2}/[0-9a-f]{64}\.[a-z]{3,4}")
ON_A_PAGE: Final = 20
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

    def shown(name: str, words: dict[str, str], wrong: tuple[str, ...] = ()) -> Response:
        try:
            with book_at(root) as book:
                title, boxes, body = _page(book, name, words)
        except BlankwrightError as error:
            if error.problems[0].code != "BOOK-003":
                return HTMLResponse(
                    html.whole("Job book", name, (), html.trouble([str(error)])), 500
                )
            title, boxes, body = "Not started yet", (), _START
        text = html.whole(title, name, boxes, html.trouble(wrong) + body)
        return HTMLResponse(text, 400 if wrong else 200)

    async def show(request: Request) -> Response:
        name = request.path_params.get("name", "")
        if name not in dict(html.PAGES):
            return PlainTextResponse("There is no such page in the job book.\n", 404)
        return await run_in_threadpool(shown, name, dict(request.query_params))

    async def act(request: Request) -> Response:
        name = request.path_params["action"]
        if name not in _ACTIONS:
            return PlainTextResponse("The job book can't do that.\n", 404)
        form = await request.form(max_files=MOST_PHOTOS, max_fields=20, max_part_size=100_000)
        words = {key: value for key, value in form.items() if isinstance(value, str)}
        photos = [
            Picture(data=await upload.read(), name=upload.filename or "photo")
            for upload in form.getlist("photo")
            if not isinstance(upload, str) and upload.size
        ]

        def do() -> Response:
            back, work = _ACTIONS[name]
            try:
                if name == "start":
                    start_book(root, now(), builder=words.get("builder", ""))
                else:
                    with book_at(root) as book:
                        work(book, words, photos)
            except BlankwrightError as error:
                said = tuple(str(problem) for problem in error.problems)
                return shown(back, {}, said)
            except (KeyError, ValueError):
                return shown(back, {}, ("A number is missing or is none.",))
            return RedirectResponse(f"/book/{back}".rstrip("/"), 303)

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

    app.router.routes.extend(
        [
            Route("/book", show, methods=["GET"]),
            Route("/book/{size:str}/{inner:str}/{file:str}", photo, methods=["GET"]),
            Route("/book/{name:str}", show, methods=["GET"]),
            Route("/book/{action:str}", act, methods=["POST"]),
        ]
    )


def _page(
    book: BookAt, name: str, words: dict[str, str]
) -> tuple[str, tuple[tuple[str, str], ...], str]:
    """Title, boxes of the head and body of a page of the book."""
    found = book_tasks.what_next(book, now())
    with book.read() as reader:
        title = setting(reader, AIRPLANE) or book.project.title
        serial = setting(reader, SERIAL)
        position = setting(reader, POSITION)
        deviations = cases(reader)
    ready = sum(s.can_be_done for s in found)
    boxes = (
        ("Can be done", str(ready)),
        ("Wait", str(len(found) - ready)),
        ("Open deviations", str(sum(case.is_open for case in deviations))),
    )
    if name == "log":
        start = int(words["start"]) if words.get("start", "").isdigit() else 0
        text = words.get("text", "")
        page = log_page(book, start=min(start, 10**9), count=ON_A_PAGE, text=text)
        body = html.log_form(found) + html.log_body(page, text, ON_A_PAGE)
    elif name == "hardware":
        titles = {task.id: task.title for task in book_tasks.all_tasks(book)}
        body = html.hardware_page(shelf(book, now()), titles)
    elif name == "deviations":
        body = html.deviations_page(deviations)
    elif name == "inspection":
        with book.read() as reader:
            body = html.inspection_page(stages(reader), yearly_times(reader, now()))
    elif name == "history":
        with book.read() as reader:
            body = html.history_page(history(reader, last=50))
    else:
        body = html.log_form(found) + html.next_page(found, position)
    return " ".join(filter(None, [title, serial])), boxes, body


def _entry(book: BookAt, words: dict[str, str], photos: list[Picture]) -> None:
    log(
        book,
        now(),
        words.get("text", ""),
        minutes=int(words.get("minutes") or 0),
        helpers=words.get("helpers", ""),
        task=int(words["task"]) if words.get("task") else None,
        pictures=photos,
    )


_Work = Callable[[BookAt, dict[str, str], list[Picture]], object]
_ACTIONS: Final[dict[str, tuple[str, _Work]]] = {
    "start": ("", lambda book, words, photos: None),
    "entry": ("log", _entry),
    "begin": ("", lambda book, words, _: book_tasks.begin_task(book, now(), int(words["task"]))),
    "done": ("", lambda book, words, _: book_tasks.finish_task(book, now(), int(words["task"]))),
    "size": ("log", lambda book, words, _: put_size(book, now(), int(words["measurement"]))),
    "take-back": (
        "history",
        lambda book, words, _: take_change_back(book, now(), int(words["change"])),
    ),
}
"""What can be done, each with the page that is shown afterwards."""

_START: Final = """<section><h2>There is no job book in this project yet</h2>
<form class="bw-write" method="post" action="/book/start">
<label class="grow">Who builds<input type="text" name="builder"></label>
<button class="strong">Start the job book</button></form></section>"""
