"""A looked-up number with its source."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A number with its source.

    Args:
        value: in the inner unit that its user names
        source: book, table, and how sure it is
        status: how sure it is, in one word of the table's
    """

    value: float
    source: str
    status: str
