"""Lines of a machine file taken apart into words, each known or refused."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

_WORD = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")
_COMMENT = re.compile(r"\([^()]*\)")
_VALUES = frozenset("XYZIJRQFSTP")
_GROUPS = {
    "motion": {0, 1, 2, 3, 80, 81, 83},
    "plane": {17},
    "units": {20, 21, 70, 71},
    "offset": {40},
    "length": {49},
    "place": {54},
    "distance": {90},
    "feed mode": {94},
    "return": {98, 99},
    "dwell": {4},
}
_GROUP_OF = {code: name for name, codes in _GROUPS.items() for code in codes}
_M_CODES = frozenset({0, 2, 3, 5, 6, 30})

MUST_BE_SAID = {
    "units": "G20, G21, G70 or G71",
    "distance": "G90",
    "plane": "G17",
    "offset": "G40",
    "feed mode": "G94",
    "place": "G54",
}
"""What a file has to say before its first motion, lest it hang on the job before it."""


class WrongLine(ValueError):
    """What is wrong with a line."""


@lru_cache(maxsize=20_000)
def letters_and_numbers(text: str) -> tuple[tuple[str, str], ...]:
    """Return a line's words as letter and number; comments and blanks count for nothing.

    Most lines come again: in the dry run, and once more round.

    Raises:
        WrongLine: when something in it is no word
    """
    bare = text
    if "(" in bare:
        bare = _COMMENT.sub("", bare)
    bare = bare.split(";", 1)[0].replace(" ", "").replace("\t", "").upper()
    if not bare or bare == "%":
        return ()
    words: tuple[tuple[str, str], ...] = tuple(_WORD.findall(bare))
    if sum([1 + len(number) for _, number in words]) != len(bare):
        at = 0
        while (match := _WORD.match(bare, at)) is not None:
            at = match.end()
        raise WrongLine(f"`{text.strip()}` has something that is no word: `{bare[at:]}`")
    return words


def sorted_words(
    words: Sequence[tuple[str, str]],
) -> tuple[dict[str, int], list[int], dict[str, float]]:
    """Return the G codes by group, the M codes, and the other words by letter.

    Raises:
        WrongLine: when one is not known, or two contradict each other
    """
    gs: dict[str, int] = {}
    ms: list[int] = []
    values: dict[str, float] = {}
    for letter, number in words:
        if letter in _VALUES:
            if letter in values:
                raise WrongLine(f"two {letter} words in one line")
            values[letter] = float(number)
        elif letter == "G":
            code = whole(float(number), "G")
            group = _GROUP_OF.get(code)
            if group is None:
                raise WrongLine(f"G{number} is not known")
            if group in gs:
                raise WrongLine(f"G{gs[group]} and G{code} in one line contradict each other")
            gs[group] = code
        elif letter == "M":
            code = whole(float(number), "M")
            if code not in _M_CODES:
                raise WrongLine(f"M{number} is not known")
            ms.append(code)
        elif letter != "N":
            raise WrongLine(f"the word {letter}{number} is not known")
    return gs, ms, values


def whole(value: float, letter: str) -> int:
    """Return a word's value as a whole number. Raises WrongLine when it is none."""
    if value != int(value):
        raise WrongLine(f"{letter}{value:g} is not known")
    return int(value)
