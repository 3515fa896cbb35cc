"""Material lots, and what coupons taught."""

from __future__ import annotations

from datetime import datetime

from blankwright.book import records as r
from blankwright.book.change import Reader
from blankwright.jobs.book_find import bad_input, part_named
from blankwright.jobs.book_open import BookAt


def add_lot(
    at_book: BookAt,
    at: datetime,
    material: str,
    number: str,
    *,
    bought_from: str = "",
    paper: str = "",
    note: str = "",
) -> int:
    """Write down a lot of material with the number printed on it."""
    if not material.strip() or not number.strip():
        raise bad_input("BOOK-080", "lot", "material or number is empty", "Write both")
    with at_book.change(f"lot {number}: {material}", at) as change:
        return change.add(
            r.Lot,
            material=material,
            number=number,
            bought_from=bought_from,
            paper=paper,
            at=at,
            note=note,
        )


def change_lot(at_book: BookAt, at: datetime, lot: int, **values: str | None) -> r.Lot:
    """Change what is said of a lot; what is not given, or nothing, stays.

    Args:
        at_book: the book
        at: now
        lot: number of its row
        values: material, number, bought_from, paper, note

    Raises:
        BadInput: when material or number would be empty, or there is no such lot
    """
    given = {name: text for name, text in values.items() if text is not None}
    if not all(given.get(name, "x").strip() for name in ("material", "number")):
        raise bad_input("BOOK-080", "lot", "material or number is empty", "Write both")
    with at_book.change(f"lot {lot}: changed", at) as change:
        change.put(r.Lot, lot, **given)
        return change.get(r.Lot, lot)


def use_lot(at_book: BookAt, at: datetime, number: int, part: str, note: str = "") -> None:
    """Write down that a part was made from a lot."""
    with at_book.change(f"{part} from lot {number}", at) as change:
        row = part_named(change, part)
        change.add(r.LotUse, lot_id=change.get(r.Lot, number).id, part_id=row.id, note=note)


def take_coupons(at_book: BookAt, at: datetime) -> int:
    """Take the results of the shop's coupon file into the book; return how many are new or changed.

    Raises:
        BadInput: when the coupon file is wrong
    """
    from blankwright.jobs.book_coupons import results

    found = results(at_book.project)
    count = 0
    with at_book.change("results of coupons", at) as change:
        known = {c.key: c for c in change.all(r.Coupon) if c.key}
        for key, values in found.items():
            if key in known:
                count += change.put(r.Coupon, known[key].id, **values)
            else:
                change.add(r.Coupon, key=key, **{"at": at, **values})
                count += 1
    return count


def lots(reader: Reader) -> tuple[tuple[r.Lot, tuple[str, ...]], ...]:
    """Return all lots, each with the names of the parts made from it."""
    names = {part.id: part.name for part in reader.all(r.Part)}
    used: dict[int, list[str]] = {}
    for use in reader.all(r.LotUse):
        used.setdefault(use.lot_id, []).append(names[use.part_id])
    return tuple((lot, tuple(sorted(set(used.get(lot.id, ()))))) for lot in reader.all(r.Lot))
