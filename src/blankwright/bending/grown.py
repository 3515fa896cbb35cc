"""Arrays that grow at the end without being copied each time."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

_LEAST = 64
"""Rows that there is room for at first."""


class Grown:
    """An array that rows are added to.

    Args:
        shape: of one row
        dtype: of its numbers
    """

    def __init__(self, shape: tuple[int, ...] = (), dtype: type = float) -> None:
        self._data: NDArray[Any] = np.empty((_LEAST, *shape), dtype=dtype)
        self._count = 0

    def __len__(self) -> int:
        return self._count

    @property
    def all(self) -> NDArray[Any]:
        """All rows so far: a view, that later additions may leave behind."""
        return self._data[: self._count]

    def add(self, rows: NDArray[Any]) -> None:
        """Add rows; shape (n, ...)."""
        whole = self._count + len(rows)
        if whole > len(self._data):
            shape = (max(whole, 2 * len(self._data)), *self._data.shape[1:])
            data = np.empty(shape, dtype=self._data.dtype)
            data[: self._count] = self.all
            self._data = data
        self._data[self._count : whole] = rows
        self._count = whole
