"""The layout file, ``out/sheets/layout.toml``: which part lies where on which sheet.

Written by the packing, read by the machine files, so that both speak of the same layout and a
packing that took minutes is kept. Each part carries a fingerprint of its blank: when the blank
has changed since, the layout no longer holds and says so.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from blankwright.base.errors import BadInput, FileProblem, Problem
from blankwright.cutting.packing import PackedSheet
from blankwright.geom.edges import Arc
from blankwright.geom.move import Move
from blankwright.geom.region import Region

NAME = "layout.toml"
"""Name of the layout file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPart:
    """A part in a layout file.

    Args:
        name: part and copy
        item: name of the item it is a copy of
        mark: fingerprint of the blank when it was packed
        move: carries the blank onto the sheet
    """

    name: str
    item: str
    mark: str
    move: Move


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidSheet:
    """A sheet in a layout file.

    Args:
        stock: name of its entry on the rack
        number: which of several alike [-]
        title: name in files
        parts: what lies on it
    """

    stock: str
    number: int
    title: str
    parts: tuple[LaidPart, ...]


def fingerprint(region: Region, metal: str) -> str:
    """Return a short text that changes when an outline does by a thousandth of a mm.

    Args:
        region: outline of a blank
        metal: alloy and thickness that it is to be cut from, which change the text too
    """
    digest = hashlib.sha256(metal.encode())
    for edge in region.edges:
        x, y = edge.point(0.5) if isinstance(edge, Arc) else edge.start
        digest.update(f"{edge.start[0]:.3f} {edge.start[1]:.3f} {x:.3f} {y:.3f};".encode())
    return digest.hexdigest()[:12]


def laid_of(packed: PackedSheet, items: Mapping[str, str]) -> LaidSheet:
    """Return a packed sheet as the layout file holds it.

    Args:
        packed: a sheet with its parts
        items: name of part and copy to the item it is a copy of
    """
    return LaidSheet(
        stock=packed.sheet.name,
        number=packed.number,
        title=packed.title,
        parts=tuple(
            LaidPart(
                name=placement.part.name,
                item=items[placement.part.name],
                mark=fingerprint(placement.part.region, placement.part.metal),
                move=placement.move,
            )
            for placement in packed.placements
        ),
    )


def layout_text(sheets: Sequence[LaidSheet]) -> str:
    """Return the text of a layout file."""
    lines = ["# Which part lies where on which sheet. Made by `blankwright pack`.", ""]
    for sheet in sheets:
        lines += [
            "[[sheets]]",
            f"stock = {_quoted(sheet.stock)}",
            f"number = {sheet.number}",
            f"title = {_quoted(sheet.title)}",
            "parts = [",
        ]
        lines += [f"  {_part_line(part)}," for part in sheet.parts]
        lines += ["]", ""]
    return "\n".join(lines)


def _part_line(part: LaidPart) -> str:
    move = part.move
    numbers = ", ".join(repr(float(v)) for v in (move.cos, move.sin, move.dx, move.dy))
    return (
        f"{{ name = {_quoted(part.name)}, item = {_quoted(part.item)}, "
        f'blank = "{part.mark}", place = [{numbers}] }}'
    )


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def read_layout(path: Path) -> tuple[LaidSheet, ...]:
    """Read a layout file.

    Raises:
        FileProblem: when there is none
        BadInput: when it is not as `layout_text` wrote it
    """
    try:
        raw: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise FileProblem(
            Problem(
                code="PACK-011",
                where=str(path),
                got="no parts have been laid on sheets yet",
                fix="Run `blankwright pack` first",
            )
        ) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadInput(_wrong(path, str(error))) from error
    try:
        return tuple(
            LaidSheet(
                stock=str(sheet["stock"]),
                number=int(sheet["number"]),
                title=str(sheet["title"]),
                parts=tuple(_part(part) for part in sheet["parts"]),
            )
            for sheet in raw.get("sheets", [])
        )
    except (KeyError, TypeError, ValueError) as error:
        raise BadInput(_wrong(path, repr(error))) from error


def _part(raw: Mapping[str, Any]) -> LaidPart:
    cos, sin, dx, dy = (float(value) for value in raw["place"])
    if abs(cos * cos + sin * sin - 1.0) > 1e-9:
        raise ValueError(f"the place of {raw['name']} is no turn and shift")
    return LaidPart(
        name=str(raw["name"]),
        item=str(raw["item"]),
        mark=str(raw["blank"]),
        move=Move(cos, sin, dx, dy),
    )


def _wrong(path: Path, got: str) -> Problem:
    return Problem(
        code="PACK-012",
        where=str(path),
        got=f"the layout can't be read ({got})",
        fix="Run `blankwright pack` again",
    )
