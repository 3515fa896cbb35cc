"""Where a part comes from that was drawn elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

from blankwright.base.findings import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """The drawing that a part is taken from.

    Args:
        file: as typed in the part file
        kind: ``DXF`` or ``STEP``
        changed: whether the drawing has changed since it was brought in
        findings: what was put right in it, and what to look at
    """

    file: str
    kind: str
    changed: bool = False
    findings: tuple[Finding, ...] = ()
