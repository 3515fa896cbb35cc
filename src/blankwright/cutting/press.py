"""Pressing the parts of a sheet together with the strip packer."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from blankwright.base.tolerance import CHORD
from blankwright.cutting.fill import SheetFill, Stencils, nested_in, turns_of
from blankwright.cutting.packing import (
    PackedSheet,
    PackPart,
    PackSettings,
    Placement,
    StripAnswer,
    StripItem,
    StripPacker,
)
from blankwright.cutting.raster import polygon_of
from blankwright.cutting.stock import StockSheet
from blankwright.geom.edges import box_around
from blankwright.geom.move import Move
from blankwright.geom.offset import loop_grown

FULL = 0.86
"""No more is tried on a sheet than fills this share of its room [-]: packings rarely are denser."""

ROUNDED = 0.02
"""The strip packer's answer is rounded; its gap is made so much larger [mm]."""

_Host = tuple[Placement, tuple[Placement, ...]]


def pressed(
    packed: PackedSheet,
    waiting: Sequence[tuple[PackPart, ...]],
    settings: PackSettings,
    stencils: Stencils,
    strip: StripPacker,
    seed: int,
) -> PackedSheet | None:
    """Return the sheet packed tighter, perhaps with more parts on it; nothing when it fails.

    Args:
        packed: the sheet as it is
        waiting: units of parts that lie elsewhere or nowhere, the largest first
        settings: gaps and margins
        stencils: of the grid
        strip: the strip packer
        seed: start of the random numbers [-]
    """
    empty = SheetFill(packed.sheet, settings, stencils)
    rectangle = empty.grid.largest_rectangle() if empty.grid is not None else None
    if rectangle is None:
        return None
    half = settings.gap / 2
    x0, y0 = rectangle[0] + half, rectangle[1] + half
    x1, y1 = rectangle[2] - half, rectangle[3] - half
    room = (x1 - x0) * (y1 - y0)
    hosts = list(nested_in(packed.placements))
    if len(hosts) == 1 and not waiting:
        return None  # one part alone lies as far back as it goes
    extra = _extra(hosts, waiting, packed.sheet, settings, room)
    for more in [extra, []] if extra else [[]]:
        answer = _ask(hosts, more, packed.sheet, settings, strip, seed, (x1 - x0, y1 - y0))
        if answer is None or answer.length > x1 - x0:
            continue
        placements = _laid(answer, hosts, more, (x0, y0))
        far = box_around([placement.region.box for placement in placements])[2]
        now = box_around([placement.region.box for placement in packed.placements])[2]
        if not more and far >= now - 0.5:
            continue
        if _holds(placements, empty):
            return replace(packed, placements=tuple(placements))
    return None


def _extra(
    hosts: Sequence[_Host],
    waiting: Sequence[tuple[PackPart, ...]],
    sheet: StockSheet,
    settings: PackSettings,
    room: float,
) -> list[PackPart]:
    filled = sum(_room_of(host.part, settings.gap) for host, _ in hosts)
    extra: list[PackPart] = []
    for unit in waiting:
        more = sum(_room_of(part, settings.gap) for part in unit)
        if filled + more <= FULL * room:
            extra.extend(unit)
            filled += more
    return extra


def _room_of(part: PackPart, gap: float) -> float:
    outer = part.region.outer
    return outer.area + outer.length * gap / 2


def _ask(
    hosts: Sequence[_Host],
    extra: Sequence[PackPart],
    sheet: StockSheet,
    settings: PackSettings,
    strip: StripPacker,
    seed: int,
    size: tuple[float, float],
) -> StripAnswer | None:
    items = [_item(host.part, _host_turns(host, inside, sheet, settings)) for host, inside in hosts]
    items += [_item(part, turns_of(part, sheet, settings)) for part in extra]
    if any(not _goes_in(item, size[1]) for item in items):
        return None
    return strip(tuple(items), size[1], settings.gap + ROUNDED, seed)


def _item(part: PackPart, turns: tuple[float, ...]) -> StripItem:
    # Grown by the chords' sag, so that the polygon holds the part.
    (hull, *_) = loop_grown(part.region.outer, CHORD)
    corners = tuple(hull.outer.points(CHORD))
    return StripItem(name=part.name, corners=corners, turns=turns)


def _goes_in(item: StripItem, height: float) -> bool:
    for turn in item.turns:
        move = Move.turn(turn)
        ys = [move(p)[1] for p in item.corners]
        if max(ys) - min(ys) < height - 2 * ROUNDED:
            return True
    return False


def _host_turns(
    host: Placement, inside: Sequence[Placement], sheet: StockSheet, settings: PackSettings
) -> tuple[float, ...]:
    turns = turns_of(host.part, sheet, settings)
    if not any(placement.part.grain is not None for placement in inside) or sheet.grain is None:
        return turns
    # Parts in its openings turn with it, and their grain must stay as it lies.
    now = host.move.angle
    return tuple(t for t in turns if abs(math.sin(t - now)) < 1e-9) or (now,)


def _laid(
    answer: StripAnswer,
    hosts: Sequence[_Host],
    extra: Sequence[PackPart],
    at: tuple[float, float],
) -> list[Placement]:
    moves = {name: move.then(Move.shift(*at)) for name, move in answer.moves}
    placements: list[Placement] = []
    for host, inside in hosts:
        move = moves[host.part.name]
        placements.append(replace(host, move=move))
        carry = host.move.inverse().then(move)
        placements.extend(replace(p, move=p.move.then(carry)) for p in inside)
    placements.extend(Placement(part=part, move=moves[part.name]) for part in extra)
    return placements


def _holds(placements: Sequence[Placement], empty: SheetFill) -> bool:
    """Say whether every part keeps its distances: the packer's answer is not taken on trust."""
    import shapely

    polygons = [polygon_of(placement.region) for placement in placements]
    if not all(empty.fits(polygon) for polygon in polygons):
        return False
    tree = shapely.STRtree(polygons)
    gap = empty.settings.gap
    pairs = tree.query(polygons, predicate="dwithin", distance=gap + CHORD / 2)
    return all(a == b for a, b in pairs.T.tolist())
