"""Work that takes longer than a moment: in a process of its own, so that it can be cancelled.

The page goes on answering meanwhile. A process that is ended leaves no half-written file: every
file is written whole, and the list of a set goes last.
"""

from __future__ import annotations

import asyncio
import multiprocessing
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

from blankwright.base.errors import BlankwrightError, OurBug, Problem

_LOOK_EVERY = 0.05
_TOLD, _DONE, _FAILED = "told", "done", "failed"


class Cancelled(Exception):
    """The builder cancelled the work."""


class Work:
    """One piece of work.

    Args:
        function: what to do; it and what it takes and returns must be picklable
        arguments: what it takes
        tells: whether it takes ``tell`` besides, to say how far it is
    """

    def __init__(self, function: Callable[..., Any], *arguments: Any, tells: bool = False) -> None:
        here = multiprocessing.get_context("spawn")
        self._ear, mouth = here.Pipe(duplex=False)
        self._process = here.Process(
            target=_run, args=(mouth, function, arguments, tells), daemon=True
        )
        self._process.start()
        mouth.close()
        self._cancelled = False

    async def result(self, heard: Callable[..., None] = lambda *said: None) -> Any:
        """Wait for the result.

        Args:
            heard: called with what the work says about how far it is

        Raises:
            Cancelled: when it was cancelled
            BlankwrightError: what the work raised
            OurBug: when it ended without a word
        """
        try:
            word: str = _TOLD
            value: Any = ()
            while word == _TOLD:
                while not self._ear.poll():
                    if self._cancelled:
                        raise Cancelled
                    if not self._process.is_alive() and not self._ear.poll():
                        raise _silent()
                    await asyncio.sleep(_LOOK_EVERY)
                try:
                    word, value = self._ear.recv()
                except (EOFError, OSError):
                    raise self._ended() from None
                if word == _TOLD:
                    heard(*value)
        finally:
            self._ear.close()
            self._process.join(timeout=1.0)
        if word == _DONE:
            return value
        raise value

    def _ended(self) -> BaseException:
        return Cancelled() if self._cancelled else _silent()

    def cancel(self) -> None:
        """End the work now."""
        self._cancelled = True
        self._process.kill()


def _run(
    mouth: Connection, function: Callable[..., Any], arguments: tuple[Any, ...], tells: bool
) -> None:
    more = {"tell": lambda *said: mouth.send((_TOLD, said))} if tells else {}
    try:
        answer = (_DONE, function(*arguments, **more))
    except BlankwrightError as error:
        answer = (_FAILED, error)
    mouth.send(answer)
    mouth.close()


def _silent() -> OurBug:
    return OurBug(
        Problem(
            code="PAGE-012",
            where="work in the background",
            got="it ended without a result",
            fix="Try again; if it ends again, run the same with the command line and read on there",
        )
    )
