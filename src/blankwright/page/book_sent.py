"""A form of the job book's pages, as it was sent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from blankwright.jobs.book_find import bad_input
from blankwright.jobs.book_log import Picture


@dataclass(frozen=True, slots=True)
class Sent:
    """A form that was sent.

    Args:
        words: its fields
        at: when
        photos: what came with it
    """

    words: dict[str, str]
    at: datetime
    photos: Sequence[Picture] = ()

    def text(self, name: str) -> str:
        """A field, without what surrounds it."""
        return self.words.get(name, "").strip()

    def row(self, name: str = "no") -> int:
        """A row's number, put into the form by the page itself."""
        typed = self.text(name)
        if not (typed.isascii() and typed.isdigit() and len(typed) < 10):
            raise bad_input("BOOK-081", name, f"{typed!r} is no number", "Use the page's own keys")
        return int(typed)

    def texts(self, *names: str) -> dict[str, str]:
        """Fields by name."""
        return {name: self.text(name) for name in names}

    def several(self, name: str) -> list[str]:
        """A field that names several things, with commas between."""
        return [one for typed in self.text(name).split(",") if (one := typed.strip())]
