"""Machinists' handbook: length of stock in a 90° bend, FROM MEMORY (high); trade k table.

k table: vedge.org/kfac.html; it claims a machinists' handbook as its source, which is doubtful.
Inches.
"""

import math
from decimal import Decimal

import pytest

from blankwright.develop.allowance import (
    bend_allowance_empirical,
    bend_allowance_neutral_axis,
    k_of_allowance,
)
from blankwright.develop.coupon import LIKELY_K
from blankwright.handbook.table import table

RIGHT = math.pi / 2


def stock_length(group: str, r: float, t: float) -> float:
    lengths = table("stock-length")
    (row,) = (row for row in lengths.rows if group in str(row.values["group"]))
    return lengths.inner(row, "thickness") * t + lengths.inner(row, "radius") * r


@pytest.mark.parametrize(
    ("group", "constant", "k"),
    [
        ("soft copper", 0.55, 0.3501),
        ("aluminium", 0.64, 0.4074),
        ("spring steel", 0.71, 0.4520),
    ],
)
def test_equivalent_k(group: str, constant: float, k: float) -> None:
    """c/1.5708. DERIVED."""
    assert stock_length(group, 0.0, 1.0) == constant
    assert stock_length(group, 1.0, 0.0) == 1.57
    assert k_of_allowance(constant, 0.0, 1.0, RIGHT) == pytest.approx(k, abs=5.1e-5)


def test_worked_numbers() -> None:
    """T .040, R .156: 0.2705 (FAA 0.2731); T .0625, R .125: 0.2363. DERIVED."""
    length = stock_length("aluminium", 0.156, 0.040)
    assert length == pytest.approx(0.2705, abs=5e-5)
    faa = bend_allowance_empirical(0.156, 0.040, RIGHT)
    assert faa == pytest.approx(0.2731, abs=5e-5)
    assert faa > length
    assert stock_length("half-hard", 0.125, 0.0625) == pytest.approx(0.2363, abs=6e-5)


@pytest.mark.parametrize("t", [0.025, 0.040, 0.125])
def test_the_neutral_axis_gives_the_handbooks_length(t: float) -> None:
    """With the equivalent k the arc is the handbook's length, but for 1.57 against π/2."""
    for r in (0.0, 0.125, 0.5):
        arc = bend_allowance_neutral_axis(r, t, RIGHT, 0.64 / RIGHT)
        assert arc == pytest.approx(stock_length("aluminium", r, t), abs=0.001 * r + 1e-12)


# Material, radii, then thickness and k.
K_PRINTED = [
    ("aluminium", ".030", ".032 .398 .063 .404 .100 .406 .125 .407"),
    ("aluminium", ".060", ".032 .394 .063 .402 .100 .381 .125 .407"),
    ("aluminium", ".090", ".032 .391 .063 .401 .100 .380 .125 .406"),
    ("aluminium", ".120", ".032 .391 .063 .401 .100 .380 .125 .406"),
    ("aluminium", ".188", ".032 .392 .063 .401 .100 .380 .125 .406"),
    ("cold-rolled steel", ".030", ".048 .438 .060 .467 .093 .459"),
    ("stainless steel", ".030", ".029 .483 .078 .449"),
]


@pytest.mark.parametrize(("material", "radius", "cells"), K_PRINTED)
def test_trade_k_table(material: str, radius: str, cells: str) -> None:
    texts = cells.split()
    rows = {
        (row.values["material"], row.values["radius"], row.values["thickness"]): row.values["k"]
        for row in table("k-factor").rows
    }
    for thickness, k in zip(texts[::2], texts[1::2], strict=True):
        assert rows[material, Decimal(radius), Decimal(thickness)] == Decimal(k)
        assert LIKELY_K[0] < float(k) < LIKELY_K[1]


def test_one_shops_neutral_line() -> None:
    """16 ga cold-rolled steel: neutral line at 43 % (sheetmetalworkbook.com)."""
    assert LIKELY_K[0] < 0.43 < LIKELY_K[1]
