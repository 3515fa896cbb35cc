"""Any file of ours, opened: its tables, and where each stands, before anything is made of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from blankwright.files.partfile.checking import Model, checked
from blankwright.files.partfile.numbers import Numbers
from blankwright.files.partfile.positions import positions
from blankwright.files.partfile.problems import Problems
from blankwright.files.partfile.sections import many_tables, one_table
from blankwright.files.partfile.size_tables import read_sizes
from blankwright.files.partfile.syntax import read_tables
from blankwright.part.sizes import WorkedOut, nearest


@dataclass(slots=True)
class Opened:
    """The tables of one file, and the collector of what is wrong with it.

    Attributes:
        tables: by heading
        problems: knows the line of each key
    """

    tables: dict[str, Any]
    problems: Problems

    def one(self, key: str, model: type[Model]) -> Model | None:
        """Return the table of a heading, or nothing."""
        return one_table(self.tables, key, model, self.problems)

    def many(self, key: str, model: type[Model]) -> dict[str, Model]:
        """Return the sound tables under a heading, by name."""
        return many_tables(self.tables, key, model, self.problems)[0]

    def head(
        self, model: type[Model], headings: Iterable[str], file: str, code: str = "PART-002"
    ) -> Model | None:
        """Return what stands above the headings, or nothing.

        Args:
            model: what may stand there
            headings: of the tables that this kind of file has
            file: what this kind of file is called
            code: of the problem of a key that it hasn't
        """
        headings = set(headings)
        top = {key: value for key, value in self.tables.items() if key not in headings}
        known = {*model.model_fields, *headings}
        for key in [key for key in top if key not in known]:
            self.problems.add(
                code,
                key,
                f"there is no `{key}` in a {file}",
                ", ".join(sorted(known)),
                nearest(key, known) or "Remove it, or put # before it to make it a comment",
            )
            del top[key]
        return checked(model, top, "", self.problems, 'Write title = "…"')

    def sizes(
        self, overrides: Mapping[str, str] | None = None, variant: str = ""
    ) -> tuple[WorkedOut, Numbers]:
        """Return the named sizes worked out, and what reads a quantity by them."""
        from blankwright.handbook.drills import find_drill

        worked = read_sizes(self.tables, self.problems, find_drill, overrides or {}, variant)
        return worked, Numbers(self.problems, worked.sizes, worked.broken, find_drill)


def opened(text: str, called: str) -> Opened:
    """Return the tables of a text.

    Args:
        text: TOML
        called: what messages call the file

    Raises:
        BadInput: when it is not TOML, with every fault of it
    """
    problems = Problems(called)
    tables = read_tables(text, problems)
    problems.raise_if_any()
    assert tables is not None
    problems.positions = positions(text)
    return Opened(tables=tables, problems=problems)
