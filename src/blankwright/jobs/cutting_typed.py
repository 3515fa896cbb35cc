"""What to lay on sheets, order or take off the rack, as a form has it: names and typed numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from blankwright.base.errors import BadInput, Problem
from blankwright.files.layoutfile import NAME as LAYOUT
from blankwright.files.layoutfile import read_layout
from blankwright.jobs.cutting_pack import PackAsk, sheets_folder, take_from_rack
from blankwright.jobs.holes_templates import template_files
from blankwright.jobs.items import Item, chosen
from blankwright.jobs.project import Project

MOST_COPIES = 1000
"""More of one part than this is a slip of the finger [-]."""

MOST_SECONDS = 3600
"""Longest time that the page tries for better packings [s]."""


def cuttable(project: Project) -> tuple[Item, ...]:
    """Return all that can be cut: every item of every part, then the plates of drill templates.

    Raises:
        FileProblem: as `chosen`
    """
    plates = tuple(Item(path=path) for path in template_files(project))
    return (*chosen(project, ()), *plates)


def counted(
    project: Project, typed: Mapping[str, str]
) -> tuple[tuple[str, ...], Mapping[str, int]]:
    """Return names and copies, as packing and orders take them.

    Args:
        project: where the parts are
        typed: how many of each item, as typed; an item of 0, or left empty, is left out

    Raises:
        BadInput: with every count that is none, and when nothing is to be cut (PACK-018)
        FileProblem: when there is no such item
    """
    counts: dict[str, int] = {}
    problems: list[Problem] = []
    for name, text in typed.items():
        word = text.strip() or "0"
        if word.isascii() and word.isdigit() and int(word) <= MOST_COPIES:
            counts[name] = int(word)
        else:
            problems.append(_no_number(f"how many of {name}", text, f"0 to {MOST_COPIES}"))
    if problems:
        raise BadInput.of(problems)
    names = tuple(name for name, count in counts.items() if count)
    if not names:
        raise BadInput(
            Problem(
                code="PACK-018",
                where="parts to cut",
                got="there are none of any part",
                fix="Enter how many of at least one part are to be cut",
            )
        )
    # The name of a part stands for all of its variants: each of them is given its own count.
    return names, {item.name: counts.get(item.name, 0) for item in chosen(project, names)}


def pack_ask(
    project: Project, typed: Mapping[str, str], *, on: str = "", seconds: str = "", seed: str = ""
) -> PackAsk:
    """Return what is to be packed.

    Args:
        project: where the parts are
        typed: how many of each item, as typed
        on: name of the only stock to use; empty for all
        seconds: time to try for better packings, as typed; empty for the usual time
        seed: start of the random numbers, as typed; empty for the shop file's

    Raises:
        BadInput, FileProblem: as `counted`, and when a number is none (PACK-018)
    """
    names, copies = counted(project, typed)
    problems = [
        _no_number(where, text, f"0 to {most}")
        for where, text, most in (
            ("time to try", seconds, MOST_SECONDS),
            ("start of the random numbers", seed, 2**31 - 1),
        )
        if text.strip()
        and not (text.strip().isascii() and text.strip().isdigit() and int(text) <= most)
    ]
    if problems:
        raise BadInput.of(problems)
    return PackAsk(
        names=names,
        copies=copies,
        on=on,
        seconds=float(seconds) if seconds.strip() else 20.0,
        seed=int(seed) if seed.strip() else None,
    )


def laid_titles(project: Project) -> tuple[str, ...]:
    """Return the titles of the sheets of the layout; none when nothing has been laid out.

    Raises:
        BadInput, FileProblem: as `read_layout`
    """
    path = sheets_folder(project) / LAYOUT
    return tuple(sheet.title for sheet in read_layout(path)) if path.is_file() else ()


def take_cut(project: Project, titles: Sequence[str]) -> tuple[str, ...]:
    """Take the sheets that were cut off the rack; as `take_from_rack`, but never all unasked.

    Raises:
        BadInput: when no sheet is named (PACK-018), and as `take_from_rack`
    """
    if not titles:
        raise BadInput(
            Problem(
                code="PACK-018",
                where="sheets that were cut",
                got="no sheet is ticked",
                fix="Tick each sheet that has been cut",
            )
        )
    return take_from_rack(project, titles)


def _no_number(where: str, text: str, allowed: str) -> Problem:
    return Problem(
        code="PACK-018",
        where=where,
        got=f"`{text.strip()}` is no whole number in that range",
        allowed=allowed,
    )
