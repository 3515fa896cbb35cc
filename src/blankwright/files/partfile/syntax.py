"""From the bytes of a part file to plain tables, with a builder's words for what is not TOML."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any, Final

from blankwright.base.errors import FileProblem, Problem
from blankwright.files.partfile.problems import Problems

_AT: Final = re.compile(
    r"^(?P<what>.*?)\s*\(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$"
)
_PAIR: Final = re.compile(r"^\s*(?:[\w-]+|\"[^\"]*\")(?:\.[\w-]+)*\s*=")
_QUOTES: Final = (
    'A quantity stands in quotes: `thickness = "0.040 in"`. Where it has an inch mark, use single'
    " quotes: `thickness = '0.040\"'`"
)
_MOST: Final = 50


def read_text(path: Path) -> str:
    """Return the text of a part file.

    Raises:
        FileProblem: PART-012 when there is no such file or it is no text
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileProblem(
            Problem(
                code="PART-012",
                where=str(path),
                got=f"the file can't be read ({error.strerror or error})",
                fix="Check the name and the folder",
            )
        ) from error
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise FileProblem(
            Problem(
                code="PART-012",
                where=f"{path}, line {line}",
                got=f"byte {data[error.start]:#04x} is no UTF-8 text",
                allowed="a plain text file in UTF-8",
                fix="Save the file as UTF-8 in your editor",
            )
        ) from error


def read_tables(text: str, problems: Problems) -> dict[str, Any] | None:
    """Return the tables of a TOML text, or nothing when it is none, with every fault collected.

    A faulty line is left out to go on and find the next, as long as that can't mislead.
    """
    lines = text.split("\n")
    tables: dict[str, Any] | None = None
    for _ in range(_MOST):
        try:
            tables = tomllib.loads("\n".join(lines))
            break
        except tomllib.TOMLDecodeError as error:
            match = _AT.match(str(error))
            number = int(match["line"]) if match and match["line"] else len(lines)
            column = int(match["column"]) if match and match["line"] else 1
            what = match["what"] if match else str(error)
            line = lines[number - 1] if number <= len(lines) else ""
            got, fix, go_on = _in_words(what, line, column)
            problems.add("PART-001", "", got, "TOML", fix, line=number)
            if not (go_on and _PAIR.match(line)):
                break
            lines[number - 1] = ""
        except RecursionError:
            problems.add("PART-001", "", "brackets are nested too deep", "TOML", line=1)
            break
    return None if problems.found else tables


def _in_words(what: str, line: str, column: int) -> tuple[str, str, bool]:
    """Return what is wrong, what to do, and whether the next line can be looked at."""
    shown = line.strip()
    if len(shown) > 60:
        shown = shown[:60] + "…"
    if "overwrite a value" in what or "mutate" in what:
        key = line.split("=")[0].strip()
        return f"`{key}` is stated a second time", "Keep one of the two", True
    if "twice" in what:
        return f"the table `{shown}` is stated a second time", "Put both under one heading", False
    if "after a key" in what or "Expected '='" in what:
        return f"`{shown}` has no `=`", "Write `name = value`, or put # before a comment", False
    if "Unterminated" in what or "Illegal character '\\n'" in what or 'Expected "' in what:
        return f"a text in `{shown}` is not closed", f"Close the quotes. {_QUOTES}", True
    if "Unclosed" in what or "Invalid initial" in what:
        return f"`{shown}` can't be read from column {column} on", "Close the bracket", False
    if "escape" in what or "backslash" in what.lower():
        return (
            f"`{shown}` has a backslash in a text",
            "Use / or put the text in single quotes",
            True,
        )
    if "newline or end of document" in what or "Invalid value" in what or "Expected" in what:
        rest = line[column - 1 :].strip()
        behind = f" from `{rest[:30]}` on" if rest and rest != shown else ""
        return f"`{shown}` can't be read{behind}", _QUOTES, "[" not in line and "{" not in line
    return f"`{shown}`: {what}", "", False
