"""What every record of the book builds on: the row, and the words that columns choose from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class TaskKind(Enum):
    """What is done to a part, in the order of the shop."""

    MEASURE = "measure"
    """The place that a part goes into, before it is cut."""
    CUT = "cut"
    DRILL = "drill"
    DEBURR = "deburr"
    BEND = "bend"
    TRIAL_FIT = "trial fit"
    BEND_LAST = "bend last"
    DRILL_UP = "drill up"
    """Holes of matched parts, to their finished size in the place."""
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
