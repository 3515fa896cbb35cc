"""What can be added to a part through a form, and how it then stands in the part file."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from blankwright.base.errors import BadInput, Problem
from blankwright.part.model import DrawnFlat, Part

Fields = Mapping[str, str]
Values = dict[str, "str | Mapping[str, str]"]

CORNER_RULES = ("open", "closed", "lapped", "as drawn")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of the form of a feature.

    Args:
        key: its name
        label: what it is, in a builder's words
        typed: what it begins with
        choices: where only some words will do
        may_miss: whether it may be left empty
    """

    key: str
    label: str
    typed: str = ""
    choices: tuple[str, ...] = ()
    may_miss: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """A kind of feature that can be added to a part as it is.

    Args:
        key: its name
        title: as shown
        table: the table of the part file that it goes into
        lines: lines of its form
        values: makes the keys of its table from the lines as filled in
    """

    key: str
    title: str
    table: str
    lines: tuple[Line, ...]
    values: Callable[[Fields], Values]


def features_of(part: Part) -> tuple[Feature, ...]:
    """Return what can be added to a part as it is: a bend where an edge is free, and so on."""
    flats = tuple(flat.name for flat in (part.root, *(bend.leg for bend in part.bends)))
    edges = _free_edges(part)
    at = (Line(key="x", label="Centre, x of the flat"), Line(key="y", label="Centre, y of it"))
    on = Line(key="on", label="On the flat", choices=flats)
    diameter = Line(key="diameter", label="Diameter or drill", typed="#30")
    found = []
    lines: tuple[Line, ...]
    if edges:
        lines = (
            Line(key="from", label="From the edge", choices=edges),
            Line(key="height", label="Height of its leg"),
            Line(key="way", label="Bent", choices=("up", "down")),
            Line(key="angle", label="Angle bent through", may_miss=True),
            Line(key="inside_radius", label="Inside radius", may_miss=True),
        )
        found.append(Feature(key="bend", title="Bend", table="bends", lines=lines, values=_bend))
    found.append(
        Feature(key="hole", title="Hole", table="holes", lines=(on, *at, diameter), values=_hole)
    )
    to = (
        Line(key="to_x", label="Last centre, x"),
        Line(key="to_y", label="Last centre, y"),
        Line(key="count", label="How many", typed="4"),
    )
    lines = (on, *at, *to, diameter)
    found.append(Feature(key="row", title="Row of holes", table="holes", lines=lines, values=_row))
    outer = tuple(f"{f.name}.{edge}" for f in _flats(part) for edge in f.edges if edge != "bend")
    lines = (
        Line(key="edge", label="Along the edge", choices=outer),
        Line(key="rivet", label="Rivet diameter", typed="1/8 in"),
        Line(key="kind", label="Rivets", choices=("solid", "blind")),
        Line(key="pitch_at_most", label="Pitch at most", typed="1 in"),
        Line(key="edge_distance", label="Edge distance", may_miss=True),
    )
    found.append(
        Feature(key="rivets", title="Rivet row", table="rivets", lines=lines, values=_rivet)
    )
    if len(part.bends) > 1:
        names = tuple(bend.name for bend in part.bends)
        lines = (
            Line(key="one", label="Between bend", choices=names),
            Line(key="other", label="and bend", choices=(*names[1:], names[0])),
            Line(key="rule", label="Rule", choices=CORNER_RULES),
            Line(key="gap", label="Gap", may_miss=True),
        )
        found.append(
            Feature(key="corner", title="Corner", table="corners", lines=lines, values=_corner)
        )
    return tuple(found)


def add_feature(text: str, part: Part, key: str, name: str, fields: Fields) -> str:
    """Return a part file's text with a feature added; comments and order kept.

    Args:
        text: what the part file holds
        part: what is read from it
        key: of the kind of feature
        name: of the new one
        fields: the lines of its form as filled in

    Raises:
        BadInput: when a line is empty that must not be, the name is taken or will not do, or with
            the problems that the part would have
    """
    from blankwright.files.partfile import editing

    feature = next((f for f in features_of(part) if f.key == key), None)
    if feature is None:
        raise BadInput(
            Problem(code="PAGE-017", where=part.name, got=f"no {key} can be added to it now")
        )
    filled = {line.key: fields.get(line.key, "").strip() for line in feature.lines}
    empty = [line for line in feature.lines if not (filled[line.key] or line.may_miss)]
    if empty or not name.strip():
        labels = [line.label for line in empty] if name.strip() else ["Name"]
        raise BadInput(
            *(
                Problem(
                    code="PAGE-018",
                    where=f"new {feature.title.lower()}, {label.lower()}",
                    got="nothing is filled in",
                    fix="Write a size with its unit, the name of a size, or a formula",
                )
                for label in labels
            )
        )
    place = f"{feature.table}.{name.strip()}"
    return editing.add_table(text, place, feature.values(filled))


def _flats(part: Part) -> tuple[DrawnFlat, ...]:
    return (part.root, *(bend.leg for bend in part.bends))


def _free_edges(part: Part) -> tuple[str, ...]:
    taken = {(bend.parent, bend.edge) for bend in part.bends}
    return tuple(
        f"{flat.name}.{edge}"
        for flat in _flats(part)
        for edge in flat.edges
        if edge != "bend" and (flat.name, edge) not in taken
    )


def _bend(f: Fields) -> Values:
    values: Values = {"from": f["from"]}
    for key in ("angle", "inside_radius"):
        if f[key]:
            values[key] = f[key]
    values[f["way"]] = "true"
    values["leg"] = {"height": f["height"]}
    return values


def _hole(f: Fields) -> Values:
    return {"on": f["on"], "at": _list(f["x"], f["y"]), **_size(f["diameter"])}


def _row(f: Fields) -> Values:
    row = f"{{ to = {_list(f['to_x'], f['to_y'])}, count = {_count(f['count'])} }}"
    return {**_hole(f), "row": row}


def _rivet(f: Fields) -> Values:
    flat, _, edge = f["edge"].rpartition(".")
    values: Values = {"on": flat, "along": edge}
    for key in ("rivet", "kind", "pitch_at_most", "edge_distance"):
        if f[key]:
            values[key] = f[key]
    return values


def _corner(f: Fields) -> Values:
    values: Values = {"between": _list(f["one"], f["other"]), "rule": f["rule"]}
    if f["gap"]:
        values["gap"] = f["gap"]
    return values


def _size(typed: str) -> Values:
    """Return a drill where a drill's number or letter was typed, else a diameter."""
    drill = typed.startswith("#") or (len(typed) == 1 and typed.isalpha() and typed.isupper())
    return {"drill" if drill else "diameter": typed}


def _count(typed: str) -> str:
    return typed if typed.isdigit() else _quoted(typed)


def _list(*typed: str) -> str:
    return f"[{', '.join(_quoted(one) for one in typed)}]"


def _quoted(typed: str) -> str:
    return json.dumps(typed, ensure_ascii=False)
