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
        values: place to the first character of the value and the one behind it
        keys: every key as it is written, in headings too: place, first character, one behind
        heads: every heading: place, first character, one behind
    """

    lines: dict[str, int] = field(default_factory=dict)
    values: dict[str, tuple[int, int]] = field(default_factory=dict)
    keys: list[tuple[str, int, int]] = field(default_factory=list)
    heads: list[tuple[str, int, int]] = field(default_factory=list)

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
            if text[self.at] == "[":
                start = self.at
                brackets = 2 if text.startswith("[[", self.at) else 1
                self.at += brackets
                prefix = self._table(self._key(), brackets == 2)
                for i in range(1, len(prefix) + 1):
                    self._note(prefix[:i], start)
                self._skip(_GAP)
                self.at += brackets
                self.found.heads.append((place_of(prefix), start, self.at))
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

    def _table(self, key: list[tuple[str, int, int]], member: bool) -> Path:
        """Return the full path of a table header, with the number of each array's last member."""
        path: Path = ()
        for i, (step, begin, end) in enumerate(key):
            path = (*path, step)
            self.found.keys.append((place_of(path), begin, end))
            last = i == len(key) - 1
            if last and member:
                self.arrays[path] = self.arrays.get(path, 0) + 1
            if path in self.arrays:
                path = (*path, self.arrays[path])
        return path

    def _key(self) -> list[tuple[str, int, int]]:
        """Read a key: each step of it, with its first character and the one behind it."""
        steps: list[tuple[str, int, int]] = []
        while True:
            self._skip(_GAP)
            begin = self.at
            if self.text[begin] in "\"'":
                self._string()
                name = _unquoted(self.text[begin : self.at])
            else:
                match = _BARE_KEY.match(self.text, begin)
                assert match is not None
                name, self.at = match[0], match.end()
            steps.append((name, begin, self.at))
            self._skip(_GAP)
            if self.text[self.at] != ".":
                return steps
            self.at += 1

    def _pair(self, prefix: Path) -> None:
        start = self.at
        key = self._key()
        path = prefix
        for step, begin, end in key:
            path = (*path, step)
            self._note(path, start)
            self.found.keys.append((place_of(path), begin, end))
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
