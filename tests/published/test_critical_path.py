"""A published critical-path example.

Source: F. S. Hillier and G. J. Lieberman, *Introduction to Operations Research*, 7th ed., McGraw-
Hill 2001, chapter 10, the Reliable Construction Co. project: Table 10.1 (activities, predecessors,
weeks), the project network's longest path, and the table of slacks. All of it from memory (high):
no copy was at hand. The slacks printed there were checked by hand against the durations.
"""

import pytest

from blankwright.book.chain import critical_chain
from blankwright.book.needs import After, Job, Work
from book_fixtures import NOW

# activity: (what, weeks, immediate predecessors)
TABLE = {
    "A": ("excavate", 2, ""),
    "B": ("lay the foundation", 4, "A"),
    "C": ("put up the rough wall", 10, "B"),
    "D": ("put up the roof", 6, "C"),
    "E": ("install the exterior plumbing", 4, "C"),
    "F": ("install the interior plumbing", 5, "E"),
    "G": ("put up the exterior siding", 7, "D"),
    "H": ("do the exterior painting", 9, "EG"),
    "I": ("do the electrical work", 7, "C"),
    "J": ("put up the wallboard", 8, "FI"),
    "K": ("install the flooring", 4, "J"),
    "L": ("do the interior painting", 5, "J"),
    "M": ("install the exterior fixtures", 2, "H"),
    "N": ("install the interior fixtures", 6, "KL"),
}
SLACK = {"D": 4, "G": 4, "H": 4, "M": 4, "I": 2, "K": 1}
"""Weeks; of all others none."""

EARLIEST_START = {
    "A": 0, "B": 2, "C": 6, "D": 16, "E": 16, "F": 20, "G": 22, "H": 29, "I": 16, "J": 25,
    "K": 33, "L": 33, "M": 38, "N": 38,
}  # fmt: skip


def the_project() -> Work:
    number = {name: n for n, name in enumerate(TABLE, start=1)}
    return Work(
        jobs={
            number[name]: Job(
                number=number[name],
                title=name,
                hours=float(weeks),
                after=tuple(After(task=number[first]) for first in firsts),
            )
            for name, (_, weeks, firsts) in TABLE.items()
        }
    )


def test_length_and_critical_path() -> None:
    work = the_project()
    chain = critical_chain(work, NOW)
    assert chain.length == 44
    assert "".join(work.jobs[link.task].title for link in chain.links) == "ABCEFJLN"
    assert chain.work == 79


@pytest.mark.parametrize("name", TABLE)
def test_times_of_each_activity(name: str) -> None:
    chain = critical_chain(the_project(), NOW)
    times = chain.times[list(TABLE).index(name) + 1]
    assert times.start == EARLIEST_START[name]
    assert times.slack == SLACK.get(name, 0)
    assert times.finish == EARLIEST_START[name] + TABLE[name][1]
