"""The paper model as a drawing: edges to cut, lines to fold, gauges to hold angles against."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from blankwright.base.units import show_angle
from blankwright.develop.blank import Blank
from blankwright.drawing.beside import line_notes, readable
from blankwright.drawing.blank_drawing import inner_points
from blankwright.drawing.gauge import angle_gauge
from blankwright.drawing.layers import (
    BEND_NOTES,
    FOLD_DOWN,
    FOLD_UP,
    NAMES,
    NOTES,
    PAPER_EDGE,
    PAPER_HOLES,
)
from blankwright.drawing.model import Anchor, Drawing, Item, Ring, Stroke, Text
from blankwright.drawing.notes import SheetNotes, stacked
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import PrintSetup
from blankwright.drawing.paper_model import Fold, PaperModel, Sheet
from blankwright.drawing.room import Room, smaller
from blankwright.drawing.shelves import shelve
from blankwright.drawing.tiling import tile
from blankwright.geom import vec
from blankwright.geom.edges import Line, box_around
from blankwright.geom.move import Move

_APART = 15.0
"""White between pieces of paper, and between gauges [mm]."""

_TEXT = 3.0

_ROW = 160.0
"""Gauges stand in rows no wider [mm]."""

_NO_GAUGE = math.radians(172.0)
"""A bend beyond this leaves no opening to hold a gauge in: it is folded flat [rad]."""


def paper_drawing(model: PaperModel, blank: Blank, title: str) -> Drawing:
    """Draw a paper model at full size, without gauges.

    Args:
        model: the model, laid flat
        blank: the blank it stands for
        title: what the drawing is called
    """
    items: list[Item] = []
    right = -math.inf
    for sheet in model.sheets:
        box = box_around([region.box for region in sheet.outline])
        move = Move() if not items else Move.shift(right + _APART - box[0], 0.0)
        items.extend(item.moved(move) for item in _sheet_items(sheet, model, blank))
        right = max(item.box[2] for item in items)
    return Drawing(title=title, items=tuple(items))


def paper_pages(
    model: PaperModel, blank: Blank, setup: PrintSetup, notes: SheetNotes
) -> tuple[Page, ...]:
    """Lay a paper model and its gauges out on pages.

    The gauges lie below the model where that takes no more pages, else on the cover.

    Args:
        model: the model
        blank: the blank it stands for
        setup: paper, margins, overlap, the printer's error
        notes: title and lines; how to fold is added

    Raises:
        NotPossible: when it would take more than 400 pages (PRINT-004)
    """
    folds = tuple(fold_words(fold) for fold in model.folds.values())
    notes = replace(
        notes,
        notes=(*paper_notes(model), *notes.notes),
        tables=(*((("Folds", folds),) if folds else ()), *notes.tables),
    )
    drawing = paper_drawing(model, blank, notes.title)
    gauges = angle_gauges(blank)
    if not gauges:
        return tile(drawing, setup, notes)
    shelves = shelve(gauges, _ROW)
    row = stacked(shelves, drawing.box[0], drawing.box[1] - _APART)
    together = tile(drawing.plus(row), setup, notes)
    apart = tile(drawing, setup, notes, gauges)
    return together if len(together) <= len(apart) else apart


def angle_gauges(blank: Blank) -> tuple[tuple[Item, ...], ...]:
    """Return the gauges of a blank, one for every different angle."""
    named: dict[float, list[str]] = {}
    for bend in blank.bends:
        if bend.angle < _NO_GAUGE:
            named.setdefault(round(bend.angle, 9), []).append(bend.name)
    return tuple(angle_gauge(angle, tuple(named[angle])) for angle in sorted(named, reverse=True))


def fold_words(fold: Fold) -> str:
    """Return what a fold's note says, such as ``left: FOLD UP 90°``."""
    way = "UP" if fold.bend.up else "DOWN"
    turn = show_angle(fold.bend.angle)
    if fold.scores == 1:
        return f"{fold.bend.name}: FOLD {way} {turn}"
    return f"{fold.bend.name}: FOLD {way} {fold.scores} × {show_angle(fold.turn)} = {turn}"


def fold_strokes(fold: Fold) -> tuple[Stroke, ...]:
    """Return the lines to fold along."""
    layer = FOLD_UP if fold.bend.up else FOLD_DOWN
    return tuple(Stroke(layer=layer, edge=line) for line in fold.lines)


def _sheet_items(sheet: Sheet, model: PaperModel, blank: Blank) -> list[Item]:
    items: list[Item] = []
    for region in sheet.outline:
        items.append(Ring(layer=PAPER_EDGE, loop=region.outer))
        items.extend(Ring(layer=PAPER_HOLES, loop=loop) for loop in region.holes)
    folds = [fold for fold in model.folds.values() if fold.bend.leg in sheet.flats]
    room = Room(edge for region in sheet.outline for edge in region.edges)
    for fold in folds:
        strokes = fold_strokes(fold)
        room.add_edges(stroke.edge for stroke in strokes)
        items.extend(strokes)
    for fold in folds:
        items.extend(_fold_notes(fold, model, sheet, room))
        if sheet.joins == fold.bend.name:
            items.extend(_tape_note(fold, sheet))
    for flat in blank.flats:
        if flat.name in sheet.flats:
            name = _name(flat.name, model.places[flat.name], blank, room)
            if name is not None:
                items.append(name)
    return items


def _fold_notes(fold: Fold, model: PaperModel, sheet: Sheet, room: Room) -> Iterable[Text]:
    if not fold.lines:
        return ()
    onto = fold.bend.place.then(model.places[fold.bend.parent])
    away = onto.vector((0.0, 1.0))

    def across(y: float) -> Line:
        return Line(onto((0.0, y)), onto((fold.bend.width, y)))

    first, last = across(fold.setback), across(fold.width - fold.setback)
    sides = ((last, away), (first, vec.scale(away, -1.0)))
    return line_notes(
        sides, across(fold.width / 2), (fold_words(fold),), _TEXT, BEND_NOTES, room, sheet.outline
    )


def _tape_note(fold: Fold, sheet: Sheet) -> Iterable[Text]:
    box = box_around([region.box for region in sheet.outline])
    words = f"Tape to {fold.bend.parent} along bend {fold.bend.name}"
    yield Text(layer=NOTES, text=words, at=(box[0], box[1] - 6.0), height=2.5)


def _name(name: str, place: Move, blank: Blank, room: Room) -> Text | None:
    region = blank.flat_by_name[name].region.moved(place)
    x_axis = blank.flat_by_name[name].place.then(place).vector((1.0, 0.0))
    first = readable(math.atan2(x_axis[1], x_axis[0]))
    height = 1.4 * _TEXT
    texts = [
        Text(
            layer=NAMES,
            text=name,
            at=vec.along(p, vec.left((math.cos(angle), math.sin(angle))), -height / 2),
            height=height,
            angle=angle,
            anchor=Anchor.CENTER,
        )
        for angle in (first, readable(first + math.pi / 2))
        for p in inner_points(region)[:30]
    ]
    return room.first_free(smaller(texts, 0.7, 0.5), 0.8, region)


def paper_notes(model: PaperModel) -> tuple[str, ...]:
    """Return what a builder must know before folding."""
    notes = [
        "This is not the blank. Paper has no thickness: its flats reach to the outside mold lines,"
        " and the folded model has the size of the finished part's outside.",
        "Cut along the heavy lines, score the fold lines, fold to the angle written at each, and"
        " hold the gauge in the fold.",
    ]
    scored = [fold for fold in model.folds.values() if fold.scores > 1]
    if scored:
        names = ", ".join(fold.bend.name for fold in scored)
        notes.append(
            f"Folded along several scores, because their mold line is far from the metal or does"
            f" not exist: {names}. The scores lie on a polygon around the bend's outside."
        )
    if len(model.sheets) > 1:
        notes.append("Some legs would lie on other paper: they are drawn apart, to be taped on.")
    return tuple(notes)
