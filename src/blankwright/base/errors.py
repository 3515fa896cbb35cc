"""Errors: what stops the work. Findings (see `findings`) are what a check reports."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong with an input, in the one grammar that all messages follow.

    Args:
        code: stable name, such as ``SIZE-003``; each has a heading in ``docs/messages.md``
        where: file, line and the place in it, as the builder knows it
        got: what was found
        allowed: what is allowed there
        fix: what to do
    """

    code: str
    where: str
    got: str
    allowed: str = ""
    fix: str = ""

    def __str__(self) -> str:
        text = f"{self.code} {self.where}: {self.got}."
        if self.allowed:
            text += f" Allowed: {self.allowed}."
        if self.fix:
            text += f" {self.fix}"
            if not self.fix.endswith("."):
                text += "."
        return text


class BlankwrightError(Exception):
    """Something can't go on. Holds every problem found, so that the user sees them all at once."""

    exit_status = 2

    def __init__(self, *problems: Problem) -> None:
        super().__init__(*problems)
        self.problems = problems

    @classmethod
    def of(cls, problems: Iterable[Problem]) -> BlankwrightError:
        """Build from any iterable of problems."""
        return cls(*problems)

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


class BadInput(BlankwrightError, ValueError):
    """What the user stated can't be read or contradicts itself."""


class NotPossible(BlankwrightError, ValueError):
    """What the user stated is clear, but no such part, plan or file exists."""


class FileProblem(BlankwrightError, OSError):
    """A file can't be read or written."""


class OurBug(BlankwrightError, RuntimeError):
    """A promise of our own code was broken: an output that fails its proof, for example."""

    exit_status = 3
