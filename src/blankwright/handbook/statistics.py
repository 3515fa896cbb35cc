"""The coverage factor that a few test strips deserve."""

from __future__ import annotations

import math
from decimal import Decimal

from blankwright.handbook.table import table


def coverage_factor(freedom: float) -> float:
    """Return Student's t, two-sided 95 %: what a standard uncertainty is multiplied by.

    Args:
        freedom: degrees of freedom [-], 1 or more, may be infinite; between two printed rows the
            fewer are taken, which is the wider interval

    Returns:
        Factor [-].

    Raises:
        ValueError: under one degree of freedom

    Source: JCGM 100 (GUM) Table G.2.
    """
    if not freedom >= 1 - 1e-9:
        raise ValueError(f"{freedom} degrees of freedom")
    best = math.inf
    for row in table("student-t").rows:
        rows_freedom, factor = row.values["freedom"], row.values["factor"]
        assert isinstance(rows_freedom, Decimal)
        assert isinstance(factor, Decimal)
        if float(rows_freedom) <= freedom + 1e-9:
            best = min(best, float(factor))
    return best
