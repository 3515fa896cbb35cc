"""A part's blank held against somebody else's flat drawing: reached from the leaf Make."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping, Sequence
from html import escape
from itertools import count
from pathlib import PurePosixPath
from typing import TYPE_CHECKING
from urllib.parse import quote

from blankwright.base.errors import BadInput, BlankwrightError, OurBug, Problem
from blankwright.jobs.items import Item, chosen
from blankwright.page.compare_html import compare_drawing, form_html
from blankwright.page.desk import Desk
from blankwright.page.plain import STATIC, answer, problems_html, whole
from blankwright.page.work import Cancelled, Work

if TYPE_CHECKING:
    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.responses import Response

KEEP_JOBS = 4
"""So many comparisons are at hand, each with its drawing: to state more without choosing anew."""


class CompareJob:
    """One comparison that is being made, or was.

    Args:
        desk: the project
        item: whose blank
        data: their drawing
        words: what was asked, as the form had it; ``drawing`` is the drawing's name
    """

    def __init__(self, desk: Desk, item: Item, data: bytes, words: Mapping[str, str]) -> None:
        self.words, self.data = words, data
        self.done = False
        self.shown = ""
        self.problems: tuple[Problem, ...] = ()
        self.work = Work(compare_drawing, desk.project, item, data, words["drawing"], dict(words))
        self.task = asyncio.get_running_loop().create_task(self._wait())

    async def _wait(self) -> None:
        try:
            self.shown = await self.work.result()
        except Cancelled:
            self.shown = '<p class="bw-good" role="status">Cancelled. Nothing was compared.</p>'
        except (BlankwrightError, OurBug) as error:
            self.problems = error.problems
        finally:
            self.done = True


def routes(app: FastAPI, desk: Desk) -> None:
    """Put the view on the page."""
    from starlette.responses import RedirectResponse
    from starlette.routing import Route

    jobs: dict[str, CompareJob] = {}
    numbers = count(1)

    def show(request: Request) -> Response:
        name, number = request.path_params["part"], request.query_params.get("job", "")
        if name not in desk.names():
            text = "<p>This project has no part of that name.</p>"
            return answer(whole("Compare", "Blank of", name, text), wrong=True)
        job = jobs.get(number)
        # A part's name stands with its drawing, so that another part does not take it over.
        if job is None or job.words["part"] != name:
            return answer(_page(desk, name, {}))
        text = _page(desk, name, job.words, _said(job, name, number), number, not job.done)
        return answer(text, wrong=bool(job.problems))

    async def act(request: Request) -> Response:
        name = request.path_params["part"]
        if name not in desk.names():
            return show(request)
        form = await request.form(max_files=1, max_fields=20, max_part_size=10_000)
        words = {key: value for key, value in form.items() if isinstance(value, str)}
        words["part"] = name
        before = jobs.get(words.get("job", ""))
        if words.get("do") == "cancel":
            if before is not None and not before.done:
                before.work.cancel()
                await before.task
            return RedirectResponse(f"{_address(name)}?job={quote(words.get('job', ''))}", 303)
        data, words["drawing"] = b"", ""
        upload = form.get("flat")
        if upload is not None and not isinstance(upload, str) and upload.filename:
            words["drawing"] = PurePosixPath(upload.filename.replace("\\", "/")).name
            data = await upload.read()
        elif before is not None and before.words["part"] == name:
            words["drawing"], data = before.words["drawing"], before.data
        try:
            if not words["drawing"]:
                raise BadInput(_none_chosen())
            job = CompareJob(desk, _which(desk, name, words), data, words)
        except BlankwrightError as error:
            return answer(_page(desk, name, words, problems_html(error.problems)), wrong=True)
        number = str(next(numbers))
        jobs[number] = job
        for old in list(jobs)[:-KEEP_JOBS]:
            if jobs[old].done:
                del jobs[old]
        # Most are there in a moment: then no page in between flickers by.
        await asyncio.wait([job.task], timeout=2.0)
        return RedirectResponse(f"{_address(name)}?job={number}", 303)

    app.router.routes.extend(
        [
            Route("/compare/{part:str}", show, methods=["GET"]),
            Route("/compare/{part:str}", act, methods=["POST"]),
        ]
    )


def _address(name: str) -> str:
    return f"/compare/{quote(name, safe='')}"


def _items(desk: Desk, name: str) -> Sequence[Item]:
    return [item for item in chosen(desk.project, [name]) if item.path.stem == name]


def _which(desk: Desk, name: str, words: Mapping[str, str]) -> Item:
    items = _items(desk, name)
    return next((item for item in items if item.name == words.get("which")), items[0])


def _said(job: CompareJob, name: str, number: str) -> str:
    if job.done:
        return job.shown or problems_html(job.problems)
    return (
        '<div class="bw-work" role="status"><b>Laying their drawing over the blank …</b>'
        '<progress aria-label="Laying their drawing over the blank"></progress>'
        f'<form method="post" action="{_address(name)}">'
        f'<input type="hidden" name="job" value="{escape(number, quote=True)}">'
        '<button name="do" value="cancel">Cancel</button></form></div>'
    )


def _page(
    desk: Desk,
    name: str,
    words: Mapping[str, str],
    said: str = "",
    job: str = "",
    again: bool = False,
) -> str:
    try:
        form = form_html(_address(name), _items(desk, name), words, job)
    except BlankwrightError as error:
        form = problems_html(error.problems)
    style = (STATIC / "compare.css").read_text(encoding="utf-8")
    body = (
        f'<style>{style}</style><div class="bw-two"><section>'
        "<h2>Their flat drawing</h2><p>It is laid over the blank, turned and turned over as need "
        "be, so that most of both agrees. What differs is listed with its place. Nothing is "
        f"kept.</p>{form}</section><div>{said}</div></div>"
    )
    return whole(
        "Compare",
        "Blank of",
        name,
        body,
        [("Project", desk.project.title)],
        again=1 if again else 0,
        part=name,
    )


def _none_chosen() -> Problem:
    return Problem(
        code="PAGE-019",
        where="their flat drawing",
        got="none is chosen",
        allowed="a DXF file",
        fix="Choose the file, or drop it on its field",
    )
