"""Hours: expected, left and taken."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.book import records as r
from blankwright.book.change import Reader
from blankwright.jobs.book_open import BookAt


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursLine:
    """Hours of a major part, a kind of work, or all.

    Args:
        name: of what
        expected: of all its tasks [h]
        left: expected of those not done [h]
        taken: logged [h]
    """

    name: str
    expected: float
    left: float
    taken: float


def hours_by(at_book: BookAt, by: str = "major part") -> tuple[HoursLine, ...]:
    """Return hours expected, left and taken by ``major part`` or ``kind``, and of all together."""
    with at_book.read() as reader:
        return hours_lines(reader, by)


def hours_lines(reader: Reader, by: str) -> tuple[HoursLine, ...]:
    """As `hours_by`, from a book that is being read."""
    tasks = {t.id: t for t in reader.all(r.Task) if t.state is not r.TaskState.DROPPED}
    parts = {p.id: p for p in reader.all(r.Part)}
    entries = reader.all(r.Entry)
    lines: dict[str, list[float]] = {}

    def line(name: str) -> list[float]:
        return lines.setdefault(name or "not stated", [0.0, 0.0, 0.0])

    for task in tasks.values():
        row = line(task.major if by == "major part" else task.kind.value)
        row[0] += task.hours
        row[1] += 0.0 if task.state is r.TaskState.DONE else task.hours
    for entry in entries:
        task_of = tasks.get(entry.task_id or 0)
        part = parts.get(entry.part_id or 0)
        major = entry.major or (task_of.major if task_of else "") or (part.major if part else "")
        kind = task_of.kind.value if task_of else ""
        line(major if by == "major part" else kind)[2] += entry.minutes / 60.0
    found = [
        HoursLine(name=name, expected=e, left=left, taken=t)
        for name, (e, left, t) in sorted(lines.items())
    ]
    total = HoursLine(
        name="all",
        expected=sum(f.expected for f in found),
        left=sum(f.left for f in found),
        taken=sum(f.taken for f in found),
    )
    return (*found, total)
