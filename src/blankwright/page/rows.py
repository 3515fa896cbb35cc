"""A part file as lines of a form: one line a value, grouped as the file has its tables.

The lines come from the raw TOML and not from the part that was read, so that a file with a
mistake in it still shows all its lines, with the mistake at its place.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

Json = dict[str, Any]

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_LENGTHS_TO = ("outside mold line", "inside mold line", "bend tangent line", "outside of bend")
_CHOICES: dict[str, tuple[str, ...]] = {
    "drawn_to": _LENGTHS_TO,
    "edge_drawn_to": _LENGTHS_TO,
    "allowance": ("empirical formula", "neutral-axis factor", "coupons"),
    "hand": ("left", "right"),
    "turn": ("left", "right"),
    "shape": ("square", "round", "vee"),
    "head": ("protruding", "countersunk", "dimpled"),
    "kind": ("solid", "blind"),
}
_CORNER_RULES = ("open", "closed", "lapped", "as drawn")
_TITLES = {
    "": "Title block",
    "sizes": "Sizes",
    "sheet": "Sheet",
    "bend_defaults": "Every bend, unless it says otherwise",
    "corner_defaults": "Every corner, unless it says otherwise",
    "overrides": "Findings let pass",
    "variants": "Variants",
}
_SINGLES = {
    "flats": "flat",
    "bends": "bend",
    "holes": "hole",
    "rivets": "rivet row",
    "corners": "corner",
}
_BEND_LINES = ("angle", "inside_radius", "drawn_to", "allowance", "k", "end_relief")
_MORE: dict[str, tuple[str, ...]] = {
    "": ("drawing", "place", "hand", "other_hand"),
    "sheet": ("grain",),
    "bend_defaults": (*_BEND_LINES, "up", "down"),
    "corner_defaults": ("rule", "gap", "relief"),
    "flats": ("outline.radius", "outline.chamfer", "drawn_to"),
    "bends": (
        *("angle", "inside_radius", "up", "down", "leg.height", "leg.left_height"),
        *("leg.right_height", "leg.taper", "leg.left_taper", "leg.right_taper", "leg.radius"),
        *("leg.chamfer", "leg.drawn_to", "inset", "left_inset", "right_inset", "width"),
        *("centered", "edge_drawn_to", "allowance", "k", "end_relief", "last", "note"),
    ),
    "holes": ("drill", "diameter", "lightening", "turn", "note"),
    "rivets": (
        *(
            "rivet",
            "screw",
            "kind",
            "metal",
            "part_number",
            "head",
            "edge_distance",
            "ends",
            "left_end",
            "right_end",
        ),
        *("count", "pitch", "pitch_at_most", "corner_holes", "lines", "line_distance"),
        *("drill", "pilot", "dodge", "splice", "note"),
    ),
    "corners": ("rule", "gap", "relief"),
}
"""Lines that a table may have besides those it must: offered where they are not there yet."""
_THINGS = {"flats": "flat", "bends": "bend", "holes": "hole", "rivets": "hole"}
"""What a table's entries are on the blank; a rivet row's holes are named after it."""
_FLAGS = ("other_hand", "up", "down", "centered", "corner_holes", "dodge", "splice")


def groups_of(text: str) -> list[Json] | None:
    """Return the lines of a part file in groups, or nothing when the text is not TOML.

    Each group has `name`, `title`, `thing` (what it is on the blank, such as ``bend left``) and
    `rows`; each row has its `place` in the file, `label`, what is `typed`, `type` (``text``,
    ``number`` or ``yes or no``), whether it is `loose` (may be taken out) and, where only some
    words will do, `choices`. What can be done with a group: `named`, `gone` (it can be removed),
    `more` (lines that may be added).
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return None
    groups: list[Json] = []
    top = [row for key, value in data.items() if not _is_table(value) for row in _rows(key, value)]
    for key, value in data.items():
        if not _is_table(value):
            continue
        if key in _SINGLES and isinstance(value, dict):
            for name, table in value.items():
                word = _SINGLES[key]
                place = f"{key}.{_quoted(name)}"
                thing = f"{_THINGS[key]} {name}" if key in _THINGS else ""
                groups.append(
                    _group(
                        f"{key}.{name}",
                        f"{word.capitalize()} {name}",
                        thing,
                        list(_rows(place, table)),
                        place,
                    )
                )
        else:
            rows = list(_rows(key, value))
            groups.append(_group(key, _TITLES.get(key, key), "", rows, key))
    # What changes most comes first; the title block stands at the foot, as on a drawing.
    if top:
        groups.append(_group("", _TITLES[""], "", top, ""))
    return groups


def typed_at(text: str, place: str) -> str | None:
    """Return what is typed at a place, as its line shows it; nothing when there is no such line."""
    for group in groups_of(text) or ():
        for row in group["rows"]:
            if row["place"] == place:
                return str(row["typed"])
    return None


def _group(name: str, title: str, thing: str, rows: list[Json], place: str) -> Json:
    for row in rows:
        inner = row["place"].removeprefix(place).lstrip(".")
        row["label"] = _label(inner or row["place"], is_size=name == "sizes")
        if name == "sizes":
            row["thing"] = f"size {_first_step(inner)}"
    table = place.split(".")[0]
    named = table in _SINGLES
    for row in rows:
        # What is one of a list can't be taken out alone: the others would change their meaning.
        row["loose"] = row["place"] != "title" and not row["place"].endswith("]")
    return {
        "name": name,
        "title": title,
        "thing": thing,
        "rows": rows,
        "place": place,
        "named": named,
        "gone": (named and table != "flats") or table == "variants",
        "more": _more(table, place, [row["place"] for row in rows]),
    }


def _more(table: str, place: str, there: list[str]) -> list[Json]:
    """Return the lines that may be added to a table, each with its place."""
    found = []
    for key in _MORE.get(table, ()):
        at = f"{place}.{key}" if place else key
        if any(old == at or old.startswith((f"{at}.", f"{at}[")) for old in there):
            continue
        last = key.rsplit(".", 1)[-1]
        choices = ("true", "false") if last in _FLAGS else _CHOICES.get(last, ())
        if last == "rule":
            choices = _CORNER_RULES
        label = _label(key, is_size=False)
        found.append({"place": at, "label": label, "choices": list(choices)})
    return found


def _first_step(inner: str) -> str:
    return inner.split(".")[0].split("[")[0].strip('"')


def _label(inner: str, *, is_size: bool) -> str:
    """Return a place within its table in a builder's words."""
    if is_size:
        name, _, rest = inner.partition(".")
        return f"{name} {rest}".replace("plus_minus", "±").strip() if rest else name
    words = inner.replace(".", " ").replace("_", " ").replace("[", " ").replace("]", "")
    words = words.replace("rectangle 1", "width").replace("rectangle 2", "depth")
    words = re.sub(r"\bat 1$", "at x", words)
    words = re.sub(r"\bat 2$", "at y", words)
    return re.sub(r"^outline (width|depth)$", r"\1", words)


def _is_table(value: Any) -> bool:
    return isinstance(value, dict) or (
        isinstance(value, list) and bool(value) and all(isinstance(item, dict) for item in value)
    )


def _quoted(key: str) -> str:
    return key if _BARE.fullmatch(key) else f'"{key}"'


def _rows(place: str, value: Any) -> Iterator[Json]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _rows(f"{place}.{_quoted(key)}", inner)
    elif isinstance(value, list):
        for i, inner in enumerate(value, start=1):
            yield from _rows(f"{place}[{i}]", inner)
    else:
        yield _row(place, value)


def _row(place: str, value: Any) -> Json:
    key = re.split(r"[.\[]", place)[-1]
    row: Json = {"place": place}
    if isinstance(value, bool):
        row.update(typed="yes" if value else "no", type="yes or no", choices=["yes", "no"])
        return row
    row.update(typed=str(value), type="number" if isinstance(value, int | float) else "text")
    choices = _CHOICES.get(key)
    if key == "rule" and place.startswith("corner"):
        choices = _CORNER_RULES
    if choices:
        # What is typed stays choosable, also when it is a word that will not do.
        row["choices"] = list(dict.fromkeys([str(value), *choices]))
    return row
