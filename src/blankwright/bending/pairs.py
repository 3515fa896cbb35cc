"""What is known of pairs of slots of a bend's two sides: whether they meet."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from blankwright.bending.motion import Bools, Ints

_SHIFT = 31
_LOW = (1 << _SHIFT) - 1
"""Two slots are packed in one number."""


class PairsSeen(Protocol):
    """What is known of pairs of slots."""

    def unknown(self, a: Ints, b: Ints) -> tuple[Ints, Ints]:
        """Return the pairs that aren't known yet, each once."""
        ...

    def add(self, a: Ints, b: Ints, hit: Bools) -> None:
        """Remember pairs, and whether they meet."""
        ...

    def meets(self, a: Ints, b: Ints) -> Bools:
        """Say which known pairs meet."""
        ...


class PairsInTable:
    """Pairs in a table: for parts all of whose slots are there from the start.

    Args:
        numbers: of each slot among those of its side
        size: number of slots on either side
    """

    def __init__(self, numbers: Ints, size: tuple[int, int]) -> None:
        self._numbers = numbers
        self._size = size
        self._state = np.zeros(size[0] * size[1], dtype=np.int8)  # 0 unknown, 1 apart, 2 meet

    def _at(self, a: Ints, b: Ints) -> Ints:
        result: Ints = self._numbers[a] * self._size[1] + self._numbers[b]
        return result

    def unknown(self, a: Ints, b: Ints) -> tuple[Ints, Ints]:
        """Return the pairs that aren't known yet, each once."""
        at = self._at(a, b)
        new = np.flatnonzero(self._state[at] == 0)
        _, first = np.unique(at[new], return_index=True)
        return a[new[first]], b[new[first]]

    def add(self, a: Ints, b: Ints, hit: Bools) -> None:
        """Remember pairs, and whether they meet."""
        self._state[self._at(a, b)] = 1 + hit

    def meets(self, a: Ints, b: Ints) -> Bools:
        """Say which known pairs meet."""
        result: Bools = self._state[self._at(a, b)] == 2
        return result


class PairsSorted:
    """Pairs in a sorted list: for parts with too many slots for a table."""

    def __init__(self) -> None:
        self._keys: Ints = np.empty(0, dtype=np.int64)
        self._hit: Bools = np.empty(0, dtype=bool)

    def unknown(self, a: Ints, b: Ints) -> tuple[Ints, Ints]:
        """Return the pairs that aren't known yet, each once."""
        keys: Ints = np.unique((a << _SHIFT) | b)
        if len(self._keys):
            at = np.minimum(np.searchsorted(self._keys, keys), len(self._keys) - 1)
            keys = keys[self._keys[at] != keys]
        return keys >> _SHIFT, keys & _LOW

    def add(self, a: Ints, b: Ints, hit: Bools) -> None:
        """Remember pairs, and whether they meet."""
        whole = np.append(self._keys, (a << _SHIFT) | b)
        order = np.argsort(whole, kind="stable")
        self._keys, self._hit = whole[order], np.append(self._hit, hit)[order]

    def meets(self, a: Ints, b: Ints) -> Bools:
        """Say which known pairs meet."""
        if not self._hit.any():
            return np.zeros(len(a), dtype=bool)
        result: Bools = self._hit[np.searchsorted(self._keys, (a << _SHIFT) | b)]
        return result
