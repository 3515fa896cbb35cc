"""Problems of a part file, each with its line and its place, gathered so that all show at once."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.base.errors import BadInput, Problem
from blankwright.base.quantities import BadText
from blankwright.files.partfile.positions import Positions


@dataclass(frozen=True, slots=True, kw_only=True)
class PartProblem(Problem):
    """A problem of a part file.

    Args:
        line: line of the file, 1 for the first; 0 when it is about no line
        place: place in the file, such as ``bends.left.leg.height``
    """

    line: int = 0
    place: str = ""

    @property
    def identity(self) -> tuple[str, str, str]:
        """What stays the same when lines shift: code, place and what was found."""
        return (self.code, self.place, self.got)


class Problems:
    """A collector of problems of one file."""

    def __init__(self, file: str, positions: Positions | None = None) -> None:
        self.file = file
        self.positions = positions or Positions()
        self.found: list[PartProblem] = []

    def add(
        self, code: str, place: str, got: str, allowed: str = "", fix: str = "", line: int = -1
    ) -> None:
        """Add a problem at a place; its line is looked up unless it is given."""
        if line < 0:
            line = self.positions.line(place)
        where = self.file
        if line:
            where += f", line {line}"
        if place:
            where += f", {place}"
        self.found.append(
            PartProblem(
                code=code, where=where, got=got, allowed=allowed, fix=fix, line=line, place=place
            )
        )

    def add_text(self, place: str, error: BadText) -> None:
        """Add what is wrong with a text at a place."""
        self.add(error.code, place, error.got, error.allowed, error.fix)

    def raise_if_any(self) -> None:
        """Raise BadInput with all problems in the order of the file, if there are any."""
        if self.found:
            ordered = sorted(self.found, key=lambda problem: problem.line)
            raise BadInput(*dict.fromkeys(ordered))
