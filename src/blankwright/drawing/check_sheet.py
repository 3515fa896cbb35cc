"""The printer check sheet: two long lines, whose measured lengths give the printer's own error."""

from __future__ import annotations

from blankwright.base.units import fixed
from blankwright.drawing.furniture import bar_length, foot_lines, scale_bar
from blankwright.drawing.grid import sheet_of
from blankwright.drawing.layers import NOTES
from blankwright.drawing.model import Text
from blankwright.drawing.notes import HOW_TO_PRINT
from blankwright.drawing.pages import Page, ScaleBar
from blankwright.drawing.paper import PrinterError, PrintSetup

_ROLL_LENGTH = 330.0
"""How much of a roll a check sheet takes [mm]."""


def check_sheet(setup: PrintSetup) -> tuple[Page, ...]:
    """Return the one page of the check sheet.

    Args:
        setup: paper, margins and, for a second try, the printer's error
    """
    width, height, window, stretch = sheet_of(setup, turned=False)
    if setup.paper.is_roll:
        window = (*window[:3], window[3] - height + _ROLL_LENGTH)
        height = _ROLL_LENGTH
    x0, y0, x1, y1 = window
    across = ScaleBar(start=(x0, y0), length=bar_length(x1 - x0 - 4.0), upright=False)
    along = ScaleBar(start=(x0 - 4.0, y0 + 4.0), length=bar_length(y1 - y0 - 4.0), upright=True)
    taken = setup.printer != PrinterError()
    lines = [
        "Printer check sheet",
        f"{setup.paper.name}. {HOW_TO_PRINT}",
        f"1. Measure the level bar, end mark to end mark: it should be {fixed(across.length, 1)} mm"
        " (across the sheet).",
        f"2. Measure the upright bar, end mark to end mark: it should be {fixed(along.length, 1)}"
        " mm (along the sheet).",
        "3. State both lengths, as they should be and as measured; every print is then corrected.",
        "The printer's own error is taken out of this sheet: both bars should now measure right."
        if taken
        else "Nothing is corrected on this sheet.",
    ]
    texts = [
        Text(
            layer=NOTES,
            text=line,
            at=(x0 + 12.0, y1 - 12.0 - 7.0 * i),
            height=4.0 if i == 0 else 2.3,
            bold=i == 0,
        )
        for i, line in enumerate(lines)
    ]
    foot = foot_lines((x0, y0 - 14.5), "Printer check sheet", setup.paper.name, width=x1 - x0)
    return (
        Page(
            name="check",
            width=width,
            height=height,
            drawing=None,
            shift=(0.0, 0.0),
            window=window,
            furniture=(*scale_bar(across), *scale_bar(along), *texts, *foot),
            bars=(across, along),
            stretch=stretch,
        ),
    )
