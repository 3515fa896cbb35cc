"""Records of what was seen and proved: inspection, material lots, coupons; and the history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from blankwright.book.kinds import Record


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage(Record):
    """An inspection stage: to be seen before it is closed up.

    Args:
        id: row number
        key: stable name of a stage made by the tool; empty for one written by hand
        title: what is to be seen
        major: major part it belongs to
        closes: what closes it up
        seen_at: when it was seen, or nothing
        seen_by: who saw it
        found: what they said
    """

    key: str = ""
    title: str
    major: str = ""
    closes: str = ""
    seen_at: datetime | None = None
    seen_by: str = ""
    found: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Yearly(Record):
    """An item of the recurring inspection.

    Args:
        id: row number
        title: what is looked at
        cover: what must come off for it; empty for nothing
        months: how often [months]
        minutes: the looking itself, without the cover [min]
        note: anything else
        ended_at: since when it is not looked at any more, or nothing
    """

    title: str
    cover: str = ""
    months: int = 12
    minutes: float = 0.0
    note: str = ""
    ended_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class YearlyFastener(Record):
    """Fasteners of the cover of a recurring item.

    Args:
        id: row number
        yearly_id: of which item
        kind: such as ``screw in plate nut``
        count: how many [-]
        off_seconds: to take one out [s]
        on_seconds: to put one in [s]
    """

    yearly_id: int
    kind: str
    count: int
    off_seconds: float
    on_seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class YearlyDone(Record):
    """A recurring item done once."""

    yearly_id: int
    at: datetime
    minutes: float = 0.0
    who: str = ""
    found: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot(Record):
    """A batch of material with its paper.

    Args:
        id: row number
        material: such as ``6061-T6 sheet 0.040 in``
        number: lot, heat or batch number as printed on it
        bought_from: where it came from
        paper: certificate or invoice that came with it
        at: when it came
        note: anything else
    """

    material: str
    number: str
    bought_from: str = ""
    paper: str = ""
    at: datetime
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotUse(Record):
    """A part made from a lot."""

    lot_id: int
    part_id: int
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupon(Record):
    """The result of test strips bent on the shop's own tool.

    Args:
        id: row number
        at: when
        alloy: alloy and temper
        thickness: as typed, with its unit
        radius: inside radius as typed, with its unit
        tool: bent on what
        k: neutral-axis factor found [-]
        spread: one standard uncertainty of it [-]
        strips: how many were bent [-]
        lot_id: cut from which lot, or nothing
        key: stable name of a result taken over from the shop's coupon file; else empty
    """

    at: datetime
    alloy: str
    thickness: str
    radius: str
    tool: str = ""
    k: float = 0.0
    spread: float = 0.0
    strips: int = 0
    lot_id: int | None = None
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeNote(Record):
    """A change of the book: all of it happened, or none.

    Args:
        id: row number
        at: when
        who: who made it
        what: what was done, in a line
        takes_back: the change that this one took back, or nothing
    """

    at: datetime
    who: str
    what: str
    takes_back: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow(Record):
    """One row touched by a change, before and after, as JSON; nothing for not there."""

    change_id: int
    table: str
    row_id: int
    before: str | None
    after: str | None
