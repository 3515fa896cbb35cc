"""Renaming in a part file, everywhere that refers to the name."""

from __future__ import annotations

import re
import tomllib
from typing import Final

from blankwright.base.errors import BadInput, Problem
from blankwright.files.partfile.edit_check import accepted
from blankwright.files.partfile.edit_places import no_place, positions_of, refuse_taken, steps_of
from blankwright.files.partfile.positions import Positions, place_of
from blankwright.files.partfile.texts import key_text, literal_of

_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")
_NOT_FORMULAS: Final = frozenset(
    (
        *("title", "drawing", "place", "hand", "notes", "note", "alloy", "from", "on", "name"),
        *("between", "edges", "edge", "drawn_to", "edge_drawn_to", "rule", "allowance", "last"),
        *("shape", "relief", "end_relief"),
    )
)


def rename(text: str, place: str, name: str) -> str:
    """Return the text with a size, flat, bend, hole, corner or variant renamed, everywhere.

    A renamed size is renamed in every formula, a flat or leg in all that refer to it.

    Raises:
        NoPlace: EDIT-001 when there is no such place
        BadInput: EDIT-002 when the new name is taken, or with the problems the edit would bring
    """
    found = positions_of(text)
    steps = steps_of(place)
    kinds = ("sizes", "flats", "bends", "holes", "corners", "variants")
    if len(steps) != 2 or steps[0] not in kinds or place not in found.lines:
        raise no_place(place)
    new_place = place_of((steps[0], name))
    refuse_taken(found, new_place)
    if not _BARE.fullmatch(name):
        raise BadInput(
            Problem(
                code="PART-007",
                where=new_place,
                got=f"`{name}` can't be a name",
                allowed="letters, digits, - and _",
            )
        )
    old = str(steps[1])
    changes = [(a, b, key_text(name)) for where, a, b in found.keys if where == place]
    if steps[0] == "bends":
        ends = re.compile(rf'overrides\."(.* )bend {re.escape(old)}"')
        for where, a, b in found.keys:
            if match := ends.fullmatch(where):
                changes.append((a, b, key_text(f"{match[1]}bend {name}")))
    if steps[0] == "sizes":
        variants = re.compile(rf"variants\.[^.]+\.{re.escape(old)}")
        changes += [
            (a, b, key_text(name)) for where, a, b in found.keys if variants.fullmatch(where)
        ]
    for where, (start, end) in found.values.items():
        typed = text[start:end]
        if typed[:1] in "\"'":
            value = tomllib.loads(f"x = {typed}")["x"]
            renamed = _renamed(str(steps[0]), where, value, old, name, found)
            if renamed != value:
                changes.append((start, end, literal_of(renamed, typed, "")))
    new = text
    for start, end, typed in sorted(changes, reverse=True):
        new = new[:start] + typed + new[end:]
    return accepted(text, new, None, None)


def _renamed(kind: str, where: str, value: str, old: str, new: str, found: Positions) -> str:
    """Return a text of the file with a name in it changed, if it is one that can hold it."""
    last = where.rsplit(".", 1)[-1].split("[")[0]
    if kind == "sizes":
        if last in _NOT_FORMULAS or where.startswith("overrides."):
            return value
        if value in {"turn": ("left", "right"), "along": ("x", "y")}.get(last, ()):
            return value
        if last == "drill" and where.startswith("sizes."):
            return value
        return re.sub(rf"(?<![\w.]){re.escape(old)}(?!\w)", new, value)
    named_leg = f"bends.{old}.leg.name" in found.values
    if kind == "flats" or (kind == "bends" and not named_leg):
        if last == "from" and value.split(".")[0] == old:
            return new + value[len(old) :]
        if last == "on" and where.startswith("holes.") and value == old:
            return new
    if kind == "bends" and last == "between" and value == old:
        return new
    return value
