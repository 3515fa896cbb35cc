"""How wide lettering is, so that notes can be placed where there is room for them."""

from __future__ import annotations

CAP_HEIGHT = 0.729
"""Height of a capital letter over the size of the type [-], of the face that prints use."""

_CLASSES = {
    0.30: "ijlIJ' ",
    0.34: " .,/:;|",
    0.42: "()-fr!t",
    0.55: "scz°",
    0.70: "ABCRVXZKPSTYEÄ",
    0.79: "DGHNUQOØÖÜ&",
    0.87: "M#±×+=<>^~w–",
    1.00: "Wm%@…—½¼¾",
}
"""Widths over the size of the type [-], rounded up, of letters that are alike wide."""

_WIDTHS = {letter: width for width, letters in _CLASSES.items() for letter in letters}
_COMMON = 0.64
_BOLD = 1.25


def text_width(text: str, height: float, *, bold: bool = False) -> float:
    """Return the length of a line of text [mm]; on the long side, so that nothing overlaps.

    Args:
        text: what it says
        height: height of a capital letter [mm]
        bold: whether it is lettered heavy
    """
    size = height / CAP_HEIGHT * (_BOLD if bold else 1.0)
    return size * sum(_WIDTHS.get(letter, _COMMON) for letter in text)
