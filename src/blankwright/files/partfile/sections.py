"""Sections of a part file that stand by themselves: head, sheet, allowance, overrides."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final

from blankwright.base.units import show_mm
from blankwright.files.partfile.checking import Model, checked, said
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.schema import TABLES, BendDefaults, BendTable, Head, SheetTable
from blankwright.part.model import AllowanceRule, DrawnBend, Sheet
from blankwright.part.sizes import nearest

_NAME: Final = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_-]*")
_OVERRIDE: Final = re.compile(r"[A-Z]{2,12}-\d{3}(?: \S.*)?")
_THICKEST: Final = 25.0
"""Sheet thicker than this is no sheet [mm]."""


def is_name(key: str, name: str, problems: Problems) -> bool:
    """Say whether a name can stand under a heading and in file names; else add a problem."""
    if _NAME.fullmatch(name):
        return True
    problems.add(
        "PART-007",
        f'{key}."{name}"',
        f"`{name}` can't be a name",
        "letters, digits, - and _",
        "Write - or _ where you would like a space",
    )
    return False


def one_table(
    tables: Mapping[str, Any], key: str, model: type[Model], problems: Problems
) -> Model | None:
    """Return the table of a heading, or nothing."""
    if key not in tables:
        return None
    return checked(model, tables[key], key, problems)


def many_tables(
    tables: Mapping[str, Any], key: str, model: type[Model], problems: Problems
) -> tuple[dict[str, Model], set[str]]:
    """Return the tables under a heading by name, and the names of those that are wrong."""
    data = tables.get(key, {})
    if not isinstance(data, dict):
        problems.add("PART-004", key, f"{said(data)} stands here", f"tables: [{key}.NAME]")
        return {}, set()
    good: dict[str, Model] = {}
    bad: set[str] = set()
    for name, table in data.items():
        place = f"{key}.{name}"
        if not is_name(key, name, problems):
            bad.add(name)
            continue
        if not isinstance(table, dict):
            problems.add(
                "PART-004",
                place,
                f"{said(table)} stands here",
                f"a table: [{key}.{name}]",
                f"Keys of one of the {key} stand under its own heading [{key}.NAME]",
            )
            bad.add(name)
            continue
        found = checked(model, table, place, problems)
        if found is None:
            bad.add(name)
        else:
            good[name] = found
    return good, bad


def head_of(tables: Mapping[str, Any], problems: Problems) -> Head | None:
    """Return what stands at the top, or nothing."""
    top = {key: value for key, value in tables.items() if key not in TABLES}
    known = {*(field.alias or key for key, field in Head.model_fields.items()), *TABLES}
    for key in [key for key in top if key not in known]:
        what = "table" if isinstance(top[key], dict) else "key"
        hint = nearest(key, known)
        problems.add(
            "PART-002",
            key,
            f"there is no {what} `{key}` in a part file",
            ", ".join(sorted(known)),
            hint or "Remove it, or put # before it to make it a comment",
        )
        del top[key]
        if "`title`" in hint:
            top.setdefault("title", "")
    head = checked(Head, top, "", problems, 'Write title = "…" as the drawing has it')
    if head is not None and head.other_hand and head.hand is None:
        problems.add(
            "PART-006",
            "other_hand",
            "the other hand is wanted, but not which hand is drawn",
            'hand = "left" or hand = "right" beside it',
        )
    return head


def sheet_of(tables: Mapping[str, Any], numbers: Numbers) -> Sheet | None:
    """Return the sheet, or nothing."""
    problems = numbers.problems
    if "sheet" not in tables:
        problems.add(
            "PART-003",
            "sheet",
            "the table [sheet] is missing",
            "alloy, thickness, grain",
            'Add [sheet] with alloy = "6061-T6" and thickness = "0.040 in", say',
            line=0,
        )
        return None
    table = one_table(tables, "sheet", SheetTable, problems)
    if table is None:
        return None
    thickness = numbers.length("sheet.thickness", table.thickness, over=0.0)
    grain = numbers.angle("sheet.grain", table.grain)
    if thickness is not None and thickness > _THICKEST:
        problems.add(
            "PART-015",
            "sheet.thickness",
            f"the sheet is {show_mm(thickness)} thick",
            f"at most {show_mm(_THICKEST, 0)}",
        )
        return None
    if not table.alloy:
        problems.add("PART-004", "sheet.alloy", "the alloy is empty", "such as 6061-T6")
    if thickness is None or (table.grain is not None and grain is None):
        return None
    return Sheet(alloy=table.alloy, thickness=thickness, grain=grain)


def allowance_of(
    numbers: Numbers,
    defaults: BendDefaults,
    bends: Iterable[DrawnBend],
    tables: Mapping[str, BendTable],
) -> tuple[AllowanceRule, float | None]:
    """Return the part's allowance rule and its neutral-axis factor [-], or nothing for that."""
    rule = AllowanceRule(defaults.allowance or "empirical formula")
    k = numbers.number("bend_defaults.k", defaults.k, 0.0, 1.0)
    if defaults.k is None:
        for bend in bends:
            own = bend.allowance or rule
            if own is AllowanceRule.NEUTRAL_AXIS and tables[bend.name].k is None:
                at = f"bends.{bend.name}" if bend.allowance else "bend_defaults"
                numbers.problems.add(
                    "PART-003",
                    at,
                    "`k` is missing, which the rule `neutral-axis factor` needs",
                    "k = 0.44, say, learned from your own coupons",
                )
                break
    return rule, k


def overrides_of(tables: Mapping[str, Any], problems: Problems) -> dict[str, str]:
    """Return the written reasons by finding."""
    data = tables.get("overrides", {})
    if not isinstance(data, dict):
        problems.add("PART-004", "overrides", f"{said(data)} stands here", "[overrides]")
        return {}
    reasons: dict[str, str] = {}
    for key, reason in data.items():
        place = f"overrides.{key}" if _NAME.fullmatch(key) else f'overrides."{key}"'
        if not _OVERRIDE.fullmatch(key):
            problems.add(
                "PART-013",
                place,
                f"`{key}` is no finding",
                'a finding\'s code, or code and place in quotes: "BEND-001 bend left"',
            )
        if not isinstance(reason, str) or len(reason.split()) < 2:
            problems.add(
                "PART-013",
                place,
                f"{said(reason)} is no reason" if reason != "" else "the reason is empty",
                "a written reason of two words or more, in quotes",
                "Say why this finding may pass; the traveler will show it",
            )
            continue
        reasons[key] = reason.strip()
    return reasons
