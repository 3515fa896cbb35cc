"""The holes view of a part: rivet rows, fields, drilling up, matched parts, air, templates."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from blankwright.base.errors import BlankwrightError
from blankwright.jobs.holes_matched_files import put_into_parts
from blankwright.jobs.items import chosen
from blankwright.jobs.part_state import state_of
from blankwright.jobs.project import Project
from blankwright.jobs.shop_coupons import coupons_of
from blankwright.page.desk import Desk
from blankwright.page.holes_places_html import drill_html, places_html, templates_html
from blankwright.page.holes_rows_html import (
    fields_html,
    found_html,
    picture_html,
    rows_html,
)
from blankwright.page.plain import (
    answer,
    whole,
    words_of,
    wrong_of,
)

if TYPE_CHECKING:
    from pathlib import Path as FilePath

    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.responses import Response


_CAUTION = (
    "Held against the handbook's tables. A check, never an approval: the drawing and its designer"
    " decide."
)


def routes(app: FastAPI, desk: Desk) -> None:
    """Put the holes view on the page."""
    from starlette.concurrency import run_in_threadpool
    from starlette.routing import Route

    def show_holes(request: Request) -> Response:
        name = request.path_params["part"]
        words = dict(request.query_params.items())
        if name not in desk.names():
            text = "<p>This project has no part of that name.</p>"
            return answer(whole("Holes", "Holes of", name, text), wrong=True)
        return answer(holes_page(desk.project, name, words))

    async def put_in(request: Request) -> Response:
        name, words = request.path_params["part"], await words_of(request)
        if name not in desk.names():
            return show_holes(request)
        return await run_in_threadpool(_put_in, desk, name, words.get("place", ""))

    app.router.routes.extend(
        [
            Route("/holes/{part:str}", show_holes, methods=["GET"]),
            Route("/holes/{part:str}", put_in, methods=["POST"]),
        ]
    )


def _put_in(desk: Desk, name: str, place: str) -> Response:
    """Put the matched holes of a place into the other parts' files, and show the view again."""

    def write(path: FilePath, text: str, seen: str) -> None:
        file = f"parts/{path.name}"
        desk.history.look(file)
        desk.history.write(file, text, f"matched holes of {place}")
        desk.changed_below(file)

    try:
        done = put_into_parts(desk.project, place, write)
    except BlankwrightError as error:
        return answer(holes_page(desk.project, name, {}, wrong_of(error)), wrong=True)
    changed = [one.path.name for one in done if one.changed]
    word = (
        f"Put into {', '.join(changed)}. Undo on the Parts view takes it back."
        if changed
        else "Nothing to change: the holes are in the part files already."
    )
    for hole, into in (pair for one in done for pair in one.left_out):
        word += f" Left out: {hole}, it runs into hole {into}."
    said = f'<p class="bw-good" role="status">{escape(word)}</p>'
    return answer(holes_page(desk.project, name, {}, said))


def holes_page(project: Project, name: str, words: dict[str, str], said: str = "") -> str:
    """Return the view as HTML.

    Args:
        project: where the part is
        name: of the part
        words: of the form for drilling up one hole
        said: HTML of what was done, shown first
    """
    boxes = [("Project", project.title)]
    left, right = "", ""
    try:
        item = chosen(project, [name])[0]
        state = state_of(item.read(), coupons_of(project))
    except BlankwrightError as error:
        left = wrong_of(error)
    else:
        left = (
            picture_html(state) + rows_html(project, state) + fields_html(state) + found_html(state)
        )
        right = places_html(project, name)
    right += templates_html(project)
    body = (
        f"{said}<p>{escape(_CAUTION)}</p>{drill_html(project, name, words)}"
        f'<div class="bw-two bw-lengths"><div>{left}</div><div>{right}</div></div>'
    )
    return whole("Holes", "Holes of", name, body, boxes, part=name)
