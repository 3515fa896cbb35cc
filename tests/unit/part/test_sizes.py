"""Sizes worked out from one another."""

from __future__ import annotations

import pytest

from blankwright.base.quantities import BadText
from blankwright.handbook.drills import find_drill
from blankwright.part.model import Origin
from blankwright.part.sizes import SizeText, WorkedOut, check_name, work_out


def worked(*texts: SizeText) -> WorkedOut:
    return work_out(texts, find_drill)


def plain(**texts: str) -> WorkedOut:
    return worked(*(SizeText(name=name, text=text) for name, text in texts.items()))


def test_order_of_statement_does_not_matter() -> None:
    forward = plain(a1="1 in", b1="a1*2", c1="a1 + b1")
    backward = plain(c1="a1 + b1", b1="a1*2", a1="1 in")
    assert {n: s.value for n, s in forward.sizes.items()} == {
        n: s.value for n, s in backward.sizes.items()
    }
    assert list(backward.sizes) == ["c1", "b1", "a1"]
    assert forward.sizes["c1"].value == pytest.approx(76.2)
    assert forward.sizes["c1"].uses == ("a1", "b1")


def test_origin() -> None:
    done = worked(
        SizeText(name="drawn", text="1 in"),
        SizeText(name="made", text="drawn*2"),
        SizeText(name="bay", text="186.4 mm", measured=True, plus_minus="0.3 mm", drawn="7-3/8 in"),
        SizeText(name="hole", text="#30", drill=True),
    ).sizes
    assert done["drawn"].origin is Origin.DRAWN
    assert done["made"].origin is Origin.FORMULA
    assert done["bay"].origin is Origin.MEASURED
    assert done["bay"].plus_minus == pytest.approx(0.3)
    assert done["bay"].drawn == "7-3/8 in"
    # #30 is 0.1285 in on every drill chart.
    assert done["hole"].value == pytest.approx(0.1285 * 25.4, abs=1e-3)
    assert done["hole"].text == "#30"


def test_a_ring_is_named_in_full_and_once() -> None:
    done = plain(a1="b1", b1="c1 + 1 mm", c1="2*a1", d1="a1", ok="1 mm")
    assert [error.code for _, error in done.faults] == ["SIZE-004"]
    assert "a1 → b1 → c1 → a1" in done.faults[0][1].got
    assert list(done.sizes) == ["ok"]
    assert done.broken == {"a1", "b1", "c1", "d1"}


def test_what_hangs_on_a_fault_is_not_told_again() -> None:
    done = plain(a1="1 xx", b1="a1*2", c1="b1 + a1")
    assert [name for name, _ in done.faults] == ["a1"]
    assert done.broken == {"a1", "b1", "c1"}


def test_every_fault_is_told() -> None:
    done = plain(a1="1 xx", b1="1 mm + 1 deg", c1="zz*2")
    assert [(name, error.code) for name, error in done.faults] == [
        ("a1", "QTY-002"),
        ("b1", "SIZE-002"),
        ("c1", "SIZE-003"),
    ]


def test_a_tolerance_may_hang_on_a_later_size() -> None:
    done = worked(
        SizeText(name="bay", text="10 mm", measured=True, plus_minus="slack/2"),
        SizeText(name="slack", text="1 mm"),
    )
    assert done.sizes["bay"].plus_minus == pytest.approx(0.5)


def test_a_long_chain_is_worked_out() -> None:
    texts = {"s0": "1 mm"} | {f"s{i}": f"s{i - 1} + 1 mm" for i in range(1, 150)}
    assert plain(**texts).sizes["s149"].value == pytest.approx(150.0)
    assert plain(**dict(reversed(texts.items()))).sizes["s149"].value == pytest.approx(150.0)


@pytest.mark.parametrize(
    "name", ["in", "mm", "deg", "min", "sqrt", "pi", "F", "a-b", "1a", "", "a b", "ä"]
)
def test_names_that_will_not_do(name: str) -> None:
    with pytest.raises(BadText):
        check_name(name)


@pytest.mark.parametrize("name", ["a", "width", "bay_width", "_x", "W2", "f"])
def test_names_that_do(name: str) -> None:
    check_name(name)
