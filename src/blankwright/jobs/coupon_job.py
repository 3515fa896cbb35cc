"""Learn from test strips, and keep what was learned."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.errors import BadInput, FileProblem, Problem
from blankwright.base.findings import Finding
from blankwright.develop.coupon import Coupon, Learned, check_coupon
from blankwright.files.couponfile import parse_coupons
from blankwright.files.whole import as_before, write_whole
from blankwright.jobs.project import Project
from blankwright.jobs.shop_coupons import coupons_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Taught:
    """A coupon and what it teaches.

    Args:
        coupon: as measured
        learned: what follows
        findings: what is odd about it
    """

    coupon: Coupon
    learned: Learned
    findings: tuple[Finding, ...]


def taught_by(project: Project) -> tuple[Taught, ...]:
    """Return what every coupon of a project teaches. Raises BadInput."""
    return tuple(_taught(coupon) for coupon in coupons_of(project).tests)


def learn(text: str, name: str) -> tuple[Taught, ...]:
    """Return what coupons teach that are stated as the text of a coupon file. Raises BadInput."""
    return tuple(_taught(coupon) for coupon in parse_coupons(text, name).tests)


def keep(project: Project, text: str) -> None:
    """Add coupons, stated as text, to the end of a project's coupon file; the rest is untouched.

    Raises:
        BadInput: when the file with them would be wrong, such as a name twice
        FileProblem: when it can't be written
    """
    write_whole(project.coupon_file, with_coupon(project, text).encode("utf-8"))


def with_coupon(project: Project, text: str) -> str:
    """Return what a project's coupon file holds with coupons, stated as text, added at its end.

    Raises:
        BadInput: when the file with them would be wrong, such as a name twice
        FileProblem: when it can't be read
    """
    path = project.coupon_file
    try:
        before = path.read_bytes() if path.exists() else b""
        old = before.decode("utf-8-sig").replace("\r\n", "\n")
    except (OSError, UnicodeDecodeError) as error:
        raise FileProblem(
            Problem(code="COUPON-001", where=str(path), got=f"it can't be read ({error})")
        ) from error
    new = f"{old.rstrip()}\n\n{text}" if old.strip() else text
    parse_coupons(new, path.name)
    return as_before(new, before).decode("utf-8")


def as_text(
    *,
    name: str,
    date: str,
    values: Sequence[tuple[str, str]],
    strips: Sequence[str],
) -> str:
    """Return one coupon as the text of a coupon file.

    Args:
        name: what the coupon is called
        date: ISO date it was measured
        values: keys and texts of the file, such as ``("alloy", "6061-T6")``
        strips: each ``before: leg, leg``, such as ``100.0 mm: 51.3 mm, 51.4 mm``

    Raises:
        BadInput: when a strip has no such form
    """
    lines = ["[[coupons]]", f"name = {json.dumps(name)}", f"date = {date}"]
    lines += [f"{key} = {json.dumps(text, ensure_ascii=False)}" for key, text in values if text]
    lines.append("strips = [")
    problems: list[Problem] = []
    for strip in strips:
        before, colon, legs = strip.partition(":")
        parts = [leg.strip() for leg in legs.split(",")]
        if not colon or len(parts) != 2:
            problems.append(
                Problem(
                    code="COUPON-020",
                    where=f"strip {strip!r}",
                    got="it has not the form of a strip",
                    allowed="length before, colon, both legs: 100.0 mm: 51.3 mm, 51.4 mm",
                )
            )
            continue
        texts = ", ".join(json.dumps(part) for part in parts)
        lines.append(f"  {{ before = {json.dumps(before.strip())}, legs = [{texts}] }},")
    if problems:
        raise BadInput(*problems)
    return "\n".join([*lines, "]", ""])


def _taught(coupon: Coupon) -> Taught:
    return Taught(coupon=coupon, learned=coupon.learned, findings=check_coupon(coupon))
