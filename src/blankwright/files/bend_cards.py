"""The card of a bend plan and the sheet to measure a tool by, as PDF, read back before use."""

from __future__ import annotations

from collections.abc import Sequence

from blankwright.base.findings import Finding
from blankwright.bending.card import bend_card
from blankwright.bending.measure_sheet import measure_sheet
from blankwright.bending.measures import Expected
from blankwright.bending.plan import BendPlan
from blankwright.bending.state_names import states_of
from blankwright.develop.formed import form
from blankwright.develop.view import View
from blankwright.drawing.paper import PrintSetup
from blankwright.files.pdf_out import pages_pdf
from blankwright.files.traveler import prove_card
from blankwright.part.model import Part


def bend_card_pdf(
    part: Part,
    plan: BendPlan,
    expected: Sequence[Expected],
    findings: Sequence[Finding],
    setup: PrintSetup,
) -> bytes:
    """Return the card of a plan as a PDF file; same input, same bytes.

    Args:
        part: as stated
        plan: its plan, with steps
        expected: what the finished part will measure
        findings: about the plan
        setup: paper and margins

    Raises:
        OurBug: when the file, read back, lacks any of its words, or runs off the paper
    """
    pages = bend_card(part, plan, step_views(plan), expected, findings, setup)
    data = pages_pdf(pages, f"Bend plan {part.title or part.name}")
    prove_card(data, pages, f"bend plan of {part.name}")
    return data


def measure_sheet_pdf(setup: PrintSetup) -> bytes:
    """Return the sheet that shows what to measure on bending tools, as a PDF file.

    Raises:
        OurBug: when the file, read back, lacks any of its words, or runs off the paper
    """
    pages = measure_sheet(setup)
    data = pages_pdf(pages, "What to measure on the bending tools")
    prove_card(data, pages, "sheet of what to measure")
    return data


def step_views(plan: BendPlan) -> tuple[View, ...]:
    """Return the part seen obliquely: flat, after the first step, after the second, and so on.

    Raises:
        NotPossible: when the metal is not in one piece
    """
    from blankwright.files.kernel import formed_views

    return tuple(formed_views(form(plan.blank, state))[-1] for state in states_of(plan))
