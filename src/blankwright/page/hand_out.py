"""Handing out what was made."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fastapi import FastAPI
from fastapi.responses import FileResponse, Response

from blankwright.page.lost import lost

if TYPE_CHECKING:
    from blankwright.page.desk import Desk


def download_route(app: FastAPI, desk: Desk) -> None:
    """Let the page hand out what was made; nothing outside the project's `out` folder."""

    @app.get("/out/{item}/{file}", response_model=None)
    def out(item: str, file: str) -> Response:
        root = desk.project.out.resolve()
        path = (root / item / file).resolve()
        names = (item, file)
        if (
            any(name in ("", ".", "..") or "/" in name or "\\" in name for name in names)
            or not path.is_relative_to(root)
            or not path.is_file()
        ):
            return lost("No such file", "It may have been made anew under another name.")
        shown = path.suffix == ".pdf"
        return FileResponse(
            path, filename=file, content_disposition_type="inline" if shown else "attachment"
        )
