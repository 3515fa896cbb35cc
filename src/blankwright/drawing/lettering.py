"""How wide lettering is, so that notes can be placed where there is room for them."""

from __future__ import annotations

CAP_HEIGHT = 0.729
"""Height of a capital letter over the size of the type [-], of the face that prints use."""

_NARROW = {" ": 0.32, ".": 0.32, ",": 0.32, ":": 0.34, ";": 0.34, "-": 0.37, "/": 0.34, "(": 0.4}
_NARROW |= {")": 0.4, "i": 0.28, "j": 0.28, "l": 0.28, "I": 0.3, "J": 0.3, "f": 0.36, "t": 0.4}
_NARROW |= {"r": 0.42, "'": 0.28, "|": 0.34, "°": 0.5, "s": 0.53, "c": 0.55, "z": 0.53, "!": 0.4}
_WIDE = {"W": 0.99, "M": 0.87, "m": 0.98, "w": 0.82, "Q": 0.79, "O": 0.79, "Ø": 0.79, "D": 0.77}
_WIDE |= {"G": 0.78, "H": 0.76, "N": 0.75, "U": 0.74, "±": 0.84, "×": 0.84, "#": 0.84, "%": 0.95}
_WIDE |= {"+": 0.84, "=": 0.84, "<": 0.84, ">": 0.84, "@": 1.0, "…": 1.0, "—": 1.0}
_WIDTHS = _NARROW | _WIDE
_COMMON = 0.66
_BOLD = 1.12


def text_width(text: str, height: float, *, bold: bool = False) -> float:
    """Return the length of a line of text [mm]; on the long side, so that nothing overlaps.

    Args:
        text: what it says
        height: height of a capital letter [mm]
        bold: whether it is lettered heavy
    """
    size = height / CAP_HEIGHT * (_BOLD if bold else 1.0)
    return size * sum(_WIDTHS.get(letter, _COMMON) for letter in text)
