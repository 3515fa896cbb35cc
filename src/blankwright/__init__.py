"""Blankwright: from the drawing of a bent sheet part to a proved blank."""

__version__ = "0.1.0"
