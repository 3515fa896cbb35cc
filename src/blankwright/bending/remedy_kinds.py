"""Kinds of change that are tried when no order works, and what came of each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from blankwright.bending.plan import BendPlan

_NEAR = 0.5
"""A size is narrowed down to this [mm]."""


class Remedy(Enum):
    """Kinds of change; the value is how the plan words it."""

    FINGERS = "narrower fingers"
    VISE = "radius bars in the vise"
    BLOCK = "forming by hand over a block"
    SUITED = "a block or bar made for it"
    LEAF = "a shallower leaf"
    RELIEF = "longer relief"
    LOWER = "a lower flange"
    HIGHER = "a higher flange"
    SPLIT = "two parts riveted together"
    MOULD = "moulding it instead"


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Tried:
    """A change that was tried.

    Args:
        remedy: what kind
        text: what was changed, with its size
        works: whether an order exists then; nothing when the search can't tell
        proved: whether that is proved
        cost: of the best order then [s]; infinite when there is none
        size: the size that was found [mm], where there is one
        about: name of the bend it concerns, or empty
    """

    remedy: Remedy
    text: str
    works: bool | None
    proved: bool
    cost: float
    size: float | None = None
    about: str = ""

    @property
    def verdict(self) -> str:
        """What came of it, in words."""
        if self.works is None:
            return "named, not searched"
        if self.works:
            return "works"
        return "does not help" if self.proved else "does not help, not proved"


def blank_least(thickness: float) -> float:
    """Return how much of a leg must be left beyond the bend's radius [mm].

    Args:
        thickness: of the sheet [mm]
    """
    return 3 * thickness


def widest_size(
    plan: Callable[[float], BendPlan | None], good: float, bad: float
) -> tuple[float | None, BendPlan | None]:
    """Return the size nearest to the bad end that works, by halving, and its plan.

    Args:
        plan: plans a size
        good: the end that is most likely to work [mm]
        bad: the size as it is, which doesn't [mm]
    """
    best = plan(good)
    if best is None or not best.found:
        return None, None
    while abs(bad - good) > _NEAR:
        middle = (good + bad) / 2
        tried = plan(middle)
        if tried is not None and tried.found:
            good, best = middle, tried
        else:
            bad = middle
    return good, best
