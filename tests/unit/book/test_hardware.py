"""Counting hardware, part numbers in words, and recurring items."""

from datetime import UTC, datetime
from itertools import permutations

import pytest

from blankwright.base.errors import BadInput
from blankwright.base.units import from_inches
from blankwright.book.hardware import stock_of
from blankwright.book.numbers import meaning, rivet_number
from blankwright.book.records import (
    Hardware,
    HardwareMove,
    HardwareNeed,
    MoveKind,
    Yearly,
    YearlyDone,
    YearlyFastener,
)
from blankwright.book.yearly import end_of_month, yearly_time
from book_fixtures import NOW, hours


def move(n: int, kind: MoveKind, quantity: float, at: float = 0.0) -> HardwareMove:
    return HardwareMove(
        id=n, hardware_id=1, kind=kind, quantity=quantity, at=NOW + hours(at), due=None
    )


def needs(*quantities: float) -> list[HardwareNeed]:
    return [HardwareNeed(id=n, hardware_id=1, quantity=q) for n, q in enumerate(quantities)]


ITEM = Hardware(id=1, number="x")


@pytest.mark.parametrize(
    ("item", "wanted", "to_order"),
    [
        (ITEM, (10.0,), 11.0),
        (ITEM, (14.0, 18.0), 36.0),  # 32 and 10 %: 35.2
        (ITEM, (), 0.0),
        (Hardware(id=1, number="x", spare_percent=0.0), (10.0,), 10.0),
        (Hardware(id=1, number="x", spare_least=5.0), (10.0,), 15.0),
        (Hardware(id=1, number="x", spare_least=5.0), (100.0,), 110.0),
        (Hardware(id=1, number="x", pack=50.0), (100.0,), 150.0),
        (Hardware(id=1, number="x", pack=50.0, spare_percent=0.0), (100.0,), 100.0),
        (Hardware(id=1, number="x", unit="m"), (0.5, 0.25), 0.825),
        (Hardware(id=1, number="x", unit="m", pack=5.0), (4.9,), 10.0),
    ],
)
def test_what_to_order(item: Hardware, wanted: tuple[float, ...], to_order: float) -> None:
    assert stock_of(item, needs(*wanted), ()).to_order == pytest.approx(to_order)


def test_ordered_arrived_used_and_counted() -> None:
    moves = [
        move(1, MoveKind.ORDERED, 100, 1),
        move(2, MoveKind.ARRIVED, 60, 2),
        move(3, MoveKind.USED, 20, 3),
        move(4, MoveKind.COUNTED, 38, 4),
        move(5, MoveKind.USED, 5, 5),
        move(6, MoveKind.CANCELLED, 10, 6),
        move(7, MoveKind.ARRIVED, 20, 7),
    ]
    for order in permutations(moves[:5]):
        stock = stock_of(ITEM, needs(40), [*order, *moves[5:]])
        assert (stock.in_hand, stock.used, stock.on_order) == (53.0, 25.0, 10.0)
        # 40 and 4 spare, 25 used, 53 in hand: nothing to order.
        assert stock.to_order == 0.0


def test_what_comes_unordered_makes_no_debt() -> None:
    stock = stock_of(
        ITEM,
        needs(10),
        [
            move(1, MoveKind.ARRIVED, 30, 1),
            move(2, MoveKind.ORDERED, 50, 2),
            move(3, MoveKind.ARRIVED, 60, 3),
        ],
    )
    assert (stock.in_hand, stock.on_order) == (90.0, 0.0)


def test_using_more_than_the_book_knew_of_makes_no_debt() -> None:
    stock = stock_of(ITEM, needs(10), [move(1, MoveKind.USED, 4)])
    assert (stock.used, stock.in_hand, stock.to_order) == (4.0, 0.0, 7.0)
    stock = stock_of(ITEM, needs(10), [move(1, MoveKind.USED, 4), move(2, MoveKind.ARRIVED, 7)])
    assert (stock.in_hand, stock.to_order) == (7.0, 0.0)


@pytest.mark.parametrize(
    ("number", "words", "diameter_in", "length_in"),
    [
        # AC 43.13-1B Fig. 4-4 as in shared reference values: MS20470AD4-7 is 1/8 x 7/16.
        ("MS20470AD4-7", "rivet, universal head, 2117-T4, 1/8 × 7/16 in", 1 / 8, 7 / 16),
        ("MS20426AD3-4", "rivet, 100° countersunk head, 2117-T4, 3/32 × 1/4 in", 3 / 32, 1 / 4),
        ("ms20470 dd6-17", "rivet, universal head, 2024-T4, 3/16 × 1-1/16 in", 3 / 16, 17 / 16),
        # The rest from memory.
        ("MS21059L06", "plate nut, self-locking, two lugs, floating, 6-32", 0.138, None),
        ("MS21047-3", "plate nut, self-locking, two lugs, fixed, 10-32", 0.190, None),
        (
            "AN3-5A",
            "bolt, hexagon head, No. 10 (3/16 in), about 5/8 in long, shank undrilled",
            0.19,
            None,
        ),
        ("AN4-12", "bolt, hexagon head, 1/4 in, about 1-1/4 in long, shank drilled", 0.25, None),
    ],
)
def test_part_numbers_in_words(
    number: str, words: str, diameter_in: float, length_in: float | None
) -> None:
    found = meaning(number)
    assert found is not None
    assert found.words == words
    assert found.diameter == pytest.approx(from_inches(diameter_in))
    assert found.length == (None if length_in is None else pytest.approx(from_inches(length_in)))


@pytest.mark.parametrize(
    "number", ["", "M4x12", "MS20470AD4", "MS20470X4-7", "AN2-5", "MS20470AD4-7;"]
)
def test_unknown_numbers_mean_nothing(number: str) -> None:
    assert meaning(number) is None


@pytest.mark.parametrize(
    ("grip_in", "round_up", "number"),
    [
        # Worked in the shared reference values, 4.1: 0.032 + 0.040, L = 0.2595 in.
        (0.032 + 0.040, True, "MS20470AD4-5"),
        (0.032 + 0.040, False, "MS20470AD4-4"),
        # L = 1/8 + 3/16 = 5/16 to the hair: no step longer.
        (0.125, True, "MS20470AD4-5"),
    ],
)
def test_rivet_length_from_grip(grip_in: float, round_up: bool, number: str) -> None:
    found = rivet_number(
        head="MS20470",
        metal="AD",
        diameter=from_inches(1 / 8),
        grip=from_inches(grip_in),
        round_up=round_up,
    )
    assert found == number


def test_no_such_rivet() -> None:
    for diameter in (3.0, from_inches(0.1)):
        with pytest.raises(BadInput, match="BOOK-040"):
            rivet_number(head="MS20470", metal="AD", diameter=diameter, grip=1.0)
    with pytest.raises(BadInput, match="BOOK-040"):
        rivet_number(head="round", metal="AD", diameter=from_inches(1 / 8), grip=1.0)


@pytest.mark.parametrize(
    ("year", "month", "day", "months", "last"),
    [
        (2026, 1, 31, 1, "2026-02-28"),
        (2027, 3, 5, 11, "2028-02-29"),
        (2026, 12, 1, 12, "2027-12-31"),
        (2026, 5, 31, 6, "2026-11-30"),
    ],
)
def test_due_with_the_end_of_the_month(
    year: int, month: int, day: int, months: int, last: str
) -> None:
    found = end_of_month(datetime(year, month, day, 20, tzinfo=UTC), months)
    assert found.isoformat() == f"{last}T23:59:59+00:00"


def test_time_from_fasteners() -> None:
    item = Yearly(id=1, title="controls", minutes=15.0)
    fasteners = [
        YearlyFastener(id=1, yearly_id=1, kind="a", count=12, off_seconds=20, on_seconds=30),
        YearlyFastener(id=2, yearly_id=1, kind="b", count=4, off_seconds=3, on_seconds=6),
        YearlyFastener(id=3, yearly_id=2, kind="a", count=99, off_seconds=99, on_seconds=99),
    ]
    found = yearly_time(item, fasteners, [], NOW)
    assert (found.fasteners, found.off_minutes, found.on_minutes) == (16, 4.2, 6.4)
    assert found.minutes == pytest.approx(25.6)
    assert found.overdue
    assert found.due is None
    done = [YearlyDone(id=1, yearly_id=1, at=NOW), YearlyDone(id=2, yearly_id=1, at=NOW - hours(9))]
    again = yearly_time(item, fasteners, done, NOW)
    assert (again.last, again.overdue) == (NOW, False)
