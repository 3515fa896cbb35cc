"""What a part file is read with, beside its text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
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
        drawings: what drawings hold that are not on the disk yet, by the name the file gives them
    """

    folder: Path | None = None
    coupons: Coupons | None = None
    drawings: Mapping[str, bytes] = field(default_factory=dict)
