"""The prints view: full-size prints of any part, on any paper, and the printer's own error."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable, Mapping
from html import escape
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from blankwright.base.errors import BlankwrightError, OurBug, Problem
from blankwright.base.units import fixed
from blankwright.jobs.items import chosen
from blankwright.jobs.prints import (
    FOLDER,
    KINDS,
    PAPER_NAMES,
    print_check_sheet,
    print_part,
    prints_made,
    reopened,
    with_printer,
)
from blankwright.jobs.project import FILE, Project
from blankwright.page.desk import Desk
from blankwright.page.plain import (
    answer,
    choice,
    field,
    options_of,
    problems_html,
    whole,
    words_of,
)
from blankwright.page.work import Cancelled, Work

if TYPE_CHECKING:
    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.responses import Response

KEEP_JOBS = 20


class PrintJob:
    """One print that is being made, or was.

    Args:
        words: what was asked, as the form had it
        make: makes it, in a process of its own
        arguments: what that takes
    """

    def __init__(
        self, words: Mapping[str, str], make: Callable[..., Path], *arguments: Any
    ) -> None:
        self.words = words
        self.done = False
        self.cancelled = False
        self.path: Path | None = None
        self.problems: tuple[Problem, ...] = ()
        self.work = Work(make, *arguments)
        self.task = asyncio.get_running_loop().create_task(self._wait())

    async def _wait(self) -> None:
        try:
            self.path = await self.work.result()
        except Cancelled:
            self.cancelled = True
        except OurBug as error:
            self.problems = error.problems
        except BlankwrightError as error:
            self.problems = error.problems
        finally:
            self.done = True


def routes(app: FastAPI, desk: Desk) -> None:
    """Put the prints view on the page."""
    from starlette.responses import RedirectResponse
    from starlette.routing import Route

    jobs: dict[int, PrintJob] = {}
    numbers = count(1)

    def show(request: Request) -> Response:
        asked = request.query_params
        job = jobs.get(int(asked["job"])) if asked.get("job", "").isdigit() else None
        words = dict(job.words) if job else {"part": asked.get("part", "")}
        said = _said(job, asked.get("job", "")) if job else ""
        wrong = bool(job and job.problems)
        return answer(_page(desk, words, said, again=bool(job and not job.done)), wrong=wrong)

    async def act(request: Request) -> Response:
        words = await words_of(request)
        match words.get("do"):
            case "cancel":
                number = words.get("job", "")
                job = jobs.get(int(number)) if number.isdigit() else None
                if job and not job.done:
                    job.work.cancel()
                    await job.task
                return RedirectResponse(f"/prints?job={number}", 303)
            case "printer":
                return _printer(desk, words)
        try:
            job = _begin(desk.project, words)
        except BlankwrightError as error:
            return answer(_page(desk, words, problems_html(error.problems)), wrong=True)
        new = next(numbers)
        jobs[new] = job
        for old in list(jobs)[:-KEEP_JOBS]:
            if jobs[old].done:
                del jobs[old]
        # Most prints are there in a moment: then no page in between flickers by.
        await asyncio.wait([job.task], timeout=1.0)
        return RedirectResponse(f"/prints?job={new}", 303)

    app.router.routes.extend(
        [Route("/prints", show, methods=["GET"]), Route("/prints", act, methods=["POST"])]
    )


def _begin(project: Project, words: Mapping[str, str]) -> PrintJob:
    paper = words.get("paper", "")
    if words.get("do") == "check":
        return PrintJob(words, print_check_sheet, project, paper)
    part = words.get("part", "")
    items = [item for item in chosen(project, [part]) if item.name == part] or list(
        chosen(project, [part])
    )
    return PrintJob(words, print_part, project, items[0], words.get("kind", ""), paper)


def _printer(desk: Desk, words: Mapping[str, str]) -> Response:
    measured = {
        way: (words.get(f"{way}_asked", ""), words.get(f"{way}_measured", ""))
        for way in ("across", "down")
    }
    try:
        text = with_printer(desk.project, measured)
        desk.history.write(FILE, text, "the printer's own error")
        desk.project = reopened(desk.project)
    except BlankwrightError as error:
        return answer(_page(desk, words, problems_html(error.problems)), wrong=True)
    word = "Kept. Every print is corrected by it from now on; files made before are out of date."
    return answer(_page(desk, {}, f'<p class="bw-good" role="status">{word}</p>'))


def _said(job: PrintJob, number: str) -> str:
    if not job.done:
        return (
            '<div class="bw-work" role="status"><b>Making the print and measuring it …</b>'
            '<progress aria-label="Making the print"></progress>'
            '<form method="post" action="/prints">'
            f'<input type="hidden" name="job" value="{int(number)}">'
            '<button name="do" value="cancel">Cancel</button></form></div>'
        )
    if job.cancelled:
        return '<p class="bw-good" role="status">Cancelled. No print was made.</p>'
    if job.path is None:
        return problems_html(job.problems)
    return (
        '<p class="bw-good" role="status">Made, and measured against the blank: '
        f"{_link(job.path)}. Print it at 100 %, without “fit to page”.</p>"
    )


def _link(path: Path) -> str:
    address = f"/out/{FOLDER}/{quote(path.name)}"
    return f'<a href="{address}" target="_blank">{escape(path.name)}</a>'


def _page(desk: Desk, words: Mapping[str, str], said: str, *, again: bool = False) -> str:
    project = desk.project
    names = [item.name for item in chosen(project, [])]
    paper = words.get("paper") or project.paper
    papers = choice("paper", "Paper", options_of(PAPER_NAMES), paper)
    kinds = choice("kind", "Print", KINDS.items(), words.get("kind", ""))
    if names:
        part = choice("part", "Part", options_of(names), words.get("part", ""))
        make = (
            f'<form method="post" action="/prints">{part}{kinds}{papers}'
            '<button class="strong" name="do" value="print">Make the print</button></form>'
        )
    else:
        make = "<p>This project has no part yet.</p>"
    body = (
        f'<div class="bw-two"><div>{said}<section><h2>Full-size print</h2>{make}'
        "<p>At full size, tiled over as many pages as it takes, each with scale bars and marks to "
        "join them by. The print is read back and measured before it is kept.</p></section>"
        f"{_error_section(project, words, papers)}</div>"
        f"<section><h2>Prints made</h2>{_made(desk, prints_made(project))}</section></div>"
    )
    return whole("Prints", "Prints of", project.title, body, again=1 if again else 0)


def _error_section(project: Project, words: Mapping[str, str], papers: str) -> str:
    fields = "".join(
        field(f"{way}_{key}", f"Line {word}, {text}", words.get(f"{way}_{key}", ""))
        for way, word in (("across", "across the sheet"), ("down", "along the sheet"))
        for key, text in (("asked", "as printed beside it"), ("measured", "as it measures"))
    )
    now = (
        f"Now a line of 100 mm measures {fixed(project.across_100, 3)} mm across and "
        f"{fixed(project.down_100, 3)} mm along the sheet."
    )
    return (
        "<section><h2>The printer's own error</h2>"
        "<p>No printer prints a line quite as long as it is asked to. Print the check sheet at "
        "100 %, measure its two lines with a steel rule, and enter both, with their unit.</p>"
        f'<form method="post" action="/prints">{papers}'
        '<button name="do" value="check">Make the check sheet</button></form>'
        f'<form method="post" action="/prints" style="margin-top: 14px">{fields}'
        f'<button name="do" value="printer">Keep the printer\'s error</button></form><p>{now}</p>'
        "</section>"
    )


def _made(desk: Desk, paths: Iterable[Path]) -> str:
    newest = {name: _time(desk.project.parts_folder / f"{name}.toml") for name in desk.names()}
    rows = []
    for path in paths:
        of = [name for name in newest if path.name.startswith(f"{name}-")]
        old = bool(of) and newest[max(of, key=len)] > _time(path)
        word = "older than its part: make it anew" if old else f"{path.stat().st_size // 1024} kB"
        address = f"/out/{FOLDER}/{quote(path.name)}"
        rows.append(
            f'<li><a href="{address}" target="_blank"><span>{escape(path.name)}</span>'
            f"<span>{word}</span></a></li>"
        )
    if not rows:
        return "<p>None yet. They are kept in out/prints.</p>"
    return f'<ul class="bw-made">{"".join(rows)}</ul>'


def _time(path: Path) -> int:
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0
