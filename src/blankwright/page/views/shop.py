"""The shop tools view: what the shop file holds, and the file itself, with what is wrong in it."""

from __future__ import annotations

import hashlib
import re
from functools import cache
from html import escape
from typing import TYPE_CHECKING
from urllib.parse import quote

from blankwright.base.errors import BlankwrightError, Problem
from blankwright.jobs.shop_tools import NAME, shop_groups, shop_problems, to_measure
from blankwright.page.desk import Desk
from blankwright.page.plain import answer, problems_html, table, whole, words_of, wrong_of

if TYPE_CHECKING:
    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.responses import Response


def routes(app: FastAPI, desk: Desk) -> None:
    """Put the shop tools view on the page."""
    from starlette.concurrency import run_in_threadpool
    from starlette.routing import Route

    def show(request: Request) -> Response:
        now = file_text(desk)
        return answer(_page(desk, now, mark(now), problems_html(shop_problems(desk.project, now))))

    async def save(request: Request) -> Response:
        words = await words_of(request)
        if words.get("do") == "measure":
            return await run_in_threadpool(_measure, desk)
        now = file_text(desk)
        # A browser sends its own line ends; the file keeps those it has.
        line_end = "\r\n" if "\r\n" in now else "\n"
        typed, seen = words.get("text", "").replace("\n", line_end), words.get("seen", "")
        if seen != mark(now) and typed != now:
            said = problems_html([_changed()]) + _theirs(now)
            return answer(_page(desk, typed, mark(now), said), wrong=True)
        problems = shop_problems(desk.project, typed)
        if problems and words.get("do") != "anyway":
            said = "<p><b>Not in the file yet.</b></p>" + problems_html(problems)
            return answer(_page(desk, typed, seen, said, anyway=_is_toml(typed)), wrong=True)
        try:
            desk.history.write(NAME, typed, "shop tools")
        except BlankwrightError as error:
            return answer(_page(desk, typed, seen, wrong_of(error)), wrong=True)
        word = "Saved in shop.toml. Undo on the Parts view takes it back."
        good = f'<p class="bw-good" role="status">{word}</p>{problems_html(problems)}'
        return answer(_page(desk, typed, mark(typed), good))

    app.router.routes.extend(
        [Route("/shop", show, methods=["GET"]), Route("/shop", save, methods=["POST"])]
    )


def file_text(desk: Desk) -> str:
    """Return what the shop file holds; nothing when there is none."""
    desk.history.look(NAME)
    return desk.history.text(NAME) or ""


def mark(text: str) -> str:
    """Return a mark of a text, by which a form knows what it was read from."""
    return hashlib.sha256(text.encode()).hexdigest()


def _is_toml(text: str) -> bool:
    return bool(shop_groups(text)) or not text.strip()


def _changed() -> Problem:
    return Problem(
        code="PAGE-013",
        where=NAME,
        got="the file was changed elsewhere since this window read it; yours is kept in this form",
        fix="Compare the two, take over what you need, and save again",
    )


def _theirs(text: str) -> str:
    return (
        '<label class="grow">What the file holds now'
        f'<textarea class="bw-text" readonly rows="12">\n{escape(text)}</textarea></label>'
    )


def _page(desk: Desk, text: str, seen: str, said: str, *, anyway: bool = False) -> str:
    groups = "".join(
        f"<h3>{escape(title[:1].upper() + title[1:])}</h3>"
        + table(title, ["What", "As typed"], [(escape(k), escape(v)) for k, v in rows])
        for title, rows in shop_groups(text)
    )
    none = f"<p>There is no {NAME} yet. Describe the shop's tools once; every plan uses them.</p>"
    more = '<button name="do" value="anyway">Save it all the same</button>' if anyway else ""
    body = f"""<div class="bw-two bw-long"><section><h2>{NAME}</h2>{said}
<form method="post" action="/shop">
<input type="hidden" name="seen" value="{escape(seen, quote=True)}">
<label class="grow" style="flex-basis: 100%">The file as text, comments and all
<textarea class="bw-text" name="text" spellcheck="false">\n{escape(text)}</textarea></label>
<button class="strong" name="do" value="save">Save</button>{more}</form></section>
<section><h2>What is in it</h2>
<p><a href="#measure">What to measure on bending tools</a></p>
{groups or none}</section></div>{_to_measure()}"""
    return whole("Shop tools", "Shop tools of", desk.project.title, body)


def _tall(drawn: str) -> str:
    """Return the height of an SVG in its own units, by which lettering keeps its size."""
    found = re.search(r'viewBox="\S+ \S+ \S+ ([\d.]+)"', drawn)
    return found[1] if found else "200"


@cache
def _to_measure() -> str:
    """Return the drawings of what to measure on bending tools, with the keys to type it under."""
    cards = []
    for tool in to_measure():
        # Drawn black on white; here in the page's own ink, light or dark.
        drawn = tool.picture[tool.picture.index("<svg") :].replace("#000", "currentColor")
        keys = table(tool.title, ["Key", "What it is"], [tuple(map(escape, k)) for k in tool.keys])
        cards.append(
            f"<div><h3>{escape(tool.title)}: <code>[[{escape(tool.table)}]]</code></h3>"
            f'<figure class="bw-measure" style="--tall: {_tall(drawn)}" role="img"'
            f' aria-label="Section of a {escape(tool.title)} with what to measure">{drawn}</figure>'
            f"{keys}</div>"
        )
    return (
        '<section id="measure"><h2>What to measure on bending tools</h2>'
        '<form method="post" action="/shop">'
        "<p>A rule, calipers and a radius gauge will do. Every length with its unit.</p>"
        '<button name="do" value="measure">Make it as a sheet to print</button></form>'
        f'<div class="bw-tools-to-measure">{"".join(cards)}</div></section>'
    )


def _measure(desk: Desk) -> Response:
    """Make the sheet that shows what to measure, and offer it."""
    from blankwright.jobs.bending_plan import keep_measure_sheet

    now = file_text(desk)
    try:
        path = keep_measure_sheet(desk.project)
    except BlankwrightError as error:
        return answer(_page(desk, now, mark(now), wrong_of(error)), wrong=True)
    address = "/out/" + quote(path.relative_to(desk.project.out).as_posix())
    link = f'<a href="{address}" target="_blank">{escape(path.name)}</a>'
    said = f'<p class="bw-good" role="status">Made: {link}. Measure once, type it in here.</p>'
    return answer(_page(desk, now, mark(now), said))
