"""Where along its line the holes of a row go: equal pitch between end distances, with detours.

Method. The line is parted into bays: at its end distances, at corners and frames that get a hole,
and at frames that are kept free. Each bay is filled at an equal pitch, a hole at either end. Where
a hole would fall into a forbidden stretch the bay is parted there: a stretch at least as wide as
the least pitch gets a hole at both its borders; a narrower one a hole at the border that is nearer.
Each side is filled anew at an equal pitch no greater than before. So the pitch grows over the
asked one only across what is dodged.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.quantities import BadText
from blankwright.base.units import show_mm
from blankwright.holes.zones import Zone

_SAME = 1e-6
"""Places along a line nearer than this are one [mm]."""

MOST = 2000
"""More holes than this in a row are a slip of the pen [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """What is asked of the holes along a line; one of count, pitch and pitch_at_most.

    Args:
        left: end distance at the left end [mm]
        right: end distance at the right end [mm]
        count: holes in the line, or 0
        pitch: exact pitch [mm], what is left over shared between the ends, or 0
        pitch_at_most: greatest pitch [mm], or 0
        stations: places along the line that get a hole [mm]
        frames: places along the line that frames cross [mm]
        frame_clear: how far holes stay off those [mm]
    """

    left: float = 0.0
    right: float = 0.0
    count: int = 0
    pitch: float = 0.0
    pitch_at_most: float = 0.0
    stations: tuple[float, ...] = ()
    frames: tuple[float, ...] = ()
    frame_clear: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Spaced:
    """Where the holes of a line go.

    Args:
        at: places along the line, in order [mm]
        asked_pitch: the pitch that the asked count or pitch comes to [mm]
        dodged: names of what was dodged, in the order met
    """

    at: tuple[float, ...]
    asked_pitch: float
    dodged: tuple[str, ...] = ()


def space(length: float, asked: Spacing, least: float, zones: Sequence[Zone] = ()) -> Spaced:
    """Space the holes of a line.

    Args:
        length: of the line [mm]
        asked: what is asked
        least: least pitch [mm]
        zones: forbidden stretches

    Raises:
        BadText: when the end distances leave no room (ROW-003), or there would be too many holes
    """
    low, high = asked.left, length - asked.right
    if high < low - _SAME:
        raise BadText(
            "ROW-003",
            f"the line is {show_mm(length)} long, its end distances take"
            f" {show_mm(asked.left + asked.right)}",
            "end distances that leave room between them",
        )
    high = max(low, high)
    low, high, pitch = _pitch(low, high, asked)
    if (high - low) / pitch > MOST:
        raise BadText("ROW-003", f"the row would have over {MOST} holes", "a greater pitch")
    # A pitch stated under the least stands: the checks speak of it, nothing is left out.
    least = min(least, pitch)
    dodged: dict[str, None] = {}
    at: list[float] = []
    for start, end in _bays(low, high, asked):
        at.extend(_fill(start, end, pitch, least, zones, dodged))
    if not at:
        raise BadText(
            "ROW-003",
            f"nothing of the row is left beside {', '.join(dodged)}",
            "a row with room for one hole",
        )
    return Spaced(at=tuple(_apart(at, least)), asked_pitch=pitch, dodged=tuple(dodged))


def _pitch(low: float, high: float, asked: Spacing) -> tuple[float, float, float]:
    """Return where the row begins and ends, and its pitch before any detour [mm]."""
    room = high - low
    if asked.count:
        if asked.count == 1:
            middle = (low + high) / 2
            return middle, middle, max(room, 1.0)
        if room <= _SAME:
            raise BadText("ROW-003", f"there is no room for {asked.count} holes", "a longer line")
        return low, high, room / (asked.count - 1)
    if asked.pitch:
        gaps = math.floor(room / asked.pitch + 1e-9)
        rest = (room - gaps * asked.pitch) / 2
        return low + rest, high - rest, asked.pitch
    return low, high, asked.pitch_at_most


def _bays(low: float, high: float, asked: Spacing) -> list[tuple[float, float]]:
    """Part the row at what must have a hole and at frames that must have none."""
    stations = sorted({s for s in asked.stations if low + _SAME < s < high - _SAME})
    marks = [low, *stations, high]
    bays = list(itertools.pairwise(marks))
    for frame in asked.frames:
        start, end = frame - asked.frame_clear, frame + asked.frame_clear
        parted: list[tuple[float, float]] = []
        for a, b in bays:
            if end <= a + _SAME or start >= b - _SAME:
                parted.append((a, b))
                continue
            if start >= a - _SAME:
                parted.append((a, max(a, start)))
            if end <= b + _SAME:
                parted.append((min(b, end), b))
        bays = parted
    return bays


def _fill(
    start: float,
    end: float,
    pitch: float,
    least: float,
    zones: Sequence[Zone],
    dodged: dict[str, None],
) -> list[float]:
    for zone in zones:
        if zone.covers(start):
            dodged.update(dict.fromkeys(zone.names))
            start = zone.end
        if zone.covers(end):
            dodged.update(dict.fromkeys(zone.names))
            end = zone.start
    if end < start - _SAME:
        return []
    room = end - start
    if room <= _SAME:
        return [start]
    gaps = max(1, math.ceil(room / pitch - 1e-9))
    if room / gaps < least - _SAME:
        gaps = max(1, math.floor(room / least + 1e-9))
    step = room / gaps
    at = [start + i * step for i in range(gaps)] + [end]
    for s in at[1:-1]:
        hit = next((zone for zone in zones if zone.covers(s)), None)
        if hit is None:
            continue
        dodged.update(dict.fromkeys(hit.names))
        if hit.end - hit.start >= least - _SAME:
            borders = [(start, hit.start), (hit.end, end)]
        else:
            nearer = hit.start if s - hit.start <= hit.end - s else hit.end
            borders = [(start, nearer), (nearer, end)]
        return [p for a, b in borders for p in _fill(a, b, pitch, least, zones, dodged)]
    return at


def _apart(at: list[float], least: float) -> list[float]:
    """Join places that are one, and leave out those that detours have set too near another."""
    kept: list[float] = []
    for s in sorted(at):
        if kept and s - kept[-1] <= _SAME:
            continue
        kept.append(s)
    while True:
        close = [i for i in range(1, len(kept)) if kept[i] - kept[i - 1] < least - _SAME]
        # The ends of the row stay; of two others the one goes that leaves the lesser gap.
        choices = [
            (kept[k + 1] - kept[k - 1], k)
            for i in close
            for k in (i - 1, i)
            if 0 < k < len(kept) - 1
        ]
        if not choices:
            return kept
        del kept[min(choices)[1]]
