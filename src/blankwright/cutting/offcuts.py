"""What is left of a sheet that is worth keeping: outlines for the rack."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from blankwright.cutting.packing import PackedSheet, PackSettings
from blankwright.cutting.stock import StockSheet
from blankwright.geom.boolean import overlap
from blankwright.geom.edges import Box, box_around
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.offset import shrunk
from blankwright.geom.region import Region
from blankwright.geom.vec import Point


def offcuts_of(packed: PackedSheet, settings: PackSettings) -> tuple[tuple[StockSheet, Point], ...]:
    """Return offcuts worth keeping: got by straight cuts across the sheet, and out of openings.

    Each comes with the lower left corner of its box on the sheet [mm].

    Two cuts are tried both ways: one across the whole sheet past the last part, and one along
    what that leaves beside the parts. The way that keeps the larger offcut is taken.

    Args:
        packed: a sheet with its parts
        settings: whose gap stays between parts and cut, and what is too small to keep
    """
    if not packed.placements:
        return ()
    x0, y0, x1, y1 = packed.sheet.region.box
    _, _, far_x, far_y = box_around([placement.region.box for placement in packed.placements])
    cut_x, cut_y = far_x + settings.gap, far_y + settings.gap
    across: list[Box] = [(cut_x, y0, x1, y1), (x0, cut_y, min(cut_x, x1), y1)]
    along: list[Box] = [(x0, cut_y, x1, y1), (cut_x, y0, x1, min(cut_y, y1))]
    kept = [[r for box in ways for r in _piece(packed, box, settings)] for ways in (across, along)]
    best = max(kept, key=lambda regions: max((r.area for r in regions), default=0.0))
    best = [*best, *_windows(packed, settings)]
    return tuple(_as_stock(packed, region, number) for number, region in enumerate(best, start=1))


def _windows(packed: PackedSheet, settings: PackSettings) -> Iterator[Region]:
    """Yield what is cut out of large openings that nothing lies in, less the cutter's width."""
    corners = [placement.region.edges[0].start for placement in packed.placements]
    for placement in packed.placements:
        for hole in placement.region.holes:
            if any(hole.contains(corner) for corner in corners):
                continue
            for piece in shrunk(Region(hole.ccw()), settings.gap / 2):
                if _worth(piece, settings):
                    yield piece


def _piece(packed: PackedSheet, box: Box, settings: PackSettings) -> list[Region]:
    if box[2] - box[0] < settings.least_offcut or box[3] - box[1] < settings.least_offcut:
        return []
    pieces = overlap((packed.sheet.region,), (Region(Loop.rectangle(*box)),))
    return [piece for piece in pieces if _worth(piece, settings)]


def _worth(region: Region, settings: PackSettings) -> bool:
    x0, y0, x1, y1 = region.box
    return region.area >= settings.least_area and min(x1 - x0, y1 - y0) >= settings.least_offcut


def _as_stock(packed: PackedSheet, region: Region, number: int) -> tuple[StockSheet, Point]:
    sheet = packed.sheet
    x0, y0, _, _ = region.box
    offcut = replace(
        sheet,
        name=f"{packed.title} offcut {number}",
        region=region.moved(Move.shift(-x0, -y0)),
        price=round(sheet.price * region.area / sheet.area, 2),
        count=1,
        offcut=True,
        clamps=(),
        note=f"left of {packed.title}",
    )
    return offcut, (x0, y0)
