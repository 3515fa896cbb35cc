"""Where each key and value stands in a TOML text, which `tomllib` does not tell.

The text must have been read by `tomllib` before: what is wrong with it is told there.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_GAP = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRINGS = (
    re.compile(r'"""(?:[^\\]|\\.)*?"""(?:"{0,2})', re.DOTALL),
    re.compile(r"'''.*?'''(?:'{0,2})", re.DOTALL),
    re.compile(r'"(?:[^"\\\n]|\\.)*"'),
    re.compile(r"'[^'\n]*'"),
)
_SCALAR = re.compile(r"[^,\]}\s#]+")


def place_of(path: Path) -> str:
    """Return a path as a builder reads it: ``flats.floor.outline.rectangle[1]``."""
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step}]"
        else:
            name = step if _BARE_KEY.fullmatch(step) else f'"{step}"'
            text += f".{name}" if text else name
    return text


@dataclass(slots=True)
class Positions:
    """Lines of keys by place, and where each value stands.

    Args:
        lines: place to line, 1 for the first
        values: place to the first and last character of the value
    """

    lines: dict[str, int] = field(default_factory=dict)
    values: dict[str, tuple[int, int]] = field(default_factory=dict)

    def line(self, place: str) -> int:
        """Return the line of a place, or of the nearest thing around it that is in the file."""
        while place:
            found = self.lines.get(place)
            if found is not None:
                return found
            cut = max(place.rfind("."), place.rfind("["))
            place = place[:cut] if cut > 0 else ""
        return 1


def positions(text: str) -> Positions:
    """Find every key and value of a TOML text."""
    return _Scan(text).run()


class _Scan:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.breaks = [i for i, char in enumerate(text) if char == "\n"]
        self.found = Positions()
        self.arrays: dict[Path, int] = {}

    def run(self) -> Positions:
        prefix: Path = ()
        text = self.text
        self._skip(_BLANK)
        while self.at < len(text):
            if text.startswith("[[", self.at):
                start = self.at
                self.at += 2
                prefix = self._table(self._key(), True)
                self._note(prefix, start)
                self._skip(_GAP)
                self.at += 2
            elif text[self.at] == "[":
                start = self.at
                self.at += 1
                prefix = self._table(self._key(), False)
                self._note(prefix, start)
                self._skip(_GAP)
                self.at += 1
            else:
                self._pair(prefix)
            self._skip(_BLANK)
        return self.found

    def _skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        if match:
            self.at = match.end()

    def _note(self, path: Path, start: int) -> None:
        line = bisect_right(self.breaks, start - 1) + 1 if start else 1
        self.found.lines.setdefault(place_of(path), line)

    def _table(self, key: Path, member: bool) -> Path:
        """Return the full path of a table header, with the number of each array's last member."""
        path: Path = ()
        for i, step in enumerate(key):
            path = (*path, step)
            last = i == len(key) - 1
            if last and member:
                self.arrays[path] = self.arrays.get(path, 0) + 1
            if path in self.arrays:
                path = (*path, self.arrays[path])
        return path

    def _key(self) -> Path:
        steps: list[str] = []
        while True:
            self._skip(_GAP)
            char = self.text[self.at]
            if char in "\"'":
                begin = self.at
                self._string()
                steps.append(_unquoted(self.text[begin : self.at]))
            else:
                match = _BARE_KEY.match(self.text, self.at)
                assert match is not None
                steps.append(match[0])
                self.at = match.end()
            self._skip(_GAP)
            if self.text[self.at] != ".":
                return tuple(steps)
            self.at += 1

    def _pair(self, prefix: Path) -> None:
        start = self.at
        key = self._key()
        path = (*prefix, *key)
        for i in range(len(prefix) + 1, len(path) + 1):
            self._note(path[:i], start)
        self.at += 1  # the equals sign
        self._skip(_GAP)
        self._value(path)

    def _value(self, path: Path) -> None:
        start = self.at
        char = self.text[start]
        if char in "\"'":
            self._string()
        elif char == "[":
            self.at += 1
            number = 0
            self._skip(_BLANK)
            while self.text[self.at] != "]":
                number += 1
                self._note((*path, number), self.at)
                self._value((*path, number))
                self._skip(_BLANK)
                if self.text[self.at] == ",":
                    self.at += 1
                    self._skip(_BLANK)
            self.at += 1
        elif char == "{":
            self.at += 1
            self._skip(_BLANK)
            while self.text[self.at] != "}":
                self._pair(path)
                self._skip(_BLANK)
                if self.text[self.at] == ",":
                    self.at += 1
                    self._skip(_BLANK)
            self.at += 1
        else:
            self._skip(_SCALAR)
        self.found.values[place_of(path)] = (start, self.at)

    def _string(self) -> None:
        for pattern in _STRINGS:
            match = pattern.match(self.text, self.at)
            if match:
                self.at = match.end()
                return
        raise AssertionError("no string here: the text was not read by tomllib first")


def _unquoted(key: str) -> str:
    import tomllib

    return next(iter(tomllib.loads(f"{key} = 0")))
