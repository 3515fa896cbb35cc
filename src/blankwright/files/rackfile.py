"""The rack file, ``rack.toml`` in a project folder: sheets, boards and offcuts.

::

    [[sheets]]
    name = "full 040"
    alloy = "6061-T6"
    thickness = "0.040 in"
    size = ["48 in", "24 in"]
    grain = "along x"              # "along y", an angle, or "none"
    film = "face"
    price = 62.00
    count = 2
    clamps = [
      { name = "front left", box = ["0 mm", "0 mm", "40 mm", "25 mm"], height = "12 mm" },
    ]

    [[sheets]]
    name = "full 040 offcut 1"
    alloy = "6061-T6"
    thickness = "0.040 in"
    outline = [["0 mm", "0 mm"], ["300 mm", "0 mm"], ["300 mm", "200 mm"], ["0 mm", "250 mm"]]
    offcut = true

An outline's corner may have a third entry: the bulge of the side that begins there, tan(angle/4),
as DXF states it, for sides that are arcs. Openings in a sheet, such as what an earlier cut left,
are outlines too, or round ones, ``{ center = ["50 mm", "40 mm"], diameter = "30 mm" }``,
in a list: ``openings = [opening, …]``.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import trimmed
from blankwright.cutting.stock import Clamp, Material, StockSheet, material_of
from blankwright.files.rack_outline import outline_entry, region_of
from blankwright.files.shop_fields import Fields
from blankwright.files.shop_text import text_of, toml_of
from blankwright.files.whole import write_as_before
from blankwright.geom.loop import Loop
from blankwright.geom.region import Region

NAME = "rack.toml"
"""Name of the rack file in a project folder."""

FILMS = ("none", "face", "back", "both")


def read_rack(path: Path) -> tuple[StockSheet, ...]:
    """Read a rack file; a file that isn't there is an empty rack.

    Raises:
        FileProblem: when it can't be read
        BadInput: with every problem in it
    """
    return parse_rack(text_of(path, "RACK-001", "rack file"), path.name)


def parse_rack(text: str, name: str = NAME) -> tuple[StockSheet, ...]:
    """Read a rack from the text of its file.

    Raises:
        BadInput: with every problem in it
    """
    raw = toml_of(text, "RACK-002", name)
    problems: list[Problem] = []
    for key in raw:
        if key != "sheets":
            problems.append(_problem(f"{name}, {key}", "there is no such table", "[[sheets]]"))
    items = raw.get("sheets", [])
    if not isinstance(items, list) or not all(isinstance(item, dict) for item in items):
        raise BadInput(_problem(f"{name}, sheets", "this isn't a list of sheets", "[[sheets]]"))
    sheets: list[StockSheet] = []
    for position, item in enumerate(items, start=1):
        label = item.get("name", position)
        fields = Fields(item, f"{name}, sheet {label}", problems, "RACK-003")
        sheet = _sheet(fields)
        fields.nothing_left()
        if sheet is not None:
            if any(sheet.name == other.name for other in sheets):
                fields.wrong("name", f"two entries are called `{sheet.name}`", "a name each")
            sheets.append(sheet)
    if problems:
        raise BadInput.of(problems)
    return tuple(sheets)


def _problem(where: str, got: str, allowed: str) -> Problem:
    return Problem(code="RACK-003", where=where, got=got, allowed=allowed)


def _sheet(fields: Fields) -> StockSheet | None:
    before = len(fields.problems)
    for key in ("name", "alloy", "thickness"):
        if not fields.has(key):
            fields.wrong(key, "it is missing")
    alloy = fields.text("alloy")
    region = region_of(fields)
    film = fields.text("film", "none")
    if film not in FILMS:
        fields.wrong("film", f"`{film}` is none of them", ", ".join(FILMS))
    sheet = StockSheet(
        name=fields.text("name"),
        alloy=alloy,
        material=_material(fields, alloy),
        thickness=fields.length("thickness", 1.0, least=0.01),
        region=region or Region(Loop.rectangle(0, 0, 1, 1)),
        grain=_grain(fields),
        film=film,
        price=fields.money("price"),
        count=fields.count("count", 1),
        offcut=fields.yes("offcut", False),
        clamps=_clamps(fields),
        note=fields.text("note"),
    )
    return sheet if len(fields.problems) == before else None


def _material(fields: Fields, alloy: str) -> Material:
    known = material_of(alloy)
    if fields.has("material") or known is None:
        if not fields.has("material"):
            got = f"`{alloy}` is no aluminium that the handbook lists, so say what it is"
            fields.wrong("material", got, ", ".join(item.value for item in Material))
        return fields.choice("material", known or Material.ALUMINIUM)
    fields.take("material")
    return known


def _grain(fields: Fields) -> float | None:
    text = fields.raw.get("grain", "none")
    if text in ("none", "along x", "along y"):
        fields.take("grain")
        return {"none": None, "along x": 0.0, "along y": math.pi / 2}[text]
    return fields.angle("grain", 0.0)


def _clamps(fields: Fields) -> tuple[Clamp, ...]:
    raw = fields.take("clamps") or []
    if not isinstance(raw, list) or not all(isinstance(item, dict) for item in raw):
        fields.wrong("clamps", "this isn't a list of clamps", "[{ box = […], height = … }]")
        return ()
    clamps: list[Clamp] = []
    for position, item in enumerate(raw, start=1):
        inner = Fields(item, f"{fields.where}, clamp {position}", fields.problems, fields.code)
        name = inner.text("name", f"clamp {position}")
        x0, y0, x1, y1 = inner.lengths("box", (0.0, 0.0, 1.0, 1.0), 4)
        height = inner.length("height", 10.0)
        for key in ("box", "height"):
            if key not in item:
                inner.wrong(key, "it is missing")
        inner.nothing_left()
        if x1 <= x0 or y1 <= y0:
            inner.wrong("box", "it encloses nothing", "least x, least y, greatest x, greatest y")
            continue
        region = Region(Loop.rectangle(x0, y0, x1, y1))
        clamps.append(Clamp(name=name, region=region, height=height))
    return tuple(clamps)


def free_names(offcuts: Sequence[StockSheet], taken: Collection[str]) -> tuple[StockSheet, ...]:
    """Return offcuts under names that nothing on the rack has yet."""
    names, renamed = set(taken), []
    for offcut in offcuts:
        name, number = offcut.name, 2
        while name in names:
            name, number = f"{offcut.name} ({number})", number + 1
        names.add(name)
        renamed.append(replace(offcut, name=name))
    return tuple(renamed)


# --- writing -------------------------------------------------------------------------------------


def rack_after(text: str, used: Sequence[tuple[str, int]], offcuts: Sequence[StockSheet]) -> str:
    """Return the rack file with used sheets taken off and offcuts put on; the rest is kept.

    Args:
        text: the file as it is
        used: names of entries, and how many of each were cut up
        offcuts: what goes back on the rack
    """
    import tomlkit
    from tomlkit.items import AoT

    document = tomlkit.parse(text)
    sheets = document.get("sheets")
    if not isinstance(sheets, AoT):
        sheets = tomlkit.aot()
        document["sheets"] = sheets
    counts = dict(used)
    for entry in list(sheets):
        name = str(entry.get("name", ""))
        if name in counts:
            left = int(entry.get("count", 1)) - counts[name]
            if left > 0:
                entry["count"] = left
            else:
                sheets.remove(entry)
    for offcut in offcuts:
        table = tomlkit.table()
        table.trivia.indent = "\n"
        for key, value in _entry(offcut).items():
            table[key] = value
        sheets.append(table)
    dumped: str = tomlkit.dumps(document)
    return dumped


def write_rack(path: Path, text: str) -> None:
    """Write a rack file, once it reads back. Raises as `read_rack` and `write_whole`."""
    parse_rack(text, path.name)
    write_as_before(path, text)


def _entry(sheet: StockSheet) -> dict[str, Any]:
    entry: dict[str, Any] = {
        "name": sheet.name,
        "alloy": sheet.alloy,
        "thickness": f"{trimmed(sheet.thickness, 6)} mm",
    }
    if material_of(sheet.alloy) is None:
        entry["material"] = sheet.material.value
    entry.update(outline_entry(sheet.region))
    if sheet.grain is not None:
        entry["grain"] = f"{trimmed(math.degrees(sheet.grain), 6)} deg"
    if sheet.film != "none":
        entry["film"] = sheet.film
    if sheet.price:
        entry["price"] = sheet.price
    if sheet.offcut:
        entry["offcut"] = True
    if sheet.note:
        entry["note"] = sheet.note
    return entry
