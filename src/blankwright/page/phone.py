"""Log entries from a phone in the same room.

The one part of Blankwright that listens beyond this machine, and only while the builder has asked
for it. It can do one thing: write log entries. To be let in, a phone must give the code that the
computer shows; a few wrong codes and there is a new one. Nothing of the book is shown but the
titles of tasks that can be done now.
"""

from __future__ import annotations

import contextlib
import hmac
import secrets
import socket
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from blankwright.base.errors import FileProblem, Problem

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

    from blankwright.page.phone_desk import PARTS, PhoneDesk, code_form, page

    desk = PhoneDesk(folder, address)

    async def show(request: Request) -> Response:
        if not door.knows(request.cookies.get(COOKIE, "")):
            return page(code_form(""))
        return page(await run_in_threadpool(desk.form, door.now()))

    async def knock(request: Request) -> Response:
        form = await request.form(max_files=0, max_fields=3, max_part_size=100)
        pass_word = door.knock(str(form.get("code", "")))
        if pass_word is None:
            return page(code_form("That is not the code on the computer."), 403)
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
            return page(code_form("Give the code once more."), 403)
        form = await request.form(max_files=MOST_PHOTOS, max_fields=20, max_part_size=100_000)
        said = {name: str(form.get(name, ""))[:10_000] for name in (*PARTS, "slip")}
        photos = []
        for upload in form.getlist("photo"):
            if not isinstance(upload, str) and upload.size:
                photos.append((upload.filename or "photo.jpg", await upload.read()))
        status, text = await run_in_threadpool(desk.write, said, photos, door.now())
        return page(text, status)

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
        listener.listen(32)  # a phone that is quicker than our own start waits, and is not refused
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
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, contextlib.suppress(OSError):
        # Nothing is sent: the system only says which of its addresses it would send from.
        probe.connect(("192.0.2.1", 9))
        found.append(str(probe.getsockname()[0]))
    with contextlib.suppress(OSError):
        named = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        found += [str(address[4][0]) for address in named]
    return tuple(dict.fromkeys(a for a in found if not a.startswith("127."))) or ("127.0.0.1",)
