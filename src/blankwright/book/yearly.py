"""Recurring inspection: what is due and how long it takes, from a cover's fasteners. Pure."""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Final

from blankwright.book.records import Yearly, YearlyDone, YearlyFastener

SECONDS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "screw in plate nut": (20.0, 30.0),
        "screw and nut": (45.0, 60.0),
        "quarter-turn fastener": (3.0, 4.0),
        "bolt and nut": (60.0, 90.0),
        "blind rivet": (60.0, 45.0),
        "hinge pin": (60.0, 120.0),
        "latch": (5.0, 5.0),
    }
)
"""Taking one out and putting one in [s]. Common practice, no source; the shop's own times, once
typed, replace them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class YearlyTime:
    """What a recurring item takes and when it is due.

    Args:
        item: the item
        fasteners: how many come out and go in again [-]
        off_minutes: to open it [min]
        on_minutes: to close it [min]
        minutes: in all [min]
        last: when it was done last, or nothing
        due: when it is due, or nothing if it never was done
        overdue: whether that is past, or it never was done
        counts: kinds of fastener and how many of each
    """

    item: Yearly
    fasteners: int
    off_minutes: float
    on_minutes: float
    minutes: float
    last: datetime | None
    due: datetime | None
    overdue: bool
    counts: tuple[tuple[str, int], ...] = ()


def yearly_time(
    item: Yearly,
    fasteners: Iterable[YearlyFastener],
    done: Iterable[YearlyDone],
    now: datetime,
) -> YearlyTime:
    """Work out what an item takes and when it is due.

    An item falls due with the end of the month, so many months after the month it was done in.
    """
    own = [f for f in fasteners if f.yearly_id == item.id]
    off = sum(f.count * f.off_seconds for f in own) / 60.0
    on = sum(f.count * f.on_seconds for f in own) / 60.0
    last = max((d.at for d in done if d.yearly_id == item.id), default=None)
    due = None if last is None else end_of_month(last, item.months)
    return YearlyTime(
        item=item,
        fasteners=sum(f.count for f in own),
        off_minutes=off,
        on_minutes=on,
        minutes=off + on + item.minutes,
        last=last,
        due=due,
        overdue=item.ended_at is None and (due is None or due < now),
        counts=tuple((f.kind, f.count) for f in own),
    )


def end_of_month(moment: datetime, months: int) -> datetime:
    """Return the last second of the month so many months after a moment, in the same zone."""
    count = moment.year * 12 + moment.month - 1 + months
    year, month = count // 12, count % 12 + 1
    last = calendar.monthrange(year, month)[1]
    return moment.replace(
        year=year, month=month, day=last, hour=23, minute=59, second=59, microsecond=0
    )
