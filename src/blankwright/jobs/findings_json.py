"""Findings as plain values, for every document that holds some."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final

from blankwright.base.findings import Finding

WHOLE: Final = ("code", "level", "place", "got", "limit", "source", "fix")
SHORT: Final = ("code", "level", "place", "got", "fix")


def findings_json(findings: Iterable[Finding], keys: Sequence[str] = WHOLE) -> list[dict[str, Any]]:
    """Return findings as plain values, with these of their fields."""
    return [
        {key: f.level.value if key == "level" else getattr(f, key) for key in keys}
        for f in findings
    ]
