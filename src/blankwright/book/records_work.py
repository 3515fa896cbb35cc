"""Records of the work: settings, parts, tasks, needs, hardware."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from blankwright.book.kinds import MoveKind, NeedKind, Record, TaskKind, TaskState


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
        bought: whether it comes ready made, so that nothing of it is cut or bent
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
    bought: bool = False


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
