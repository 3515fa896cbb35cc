"""Log entries from a phone in the same room.

The one part of Blankwright that listens beyond this machine, and only while the builder has asked
for it. It can do one thing: write log entries. To be let in, a phone must give the code that the
computer shows; a few wrong codes and there is a new one. Nothing of the book is shown but the
titles of tasks that can be done now.
"""

from __future__ import annotations

import hmac
import secrets
import socket
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from blankwright.base.errors import BlankwrightError, FileProblem, Problem

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response

PORT: Final = 8621
COOKIE: Final = "blankwright_phone"
MOST_WRONG: Final = 5
"""Wrong codes before there is a new one: a guesser has 5 in a million a code."""
MOST_BODY: Final = 80_000_000
MOST_PHOTOS: Final = 6
HOURS_LET_IN: Final = 12.0
_PARTS: Final = ("text", "minutes", "task", "done", "place", "helpers")
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


@dataclass(slots=True)
class Door:
    """Who is let in.

    Args:
        tell: shows the code on the computer
        hosts: addresses, each ``host:port``, that a phone may have typed
        now: the clock
    """

    tell: Callable[[str], None]
    hosts: frozenset[str]
    now: Callable[[], datetime] = field(default=lambda: datetime.now(UTC))
    code: str = ""
    wrong: int = 0
    let_in: dict[str, datetime] = field(default_factory=dict)
    sent: dict[str, int] = field(default_factory=dict)
    """Forms already taken, so that a second tap on the same one writes nothing twice."""
    lock: threading.Lock = field(default_factory=threading.Lock)

    def new_code(self) -> None:
        """Make a new code and show it."""
        self.code = f"{secrets.randbelow(1_000_000):06}"
        self.wrong = 0
        self.tell(self.code)

    def knock(self, code: str) -> str | None:
        """Return a pass for the right code, or nothing."""
        with self.lock:
            given = "".join(sign for sign in code if sign in "0123456789")
            if hmac.compare_digest(given.encode(), self.code.encode()):
                pass_word = secrets.token_urlsafe(32)
                self.let_in[pass_word] = self.now()
                self.wrong = 0
                return pass_word
            self.wrong += 1
            if self.wrong >= MOST_WRONG:
                self.new_code()
            return None

    def knows(self, pass_word: str) -> bool:
        """Whether a pass is good still."""
        since = self.let_in.get(pass_word)
        return since is not None and (self.now() - since).total_seconds() < HOURS_LET_IN * 3600


def create_phone_app(folder: Path, address: str, door: Door) -> Starlette:
    """Return the phone's page as an ASGI application.

    Args:
        folder: the project folder
        address: where the book is; empty for the project folder
        door: who is let in
    """
    from starlette.applications import Starlette
    from starlette.concurrency import run_in_threadpool
    from starlette.responses import PlainTextResponse, RedirectResponse
    from starlette.routing import Route

    desk = _Desk(folder, address, door)

    async def show(request: Request) -> Response:
        if not door.knows(request.cookies.get(COOKIE, "")):
            return _page(_code_form(""))
        return _page(await run_in_threadpool(desk.form))

    async def knock(request: Request) -> Response:
        form = await request.form(max_files=0, max_fields=3, max_part_size=100)
        pass_word = door.knock(str(form.get("code", "")))
        if pass_word is None:
            return _page(_code_form("That is not the code on the computer."), 403)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(
            COOKIE,
            pass_word,
            max_age=int(HOURS_LET_IN * 3600),
            httponly=True,
            samesite="strict",
        )
        return answer

    async def write(request: Request) -> Response:
        if not door.knows(request.cookies.get(COOKIE, "")):
            return _page(_code_form("Give the code once more."), 403)
        form = await request.form(max_files=MOST_PHOTOS, max_fields=20, max_part_size=100_000)
        said = {name: str(form.get(name, ""))[:10_000] for name in (*_PARTS, "slip")}
        photos = []
        for upload in form.getlist("photo"):
            if not isinstance(upload, str) and upload.size:
                photos.append((upload.filename or "photo.jpg", await upload.read()))
        status, text = await run_in_threadpool(desk.write, said, photos)
        return _page(text, status)

    app = Starlette(
        routes=[
            Route("/", show, methods=["GET"]),
            Route("/code", knock, methods=["POST"]),
            Route("/entry", write, methods=["POST"]),
        ]
    )

    async def guarded(scope: Any, receive: Any, send: Any) -> None:
        """Refuse what doesn't name this machine or comes from another page, and what is too big."""
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        headers = {name.decode("latin-1").lower(): value for name, value in scope["headers"]}
        host = headers.get("host", b"").decode("latin-1").lower()
        origin = headers.get("origin", b"").decode("latin-1").lower()
        length = headers.get("content-length", b"")
        refused = ""
        if host not in door.hosts:
            refused = "Type the address as the computer shows it."
        elif scope["method"] != "GET" and origin != f"http://{host}":
            refused = "This comes from another page."
        elif scope["method"] != "GET" and not (length.isdigit() and int(length) <= MOST_BODY):
            refused = "That is too much at once; send fewer photos."
        if refused:
            await PlainTextResponse(f"PHONE-001: {refused}\n", 403)(scope, receive, send)
            return
        await app(scope, receive, send)

    return guarded  # type: ignore[return-value]


def serve_phone(folder: Path, address: str, *, port: int = PORT, listen: str = "0.0.0.0") -> None:
    """Take log entries from phones until interrupted.

    Args:
        folder: the project folder
        address: where the book is; empty for the project folder
        port: the port to listen on
        listen: which of this machine's addresses to listen on

    Raises:
        FileProblem: when there is no book, or the port is taken
    """
    import uvicorn

    from blankwright.jobs.book_open import book_at

    with book_at(folder, address):
        pass  # what is wrong with the book is said before a phone tries
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((listen, port))
    except OSError as error:
        listener.close()
        raise FileProblem(
            Problem(
                code="PHONE-002",
                where=f"port {port}",
                got=f"it can't be listened on ({error.strerror})",
                fix="Close the other program, or choose another port",
            )
        ) from error
    taken = int(listener.getsockname()[1])
    names = own_addresses() if listen == "0.0.0.0" else (listen,)

    def tell(code: str) -> None:
        print(f"Code for the phone: {code[:3]} {code[3:]}", flush=True)

    door = Door(tell, frozenset(f"{name}:{taken}" for name in (*names, "127.0.0.1", "localhost")))
    for name in names:
        print(f"On the phone, open http://{name}:{taken}/", flush=True)
    door.new_code()
    print(
        "Anyone in this network can reach that address, and what is sent can be listened to:"
        " use it at home, and end it with Ctrl+C when done.",
        flush=True,
    )
    config = uvicorn.Config(
        create_phone_app(folder, address, door), log_level="warning", ws="none", lifespan="off"
    )
    uvicorn.Server(config).run(sockets=[listener])


def own_addresses() -> tuple[str, ...]:
    """Return the addresses that a phone in the same network may reach this machine at."""
    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Nothing is sent: the system only says which of its addresses it would send from.
            probe.connect(("192.0.2.1", 9))
            found.append(str(probe.getsockname()[0]))
        except OSError:
            pass
    try:
        found += [
            str(a[4][0]) for a in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        ]
    except OSError:
        pass
    return tuple(dict.fromkeys(a for a in found if not a.startswith("127."))) or ("127.0.0.1",)


class _Desk:
    """Reads and writes the book for the phone's page."""

    def __init__(self, folder: Path, address: str, door: Door) -> None:
        self.folder = folder
        self.address = address
        self.door = door

    def form(self, said: dict[str, str] | None = None, trouble: str = "") -> str:
        """The entry form, with what was typed before in it."""
        from blankwright.jobs.book_open import book_at
        from blankwright.jobs.book_tasks import what_next

        said = said or {}
        with book_at(self.folder, self.address) as book:
            ready = [s.job for s in what_next(book, self.door.now()) if s.can_be_done]
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
<details><summary>Where, who helped</summary>
<label>Where<input name="place" value="{escape(said.get("place", ""))}"></label>
<label>Who helped<input name="helpers" value="{escape(said.get("helpers", ""))}"></label></details>
<button>Save</button></form>"""

    def write(self, said: dict[str, str], photos: list[tuple[str, bytes]]) -> tuple[int, str]:
        """Write an entry; a slip that came before is not written again."""
        from blankwright.jobs.book_log import Picture, log
        from blankwright.jobs.book_open import book_at
        from blankwright.jobs.book_tasks import finish_task

        with self.door.lock:
            before = self.door.sent.get(said["slip"])
            if before is not None:
                return 200, _kept(before, "")
            trouble = ""
            try:
                minutes = int(said["minutes"] or 0)
                task = int(said["task"]) if said["task"] else None
                now = self.door.now()
                with book_at(self.folder, self.address) as book:
                    entry = log(
                        book,
                        now,
                        said["text"],
                        minutes=minutes,
                        place=said["place"],
                        helpers=said["helpers"],
                        task=task,
                        pictures=[Picture(data=data, name=name) for name, data in photos],
                    )
                    self.door.sent[said["slip"]] = entry
                    if said["done"] and task is not None:
                        try:
                            finish_task(book, now, task)
                        except BlankwrightError as error:
                            trouble = f"The task is not done yet: {error.problems[0].got}."
            except BlankwrightError as error:
                return 400, self.form(said, "; ".join(p.got for p in error.problems))
            except ValueError:
                return 400, self.form(said, "Time or task is not a number.")
            return 200, _kept(entry, trouble)


def _kept(entry: int, trouble: str) -> str:
    more = f'<p class="trouble" role="alert">{escape(trouble)}</p>' if trouble else ""
    return f'<p class="kept" role="status">Kept: entry {entry}.</p>{more}<a class="key" href="/">Another</a>'


def _code_form(trouble: str) -> str:
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
.key,button{display:inline-flex;align-items:center;gap:8px;font:600 19px/1.15 inherit;
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


def _page(body: str, status: int = 200) -> Response:
    from starlette.responses import HTMLResponse

    return HTMLResponse(
        '<!doctype html><html lang="en"><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>Job book</title><style>{_STYLE}</style><h1>Job book</h1><main>{body}</main></html>",
        status,
        headers={
            "content-security-policy": _POLICY,
            "x-content-type-options": "nosniff",
            "referrer-policy": "same-origin",
            "cache-control": "no-store",
        },
    )
