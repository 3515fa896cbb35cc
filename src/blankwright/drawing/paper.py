"""Paper that prints go on, and the printer's own error."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import fixed, from_inches


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A size of paper, upright.

    Args:
        name: what it is called
        width: [mm]
        length: [mm]; infinite on a roll
    """

    name: str
    width: float
    length: float

    @property
    def is_roll(self) -> bool:
        """Whether it is cut off to any length."""
        return math.isinf(self.length)


def _inch(name: str, width_in: float, length_in: float) -> Paper:
    return Paper(name=name, width=from_inches(width_in), length=from_inches(length_in))


PAPERS: Final = {
    paper.name.lower(): paper
    for paper in (
        Paper(name="A4", width=210.0, length=297.0),
        Paper(name="A3", width=297.0, length=420.0),
        Paper(name="A2", width=420.0, length=594.0),
        Paper(name="A1", width=594.0, length=841.0),
        Paper(name="A0", width=841.0, length=1189.0),
        _inch("Letter", 8.5, 11.0),
        _inch("Legal", 8.5, 14.0),
        _inch("Tabloid", 11.0, 17.0),
        _inch("roll 24 in", 24.0, math.inf),
        _inch("roll 36 in", 36.0, math.inf),
        _inch("roll 42 in", 42.0, math.inf),
        Paper(name="roll 610 mm", width=610.0, length=math.inf),
        Paper(name="roll 914 mm", width=914.0, length=math.inf),
    )
}
"""Sizes by name in small letters. A sizes: ISO 216; Letter, Legal, Tabloid: ANSI/ASME Y14.1."""


def paper_named(name: str) -> Paper:
    """Return a paper by name, large or small letters.

    Raises:
        BadInput: when there is none of that name (PRINT-001)
    """
    found = PAPERS.get(" ".join(name.lower().split()))
    if found is None:
        raise BadInput(
            Problem(
                code="PRINT-001",
                where="paper size",
                got=f"there is no paper called `{name}`",
                allowed=", ".join(paper.name for paper in PAPERS.values()),
            )
        )
    return found


_MOST_ERROR = 0.05
"""A printer off by more than this is set to fit or shrink pages [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrinterError:
    """How much longer a printer prints than it is asked to, in its two directions.

    Args:
        across: printed over asked length, along the short side of the sheet [-]
        along: printed over asked length, along the long side of the sheet [-]; on a roll, along
            the roll

    Raises:
        BadInput: when either is off by more than 5 % (PRINT-002)
    """

    across: float = 1.0
    along: float = 1.0

    def __post_init__(self) -> None:
        problems = [
            Problem(
                code="PRINT-002",
                where=f"printer's error, {way} the paper",
                got=f"lines come out {fixed(100 * value, 2)} % of their length",
                allowed="95 % to 105 %",
                fix="Print the check sheet again at 100 %, without fit to page, and measure again",
            )
            for way, value in (("across", self.across), ("along", self.along))
            if not abs(value - 1.0) <= _MOST_ERROR
        ]
        if problems:
            raise BadInput(*problems)

    @classmethod
    def measured(cls, *, across: tuple[float, float], along: tuple[float, float]) -> PrinterError:
        """Work it out from two lines of a print that were measured.

        Args:
            across: asked and measured length of a line along the sheet's short side [mm]
            along: asked and measured length of a line along the sheet's long side [mm]

        Raises:
            BadInput: when a length is not over zero, or the error over 5 % (PRINT-002)
        """
        for asked, got in (across, along):
            if not (asked > 0 and got > 0):
                raise BadInput(
                    Problem(
                        code="PRINT-002",
                        where="printer's error",
                        got=f"a line of {asked:g} mm that measures {got:g} mm",
                        allowed="two lengths over zero",
                    )
                )
        return cls(across=across[1] / across[0], along=along[1] / along[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintSetup:
    """How a print is laid out.

    Args:
        paper: what it goes on
        margin: edge of the sheet that the printer can't print on [mm]
        overlap: how much of the drawing neighbouring pages share [mm]
        printer: the printer's own error, taken out of what is sent to it

    Raises:
        BadInput: when margin or overlap leave no room to print on (PRINT-003)
    """

    paper: Paper
    margin: float = 10.0
    overlap: float = 12.0
    printer: PrinterError = PrinterError()

    def __post_init__(self) -> None:
        room = min(self.paper.width, self.paper.length) - 2 * self.margin
        if not (self.margin >= 0 and self.overlap >= 0 and room - 2 * self.overlap >= 60.0):
            raise BadInput(
                Problem(
                    code="PRINT-003",
                    where=f"print on {self.paper.name}",
                    got=f"a margin of {self.margin:g} mm and an overlap of {self.overlap:g} mm",
                    allowed="none under zero, and 60 mm of the paper left to print on",
                )
            )

    def for_cards(self) -> PrintSetup:
        """Return the setup for cards: on a roll, a sheet as long as A4 or Letter is cut off it."""
        if not self.paper.is_roll:
            return self
        card = PAPERS["letter" if self.paper.name.endswith(" in") else "a4"]
        return replace(self, paper=replace(card, name=self.paper.name))
