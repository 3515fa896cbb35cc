"""Records of what was told: log, deviations, inspection, materials, history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from blankwright.book.kinds import Record, SizeState


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry(Record):
    """A line of the log.

    Args:
        id: row number
        at: when the work ended
        minutes: how long it took [min]
        text: what was done
        place: where
        who: who did it
        helpers: who helped, and with what
        task_id: which task, or nothing
        part_id: which part, or nothing
        major: major part that the time counts for
    """

    at: datetime
    minutes: int = 0
    text: str = ""
    place: str = ""
    who: str = ""
    helpers: str = ""
    task_id: int | None = None
    part_id: int | None = None
    major: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo(Record):
    """A photo of a log entry. The file itself is kept under its hash and never changed.

    Args:
        id: row number
        entry_id: the entry it belongs to
        sha256: hash of the file's bytes, in hex
        file: path from the photo folder
        name: file name as it came
        size: bytes of the file
        width: as seen upright [px]
        height: as seen upright [px]
        caption: what it shows
        taken_at: when the camera says it was taken, as the camera writes it; empty if it doesn't
    """

    entry_id: int
    sha256: str
    file: str
    name: str = ""
    size: int = 0
    width: int = 0
    height: int = 0
    caption: str = ""
    taken_at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement(Record):
    """A size measured on the airplane, on its way into a part file.

    Args:
        id: row number
        entry_id: log entry that tells of it
        part_id: part whose file has the size
        size: name of the size
        value: as typed, with its unit
        plus_minus: as typed, with its unit; empty if not stated
        reason: why it was measured or changed
        old: what the part file had before; empty until it is put in
        state: in the book only, or in the part file
        put_in_at: when it went into the part file
    """

    entry_id: int
    part_id: int
    size: str
    value: str
    plus_minus: str = ""
    reason: str = ""
    old: str = ""
    state: SizeState = SizeState.IN_BOOK
    put_in_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Deviation(Record):
    """Where what was built differs from the drawing. The tool never passes judgement on it.

    Args:
        id: row number
        what: what differs
        why: why
        drawing: drawing and place on it
        checked: what was checked
        opened_at: when it was written down
        opened_by: who wrote it
        closed_at: when it was closed, or nothing
        closed_by: who closed it
        closing: on what ground it was closed, in that person's words
    """

    what: str
    why: str = ""
    drawing: str = ""
    checked: str = ""
    opened_at: datetime
    opened_by: str = ""
    closed_at: datetime | None = None
    closed_by: str = ""
    closing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviationPart(Record):
    """A part that a deviation touches."""

    deviation_id: int
    part_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Word(Record):
    """Whose word was asked about a deviation, when, and what they said."""

    deviation_id: int
    whom: str
    asked_at: datetime
    answer: str = ""
    answered_at: datetime | None = None


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
    """

    title: str
    cover: str = ""
    months: int = 12
    minutes: float = 0.0
    note: str = ""


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
