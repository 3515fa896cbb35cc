"""Values that know their powers of length and angle, and the steps of a formula on them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from blankwright.base.quantities import BadText, Quantity, QuantityKind


@dataclass(frozen=True, slots=True)
class Value:
    """A number with its powers of length and angle, and the text it came from."""

    value: float
    length: int
    angle: int
    text: str
    single: bool = True

    @property
    def dimension(self) -> tuple[int, int]:
        """Powers of length and angle [-]."""
        return (self.length, self.angle)

    @property
    def said(self) -> str:
        """The text and what it is, for a message."""
        return f"`{self.text}` ({what((self.length, self.angle))})"


def what(dimension: tuple[int, int]) -> str:
    """Return powers of length and angle in words."""
    known = {
        (0, 0): "a bare number",
        (1, 0): "a length",
        (0, 1): "an angle",
        (2, 0): "a length squared",
        (-1, 0): "a number per length",
        (0, -1): "a number per angle",
        (1, 1): "a length times an angle",
        (1, -1): "a length per angle",
        (-1, 1): "an angle per length",
        (0, 2): "an angle squared",
    }
    length, angle = dimension
    return known.get(dimension, f"length to the power {length} times angle to the power {angle}")


DIMENSIONS: Final[dict[str, tuple[int, int]]] = {
    "length": (1, 0),
    "angle": (0, 1),
    "number": (0, 0),
}
KINDS: Final[dict[tuple[int, int], QuantityKind]] = {
    (1, 0): "length",
    (0, 1): "angle",
    (0, 0): "number",
}
Sizes = Callable[[str], Quantity]
Node = Callable[[Sizes], Value]


def constant(quantity: Quantity, text: str) -> Node:
    """Return the node of a number with its unit."""
    value = Value(quantity.value, *DIMENSIONS[quantity.kind], text)
    return lambda _sizes: value


def named(name: str) -> Node:
    """Return the node of a named size."""

    def node(sizes: Sizes) -> Value:
        quantity = sizes(name)
        return Value(quantity.value, *DIMENSIONS[quantity.kind], name)

    return node


def negative(inner: Node, text: str) -> Node:
    """Return the node of a value with its sign turned."""

    def node(sizes: Sizes) -> Value:
        a = inner(sizes)
        return Value(-a.value, a.length, a.angle, text)

    return node


def _finite(value: float, length: int, angle: int, text: str) -> Value:
    if not math.isfinite(value):
        raise BadText("SIZE-006", f"`{text}` is too large to be worked out")
    return Value(value, length, angle, text)


def binary(sign: str, left: Node, right: Node, text: str) -> Node:
    """Return the node of two values and ``+ - *`` or ``/`` between them."""

    def node(sizes: Sizes) -> Value:
        a, b = left(sizes), right(sizes)
        if sign in "+-":
            if a.dimension != b.dimension:
                raise _unlike("added to" if sign == "+" else "taken from", a, b, sign)
            value = a.value + b.value if sign == "+" else a.value - b.value
            return _finite(value, a.length, a.angle, text)
        if sign == "*":
            return _finite(a.value * b.value, a.length + b.length, a.angle + b.angle, text)
        if b.value == 0:
            raise BadText(
                "SIZE-006", f"`{text}` divides by `{b.text}`, which is zero", "anything but zero"
            )
        return _finite(a.value / b.value, a.length - b.length, a.angle - b.angle, text)

    return node


def _unlike(doing: str, a: Value, b: Value, sign: str) -> BadText:
    got = f"{b.said} is {doing} {a.said}"
    fix = "Give both the same kind"
    bare = next((v for v in (a, b) if v.dimension == (0, 0)), None)
    if bare is not None:
        fix = f"Write the unit of `{bare.text}`, if it is meant to have one"
    return BadText(
        "SIZE-002", got, f"a length {sign} a length, an angle {sign} an angle, or bare numbers", fix
    )


def call(name: str, things: list[Node], text: str) -> Node:
    """Return the node of a function of values."""

    def node(sizes: Sizes) -> Value:
        values = [thing(sizes) for thing in things]
        first = values[0]
        if name in ("min", "max"):
            for other in values[1:]:
                if other.dimension != first.dimension:
                    raise BadText(
                        "SIZE-002",
                        f"`{text}` compares {first.said} with {other.said}",
                        "values of one kind",
                    )
            pick = min if name == "min" else max
            return Value(pick(v.value for v in values), first.length, first.angle, text)
        if name == "abs":
            return Value(abs(first.value), first.length, first.angle, text)
        if name == "sqrt":
            if first.length % 2 or first.angle % 2:
                raise BadText(
                    "SIZE-002", f"`{text}` takes the root of {first.said}", "a square or a number"
                )
            if first.value < 0:
                raise BadText("SIZE-006", f"`{text}` takes the root of a negative number")
            return Value(math.sqrt(first.value), first.length // 2, first.angle // 2, text)
        if name == "atan":
            if first.dimension != (0, 0):
                raise BadText("SIZE-002", f"`{text}` takes {first.said}", "a bare number")
            return Value(math.atan(first.value), 0, 1, text)
        if first.dimension != (0, 1):
            raise BadText("SIZE-002", f"`{text}` takes {first.said}", "an angle, such as `5 deg`")
        if name == "tan" and abs(math.cos(first.value)) < 1e-12:
            raise BadText("SIZE-006", f"`{text}` has no value", "an angle other than 90°")
        function = {"sin": math.sin, "cos": math.cos, "tan": math.tan}[name]
        return _finite(function(first.value), 0, 0, text)

    return node
