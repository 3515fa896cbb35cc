"""Screws for panels that come off, and the plate nuts they go into."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.base.errors import BadInput, Problem
from blankwright.handbook.drills import Drill, find_drill
from blankwright.handbook.table import table


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A machine screw.

    Args:
        name: thread, such as ``8-32``
        body: basic diameter [mm]
        close: clearance drill, close fit
        free: clearance drill, free fit
        source: where they come from
    """

    name: str
    body: float
    close: Drill
    free: Drill
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateNut:
    """A plate nut with two lugs.

    Args:
        screw: thread
        spread: from rivet to rivet, the screw half way [mm]
        rivet: diameter of its two rivets, in inches
        source: where they come from
    """

    screw: str
    spread: float
    rivet: str
    source: str


def screw_names() -> tuple[str, ...]:
    """Return the threads of the table, smallest first."""
    return tuple(str(row.values["screw"]) for row in table("screws").rows)


def screw(name: str) -> Screw:
    """Return a screw by its thread.

    Raises:
        BadInput: when the table has none such (SCREW-001)
    """
    screws = table("screws")
    wanted = name.strip().removesuffix("in").strip()
    for row in screws.rows:
        if row.values["screw"] == wanted:
            return Screw(
                name=wanted,
                body=screws.inner(row, "body"),
                close=find_drill(str(row.values["close"])),
                free=find_drill(str(row.values["free"])),
                source=row.source,
            )
    raise _unknown(name)


def plate_nut(name: str) -> PlateNut:
    """Return the plate nut for a screw.

    Raises:
        BadInput: when the table has none such (SCREW-001)
    """
    nuts = table("plate-nuts")
    for row in nuts.rows:
        if row.values["screw"] == name.strip():
            return PlateNut(
                screw=name.strip(),
                spread=nuts.inner(row, "spread"),
                rivet=str(row.values["rivet"]),
                source=row.source,
            )
    raise _unknown(name)


def _unknown(name: str) -> BadInput:
    return BadInput(
        Problem(
            code="SCREW-001",
            where=f"screw {name!r}",
            got="the table has no such screw",
            allowed=", ".join(screw_names()),
        )
    )
