"""What cures now, and until when. Pure: the moment is passed in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from blankwright.book.needs import Work


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """Something that cures now.

    Args:
        task: number of the task that it began with
        title: what was done
        until: when it is over
    """

    task: int
    title: str
    until: datetime


def cures(work: Work, now: datetime) -> tuple[Cure, ...]:
    """Return what cures now, the first to be over first."""
    ends: dict[int, datetime] = {}
    for job in work.jobs.values():
        for after in job.after:
            first = work.jobs.get(after.task)
            if after.hours and first is not None and first.done_at is not None:
                until = first.done_at + timedelta(hours=after.hours)
                if until > now:
                    ends[after.task] = max(until, ends.get(after.task, until))
    found = (Cure(task=n, title=work.jobs[n].title, until=until) for n, until in ends.items())
    return tuple(sorted(found, key=lambda cure: (cure.until, cure.task)))
