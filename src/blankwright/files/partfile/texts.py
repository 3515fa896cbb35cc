"""How keys, values and comments are written in TOML."""

from __future__ import annotations

import re
import tomllib
from typing import Final

from blankwright.base.errors import BadInput, Problem

_FLAGS: Final = {"up", "down", "centered", "ends_in_bend", "other_hand", "long", "turned"}
_TOKEN: Final = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|(#[^\r\n]*)',
    re.DOTALL,
)
_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")


def comments(text: str) -> list[str]:
    """Return the comments of a TOML text in order."""
    return [match[1] for match in _TOKEN.finditer(text) if match[1]]


def line_end_of(text: str) -> str:
    """Return how lines end in a text."""
    return "\r\n" if "\r\n" in text else "\n"


def key_text(name: str) -> str:
    """Return a name as a TOML key, in quotes where it needs them."""
    return name if _BARE.fullmatch(name) else quoted(name)


def quoted(value: str) -> str:
    """Return a text as a TOML string in double quotes."""
    special = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}
    body = "".join(
        special.get(c) or (c if c >= " " and c != "\x7f" else f"\\u{ord(c):04X}") for c in value
    )
    return f'"{body}"'


def literal_of(typed: str, old: str, key: str) -> str:
    """Return what was typed as a TOML value, of the kind and in the quotes of the old one."""
    bare = typed.strip()
    if bare in ("true", "false") and (old in ("true", "false") or key in _FLAGS):
        return bare
    if re.fullmatch(r"[+-]?\d+(\.\d+)?", bare) and old[:1] not in ("", '"', "'"):
        try:
            tomllib.loads(f"x = {bare}")
        except tomllib.TOMLDecodeError:
            return quoted(typed)
        return bare
    if bare[:1] in ("[", "{"):
        try:
            tomllib.loads(f"x = {bare}")
        except tomllib.TOMLDecodeError as error:
            raise BadInput(
                Problem(
                    code="EDIT-004",
                    where=key,
                    got=f"`{bare}` is no list or table ({error})",
                    allowed='such as ["1 in", "2 in"] or { height = "1 in" }',
                )
            ) from error
        return bare
    single = "'" not in typed and typed.isprintable()
    if single and (old.startswith("'") or '"' in typed or "\\" in typed):
        return f"'{typed}'"
    return quoted(typed)


def to_line_end(text: str, at: int) -> int:
    """Return the place behind the end of the line that a place is on."""
    end = text.find("\n", at)
    return len(text) if end < 0 else end + 1
