"""Checks of one part: each file holds one kind, `check` runs them all.

A new check is a function from a `Checked` to findings, added to `CHECKS`; its codes get a heading
in ``docs/messages/checks.md``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from blankwright.base.findings import Finding, worst_first
from blankwright.develop.blank import Blank
from blankwright.develop.checks.bends import check_bends
from blankwright.develop.checks.common import Checked
from blankwright.develop.checks.corners import check_corners
from blankwright.develop.checks.holes import check_holes
from blankwright.develop.checks.sheet import check_sheet
from blankwright.develop.checks.whole import check_whole
from blankwright.develop.formed import Formed
from blankwright.part.model import Part

CHECKS: tuple[Callable[[Checked], Iterable[Finding]], ...] = (
    check_whole,
    check_sheet,
    check_bends,
    check_corners,
    check_holes,
)


def check(part: Part, blank: Blank, formed: Formed) -> tuple[Finding, ...]:
    """Check a part, its blank and its formed part.

    Args:
        part: as stated
        blank: developed from it
        formed: bent to the finished state

    Returns:
        Findings, the worst first; those that the part file overrides carry its reason.
    """
    checked = Checked(part=part, blank=blank, formed=formed)
    found = [overridden(finding, part) for one in CHECKS for finding in one(checked)]
    return worst_first(found)


def overridden(finding: Finding, part: Part) -> Finding:
    """Return a finding, let pass where the part file gives a written reason."""
    for key in (f"{finding.code} {finding.place}", finding.code):
        if key in part.overrides:
            return finding.override(part.overrides[key])
    return finding
