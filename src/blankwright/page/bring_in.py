"""Files dropped on the page: taken in whole, never larger than the bound, nowhere but here."""

from __future__ import annotations

import json
from pathlib import PurePosixPath
from typing import TYPE_CHECKING
from urllib.parse import unquote

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse

from blankwright.base.errors import BlankwrightError, Problem
from blankwright.page.problem_json import problem_json

if TYPE_CHECKING:
    from blankwright.page.desk import Desk

MOST_BYTES = 100 * 1024 * 1024
"""The largest file that is taken."""

NO_ANSWER = "PAGE-009"
"""Told by `drop_zone.js` itself, when the program has ended and nobody can answer."""

KINDS = (".step", ".stp", ".dxf", ".toml")


def upload_route(app: FastAPI, desk: Desk) -> None:
    """Let the page take files.

    The file's bytes are the body; its name is asked for in the address and used for its ending
    and as a suggestion only, never as a path. What the builder has stated comes as JSON in the
    header ``X-Stated``; with ``keep`` in the address the part files are written.
    """

    @app.post("/bring-in")
    async def bring_in(request: Request, name: str, keep: bool = False) -> JSONResponse:
        kind = PurePosixPath(name.replace("\\", "/")).suffix.lower()
        if kind not in KINDS:
            return _refuse(415, _wrong(name, f"a file of kind {kind or 'without ending'}"))
        body = bytearray()
        async for chunk in request.stream():
            body.extend(chunk)
            if len(body) > MOST_BYTES:
                size = MOST_BYTES // (1024 * 1024)
                return _refuse(413, _large(name, size))
        try:
            stated = json.loads(unquote(request.headers.get("x-stated", "%7B%7D")))
        except ValueError:
            stated = None
        try:
            said = await desk.bring_in(name, kind, bytes(body), stated, keep)
        except BlankwrightError as error:
            return _refuse(422, *error.problems)
        return JSONResponse(said)


def _refuse(status: int, *problems: Problem) -> JSONResponse:
    return JSONResponse({"problems": [problem_json(p) for p in problems]}, status_code=status)


def _wrong(name: str, got: str) -> Problem:
    return Problem(
        code="PAGE-005",
        where=name,
        got=got,
        allowed="STEP (.step, .stp), DXF (.dxf) or a part file (.toml)",
        fix="Save the part in one of these and drop it again",
    )


def _large(name: str, size: int) -> Problem:
    return Problem(
        code="PAGE-006",
        where=name,
        got=f"the file is larger than {size} MB",
        fix="Save the one part alone, without the airplane around it",
    )
