"""One sheet being filled: parts go where the grid has room, then slide together exactly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from blankwright.base.tolerance import CHORD
from blankwright.cutting.packing import PackPart, PackSettings, Placement
from blankwright.cutting.raster import Grid, cell_size, polygon_of, touched
from blankwright.cutting.stock import StockSheet, turns_for_grain
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.offset import grown, shrunk
from blankwright.geom.region import Region

if TYPE_CHECKING:
    from blankwright.cutting.raster import Mask

SLIDE_STEP = 0.02
"""Parts slide together until this close to the least gap [mm]."""


def turns_of(part: PackPart, sheet: StockSheet, settings: PackSettings) -> tuple[float, ...]:
    """Return the turns [rad] that a part may lie at on a sheet."""
    bound = turns_for_grain(part.grain, sheet.grain)
    return settings.turns if bound is None else bound


class Stencils:
    """Cells that parts need at each turn, worked out once.

    Args:
        cell: side of a cell [mm]
        gap: least distance between parts [mm]
    """

    def __init__(self, cell: float, gap: float) -> None:
        self.cell = cell
        self.gap = gap
        self._known: dict[tuple[int, float], tuple[Mask, Move, tuple[float, float]]] = {}

    def of(self, part: PackPart, turn: float) -> tuple[Mask, Move, tuple[float, float]]:
        """Return stencil, the move that it was made at, and the size of the part's box [mm].

        The move turns the part and lays its box so that the stencil's first cell is cell (0, 0).
        """
        key = (id(part.region), round(turn, 9))
        if key not in self._known:
            move = Move.turn(turn)
            x0, y0, x1, y1 = part.region.moved(move).box
            move = move.then(Move.shift(-x0, -y0))
            mask, i, j = touched(part.region.moved(move), self.cell, self.gap / 2, (0.0, 0.0))
            move = move.then(Move.shift(-i * self.cell, -j * self.cell))
            self._known[key] = (mask, move, (x1 - x0, y1 - y0))
        return self._known[key]


class SheetFill:
    """A sheet being filled.

    Args:
        sheet: which
        settings: gaps and margins
        stencils: shared among sheets of one cell size
    """

    def __init__(self, sheet: StockSheet, settings: PackSettings, stencils: Stencils) -> None:
        self.sheet = sheet
        self.settings = settings
        self.stencils = stencils
        self.placements: list[Placement] = []
        self._polygons: list[Any] = []
        usable = shrunk(sheet.region, settings.margin)
        wider = max(0.0, settings.clamp_gap - settings.gap)
        keep_off = [r for clamp in sheet.clamps for r in grown(clamp.region, wider)]
        self._clamps = [polygon_of(region) for region in keep_off]
        self._usable = [polygon_of(region) for region in usable]
        self.grid = Grid(usable, keep_off, settings.gap, stencils.cell) if usable else None
        self._openings: Mask | None = None

    def place(self, part: PackPart) -> bool:
        """Lay a part where it reaches least far along the sheet; say whether it found room."""
        if self.grid is None:
            return False
        placement = self._in_opening(part) or self._best(part, self.grid)
        if placement is None:
            return False
        self.add(self._slid(placement))
        return True

    def add(self, placement: Placement) -> None:
        """Lay a part at a place that is known to be free."""
        import numpy as np

        assert self.grid is not None
        region = placement.region
        self.placements.append(placement)
        self._polygons.append(polygon_of(region))
        self.grid.take(region)
        if self.settings.in_openings:
            for hole in region.holes:
                if self._openings is None:
                    self._openings = np.zeros_like(self.grid.free)
                self._mark_opening(hole)

    def drop(self, count: int) -> None:
        """Take the last parts up again, down to a count."""
        kept = self.placements[:count]
        fresh = SheetFill(self.sheet, self.settings, self.stencils)
        for placement in kept:
            fresh.add(placement)
        self.placements, self._polygons = fresh.placements, fresh._polygons
        self.grid, self._openings = fresh.grid, fresh._openings

    # --- finding room ---------------------------------------------------------------------------

    def _mark_opening(self, hole: Loop) -> None:
        assert self.grid is not None
        assert self._openings is not None
        mask, i, j = touched(Region(hole.ccw()), self.grid.cell, 0.0, self.grid.at)
        view = self._openings[j : j + mask.shape[0], i : i + mask.shape[1]]
        view |= mask[: view.shape[0], : view.shape[1]]

    def _in_opening(self, part: PackPart) -> Placement | None:
        if self._openings is None or self.grid is None:
            return None
        inner = self.grid.copy()
        inner.free &= self._openings
        if inner.free.sum() * inner.cell**2 < part.region.outer.area:
            return None
        return self._best(part, inner)

    def _best(self, part: PackPart, grid: Grid) -> Placement | None:
        best: tuple[float, float, float] | None = None
        found: Placement | None = None
        for turn in turns_of(part, self.sheet, self.settings):
            stencil, move, (width, _) = self.stencils.of(part, turn)
            room = grid.room(stencil)
            columns = room.any(axis=0)
            if not columns.any():
                continue
            column = int(columns.argmax())
            row = int(room[:, column].argmax())
            x, y = grid.at[0] + column * grid.cell, grid.at[1] + row * grid.cell
            key = (x + width, y, turn)
            if best is None or key < best:
                best = key
                found = Placement(part=part, move=move.then(Move.shift(x, y)))
        return found

    # --- sliding --------------------------------------------------------------------------------

    def _slid(self, placement: Placement) -> Placement:
        """Slide a part left and down as far as it goes, a few cells at most."""
        polygon = polygon_of(placement.region)
        shifted = (0.0, 0.0)
        reach = 3 * self.stencils.cell + 2.0
        for dx, dy in ((-1.0, 0.0), (0.0, -1.0), (-1.0, 0.0), (0.0, -1.0)):
            step = self._farthest(polygon, shifted, (dx, dy), reach)
            shifted = (shifted[0] + dx * step, shifted[1] + dy * step)
        return placement.shifted(*shifted)

    def _farthest(
        self,
        polygon: Any,
        start: tuple[float, float],
        way: tuple[float, float],
        reach: float,
    ) -> float:
        low, high = 0.0, reach
        if self.fits(self._moved(polygon, start, way, reach)):
            return reach
        while high - low > SLIDE_STEP:
            middle = (low + high) / 2
            if self.fits(self._moved(polygon, start, way, middle)):
                low = middle
            else:
                high = middle
        return low

    def _moved(
        self, polygon: Any, start: tuple[float, float], way: tuple[float, float], by: float
    ) -> Any:
        import numpy as np
        import shapely

        shift = np.array((start[0] + way[0] * by, start[1] + way[1] * by))
        return shapely.transform(polygon, lambda points: points + shift)

    def fits(self, polygon: Any) -> bool:
        """Say whether a polygon keeps its distances from all that lies on the sheet."""
        import shapely

        gap = self.settings.gap + 2 * CHORD
        if any(shapely.dwithin(other, polygon, gap) for other in (*self._polygons, *self._clamps)):
            return False
        for usable in self._usable:
            if shapely.contains_properly(usable, polygon):
                rim = shapely.boundary(usable)
                return not shapely.dwithin(rim, polygon, 2 * CHORD)
        return False


def stencils_for(stock: Sequence[StockSheet], gap: float) -> Stencils:
    """Return stencils with cells that suit the largest sheet."""
    width, height = max((sheet.size for sheet in stock), key=lambda size: size[0] * size[1])
    return Stencils(cell_size(width, height), gap)


def nested_in(placements: Sequence[Placement]) -> Iterator[tuple[Placement, tuple[Placement, ...]]]:
    """Yield each part that lies in no other's opening, with those that lie in its own."""
    regions = [placement.region for placement in placements]
    owner: list[int | None] = []
    for i, region in enumerate(regions):
        p = region.edges[0].start
        hosts = [
            j
            for j, other in enumerate(regions)
            if j != i and any(hole.contains(p) for hole in other.holes)
        ]
        owner.append(max(hosts, key=lambda j: regions[j].outer.area) if hosts else None)
    for i, placement in enumerate(placements):
        if owner[i] is None:
            yield placement, tuple(placements[j] for j, host in enumerate(owner) if host == i)
