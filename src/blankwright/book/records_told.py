"""Records of what was told: the log, its photos and measurements, deviations."""

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
        part_id: part whose file has the size, or nothing for a size of a place
        place: place whose file has the size; empty for a size of a part
        size: name of the size
        value: as typed, with its unit
        plus_minus: as typed, with its unit; empty if not stated
        reason: why it was measured or changed
        old: what the part file had before; empty until it is put in
        state: in the book only, or in the part file
        put_in_at: when it went into the part file
    """

    entry_id: int
    part_id: int | None = None
    place: str = ""
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
