"""Reading a drawing from elsewhere: opened, its units found, its lines taken out."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from blankwright.base.errors import FileProblem, Problem
from blankwright.base.units import MM_PER_INCH
from blankwright.files.dxf_drawn.entities import drawn_of
from blankwright.files.dxf_drawn.model import Drawn
from blankwright.files.dxf_drawn.opening import MOST_BYTES, open_dxf, too_large

UNITS: Final[dict[str, float]] = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
    "thou": MM_PER_INCH / 1000,
}
"""Units that a drawing may be in, and their length [mm]."""

_STATED: Final = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 9: "thou"}
"""Header variable $INSUNITS of the DXF reference."""

_IN_FILE: Final = re.compile(rb"\$INSUNITS\s*\r?\n\s*70\s*\r?\n\s*(\d+)")


def read_bytes(path: Path, most: int = MOST_BYTES) -> bytes:
    """Return what a drawing file holds, looking at its size first.

    Raises:
        FileProblem: DRAWN-006 when it can't be read
        BadInput: DRAWN-002 when it is too large
    """
    try:
        size = path.stat().st_size
        if size > most:
            raise too_large(str(path), size, most)
        return path.read_bytes()
    except FileProblem:
        raise
    except OSError as error:
        raise FileProblem(
            Problem(
                code="DRAWN-006",
                where=str(path),
                got=f"the file can't be read ({error.strerror or error})",
                fix="Check the name and the folder",
            )
        ) from error


@dataclass(frozen=True)
class Drawing:
    """A DXF file, opened once and read in whatever unit is asked for.

    Args:
        data: the file
        name: what messages call it
    """

    data: bytes
    name: str

    @cached_property
    def _opened(self) -> tuple[Any, int]:
        return open_dxf(self.data, self.name)

    @property
    def _doc(self) -> Any:
        return self._opened[0]

    @cached_property
    def units(self) -> str:
        """The unit that it states: ``mm``, ``in`` …; empty when it states none."""
        doc = self._doc
        if b"SECTION" in self.data[:4096]:
            match = _IN_FILE.search(self.data)
            number = int(match[1]) if match else 0
        else:
            number = int(doc.header.get("$INSUNITS", 0))
        return _STATED.get(number, "")

    @property
    def metric(self) -> bool | None:
        """Whether it says elsewhere that it is metric; nothing when it does not say."""
        value = self._doc.header.get("$MEASUREMENT", None)
        return None if value is None or b"$MEASUREMENT" not in self.data else bool(value)

    def read(self, unit: str, fit: float, layout: str = "") -> Drawn:
        """Read its lines and texts.

        Args:
            unit: the unit to read it in, one of `UNITS`
            fit: how far arcs may stand off ellipses and splines [mm]
            layout: the sheet to read in place of the model space

        Raises:
            BadInput: DRAWN-001 to DRAWN-005
        """
        drawn = drawn_of(
            self._doc, self.name, units=self.units, scale=UNITS[unit], fit=fit, layout=layout
        )
        if mended := self._opened[1]:
            note = f"{mended} numbers (damaged, read as far as they are numbers)"
            drawn = replace(drawn, left_out=(*drawn.left_out, note))
        return drawn
