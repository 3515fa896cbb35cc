"""A second reader of machine files, independent of the first.

A library takes the lines apart (gcodeparser, MIT); what they mean is worked out here on another
principle than in `gcode_read`: no geometry objects, only chains of points. What it does not know
it counts, and a file with anything unknown is refused.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import from_inches
from blankwright.cutting.track import SAG, Track

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_QUIET = {("G", code) for code in (17, 40, 49, 54, 90, 94)}


def read_tracks(text: str, where: str = "machine file") -> tuple[tuple[Track, ...], bool]:
    """Read a machine file into chains of points.

    Args:
        text: the whole file
        where: how messages call it

    Returns:
        the motions, and whether the file says that it is at its end

    Raises:
        BadInput: when a line holds what this reader does not know
    """
    from gcodeparser import parse_gcode_lines

    walker = _Walker()
    # The library knows comments behind a semicolon only, so those in brackets go first.
    bare = re.sub(r"\([^()\n]*\)", "", text)
    lines = bare.splitlines()
    seen: set[int] = set()
    for item in parse_gcode_lines(bare):
        seen.add(item.line_index)
        if walker.ended:
            break
        letter, code = item.command
        try:
            walker.do(letter, int(code or 0), item.params, item.line_index + 1)
        except KeyError as error:
            got = f"{letter}{code} without its {error.args[0]}"
            raise BadInput(_problem(where, item.line_index + 1, got)) from error
        except (ValueError, TypeError) as error:
            raise BadInput(_problem(where, item.line_index + 1, str(error))) from error
    if not walker.ended:
        for number, line in enumerate(lines):
            if number not in seen and line.strip() not in ("", "%"):
                raise BadInput(_problem(where, number + 1, f"`{line.strip()}` is no command"))
    return tuple(walker.tracks), walker.ended


def _problem(where: str, line: int, got: str) -> Problem:
    return Problem(
        code="CUT-110",
        where=f"{where}, line {line}, second reader",
        got=got,
        allowed="the words of RS-274 that docs/cutting.md lists",
        fix="Write the machine file anew",
    )


class _Walker:
    def __init__(self) -> None:
        self.tracks: list[Track] = []
        self.ended = False
        self.scale = 0.0
        self.x = self.y = 0.0
        self.z: float | None = None
        self.feed = 0.0
        self.turning = False
        self.next_tool = self.tool = 0
        self.high: float | None = None
        self.retract_to_near = False
        self.rings: dict[tuple[object, ...], tuple[NDArray[np.float64], ...]] = {}

    def do(self, letter: str, code: int, params: Mapping[str, object], line: int) -> None:
        numbers = {key: float(value) for key, value in params.items()}  # type: ignore[arg-type]
        if letter == "T":
            self.next_tool = code
            return
        if (letter, code) in _QUIET:
            self._leftover(numbers)
            return
        match letter, code:
            case "G", 20 | 70:
                self.scale = from_inches(1.0)
            case "G", 21 | 71:
                self.scale = 1.0
            case "G", 98 | 99:
                self.retract_to_near = code == 99
            case "G", 80:
                self.high = None
            case "G", 4:
                numbers.pop("P")
            case "G", 0 | 1 | 2 | 3:
                self._go(code, numbers, line)
                return
            case "G", 81 | 83:
                self._drill(code, numbers, line)
                return
            case "M", 3:
                numbers.pop("S", None)
                self.turning = True
            case "M", 5:
                self.turning = False
            case "M", 6:
                self.tool = int(numbers.pop("T", self.next_tool))
            case "M", 0:
                self.tool = self.next_tool
            case "M", 2 | 30:
                self.ended = True
            case _:
                raise ValueError(f"{letter}{code} is not known")
        self._leftover(numbers)

    def _leftover(self, numbers: Mapping[str, float]) -> None:
        if numbers:
            raise ValueError(f"words without a use: {', '.join(sorted(numbers))}")

    def _mm(self, value: float) -> float:
        if not self.scale:
            raise ValueError("a length before the units")
        return value * self.scale

    def _go(self, code: int, numbers: dict[str, float], line: int) -> None:
        import numpy as np

        if "F" in numbers:
            self.feed = self._mm(numbers.pop("F"))
        x = self._mm(numbers.pop("X")) if "X" in numbers else self.x
        y = self._mm(numbers.pop("Y")) if "Y" in numbers else self.y
        z = self._mm(numbers.pop("Z")) if "Z" in numbers else self.z
        if z is None:
            raise ValueError("a motion before its height is known")
        z0 = z if self.z is None else self.z
        if code < 2:
            points = np.array([(self.x, self.y, z0), (x, y, z)])
        else:
            i, j = self._mm(numbers.pop("I", 0.0)), self._mm(numbers.pop("J", 0.0))
            points = self._arc((self.x, self.y, z0), (x, y, z), (i, j), clockwise=code == 2)
        self._leftover(numbers)
        self._add(line, points, rapid=code == 0)
        self.x, self.y, self.z = x, y, z

    def _arc(
        self,
        start: tuple[float, float, float],
        end: tuple[float, float, float],
        offset: tuple[float, float],
        *,
        clockwise: bool,
    ) -> NDArray[np.float64]:
        """Return points on an arc; a way gone before at another height is not worked out anew."""
        import numpy as np

        key = (start[:2], end[:2], offset, clockwise)
        if key not in self.rings:
            a, b, c = complex(*start[:2]), complex(*end[:2]), complex(*offset)
            self.rings[key] = _ring(a, b, c, clockwise=clockwise)
        plan, share = self.rings[key]
        points = np.empty((len(plan), 3))
        points[:, :2] = plan
        points[:, 2] = start[2] + (end[2] - start[2]) * share
        return points

    def _add(self, line: int, points: NDArray[np.float64], *, rapid: bool) -> None:
        if not rapid and self.feed <= 0:
            raise ValueError("a cut without a feed")
        self.tracks.append(
            Track(
                line=line,
                rapid=rapid,
                tool=self.tool,
                turning=self.turning,
                feed=0.0 if rapid else self.feed,
                points=points,
            )
        )

    def _drill(self, code: int, numbers: dict[str, float], line: int) -> None:
        import numpy as np

        if "F" in numbers:
            self.feed = self._mm(numbers.pop("F"))
        if self.z is None:
            raise ValueError("a drilling cycle before its height is known")
        x, y = self._mm(numbers.pop("X")), self._mm(numbers.pop("Y"))
        bottom, near = self._mm(numbers.pop("Z")), self._mm(numbers.pop("R"))
        peck = self._mm(numbers.pop("Q")) if code == 83 else 0.0
        self._leftover(numbers)
        high = self.z if self.high is None else self.high
        self.high = high
        back = near if self.retract_to_near else high

        def leg(*places: tuple[float, float, float], rapid: bool) -> None:
            self._add(line, np.array(places), rapid=rapid)

        leg((self.x, self.y, self.z), (x, y, self.z), rapid=True)
        leg((x, y, self.z), (x, y, near), rapid=True)
        depth = near
        while peck > 0 and depth - peck > bottom:
            depth -= peck
            leg((x, y, near), (x, y, depth), rapid=False)
            leg((x, y, depth), (x, y, near), rapid=True)
        leg((x, y, near), (x, y, bottom), rapid=False)
        leg((x, y, bottom), (x, y, back), rapid=True)
        self.x, self.y, self.z = x, y, back


def _ring(
    start: complex, end: complex, offset: complex, *, clockwise: bool
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return points on the arc, the turn found with complex numbers, and their shares of it."""
    import numpy as np

    center = start + offset
    a, b = start - center, end - center
    if abs(a) < 1e-6 or abs(abs(a) - abs(b)) > 0.002 or abs(a - b) < 1e-9:
        raise ValueError("an arc whose centre and ends do not agree")
    ratio = b / a
    turn = math.atan2(ratio.imag, ratio.real)
    if clockwise and turn >= 0:
        turn -= 2 * math.pi
    elif not clockwise and turn <= 0:
        turn += 2 * math.pi
    step = 2 * math.acos(max(0.0, 1 - SAG / abs(a)))
    count = max(2, math.ceil(abs(turn) / step) + 1)
    share = np.linspace(0.0, 1.0, count)
    ring = center + a * np.exp(1j * turn * share)
    ring[-1] = end
    return np.column_stack((ring.real, ring.imag)), share
