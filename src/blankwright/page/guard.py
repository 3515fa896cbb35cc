"""The page is closed to others: every request is looked at before anything else sees it.

A web page from elsewhere, open in the same browser, can send requests to this machine. So we take
only requests that name this machine as their host, and that come from our own page or from the
builder's address bar. The rules hold for plain requests and for web sockets alike.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MOST_BYTES = 128 * 1024 * 1024
"""No request brings more than this; what a view takes is bounded closer by the view itself."""

_SAFE_FETCH = (b"same-origin", b"none")
_POLICY = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self' data:; "
    "connect-src 'self'; frame-ancestors 'none'; base-uri 'self'; form-action 'self'; "
    "object-src 'none'"
)


class Guard:
    """Let through only what comes from our own page on this machine.

    Args:
        app: what it guards
        port: the port we listen on
    """

    def __init__(self, app: App, port: int) -> None:
        self.app = app
        self.hosts = frozenset(f"{name}:{port}" for name in ("127.0.0.1", "localhost", "[::1]"))
        self.origins = frozenset(f"http://{host}" for host in self.hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        reason = self.refuse(scope)
        if reason is None and scope["type"] == "http" and _declared(scope) > MOST_BYTES:
            await _answer(send, "A request as large as this is not taken.", 413)
        elif reason is None:
            await self.app(scope, _bounded(scope, receive), _with_policy(send))
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
        else:
            await _answer(send, reason)

    def refuse(self, scope: Scope) -> str | None:
        """Return why a request is refused, or nothing."""
        headers: dict[bytes, list[bytes]] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name.lower(), []).append(value)
        host = headers.get(b"host", [])
        if len(host) != 1 or host[0].decode("latin-1").lower() not in self.hosts:
            return "This page answers only on this machine, under its own address."
        origin = headers.get(b"origin", [])
        if any(o.decode("latin-1").lower() not in self.origins for o in origin):
            return "This request comes from another page."
        changes = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        if changes and not origin:
            return "A request that changes something must say where it comes from."
        site = headers.get(b"sec-fetch-site", [])
        is_link = (
            scope["type"] == "http"
            and scope["method"] == "GET"
            and headers.get(b"sec-fetch-mode") == [b"navigate"]
        )
        if site and site[0] not in _SAFE_FETCH and not is_link:
            return "This request comes from another page."
        return None


def _declared(scope: Scope) -> int:
    """Return how many bytes a request says it brings; nought when it does not say."""
    said = [value for name, value in scope["headers"] if name.lower() == b"content-length"]
    return int(said[0]) if said and said[0].isdigit() else 0


def _bounded(scope: Scope, receive: Receive) -> Receive:
    """Return a way to receive that hangs up on a body which runs past the bound unannounced."""
    if scope["type"] != "http":
        return receive
    taken = 0

    async def received() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        return message if taken <= MOST_BYTES else {"type": "http.disconnect"}

    return received


def _with_policy(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [
                *message.get("headers", []),
                (b"content-security-policy", _POLICY.encode()),
                (b"x-content-type-options", b"nosniff"),
                (b"referrer-policy", b"no-referrer"),
                (b"cross-origin-resource-policy", b"same-origin"),
            ]
        await send(message)

    return sent


async def _answer(send: Send, reason: str, status: int = 403) -> None:
    body = f"PAGE-001: {reason}\n".encode()
    await send(
        {
            "type": "http.response.start",
            "status": status,
            "headers": [
                (b"content-type", b"text/plain; charset=utf-8"),
                (b"content-length", str(len(body)).encode()),
            ],
        }
    )
    await send({"type": "http.response.body", "body": body})
