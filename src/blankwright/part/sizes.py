"""Named sizes worked out: which hangs on which, and what each comes to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Final, Protocol

from blankwright.base.errors import BadInput
from blankwright.base.quantities import BadText, Quantity
from blankwright.part.formula import NAME, RESERVED, Formula, read_formula
from blankwright.part.model import Origin, Size


class DrillLike(Protocol):
    """A drill as the handbook knows it: its name, and its diameter [mm]."""

    @property
    def name(self) -> str:
        """As shops call it."""

    @property
    def diameter(self) -> float:
        """[mm]"""


FindDrill = Callable[[str], DrillLike]
"""Looks up a drill by what is stamped on it (``#30``, ``F``, ``1/8``); raises BadInput."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeText:
    """A named size as typed.

    Args:
        name: its name
        text: the quantity, formula or drill
        measured: whether it was measured at the place
        drill: whether the text names a drill
        plus_minus: tolerance as typed, or empty
        drawn: what the drawing says, as typed, where a measured size stands in its place
        note: as typed
        line: line of the part file
    """

    name: str
    text: str
    measured: bool = False
    drill: bool = False
    plus_minus: str = ""
    drawn: str = ""
    note: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedOut:
    """The sizes that could be worked out, and what is wrong with the others.

    Args:
        sizes: in the order they were stated
        faults: name of a size, and what is wrong with it
        broken: names of all sizes without a value, those that hang on a faulty one too
    """

    sizes: Mapping[str, Size]
    faults: tuple[tuple[str, BadText], ...]
    broken: frozenset[str] = field(default_factory=frozenset)


class SizeBroken(Exception):
    """A formula hangs on a size that is wrong itself, which is told elsewhere."""


def nearest(word: str, among: Iterable[str]) -> str:
    """Return ``Did you mean …?`` for a misspelled word, or an empty text."""
    close = get_close_matches(word, list(among), 1, 0.6)
    return f"Did you mean `{close[0]}`?" if close else ""


def look_up(sizes: Mapping[str, Size], broken: frozenset[str]) -> Callable[[str], Quantity]:
    """Return a look-up of sizes for `Formula.value`.

    The look-up raises BadText for a size that is not there and SizeBroken for one that is wrong.
    """

    def find(name: str) -> Quantity:
        size = sizes.get(name)
        if size is not None:
            return Quantity(size.value, size.kind)  # type: ignore[arg-type]
        if name in broken:
            raise SizeBroken(name)
        known = ", ".join(sizes) or "none are stated"
        raise BadText(
            "SIZE-003",
            f"no size is named `{name}`",
            f"sizes: {known}",
            nearest(name, [*sizes, *broken]) or f"State `{name}` under [sizes]",
        )

    return find


def check_name(name: str) -> None:
    """Raise BadText when a size can't have this name."""
    fix = "Pick another name"
    if not NAME.fullmatch(name):
        raise BadText(
            "SIZE-008",
            f"`{name}` can't name a size",
            "letters, digits and _, a letter first",
            "Write `_` where you would like a space or a hyphen",
        )
    if name in RESERVED:
        raise BadText("SIZE-008", f"`{name}` is a unit or a function", "any other name", fix)
    if len(name) == 1 and name.isupper():
        raise BadText("SIZE-008", f"`{name}` is a letter drill", "any longer name", fix)


def work_out(
    texts: Iterable[SizeText], find_drill: FindDrill, unread: frozenset[str] = frozenset()
) -> WorkedOut:
    """Work out all sizes.

    Args:
        texts: sizes as typed, each name once
        find_drill: looks up drills
        unread: names of sizes that are stated but could not be read, which is told elsewhere
    """
    job = _Job({text.name: text for text in texts}, find_drill)
    job.broken.update(unread)
    for name in job.texts:
        job.visit(name, ())
    sizes = {name: job.done[name] for name in job.texts if name in job.done}
    order = {name: i for i, name in enumerate(job.texts)}
    faults = tuple(sorted(job.faults, key=lambda item: order[item[0]]))
    return WorkedOut(sizes=sizes, faults=faults, broken=frozenset(job.broken))


_LONG_CHAIN: Final = 200


class _Job:
    def __init__(self, texts: dict[str, SizeText], find_drill: FindDrill) -> None:
        self.texts = texts
        self.find_drill = find_drill
        self.done: dict[str, Size] = {}
        self.broken: set[str] = set()
        self.faults: list[tuple[str, BadText]] = []
        self.formulas: dict[str, Formula] = {}

    def visit(self, name: str, chain: tuple[str, ...]) -> None:
        if name in self.done or name in self.broken:
            return
        if name in chain:
            ring = (*chain[chain.index(name) :], name)
            self.fault(
                name,
                BadText(
                    "SIZE-004",
                    f"`{name}` hangs on itself: {' → '.join(ring)}",
                    "sizes that end in numbers with units",
                    "State one of them by a number",
                ),
            )
            self.broken.update(ring)
            return
        if len(chain) > _LONG_CHAIN:
            self.fault(name, BadText("SIZE-004", f"more than {_LONG_CHAIN} sizes hang in a row"))
            self.broken.update(chain)
            return
        text = self.texts[name]
        try:
            check_name(name)
            uses: tuple[str, ...] = ()
            if text.drill:
                quantity = Quantity(self._drill(text.text), "length")
                origin = Origin.DRAWN
            else:
                formula = read_formula(text.text)
                uses = formula.uses
                tolerance = read_formula(text.plus_minus).uses if text.plus_minus else ()
                for use in (*uses, *tolerance):
                    if use in self.texts:
                        self.visit(use, (*chain, name))
                if name in self.broken:
                    return
                quantity = formula.value(self._find)
                origin = Origin.DRAWN if formula.plain else Origin.FORMULA
            if text.measured:
                origin = Origin.MEASURED
            self.done[name] = Size(
                name=name,
                text=text.text,
                value=quantity.value,
                kind=quantity.kind,
                origin=origin,
                plus_minus=self._plus_minus(text, quantity),
                note=text.note,
                uses=uses,
                line=text.line,
                drawn=text.drawn,
            )
        except SizeBroken:
            self.broken.add(name)
        except BadText as error:
            self.fault(name, error)

    def fault(self, name: str, error: BadText) -> None:
        self.faults.append((name, error))
        self.broken.add(name)

    def _find(self, name: str) -> Quantity:
        if name in self.broken:
            raise SizeBroken(name)
        known = {other: size for other, size in self.done.items() if other in self.texts}
        if name in known or name not in self.texts:
            return look_up(known, frozenset(self.texts))(name)
        raise SizeBroken(name)

    def _drill(self, text: str) -> float:
        return drill_diameter(text, self.find_drill)

    def _plus_minus(self, text: SizeText, of: Quantity) -> float | None:
        if not text.plus_minus:
            return None
        tolerance = read_formula(text.plus_minus).value(self._find)
        if tolerance.kind != of.kind:
            raise BadText(
                "SIZE-005",
                f"plus_minus `{text.plus_minus}` is {_a(tolerance.kind)}, the size {_a(of.kind)}",
                _a(of.kind),
            )
        if tolerance.value < 0:
            raise BadText("SIZE-005", f"plus_minus `{text.plus_minus}` is negative", "zero or more")
        return tolerance.value


def drill_diameter(text: str, find_drill: FindDrill) -> float:
    """Return the diameter of a drill [mm]. Raises BadText when the handbook has no such drill."""
    try:
        return find_drill(text).diameter
    except BadInput as error:
        problem = error.problems[0]
        got = f"`{text}`: {problem.got}"
        raise BadText("SIZE-007", got, problem.allowed, problem.fix) from error


def _a(kind: str) -> str:
    return {"length": "a length", "angle": "an angle", "number": "a bare number"}[kind]
