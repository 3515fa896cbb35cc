"""The [sizes] and [variants] of a part file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from blankwright.files.partfile.checking import checked, said
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.schema import SizeTable
from blankwright.files.partfile.sections import is_name
from blankwright.part.sizes import FindDrill, SizeText, WorkedOut, nearest, work_out


def read_sizes(
    tables: Mapping[str, Any],
    problems: Problems,
    find_drill: FindDrill,
    overrides: Mapping[str, str],
    variant: str,
) -> WorkedOut:
    """Work out the sizes of a file, as overridden.

    Args:
        tables: the whole file
        problems: the collector
        find_drill: looks up drills
        overrides: texts given for this reading, by name of the size
        variant: name of the variant to read, or empty
    """
    data = tables.get("sizes", {})
    texts: dict[str, SizeText] = {}
    unread: set[str] = set()
    if not isinstance(data, dict):
        problems.add("PART-004", "sizes", f"{said(data)} stands here", "a heading [sizes]")
        data = {}
    for name, raw in data.items():
        size = _size_text(name, raw, problems)
        if size is None:
            unread.add(name)
        else:
            texts[name] = size
    places = {name: f"sizes.{name}" for name in texts}
    _apply_variants(tables.get("variants", {}), variant, texts, unread, places, problems)
    for name, text in overrides.items():
        if name in texts:
            texts[name] = _overridden(texts[name], text, 0)
            places[name] = ""
        elif name not in unread:
            problems.add(
                "PART-014",
                "",
                f"size `{name}` is given for this reading, but the file has no such size",
                f"sizes: {', '.join(texts) or 'none'}",
                nearest(name, texts),
                line=0,
            )
    worked = work_out(texts.values(), find_drill, frozenset(unread))
    for name, error in worked.faults:
        problems.add_text(places[name] or f"sizes.{name}", error)
    return worked


def _size_text(name: str, raw: Any, problems: Problems) -> SizeText | None:
    place = f"sizes.{name}"
    line = problems.positions.line(place)
    if isinstance(raw, dict):
        return _from_table(name, raw, place, line, problems)
    if isinstance(raw, str | int | float) and not isinstance(raw, bool):
        return SizeText(name=name, text=_text(raw), line=line)
    problems.add(
        "PART-004", place, f"{said(raw)} stands here", 'a quantity in quotes, such as "1-1/2 in"'
    )
    return None


def _from_table(
    name: str, raw: dict[str, Any], place: str, line: int, problems: Problems
) -> SizeText | None:
    table = checked(SizeTable, raw, place, problems)
    if table is None:
        return None
    stated = [key for key in ("drawn", "measured", "drill") if getattr(table, key) is not None]
    if not stated or (len(stated) > 1 and "drill" in stated):
        problems.add(
            "PART-006" if stated else "PART-003",
            place,
            f"the size is {' and '.join(stated)}" if stated else "the size has no value",
            "drawn, measured (which then stands in place of drawn), or drill",
        )
        return None
    if table.plus_minus is not None and "measured" not in stated and "drawn" not in stated:
        problems.add("PART-006", place, "a drill has a plus_minus", "drawn or measured beside it")
        return None
    measured = "measured" in stated
    key = "measured" if measured else stated[0]
    return SizeText(
        name=name,
        text=_text(getattr(table, key)),
        measured=measured,
        drill=key == "drill",
        plus_minus="" if table.plus_minus is None else _text(table.plus_minus),
        drawn=_text(table.drawn) if measured and table.drawn is not None else "",
        note=table.note,
        line=line,
    )


def _apply_variants(
    data: Any,
    wanted: str,
    texts: dict[str, SizeText],
    unread: set[str],
    places: dict[str, str],
    problems: Problems,
) -> None:
    """Check every variant, and put the sizes of the wanted one in place."""
    if not isinstance(data, dict):
        problems.add("PART-004", "variants", f"{said(data)} stands here", "[variants.NAME]")
        data = {}
    for variant, sizes in data.items():
        place = f"variants.{variant}"
        if not is_name("variants", variant, problems):
            continue
        if not isinstance(sizes, dict):
            problems.add("PART-004", place, f"{said(sizes)} stands here", f"[{place}]")
            continue
        for name, raw in sizes.items():
            at = f"{place}.{name}"
            if name not in texts:
                if name not in unread:
                    problems.add(
                        "PART-009",
                        at,
                        f"the variant states size `{name}`, which [sizes] does not have",
                        f"sizes: {', '.join(texts) or 'none'}",
                        nearest(name, texts),
                    )
                continue
            if isinstance(raw, bool) or not isinstance(raw, str | int | float):
                problems.add("PART-004", at, f"{said(raw)} stands here", "a quantity in quotes")
                continue
            if variant == wanted:
                texts[name] = _overridden(texts[name], _text(raw), problems.positions.line(at))
                places[name] = at
    if wanted and wanted not in data:
        problems.add(
            "PART-014",
            "variants",
            f"variant `{wanted}` is asked for, but the file has none of that name",
            f"variants: {', '.join(data) or 'none'}",
            nearest(wanted, data),
            line=0,
        )


def _overridden(size: SizeText, text: str, line: int) -> SizeText:
    return SizeText(
        name=size.name,
        text=text,
        measured=size.measured,
        drill=size.drill,
        plus_minus=size.plus_minus,
        drawn=size.drawn,
        note=size.note,
        line=line or size.line,
    )


def _text(raw: str | int | float) -> str:
    return raw.strip() if isinstance(raw, str) else repr(raw)
