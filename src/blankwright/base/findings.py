"""Findings: what a check reports. They are returned, never raised."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import Enum


class Level(Enum):
    """How much a finding matters: `stop` keeps files from being written."""

    STOP = "stop"
    ASK = "ask"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One result of one check.

    Args:
        code: stable name, such as ``BEND-001``; each has a heading in ``docs/messages.md``
        level: `stop`, `ask` or `note`
        place: what it is about, such as ``bend left``; the page lights this up
        got: what was found, with its unit
        limit: what it is held against, with its unit
        source: where the limit comes from
        fix: what to do about it
        at: where on the blank [mm], or nothing
        overridden: the written reason that lets a `stop` pass, or nothing
    """

    code: str
    level: Level
    place: str
    got: str
    limit: str = ""
    source: str = ""
    fix: str = ""
    at: tuple[float, float] | None = None
    overridden: str = ""

    def __str__(self) -> str:
        text = f"{self.code} {self.level.value}: {self.place}: {self.got}"
        if self.limit:
            text += f"; limit {self.limit}"
        if self.source:
            text += f" ({self.source})"
        text += "."
        if self.fix:
            text += f" {self.fix}"
            if not self.fix.endswith("."):
                text += "."
        if self.overridden:
            text += f" Overridden: {self.overridden}."
        return text

    @property
    def blocks(self) -> bool:
        """Whether files must not be written while this stands."""
        return self.level is Level.STOP and not self.overridden

    def override(self, reason: str) -> Finding:
        """Return the same finding, let pass for a written reason."""
        return replace(self, overridden=reason)


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Sort findings: stops before asks before notes, each by place and code."""
    order = {Level.STOP: 0, Level.ASK: 1, Level.NOTE: 2}
    return tuple(sorted(findings, key=lambda f: (order[f.level], f.place, f.code, f.got)))


def alike(
    findings: Iterable[Finding], apart: Callable[[Finding], bool] = lambda _: False
) -> tuple[tuple[Finding, tuple[str, ...]], ...]:
    """Gather findings that say the same of several places, each where the first of them stood.

    Args:
        findings: in the order in which they are told
        apart: which of them stay by themselves

    Returns:
        Each finding, with neither its place nor its point, and the places that it is about.
    """
    groups: dict[tuple[Finding, int], list[str]] = {}
    for i, finding in enumerate(findings):
        key = (replace(finding, place="", at=None), i if apart(finding) else -1)
        groups.setdefault(key, []).append(finding.place)
    return tuple((finding, tuple(places)) for (finding, _), places in groups.items())


_KINDS = frozenset(
    [
        "bend",
        "corner",
        "cutter",
        "entry",
        "field",
        "flat",
        "flange",
        "hole",
        "leg",
        "opening",
        "pair",
        "place",
        "relief",
        "rivet",
        "row",
        "screw",
        "source",
        "stock",
        "template",
        "tool",
    ]
)
"""First words of places that name a kind of thing, and have a plural in s."""


def places_words(places: Sequence[str], most: int = 12) -> str:
    """Return several places in words: ``bends left, right`` for ``bend left``, ``bend right``.

    Args:
        places: as findings have them
        most: more than this are counted, not named
    """
    kinds = {place.partition(" ")[0] for place in places if " " in place}
    one_kind = len(kinds) == 1 and all(" " in place for place in places) and len(places) > 1
    one_kind = one_kind and kinds <= _KINDS  # a name such as `full 040 #1` is no kind
    names = [place.partition(" ")[2] for place in places] if one_kind else list(places)
    more = len(names) - most
    if more > 0:
        names[most:] = [f"and {more} more"]
    return f"{kinds.pop()}s {', '.join(names)}" if one_kind else ", ".join(names)
