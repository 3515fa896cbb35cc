"""The drills table of the shop file: which drills, step drills and reamers the shop has.

::

    [drills]
    sets = ["number", "fraction"]        # whole sets: number, letter, fraction, metric
    largest = "1/2 in"                   # of the sets; 13 mm unless stated
    single = ["F", "5.5 mm"]             # drills beside the sets
    missing = ["#11"]                    # broken, lent, lost

    [[drills.step_drills]]
    name = "small step drill"
    sizes = ["1/8 in", "3/16 in", "1/4 in", "5/16 in", "3/8 in"]
    step_height = "1/4 in"

    [[drills.reamers]]
    name = "3/16 reamer"
    diameter = "0.1875 in"
"""

from __future__ import annotations

from typing import Any

from blankwright.base.errors import BadInput, BlankwrightError, Problem
from blankwright.files.shop_fields import Fields, read_length
from blankwright.files.shopfile import ShopFile
from blankwright.handbook.drills import SETS, Drill, all_drills, find_drill
from blankwright.holes.drill_rack import DrillRack, Reamer, StepDrill

_CODE = "SHOP-008"


def drills_of(shop: ShopFile) -> DrillRack:
    """Return the drills that a shop file lists; with no list, all of every set.

    Raises:
        BadInput: with every problem of its table
    """
    problems: list[Problem] = []
    if "drills" not in shop.tables:
        return DrillRack(drills=all_drills())
    raw = shop.table("drills")
    step_drills, reamers = raw.pop("step_drills", []), raw.pop("reamers", [])
    fields = Fields(raw, f"{shop.name}, drills", problems, _CODE)
    sets = _words(fields, "sets")
    for word in sets:
        if word not in SETS:
            fields.wrong("sets", f"there is no set `{word}`", ", ".join(SETS))
    largest = fields.length("largest", 13.0, least=0.1)
    drills = [d for d in all_drills() if d.set in sets and d.diameter <= largest + 1e-6]
    drills += [d for d in _drills(fields, "single") if d not in drills]
    missing = {d.name for d in _drills(fields, "missing")}
    fields.nothing_left()
    rack = DrillRack(
        drills=tuple(
            sorted((d for d in drills if d.name not in missing), key=lambda d: d.diameter)
        ),
        step_drills=tuple(
            tool
            for i, item in enumerate(_list(step_drills, shop, "step_drills", problems))
            if (tool := _step_drill(item, f"{shop.name}, drills.step_drills {i + 1}", problems))
        ),
        reamers=tuple(
            reamer
            for i, item in enumerate(_list(reamers, shop, "reamers", problems))
            if (reamer := _reamer(item, f"{shop.name}, drills.reamers {i + 1}", problems))
        ),
    )
    if problems:
        raise BadInput.of(problems)
    return rack


def _words(fields: Fields, key: str) -> list[str]:
    value = fields.take(key)
    if value is None:
        return []
    if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
        fields.wrong(key, f"`{value}` isn't a list of texts", '["#30", "1/4 in"]')
        return []
    return [item.strip() for item in value]


def _drills(fields: Fields, key: str) -> list[Drill]:
    found: list[Drill] = []
    for text in _words(fields, key):
        try:
            found.append(find_drill(text))
        except BlankwrightError as error:
            fields.wrong(key, f"`{text}`: {error.problems[0].got}", error.problems[0].allowed)
    return found


def _list(raw: Any, shop: ShopFile, key: str, problems: list[Problem]) -> list[dict[str, Any]]:
    if isinstance(raw, list) and all(isinstance(item, dict) for item in raw):
        return raw
    problems.append(
        Problem(
            code=_CODE,
            where=f"{shop.name}, drills.{key}",
            got="this isn't a list of tools",
            fix=f"Begin each with a line [[drills.{key}]]",
        )
    )
    return []


def _step_drill(raw: dict[str, Any], where: str, problems: list[Problem]) -> StepDrill | None:
    fields = Fields(raw, where, problems, _CODE)
    before = len(problems)
    name = fields.text("name", "step drill")
    height = fields.length("step_height", 0.0, least=0.1)
    sizes: list[float] = []
    for text in _words(fields, "sizes"):
        try:
            sizes.append(read_length(text, 0.1))
        except ValueError as error:
            fields.wrong("sizes", str(error))
    if len(problems) == before and (len(sizes) < 2 or sizes != sorted(set(sizes))):
        fields.wrong("sizes", "they don't rise from step to step", "two or more, rising")
    if len(problems) == before and not height:
        fields.wrong("step_height", "it is missing", 'length of one step, such as "1/4 in"')
    fields.nothing_left()
    if len(problems) > before:
        return None
    return StepDrill(name=name, sizes=tuple(sizes), step_height=height)


def _reamer(raw: dict[str, Any], where: str, problems: list[Problem]) -> Reamer | None:
    fields = Fields(raw, where, problems, _CODE)
    before = len(problems)
    diameter = fields.length("diameter", 0.0, least=0.1)
    name = fields.text("name", "reamer")
    if not diameter and len(problems) == before:
        fields.wrong("diameter", "it is missing", 'such as "0.1875 in"')
    fields.nothing_left()
    return None if len(problems) > before else Reamer(name=name, diameter=diameter)
