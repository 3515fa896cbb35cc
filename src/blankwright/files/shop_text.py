"""Reading the shop's plain TOML files: rack, coupons, tools. One way, one wording."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from blankwright.base.errors import BadInput, FileProblem, Problem


def text_of(path: Path, code: str, what: str) -> str:
    """Return the text of a file; empty when there is none.

    A byte order mark, which some editors write, is passed over.

    Args:
        path: of the file
        code: of the problem when it can't be read
        what: what it is called in messages, such as ``rack file``

    Raises:
        FileProblem: when it exists and can't be read
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return ""
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or "it isn't UTF-8 text"
        raise FileProblem(
            Problem(
                code=code,
                where=str(path),
                got=f"the {what} can't be read ({reason})",
                fix="Check that it is a text file and that you may read it",
            )
        ) from error


def toml_of(text: str, code: str, name: str) -> dict[str, Any]:
    """Return what a TOML text holds.

    Args:
        text: of the file
        code: of the problem when it is no TOML
        name: what the file is called in messages

    Raises:
        BadInput: when it is no TOML
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(
            Problem(
                code=code,
                where=name,
                got=f"the file isn't TOML: {error}",
                fix="Look at that line for a missing quote, bracket or comma",
            )
        ) from error
