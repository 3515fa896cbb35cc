"""The shop file, ``shop.toml`` in a project folder: the shop's machine, brake, cutters and habits.

Several readers share it; each takes its own tables from here and lets the others be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from blankwright.base.errors import BadInput, Problem
from blankwright.files.shop_text import text_of, toml_of

NAME = "shop.toml"
"""Name of the shop file in a project folder."""

TABLES = (
    "machine",
    "cutting",
    "packing",
    "brake",
    "brakes",
    "shop",
    "tools",
    "bends",
    "drills",
    "leaf_brakes",
    "press_brakes",
    "vises",
    "hand_blocks",
    "bend_costs",
    "bend_accuracy",
    "springback",
)
"""Tables that some reader knows. Another is let be, unless its name is nearly one of these."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopFile:
    """The tables of a shop file, as read.

    Args:
        path: of the file
        tables: by name
    """

    path: Path
    tables: Mapping[str, Any]

    @property
    def name(self) -> str:
        """Name of the file for messages."""
        return self.path.name

    def table(self, name: str) -> dict[str, Any]:
        """Return a copy of a table; empty when there is none.

        Raises:
            BadInput: when it is there and is no table
        """
        raw = self.tables.get(name, {})
        if not isinstance(raw, dict):
            raise BadInput(
                Problem(
                    code="SHOP-003",
                    where=f"{self.name}, {name}",
                    got="this isn't a table",
                    fix=f"Begin it with a line [{name}]",
                )
            )
        return dict(raw)


def read_shop(path: Path) -> ShopFile:
    """Read a shop file; a file that isn't there has no tables.

    Raises:
        FileProblem: when it can't be read
        BadInput: when it isn't TOML, or a table's name is misspelt
    """
    text = text_of(path, "SHOP-001", "shop file")
    return parse_shop(text, path)


def parse_shop(text: str, path: Path) -> ShopFile:
    """Read a shop file from its text.

    Raises:
        BadInput: when it isn't TOML, or a table's name is misspelt
    """
    tables = toml_of(text, "SHOP-002", path.name)
    problems: list[Problem] = []
    for name in tables:
        near = [] if name in TABLES else get_close_matches(name, TABLES, n=1, cutoff=0.8)
        if near:
            problems.append(
                Problem(
                    code="SHOP-003",
                    where=f"{path.name}, {name}",
                    got=f"no reader knows a table `{name}`",
                    fix=f"Did you mean `{near[0]}`?",
                )
            )
    if problems:
        raise BadInput.of(problems)
    return ShopFile(path=path, tables=tables)
