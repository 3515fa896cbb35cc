"""What a part file is read with, beside its text."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from blankwright.develop.coupons import Coupons


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What a part file is read with.

    Args:
        folder: where the file is, from which its drawing is found; nothing when it is not known
        coupons: the shop's test strips
    """

    folder: Path | None = None
    coupons: Coupons | None = None
