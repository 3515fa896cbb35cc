"""What the job book holds: one frozen record per row of a table.

Times are aware datetimes in UTC. A time that is nothing has not come yet: a task without
``done_at`` is not done. ``key`` marks rows that the tool made itself and may renew.
"""

from blankwright.book.kinds import MoveKind, NeedKind, Record, SizeState, TaskKind, TaskState
from blankwright.book.records_seen import (
    ChangeNote,
    ChangeRow,
    Coupon,
    Lot,
    LotUse,
    Stage,
    Yearly,
    YearlyDone,
    YearlyFastener,
)
from blankwright.book.records_told import (
    Deviation,
    DeviationPart,
    Entry,
    Measurement,
    Photo,
    Word,
)
from blankwright.book.records_work import (
    Hardware,
    HardwareMove,
    HardwareNeed,
    Need,
    Part,
    Setting,
    Task,
)

__all__ = [
    "ChangeNote",
    "ChangeRow",
    "Coupon",
    "Deviation",
    "DeviationPart",
    "Entry",
    "Hardware",
    "HardwareMove",
    "HardwareNeed",
    "Lot",
    "LotUse",
    "Measurement",
    "MoveKind",
    "Need",
    "NeedKind",
    "Part",
    "Photo",
    "Record",
    "Setting",
    "SizeState",
    "Stage",
    "Task",
    "TaskKind",
    "TaskState",
    "Word",
    "Yearly",
    "YearlyDone",
    "YearlyFastener",
]
