"""The phone's page: one form to write a log entry, usable in ten seconds."""

from __future__ import annotations

import secrets
import threading
from datetime import datetime
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Final

from blankwright.base.errors import BlankwrightError

if TYPE_CHECKING:
    from starlette.responses import Response

PARTS: Final = ("text", "minutes", "task", "done", "place", "helpers", "measured")
"""What the form holds, besides photos."""

_POLICY: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; frame-ancestors 'none';"
    " base-uri 'none'"
)
_TIMES: Final = (
    (0, "no time"),
    (15, "15 min"),
    (30, "30 min"),
    (60, "1 h"),
    (90, "1½ h"),
    (120, "2 h"),
)


class PhoneDesk:
    """Reads and writes the book for the phone's page."""

    def __init__(self, folder: Path, address: str) -> None:
        self.folder = folder
        self.address = address
        self.sent: dict[str, int] = {}
        """Forms already taken, so that a second tap on the same one writes nothing twice."""
        self.lock = threading.Lock()

    def form(self, now: datetime, said: dict[str, str] | None = None, trouble: str = "") -> str:
        """The entry form, with what was typed before in it."""
        from blankwright.jobs.book_measured import known_sizes
        from blankwright.jobs.book_open import book_at
        from blankwright.jobs.book_tasks import what_next

        said = said or {}
        with book_at(self.folder, self.address) as book:
            ready = [s.job for s in what_next(book, now) if s.can_be_done]
            among = known_sizes(book.project)
        sizes = "".join(f'<option value="{escape(size)} = "></option>' for size in among)
        chosen = said.get("task", str(ready[0].number) if ready and ready[0].begun else "")
        tasks = "".join(
            f'<option value="{job.number}"{" selected" if str(job.number) == chosen else ""}>'
            f"{escape(job.title)}</option>"
            for job in ready[:40]
        )
        minutes = said.get("minutes", "0")
        times = "".join(
            f'<label class="key"><input type="radio" name="minutes" value="{value}"'
            f"{' checked' if str(value) == minutes else ''}> {text}</label>"
            for value, text in _TIMES
        )
        slip = secrets.token_urlsafe(12)
        return f"""
{f'<p class="trouble" role="alert">{escape(trouble)}</p>' if trouble else ""}
<form method="post" action="/entry" enctype="multipart/form-data">
<input type="hidden" name="slip" value="{slip}">
<label>What was done<textarea name="text" rows="3" autofocus
 placeholder="Tap the microphone on the keyboard and say it"
>{escape(said.get("text", ""))}</textarea></label>
<label class="key">Photo <input type="file" name="photo" accept="image/jpeg,image/png"
 capture="environment" multiple></label>
<fieldset><legend>Took</legend>{times}</fieldset>
<label>Task<select name="task"><option value="">none</option>{tasks}</select></label>
<label class="key"><input type="checkbox" name="done" value="yes"
{" checked" if said.get("done") else ""}> The task is done</label>
<details><summary>Measured, where, who helped</summary>
<label>Measured<input name="measured" list="sizes" autocapitalize="none"
 placeholder="part.size = 186.4 mm ± 0.3 mm" value="{escape(said.get("measured", ""))}"></label>
<datalist id="sizes">{sizes}</datalist>
<label>Where<input name="place" value="{escape(said.get("place", ""))}"></label>
<label>Who helped<input name="helpers" value="{escape(said.get("helpers", ""))}"></label></details>
<button>Save</button></form>"""

    def write(
        self, said: dict[str, str], photos: list[tuple[str, bytes]], now: datetime
    ) -> tuple[int, str]:
        """Write an entry; a slip that came before is not written again."""
        from blankwright.jobs.book_log import Picture, log
        from blankwright.jobs.book_open import book_at
        from blankwright.jobs.book_tasks import finish_task
        from blankwright.jobs.book_typed import measured_of

        with self.lock:
            before = self.sent.get(said["slip"])
            if before is not None:
                return 200, _kept(before, "")
            trouble = ""
            try:
                minutes = int(said["minutes"] or 0)
                task = int(said["task"]) if said["task"] else None
                with book_at(self.folder, self.address) as book:
                    entry = log(
                        book,
                        now,
                        said["text"],
                        minutes=minutes,
                        place=said["place"],
                        helpers=said["helpers"],
                        task=task,
                        measured=[measured_of(said["measured"])] if said["measured"] else (),
                        pictures=[Picture(data=data, name=name) for name, data in photos],
                    )
                    if said["slip"]:
                        self.sent[said["slip"]] = entry
                    if said["done"] and task is not None:
                        try:
                            finish_task(book, now, task)
                        except BlankwrightError as error:
                            trouble = f"The task is not done yet: {error.problems[0].got}."
            except BlankwrightError as error:
                return 400, self.form(now, said, "; ".join(p.got for p in error.problems))
            except ValueError:
                return 400, self.form(now, said, "Time or task is not a number.")
            return 200, _kept(entry, trouble)


def _kept(entry: int, trouble: str) -> str:
    more = f'<p class="trouble" role="alert">{escape(trouble)}</p>' if trouble else ""
    kept = f'<p class="kept" role="status">Kept: entry {entry}.</p>'
    return f'{kept}{more}<a class="key" href="/">Another</a>'


def code_form(trouble: str) -> str:
    """The form that asks for the code."""
    return f"""
{f'<p class="trouble" role="alert">{escape(trouble)}</p>' if trouble else ""}
<form method="post" action="/code">
<label>The code that the computer shows<input name="code" inputmode="numeric" autocomplete="off"
 autofocus maxlength="9"></label><button>Go in</button></form>"""


_STYLE: Final = """
:root{--card:#fbfaf6;--ink:#14181b;--rule:#7b858c;--pick:#c6d420;--stop:#a8001c;--paper:#fffef9}
@media(prefers-color-scheme:dark){:root{--card:#1a1f23;--ink:#f3f1ea;--rule:#6d7880;--pick:#6d7612;
--stop:#ff7b80;--paper:#14181b}}
*{box-sizing:border-box}
body{margin:0;padding:12px;background:var(--card);color:var(--ink);font:20px/1.35 "Segoe UI",
"Helvetica Neue","DejaVu Sans",Arial,sans-serif;max-width:560px}
h1{font-size:24px;margin:0 0 10px;border-bottom:3px solid var(--ink)}
label,fieldset,details{display:block;margin:0 0 12px}
fieldset{border:0;padding:0;display:flex;flex-wrap:wrap;gap:6px}
textarea,input:not([type]),select,input[name=code]{width:100%;font:inherit;padding:8px 10px;
border:2px solid var(--rule);background:var(--paper);color:var(--ink);min-height:48px}
.key,button{display:inline-flex;align-items:center;gap:8px;font:inherit;font-weight:600;
font-size:19px;line-height:1.15;
min-height:52px;padding:6px 12px;border:2px solid var(--ink);border-radius:3px;color:inherit;
text-decoration:none;margin:0 0 12px;background:var(--card)}
fieldset .key{margin:0}
input[type=radio],input[type=checkbox]{width:24px;height:24px;margin:0}
button{width:100%;justify-content:center;background:var(--ink);color:var(--card);font-size:24px;
min-height:64px}
.trouble{border:3px double var(--stop);padding:8px;font-weight:600}
.kept{font-size:28px;font-weight:700}
:focus-visible{outline:4px solid var(--pick)}
"""


def page(body: str, status: int = 200) -> Response:
    """A whole page."""
    from starlette.responses import HTMLResponse

    return HTMLResponse(
        '<!doctype html><html lang="en"><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>Job book</title><style>{_STYLE}</style><h1>Job book</h1>"
        f"<main>{body}</main></html>",
        status,
        headers={
            "content-security-policy": _POLICY,
            "x-content-type-options": "nosniff",
            "referrer-policy": "same-origin",
            "cache-control": "no-store",
        },
    )
