"""Files for a laser or water-jet service: closed loops only, kerf left to them, order sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.errors import BadInput, OurBug, Problem
from blankwright.base.units import show_inches, show_mm
from blankwright.drawing.layers import BLANK_EDGE, HOLES
from blankwright.drawing.model import Drawing, Item, Ring
from blankwright.files.dxf_out import drawing_dxf
from blankwright.files.dxf_read import read_dxf
from blankwright.files.edge_proof import edge_problems
from blankwright.geom.apart import regions_apart
from blankwright.geom.move import Move
from blankwright.geom.region import Region

BETWEEN = 10.0
"""Distance between parts in a service's file [mm]; the service lays them out anew."""

ROW = 2000.0
"""Length of a row of parts in a service's file [mm]."""


@dataclass(frozen=True, kw_only=True)
class ServicePart:
    """One blank to be ordered.

    Args:
        name: of the part
        region: the blank [mm]
        copies: how many [-]
        grain: direction of the grain on the blank [rad], or nothing where it does not matter
    """

    name: str
    region: Region
    copies: int = 1
    grain: float | None = None


def rows_of(parts: Sequence[ServicePart]) -> tuple[Region, ...]:
    """Lay every copy in rows, apart from one another, grain along x where it matters [mm]."""
    laid: list[Region] = []
    x = y = tall = 0.0
    for part in parts:
        region = part.region
        if part.grain is not None:
            region = region.moved(Move.turn(-part.grain))
        x0, y0, x1, y1 = region.box
        for _ in range(part.copies):
            if x > 0 and x + (x1 - x0) > ROW:
                x, y, tall = 0.0, y + tall + BETWEEN, 0.0
            laid.append(region.moved(Move.shift(x - x0, y - y0)))
            x += x1 - x0 + BETWEEN
            tall = max(tall, y1 - y0)
    return tuple(laid)


def service_dxf(parts: Sequence[ServicePart], title: str) -> bytes:
    """Return the DXF file for parts of one alloy and thickness, proved to 0.01 mm.

    It holds closed loops and nothing else: the outer edge of each copy on one layer, its openings
    on another. There is no text in it that a service could cut.

    Raises:
        OurBug: when the file fails its proof: nothing must be written then
    """
    regions = rows_of(parts)
    items: list[Item] = []
    for region in regions:
        items.append(Ring(layer=BLANK_EDGE, loop=region.outer))
        items += [Ring(layer=HOLES, loop=hole) for hole in region.holes]
    data = drawing_dxf(Drawing(title=title, items=tuple(items)))
    problems = prove_service_dxf(data, regions)
    if problems:
        raise OurBug(*problems)
    return data


def prove_service_dxf(data: bytes, regions: Sequence[Region]) -> list[Problem]:
    """Return what is wrong with a service's file, read back by our own reader.

    Args:
        data: the file
        regions: what it must hold [mm]
    """
    try:
        file = read_dxf(data)
    except BadInput as error:
        return list(error.problems)
    problems: list[Problem] = []
    if file.units != 4:
        problems.append(_problem("SERVICE-001", f"units {file.units}", "4 (mm)"))
    if file.texts or any(file.edges.values()):
        problems.append(_problem("SERVICE-002", "it holds more than closed loops", "loops only"))
    for layer, wanted in (
        (BLANK_EDGE.name, [region.outer for region in regions]),
        (HOLES.name, [hole for region in regions for hole in region.holes]),
    ):
        found = file.loops.get(layer, [])
        if len(found) != len(wanted):
            got = f"{len(found)} loops on {layer}"
            problems.append(_problem("SERVICE-002", got, f"{len(wanted)} loops"))
        problems += edge_problems(
            "SERVICE-003",
            f"service file, {layer}",
            [edge for loop in found for edge in loop.edges],
            [edge for loop in wanted for edge in loop.edges],
        )
    for i, region in enumerate(regions):
        for other in regions[:i]:
            if regions_apart(region, other, BETWEEN / 2) < BETWEEN / 2:
                problems.append(_problem("SERVICE-004", "two parts overlap", "parts apart"))
    return problems


def _problem(code: str, got: str, allowed: str) -> Problem:
    return Problem(code=code, where="service file", got=got, allowed=allowed)


def order_sheet(
    parts: Sequence[ServicePart], title: str, alloy: str, thickness: float, file: str
) -> str:
    """Return the order sheet that goes with a service's file, as plain text.

    Args:
        parts: what is ordered
        title: of the project
        alloy: alloy and temper
        thickness: [mm]
        file: name of the DXF file
    """
    total_length = sum(p.copies * _cut_length(p.region) for p in parts)
    lines = [
        f"ORDER SHEET: {title}",
        "",
        f"Material    {alloy}",
        f"Thickness   {show_mm(thickness, 3)} ({show_inches(thickness)})",
        f"File        {file}, units mm, full size, closed loops, one layer for outer edges and",
        "            one for openings",
        "Kerf        not compensated: cut so that the part comes out to the drawn lines",
        "Quantity    each copy is drawn once; cut every loop in the file",
        "",
        "Part                            Copies   Size, mm            Openings   Cut, mm   Grain",
        "-" * 88,
    ]
    for part in parts:
        x0, y0, x1, y1 = part.region.box
        grain = "-" if part.grain is None else "matters"
        lines.append(
            f"{part.name:<32}{part.copies:>6}   {f'{x1 - x0:.1f} x {y1 - y0:.1f}':<20}"
            f"{len(part.region.holes):>8}{_cut_length(part.region):>10.0f}   {grain}"
        )
    copies = sum(part.copies for part in parts)
    pierces = sum(part.copies * (1 + len(part.region.holes)) for part in parts)
    area = sum(part.copies * part.region.area for part in parts)
    lines += [
        "-" * 88,
        f"{copies} pieces, {pierces} loops, {total_length:.0f} mm of cut, {area / 1e6:.4f} m2",
        "",
        "Please ask before changing anything. Keep the protective film on the face side.",
        "Do not tumble, brush or mark the face. A heated edge must be dressed back: tell us the",
        "width of the heat-affected edge if it is cut by laser.",
        "Parts with grain must lie as drawn or turned by half a turn, the grain along x of the file"
        if any(part.grain is not None for part in parts)
        else "No part needs its grain in one direction.",
        "",
    ]
    return "\n".join(lines)


def _cut_length(region: Region) -> float:
    return sum(loop.length for loop in region.loops)
