"""What a part is right now: stated, developed, formed and checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from blankwright.base.findings import Finding, worst_first
from blankwright.base.trail import TrailStep
from blankwright.develop.blank import Blank
from blankwright.develop.checks import check, overridden
from blankwright.develop.coupons import Coupons
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import Formed, form
from blankwright.holes.field_checks import check_fields
from blankwright.holes.row_checks import check_rows
from blankwright.part.model import Part


@dataclass(frozen=True, kw_only=True)
class PartState:
    """A part and what follows from it.

    Args:
        part: as stated
        blank: developed
        formed: bent to the finished state
        findings: the worst first
        trail: where every number comes from: sizes first, then bends
    """

    part: Part
    blank: Blank
    formed: Formed
    findings: tuple[Finding, ...]
    trail: tuple[TrailStep, ...]

    @property
    def blocked(self) -> bool:
        """Whether a `stop` keeps files from being written."""
        return any(finding.blocks for finding in self.findings)


def state_of(part: Part, coupons: Coupons | None = None) -> PartState:
    """Develop, form and check a part.

    Raises:
        NotPossible: when it can't be developed at all
    """
    blank = develop_blank(part, coupons)
    formed = form(blank)
    drawn = () if part.source is None else part.source.findings
    found = (*check_rows(part, blank), *check_fields(part, blank), *drawn)
    more = [overridden(finding, part) for finding in found]
    return PartState(
        part=part,
        blank=blank,
        formed=formed,
        findings=worst_first((*check(part, blank, formed), *more)),
        trail=(*_size_steps(part), *blank.trail),
    )


def state_of_text(
    text: str, name: str, coupons: Coupons | None = None, **options: object
) -> PartState:
    """Read a part file's text, then develop, form and check it.

    Args:
        text: what the part file holds
        name: the part's name
        coupons: the shop's test strips
        options: as `files.partfile.read_part_text` takes them: sizes, variant, hand, folder

    Raises:
        BadInput: with every problem of the text
        NotPossible: when it can't be developed at all
    """
    from blankwright.files.partfile import read_part_text

    return state_of(read_part_text(text, name, coupons=coupons, **options), coupons)  # type: ignore[arg-type]


def state_of_file(
    path: Path, coupons: Coupons | None = None, sizes: Mapping[str, str] | None = None
) -> PartState:
    """Read a part file, then develop, form and check it; raises as `state_of_text`."""
    from blankwright.files.partfile import read_part

    return state_of(read_part(path, sizes=sizes, coupons=coupons), coupons)


def _size_steps(part: Part) -> tuple[TrailStep, ...]:
    values = {size.name: size for size in part.sizes}
    steps = []
    for size in part.sizes:
        words = size.origin.value
        if size.plus_minus is not None:
            words += " with plus/minus"
        steps.append(
            TrailStep(
                name=f"size {size.name}",
                value=size.value,
                kind=size.kind,  # type: ignore[arg-type]
                formula=size.text,
                inputs=tuple(
                    (use, values[use].value, values[use].kind)  # type: ignore[misc]
                    for use in size.uses
                    if use in values
                ),
                source=f"{words}, part file line {size.line}",
            )
        )
    return tuple(steps)
