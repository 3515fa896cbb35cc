"""Paper sizes."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Final

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import MM_PER_INCH
from blankwright.handbook.inner import to_inner
from blankwright.handbook.table import table

POINT: Final = MM_PER_INCH / 72
"""The printer's point of PDF [mm]: 1/72 in, exact by ISO 32000."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A size of paper.

    Args:
        name: such as ``A4`` or ``Letter``
        width: shorter side [mm]
        length: longer side [mm]
        source: where it comes from
    """

    name: str
    width: float
    length: float
    source: str


@cache
def papers() -> tuple[Paper, ...]:
    """Return all sizes, in the order of the table."""
    return tuple(
        Paper(
            name=str(row.values["name"]),
            width=to_inner(Decimal(str(row.values["width"])), str(row.values["unit"])),
            length=to_inner(Decimal(str(row.values["length"])), str(row.values["unit"])),
            source=row.source,
        )
        for row in table("paper").rows
    )


def paper(name: str) -> Paper:
    """Return a size by name, capitals or not.

    Raises:
        BadInput: when there is none of that name (PAPER-010)
    """
    for size in papers():
        if size.name.casefold() == name.strip().casefold():
            return size
    raise BadInput(
        Problem(
            code="PAPER-010",
            where=f"paper {name!r}",
            got="there is no paper of this name",
            allowed=", ".join(size.name for size in papers()),
        )
    )
