"""Names of alloys and tempers as builders write them."""

from __future__ import annotations

import re
from dataclasses import dataclass

_CLAD = re.compile(r"\b(?:alclad|clad)\b", re.IGNORECASE)
_ALUMINIUM = re.compile(
    r"(?:aa|al)?\s*(\d{4})\s*[-– ]?\s*(?:(O|F)|(T\d{1,4})|(H\d{1,3}))", re.IGNORECASE
)
_BARE = re.compile(r"(?:aa|al|sae|aisi)?\s*(\d{3,4})(?:\s*[-– ]?\s*(N|ann\.?|annealed))?", re.I)


@dataclass(frozen=True, slots=True, kw_only=True)
class Alloy:
    """An alloy and temper.

    Args:
        base: such as ``2024``
        temper: such as ``T3``; empty when not stated
        clad: whether it is clad
    """

    base: str
    temper: str
    clad: bool = False

    @property
    def key(self) -> str:
        """The name that tables use, such as ``2024-T3``."""
        return f"{self.base}-{self.temper}" if self.temper else self.base

    def __str__(self) -> str:
        return f"{self.key} clad" if self.clad else self.key


def read_alloy(text: str) -> Alloy | None:
    """Read an alloy's name.

    Args:
        text: ``6061-T6``, ``2024 t3``, ``2024-T3 Alclad``, ``Alclad 2024-T3``, ``4130N``

    Returns:
        The alloy, or nothing when the text isn't written like one. That an alloy is read doesn't
        mean that any table knows it.
    """
    clad = bool(_CLAD.search(text))
    bare = _CLAD.sub("", text).strip(" \t,-–")
    if match := _ALUMINIUM.fullmatch(bare):
        temper = (match[2] or match[3] or match[4]).upper()
        return Alloy(base=match[1], temper=temper, clad=clad)
    if match := _BARE.fullmatch(bare):
        return Alloy(base=match[1], temper=_temper(match[2] or ""), clad=clad)
    return None


def _temper(text: str) -> str:
    if not text:
        return ""
    return "N" if text.upper() == "N" else "annealed"
