"""Trails: where a number comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["length", "angle", "number", "area", "volume", "mass", "text"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailStep:
    """One number and how it was come by.

    Args:
        name: what it is, such as ``bend left: allowance``
        value: in the inner unit of its kind: mm, rad, mm², mm³, kg, or a bare number
        kind: what sort of quantity it is, so that it can be shown in the reader's unit
        formula: the formula as the handbook prints it, or ``as stated``
        inputs: the numbers that went in, each a name, a value and a kind
        source: book, table and row; or the line of the part file
    """

    name: str
    value: float
    kind: Kind = "length"
    formula: str = "as stated"
    inputs: tuple[tuple[str, float, Kind], ...] = ()
    source: str = ""
