"""Formulas among sizes: ``bay_width - 2*clear``, with the dimensions checked.

A formula knows lengths, angles and bare numbers, ``+ - * /``, brackets, names of sizes, and the
functions in `FUNCTIONS`. Squares of lengths may occur on the way (``sqrt(a*a + b*b)``), never as
the result. A number followed by its unit is one thing, so ``2-7/16 in`` is a mixed number and
``a*3/32 in`` is a times 3/32 in.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Final

from blankwright.base.quantities import (
    ALLOWED_UNITS,
    UNIT_WORDS,
    BadText,
    Quantity,
    plain,
    scan_quantity,
)
from blankwright.part.dimensions import (
    KINDS,
    Node,
    Sizes,
    binary,
    call,
    constant,
    named,
    negative,
    what,
)

LONGEST: Final = 500
"""A formula longer than this is a mistake, not a formula [-]."""

DEEPEST: Final = 50
"""Brackets and signs nested deeper than this are refused [-]."""

NAME: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
FUNCTIONS: Final = ("abs", "atan", "cos", "max", "min", "sin", "sqrt", "tan")
RESERVED: Final = frozenset((*FUNCTIONS, *UNIT_WORDS, "pi"))
"""Words that a size can't be named."""

_OPERATORS: Final = "+ - * / ( )"


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula that has been read.

    Args:
        text: as typed
        uses: names of the sizes in it, in order of appearance
        plain: whether it is one quantity and nothing else
    """

    text: str
    uses: tuple[str, ...]
    plain: bool
    _node: Node

    def value(self, sizes: Sizes | Mapping[str, Quantity]) -> Quantity:
        """Work the formula out.

        Args:
            sizes: values of the sizes by name; it must have all that the formula uses

        Raises:
            BadText: when dimensions don't agree or a number can't be worked out
        """
        look_up = sizes if callable(sizes) else sizes.__getitem__
        result = self._node(look_up)
        kind = KINDS.get(result.dimension)
        if kind is None:
            raise BadText(
                "SIZE-002",
                f"`{self.text}` comes to {what(result.dimension)}",
                "a length, an angle or a bare number",
                "Squares and the like may occur only on the way to a length, angle or number",
            )
        return Quantity(result.value, kind)


@lru_cache(maxsize=4096)
def read_formula(text: str) -> Formula:
    """Read a formula.

    Raises:
        BadText: when it can't be read: the message tells where
    """
    if len(text) > LONGEST:
        raise BadText(
            "SIZE-001",
            f"`{text[:30]}…` has {len(text)} characters",
            f"at most {LONGEST}",
            "Split the formula into several sizes",
        )
    if "\n" in text or "\r" in text:
        raise BadText("SIZE-001", "the formula runs over several lines", "one line")
    reader = _Reader(plain(text).strip(), text)
    node = reader.whole()
    return Formula(text, tuple(dict.fromkeys(reader.uses)), reader.plain, node)


class _Reader:
    """Reads by recursive descent: sum > product > sign > thing."""

    def __init__(self, text: str, typed: str) -> None:
        self.text = text
        self.typed = typed
        self.at = 0
        self.depth = 0
        self.uses: list[str] = []
        self.plain = True

    def whole(self) -> Node:
        if not self.text:
            raise BadText("QTY-003", "the text is empty", "a number with its unit, or a formula")
        node = self.sum()
        if self.at < len(self.text):
            self.stray()
        return node

    def peek(self) -> str:
        while self.at < len(self.text) and self.text[self.at] in " \t":
            self.at += 1
        return self.text[self.at : self.at + 1]

    def deeper(self) -> None:
        self.depth += 1
        if self.depth > DEEPEST:
            raise BadText(
                "SIZE-001",
                f"`{self.typed[:30]}…` is nested more than {DEEPEST} deep",
                fix="Split the formula into several sizes",
            )

    def sum(self) -> Node:
        self.deeper()
        start = self._start()
        node = self.product()
        while (sign := self.peek()) in ("+", "-") and sign:
            self.at += 1
            self.plain = False
            right = self.product()
            node = binary(sign, node, right, self.text[start : self.at].strip())
        self.depth -= 1
        return node

    def product(self) -> Node:
        start = self._start()
        node = self.sign()
        while (sign := self.peek()) in ("*", "/", "×", "·") and sign:
            if self.text.startswith("**", self.at):
                raise BadText(
                    "SIZE-001", f"`{self.typed}` has `**`", _OPERATORS, "Write `a*a` for a square"
                )
            self.at += 1
            self.plain = False
            right = self.sign()
            node = binary(
                "/" if sign == "/" else "*", node, right, self.text[start : self.at].strip()
            )
        return node

    def sign(self) -> Node:
        self.deeper()
        char = self.peek()
        if char in ("-", "+") and char:
            start = self.at
            self.at += 1
            inner = self.sign()
            node = inner
            if char == "-":
                node = negative(inner, self.text[start : self.at])
        else:
            node = self.thing()
        self.depth -= 1
        return node

    def thing(self) -> Node:
        char = self.peek()
        if not char:
            raise BadText(
                "SIZE-001",
                f"`{self.typed}` breaks off",
                "a number with its unit, a size or a bracket at the end",
            )
        if char == "(":
            return self.bracket()
        if char.isdigit() or char == ".":
            start = self.at
            quantity, self.at = scan_quantity(self.text, self.at)
            self._refuse_unknown_unit(start)
            return constant(quantity, self.text[start : self.at].strip())
        match = NAME.match(self.text, self.at)
        if match is None:
            self.stray()
        assert match is not None
        start = self.at
        self.at = match.end()
        if match[0] in FUNCTIONS:
            return self.function(match[0], start)
        if match[0] == "pi":
            self.plain = False
            return constant(Quantity(math.pi, "number"), "pi")
        if match[0] in UNIT_WORDS:
            raise BadText(
                "SIZE-001",
                f"the unit `{match[0]}` in `{self.typed}` stands after no number",
                "a unit right after its number, such as `1/8 in`",
            )
        if self.peek() == "(":
            close = get_close_matches(match[0], FUNCTIONS, 1)
            raise BadText(
                "SIZE-001",
                f"`{match[0]}(` in `{self.typed}` is no function",
                ", ".join(FUNCTIONS),
                f"Did you mean `{close[0]}`?"
                if close
                else "Write `*` before a bracket to multiply",
            )
        self.plain = False
        self.uses.append(match[0])
        return named(match[0])

    def bracket(self) -> Node:
        opened = self.at
        self.at += 1
        self.plain = False
        node = self.sum()
        if self.peek() != ")":
            if self.at < len(self.text):
                self.stray()
            raise BadText(
                "SIZE-001",
                f"the bracket at `{self.text[opened:]}` is not closed",
                fix="Put the `)` where it belongs",
            )
        self.at += 1
        if self._unit_follows():
            raise BadText(
                "SIZE-001",
                f"`{self.typed}` has a unit after a bracket",
                "a unit right after its number, such as `1/8 in`",
                "Put the unit inside the bracket",
            )
        return node

    def function(self, name: str, start: int) -> Node:
        self.plain = False
        if self.peek() != "(":
            raise BadText("SIZE-001", f"`{name}` in `{self.typed}` has no bracket", f"`{name}(…)`")
        self.at += 1
        things = [self.sum()]
        while self.peek() == ",":
            self.at += 1
            things.append(self.sum())
        if self.peek() != ")":
            raise BadText("SIZE-001", f"the bracket of `{name}` in `{self.typed}` is not closed")
        self.at += 1
        many = name in ("min", "max")
        if many != (len(things) > 1):
            raise BadText(
                "SIZE-001",
                f"`{name}` in `{self.typed}` has {len(things)} value(s) in its bracket",
                "two or more, with commas" if many else "one",
            )
        return call(name, things, self.text[start : self.at])

    def stray(self) -> None:
        rest = self.text[self.at :].strip()
        sign = rest[:1]
        before = self.text[: self.at].strip()
        if sign == "#":
            raise BadText(
                "SIZE-007",
                f"`{self.typed}` has a drill number",
                "drill sizes only where a drill is meant",
                'State a size as { drill = "#30" } and use its name here',
            )
        if sign == ",":
            raise BadText(
                "QTY-004",
                f"`{self.typed}` has a comma, which may be a decimal point or a separator",
                "a point for decimals and no separators, such as `1.5 mm`",
            )
        if sign in "^%=<>!&|":
            raise BadText("SIZE-001", f"`{self.typed}` has the sign `{sign}`", _OPERATORS)
        if sign == ")":
            raise BadText("SIZE-001", f"`{self.typed}` closes a bracket that was never opened")
        if before:
            raise BadText(
                "SIZE-001",
                f"`{self.typed}` has nothing between `{before}` and `{rest}`",
                _OPERATORS,
                "Write `*` to multiply; a number needs its unit right behind it",
            )
        raise BadText(
            "QTY-003",
            f"`{self.typed}` can't be read from `{rest}` on",
            "a number with its unit, such as `3/32 in` or `1.5 mm`, or a formula",
        )

    def _start(self) -> int:
        self.peek()
        return self.at

    def _unit_follows(self) -> bool:
        self.peek()
        match = NAME.match(self.text, self.at)
        return self.text[self.at : self.at + 1] in ('"', "'", "°") or (
            match is not None and match[0] in UNIT_WORDS
        )

    def _refuse_unknown_unit(self, start: int) -> None:
        """Say `unknown unit` where a word stands right behind a number."""
        behind = self.at
        self.peek()
        match = NAME.match(self.text, self.at)
        self.at = behind
        if match is None:
            return
        if match[0] in RESERVED - UNIT_WORDS:
            return
        number = self.text[start:behind].strip()
        close = get_close_matches(match[0].lower(), sorted(UNIT_WORDS), 1)
        raise BadText(
            "QTY-002",
            f"`{match[0]}` after `{number}` in `{self.typed}` is no unit",
            ALLOWED_UNITS,
            f"Did you mean `{close[0]}`? To multiply by a size, write `{number}*{match[0]}`"
            if close
            else f"To multiply by a size, write `{number}*{match[0]}`",
        )
