"""What a part file stands for: the part, its variants, its other hand."""

from __future__ import annotations

import contextlib
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
        if self.is_template:
            return f"template-{self.path.stem}"
        return "-".join(word for word in (self.path.stem, self.variant, self.hand) if word)

    @property
    def is_template(self) -> bool:
        """Whether it is the plate of a drill template."""
        return self.path.parent.name == "templates"

    def read(self) -> Part:
        """Read it. Raises as `files.partfile.read_part`."""
        if self.is_template:
            from blankwright.jobs.holes_templates import template_part
            from blankwright.jobs.project import find_project

            return template_part(find_project(self.path.parent), self.path)
        from blankwright.files.partfile import read_part

        coupons = None
        if drawing_of(self.path) is not None:
            # Where bends lie on a part that is taken from a drawing hangs on their allowances.
            from blankwright.jobs.project import find_project
            from blankwright.jobs.shop_coupons import coupons_of

            with contextlib.suppress(FileProblem):
                coupons = coupons_of(find_project(self.path.parent))
        return read_part(self.path, variant=self.variant, hand=self.hand or None, coupons=coupons)


def drawing_of(path: Path) -> Path | None:
    """Return the drawing that a part file takes its shape from, or nothing."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError):
        return None
    source = data.get("source")
    if not isinstance(source, dict) or not isinstance(source.get("file"), str):
        return None
    return path.parent / str(source["file"])


def items_of(path: Path) -> tuple[Item, ...]:
    """Return what a part file stands for; a file that can't be read stands for its part alone."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
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
        names: names of parts (all their items), of single items, or ``template-NAME`` for the
            plate of a drill template; none means all parts

    Raises:
        FileProblem: with every name that is none of them, and every name that two items share
    """
    every = [item for path in project.part_files for item in items_of(path)]
    _no_two_alike(every)
    if not names:
        return tuple(every)
    found: list[Item] = []
    problems: list[Problem] = []
    for name in names:
        stem = name.removesuffix(".toml")
        hits = [item for item in every if stem in (item.name, item.path.stem)]
        plate = project.root / "templates" / f"{stem.removeprefix('template-')}.toml"
        if not hits and stem.startswith("template-") and plate.is_file():
            hits = [Item(path=plate)]
        if not hits:
            problems.append(_no_such(project, stem, every))
        found.extend(item for item in hits if item not in found)
    if problems:
        raise FileProblem(*problems)
    return tuple(found)


def _no_two_alike(items: Sequence[Item]) -> None:
    """Refuse items whose folders would be one; some disks take capitals for small letters."""
    first: dict[str, Item] = {}
    problems: list[Problem] = []
    for item in items:
        other = first.setdefault(item.name.casefold(), item)
        if other is not item:
            problems.append(
                Problem(
                    code="PROJECT-006",
                    where=str(item.path),
                    got=f"it makes a part {item.name}, and {other.path.name} makes {other.name}",
                    allowed="names that differ in more than capitals",
                    fix="Rename the file or the variant: one would write over the other's files",
                )
            )
    if problems:
        raise FileProblem(*problems)


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
