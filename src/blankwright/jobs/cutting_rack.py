"""What is on the rack, for lists."""

from __future__ import annotations

import math
from collections.abc import Iterator

from blankwright.base.units import fixed, trimmed
from blankwright.cutting.stock import StockSheet
from blankwright.files.rackfile import NAME, read_rack
from blankwright.jobs.project import Project


def rack_rows(project: Project) -> tuple[tuple[str, str, str, str, str], ...]:
    """Return each entry's name, alloy and thickness, size, count (offcuts marked), and what else.

    What else is grain, film, price, openings and clamps, in words.


    Raises:
        BadInput, FileProblem: as `read_rack`
    """
    rows = []
    for sheet in read_rack(project.root / NAME):
        w, h = sheet.size
        alloy = f"{sheet.alloy}, {fixed(sheet.thickness, 3)} mm"
        count = "offcut" if sheet.offcut else str(sheet.count)
        size = f"{fixed(w, 0)} × {fixed(h, 0)}"
        rows.append((sheet.name, alloy, size, count, ", ".join(_more(sheet))))
    return tuple(rows)


def _more(sheet: StockSheet) -> Iterator[str]:
    if sheet.grain is not None:
        ways = {0.0: "grain along x", 90.0: "grain along y"}
        angle = round(math.degrees(sheet.grain), 3)
        yield ways.get(angle, f"grain at {trimmed(angle, 3)}°")
    if sheet.film != "none":
        yield "film on both sides" if sheet.film == "both" else f"film on its {sheet.film}"
    if sheet.price:
        yield f"price {fixed(sheet.price, 2)}"
    for count, one, several in (
        (len(sheet.region.holes), "opening", "openings"),
        (len(sheet.clamps), "clamp", "clamps"),
    ):
        if count:
            yield f"{count} {one if count == 1 else several}"
    if sheet.note:
        yield sheet.note
