"""The shop file: what is in it, and what is wrong with it, for the page."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from blankwright.base.errors import BlankwrightError, Problem
from blankwright.files.shopfile import NAME, ShopFile, parse_shop
from blankwright.jobs.project import Project

__all__ = ["NAME", "ToMeasure", "shop_groups", "shop_problems", "to_measure"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToMeasure:
    """What to measure on one kind of bending tool.

    Args:
        title: what kind it is
        table: its table in the shop file
        picture: its section, each measure at its place, as SVG
        keys: each key of the table, and what it is
    """

    title: str
    table: str
    picture: str
    keys: tuple[tuple[str, str], ...]


def to_measure() -> tuple[ToMeasure, ...]:
    """Return what to measure on bending tools, one kind of tool after the other."""
    from blankwright.bending.measure_sheet import tool_pictures
    from blankwright.files.svg_out import drawing_svg

    return tuple(
        ToMeasure(
            title=title,
            table=table,
            picture=drawing_svg(drawing).decode(),
            keys=tuple((key, about) for key, about, _ in rows),
        )
        for title, table, drawing, rows in tool_pictures()
    )


def shop_problems(project: Project, text: str) -> tuple[Problem, ...]:
    """Return what is wrong with the text of a shop file, as every reader of it sees it.

    Args:
        project: whose shop it is
        text: what the file holds or shall hold
    """
    try:
        shop = parse_shop(text, project.root / NAME)
    except BlankwrightError as error:
        return error.problems
    problems: list[Problem] = []
    for read in _readers(shop):
        try:
            read()
        except BlankwrightError as error:
            problems.extend(p for p in error.problems if p not in problems)
    return tuple(problems)


def _readers(shop: ShopFile) -> Iterator[Callable[[], object]]:
    """Yield what reads each part of a shop file that is there."""
    from blankwright.files.shopfile_brakes import bending_shop
    from blankwright.files.shopfile_drills import drills_of
    from blankwright.files.shopfile_machine import cut_settings_of, machine_of, pack_settings_of

    if "machine" in shop.tables:
        yield lambda: machine_of(shop)
    yield lambda: cut_settings_of(shop)
    yield lambda: pack_settings_of(shop)
    yield lambda: drills_of(shop)
    yield lambda: bending_shop(shop)


def shop_groups(text: str) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """Return what a shop file holds in groups: a title, and names with values as typed.

    A text that is not TOML has none.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return ()
    return tuple(_groups("", data))


def _groups(title: str, table: dict[str, Any]) -> Iterator[tuple[str, tuple[tuple[str, str], ...]]]:
    rows = tuple((_words(k), _value(v)) for k, v in table.items() if not _is_group(v))
    if rows:
        yield (title or "Shop"), rows
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _groups(f"{title}, {_words(key)}" if title else _words(key), value)
        elif _is_group(value):
            for i, inner in enumerate(value, start=1):
                name = inner.get("name") or inner.get("number") or i
                yield from _groups(f"{title}, {_words(key)}: {name}".lstrip(", "), inner)


def _is_group(value: Any) -> bool:
    return isinstance(value, dict) or (
        isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)
    )


def _words(key: str) -> str:
    return key.replace("_", " ")


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_value(v) for v in value)
    return str(value)
