"""What a part file stands for: the part, its variants, its other hand."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from blankwright.base.errors import FileProblem, Problem
from blankwright.jobs.project import Project

if TYPE_CHECKING:
    from blankwright.part.model import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing to make from a part file.

    Args:
        path: the part file
        variant: name of the variant, or empty
        hand: ``left`` or ``right``, or empty for a part that has but one
    """

    path: Path
    variant: str = ""
    hand: str = ""

    @property
    def name(self) -> str:
        """Name of its folder under `out`."""
        return "-".join(word for word in (self.path.stem, self.variant, self.hand) if word)

    def read(self) -> Part:
        """Read it. Raises as `files.partfile.read_part`."""
        from blankwright.files.partfile import read_part

        return read_part(self.path, variant=self.variant, hand=self.hand or None)


def items_of(path: Path) -> tuple[Item, ...]:
    """Return what a part file stands for; a file that can't be read stands for its part alone."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return (Item(path=path),)
    variants = data.get("variants")
    names = ["", *variants] if isinstance(variants, dict) else [""]
    hands = ["left", "right"] if data.get("other_hand") is True else [""]
    return tuple(Item(path=path, variant=name, hand=hand) for name in names for hand in hands)


def chosen(project: Project, names: Sequence[str]) -> tuple[Item, ...]:
    """Return the items that are named, or all.

    Args:
        project: where the parts are
        names: names of parts (all their items) or of single items; none means all

    Raises:
        FileProblem: with every name that is none of them
    """
    every = [item for path in project.part_files for item in items_of(path)]
    if not names:
        return tuple(every)
    found: list[Item] = []
    problems: list[Problem] = []
    for name in names:
        stem = name.removesuffix(".toml")
        hits = [item for item in every if stem in (item.name, item.path.stem)]
        if not hits:
            problems.append(_no_such(project, stem, every))
        found.extend(item for item in hits if item not in found)
    if problems:
        raise FileProblem(*problems)
    return tuple(found)


def _no_such(project: Project, name: str, every: Sequence[Item]) -> Problem:
    return Problem(
        code="PROJECT-002",
        where=str(project.parts_folder),
        got=f"there is no part {name}",
        allowed=", ".join(_names(every)) or "none yet",
        fix="Check the spelling, or write the part file",
    )


def _names(items: Sequence[Item]) -> Iterator[str]:
    for item in items:
        yield item.name
