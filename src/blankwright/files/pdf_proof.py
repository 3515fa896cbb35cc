"""Proves a print: renders it and measures the ink, page by page and across the joints.

On every page both scale bars are measured, then every register mark, then the lines that matter,
each at many places, and last it is asked whether there is ink where none belongs. All that is
measured is what would come out of a printer that adds its own stated error.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.errors import BadInput, OurBug, Problem
from blankwright.base.tolerance import PROOF_PRINT
from blankwright.base.units import fixed
from blankwright.drawing.furniture import END_MARK
from blankwright.drawing.layers import Layer
from blankwright.drawing.pages import Page, ScaleBar
from blankwright.files.pdf_lines import LineCheck, Seen, look_at_lines
from blankwright.files.pdf_read import PageInk, PdfPages
from blankwright.files.pdf_strays import stray_ink
from blankwright.geom.vec import Point

_REPORT = "This is a bug of ours: nothing was written; please report it"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintReport:
    """What was measured on a print that passed.

    Args:
        pages: pages looked at [-]
        places: places on lines where the ink's middle was measured [-]
        covered: places on lines where it was only seen that there is ink [-]
        worst: worst distance of a line from its place [mm]
        worst_bar: worst error of a scale bar [mm]
        joints: places seen on two pages and compared [-]
        worst_joint: worst step of a line from page to page [mm]
    """

    pages: int
    places: int
    covered: int
    worst: float
    worst_bar: float
    joints: int
    worst_joint: float


def prove_pages(data: bytes, pages: Sequence[Page], lines: Sequence[Layer]) -> PrintReport:
    """Render a print and measure it to 0.1 mm.

    Args:
        data: the PDF file
        pages: what it must show
        lines: layers whose lines are measured

    Raises:
        OurBug: when it can't be read (PDF-001); a page is missing or of another size (PDF-002); a
            scale bar (PDF-003), a register mark (PDF-004) or a line (PDF-005) is off, by how much
            and where; ink is missing (PDF-006) or stands where none belongs (PDF-007); a line
            steps from one page to the next (PDF-008)
    """
    problems: list[Problem] = []
    checks: list[LineCheck] = []
    bars: list[float] = []
    try:
        with PdfPages(data) as file:
            if len(file) != len(pages):
                raise OurBug(_problem("PDF-002", "PDF file", f"{len(file)} pages", f"{len(pages)}"))
            for i, page in enumerate(pages):
                where = f"PDF file, page {page.name}"
                ink = file.page(i)
                size = _size_problems(where, page, ink)
                problems.extend(size)
                if size:
                    continue
                for bar in page.bars:
                    off = bar_error(ink, page, bar)
                    bars.append(math.inf if off is None else abs(off))
                    if off is None or abs(off) > PROOF_PRINT:
                        problems.append(_bar_problem(where, bar, off))
                problems.extend(_mark_problems(where, page, ink))
                check = look_at_lines(where, page, ink, lines)
                checks.append(check)
                problems.extend(check.problems)
        problems.extend(stray_ink(data, pages))
    except BadInput as error:
        raise OurBug(*error.problems) from error
    joints, worst_joint, steps = _joints([check.seen for check in checks])
    problems.extend(steps)
    if problems:
        raise OurBug(*problems)
    return PrintReport(
        pages=len(pages),
        places=sum(len(check.seen) for check in checks),
        covered=sum(check.covered for check in checks),
        worst=max((abs(s.off) for check in checks for s in check.seen), default=0.0),
        worst_bar=max(bars, default=0.0),
        joints=joints,
        worst_joint=worst_joint,
    )


def _problem(code: str, where: str, got: str, allowed: str = "") -> Problem:
    return Problem(code=code, where=where, got=got, allowed=allowed, fix=_REPORT)


def _size_problems(where: str, page: Page, ink: PageInk) -> list[Problem]:
    if abs(ink.width - page.width) <= 0.01 and abs(ink.height - page.height) <= 0.01:
        return []
    got = f"a page of {fixed(ink.width, 3)} × {fixed(ink.height, 3)} mm"
    want = f"{fixed(page.width, 3)} × {fixed(page.height, 3)} mm"
    return [_problem("PDF-002", where, got, want)]


def bar_error(ink: PageInk, page: Page, bar: ScaleBar) -> float | None:
    """Return how much too long a scale bar would print [mm], or nothing where it is not found."""
    along: Point = (0.0, 1.0) if bar.upright else (1.0, 0.0)
    side: Point = (-along[1], along[0])
    ends: list[float] = []
    for at in (0.0, bar.length):
        mark = page.as_sent(
            (
                bar.start[0] + along[0] * at + side[0] * (END_MARK - 0.9),
                bar.start[1] + along[1] * at + side[1] * (END_MARK - 0.9),
            )
        )
        # Travel along the mark, so that the offset to the left is along the bar.
        off = ink.line_offset(mark, (-side[0], -side[1]), 0.8, 0.6)
        if off is None:
            return None
        ends.append(off)
    stretch = page.stretch[1] if bar.upright else page.stretch[0]
    return (ends[1] - ends[0]) / stretch


def _bar_problem(where: str, bar: ScaleBar, off: float | None) -> Problem:
    which = "upright scale bar" if bar.upright else "level scale bar"
    got = "its end marks are not found" if off is None else f"it is off by {fixed(off, 3)} mm"
    return _problem("PDF-003", f"{where}, {which} of {bar.length:g} mm", got, f"{PROOF_PRINT:g} mm")


def _mark_problems(where: str, page: Page, ink: PageInk) -> list[Problem]:
    problems: list[Problem] = []
    x0, y0, x1, y1 = page.window
    for mark in page.marks:
        at = page.on_page(mark.at)
        inside = x0 + 5 < at[0] < x1 - 5 and y0 + 5 < at[1] < y1 - 5
        if not (mark.clear and inside):
            continue
        worst = 0.0
        # On each arm, between the circle and the arm's end, where nothing else is drawn.
        for dx, dy in ((3.0, 0.0), (-3.0, 0.0), (0.0, 3.0), (0.0, -3.0)):
            along = (1.0, 0.0) if dy == 0 else (0.0, 1.0)
            off = ink.line_offset(page.as_sent((at[0] + dx, at[1] + dy)), along, 0.5, 0.8)
            worst = max(worst, math.inf if off is None else abs(off))
        if worst > PROOF_PRINT:
            by = "not found" if math.isinf(worst) else f"off by {fixed(worst, 3)} mm"
            problems.append(_problem("PDF-004", f"{where}, register mark {mark.name}", by))
    return problems


def _joints(seen: Sequence[Sequence[Seen]]) -> tuple[int, float, list[Problem]]:
    """Compare places that show on two pages: the line must not step from one to the other."""
    first: dict[tuple[Point, Point], float] = {}
    count, worst, at = 0, 0.0, (0.0, 0.0)
    for page in seen:
        for place in page:
            key = (place.at, place.along)
            if key in first:
                count += 1
                step = abs(first[key] - place.off)
                if step > worst:
                    worst, at = step, place.at
            else:
                first[key] = place.off
    if worst <= PROOF_PRINT:
        return count, worst, []
    got = f"a line steps by {fixed(worst, 3)} mm at ({fixed(at[0], 2)}, {fixed(at[1], 2)})"
    return count, worst, [_problem("PDF-008", "PDF file, joint", got, f"{PROOF_PRINT:g} mm")]
