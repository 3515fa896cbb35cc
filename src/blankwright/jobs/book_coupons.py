"""What the shop's test strips taught, for the book."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from blankwright.base.units import show_mm
from blankwright.jobs.project import Project
from blankwright.jobs.shop_coupons import coupons_of


def results(project: Project) -> dict[str, dict[str, Any]]:
    """Return the result of each coupon of the shop's file, by a stable name.

    Raises:
        BadInput: when the coupon file is wrong
        NotPossible: when a coupon teaches nothing
    """
    return {
        f"coupon:{test.name}": {
            "at": datetime.fromisoformat(test.date).replace(tzinfo=UTC),
            "alloy": test.material,
            "thickness": show_mm(test.thickness),
            "radius": show_mm(test.inside_radius),
            "tool": test.tool,
            "k": test.learned.k,
            "spread": test.learned.k_standard,
            "strips": len(test.strips),
        }
        for test in coupons_of(project).tests
    }
