"""What the job book holds: one frozen record per row of a table.

Times are aware datetimes in UTC. A time that is nothing has not come yet: a task without
``done_at`` is not done. ``key`` marks rows that the tool made itself and may renew.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import Enum


class TaskKind(Enum):
    """What is done to a part, in the order of the shop."""

    CUT = "cut"
    DRILL = "drill"
    DEBURR = "deburr"
    BEND = "bend"
    TRIAL_FIT = "trial fit"
    BEND_LAST = "bend last"
    TREAT = "treat"
    GLUE = "glue"
    RIVET = "rivet"
    INSPECT = "inspect"
    OTHER = "other"


class TaskState(Enum):
    """How far a task is."""

    TO_DO = "to do"
    BEGUN = "begun"
    DONE = "done"
    DROPPED = "dropped"
    """Not needed any more. Kept, so that the record shows it."""


class NeedKind(Enum):
    """What a task can need first."""

    TASK = "task"
    CURE = "cure"
    """Another task done, and so many hours gone by since."""
    PART = "part"
    HARDWARE = "hardware"
    STAGE = "stage"
    """An inspection stage seen, before it is closed up."""


class MoveKind(Enum):
    """What happens to hardware."""

    ORDERED = "ordered"
    ARRIVED = "arrived"
    USED = "used"
    COUNTED = "counted"
    """Counted on the shelf: this many are in hand, whatever the book thought."""
    CANCELLED = "cancelled"
    """Of what was on order, this many will not come."""


class SizeState(Enum):
    """Where a measurement is."""

    IN_BOOK = "in the book"
    IN_PART_FILE = "in the part file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A row of a table, by its number."""

    id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting(Record):
    """A named setting of the book, such as how the airplane lies now."""

    name: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Part(Record):
    """A part of the airplane.

    Args:
        id: row number
        name: short name, that of its part file
        title: as the drawing's title block has it
        drawing: drawing number and revision
        major: major part that it belongs to, such as ``Fuselage``
        position: how the airplane must lie to put it in; empty for any
        glue: what it is glued with; empty for nothing
        cure_hours: how long the glue cures [h]
        treat: treatment before it goes in, such as ``alodine and primer``; empty for none
        rivets: how many fasteners hold it [-]
        closes: what can't be seen any more once it is in; empty for nothing
        file: path of its part file in the project folder; empty for none
    """

    name: str
    title: str = ""
    drawing: str = ""
    major: str = ""
    position: str = ""
    glue: str = ""
    cure_hours: float = 0.0
    treat: str = ""
    rivets: int = 0
    closes: str = ""
    file: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task(Record):
    """A thing to do.

    Args:
        id: row number
        key: stable name of a task made by the tool; empty for one written by hand
        title: what is to do
        kind: what sort of work it is
        state: how far it is
        part_id: part it is done to, or nothing
        major: major part its hours count for
        place: where on the airplane
        position: how the airplane must lie; empty for any
        setup: what must be set up for it, such as ``brake, 1/8 in radius``; empty for nothing
        hours: expected [h]
        first_hours: expected at the book's first rate, from which the shop's own pace is learned;
            0 for a task written by hand [h]
        begun_at: when it was begun
        done_at: when it was done
        by_hand: whether a person has changed it, so that the tool leaves it alone
        note: anything else
    """

    key: str = ""
    title: str
    kind: TaskKind = TaskKind.OTHER
    state: TaskState = TaskState.TO_DO
    part_id: int | None = None
    major: str = ""
    place: str = ""
    position: str = ""
    setup: str = ""
    hours: float = 0.0
    first_hours: float = 0.0
    begun_at: datetime | None = None
    done_at: datetime | None = None
    by_hand: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Need(Record):
    """What a task needs first: one of the references, by `kind`."""

    task_id: int
    kind: NeedKind
    needed_task_id: int | None = None
    needed_part_id: int | None = None
    hardware_id: int | None = None
    stage_id: int | None = None
    quantity: float = 0.0
    cure_hours: float = 0.0
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hardware(Record):
    """Something bought: rivets, plate nuts, strips, stock.

    Args:
        id: row number
        number: part number of its standard, such as ``MS20470AD4-5``, or the shop's own name
        title: what it is, in words
        unit: what it is counted in: ``each``, ``m``, ``kg``
        grip: what it clamps [mm], or nothing
        spare_percent: ordered beyond the need [%]
        spare_least: ordered beyond the need, at least
        pack: sold in packs of so many; 0 for loose
        note: anything else
    """

    number: str
    title: str = ""
    unit: str = "each"
    grip: float | None = None
    spare_percent: float = 10.0
    spare_least: float = 0.0
    pack: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HardwareNeed(Record):
    """How much of a hardware item a part or task takes."""

    hardware_id: int
    quantity: float
    part_id: int | None = None
    task_id: int | None = None
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HardwareMove(Record):
    """Hardware ordered, arrived, used or counted.

    Args:
        id: row number
        hardware_id: of what
        kind: what happened
        quantity: how much, in the item's unit
        at: when
        due: when an order is expected, or nothing
        reference: order number, packing list
        task_id: what it was used for, or nothing
    """

    hardware_id: int
    kind: MoveKind
    quantity: float
    at: datetime
    due: datetime | None = None
    reference: str = ""
    task_id: int | None = None


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
