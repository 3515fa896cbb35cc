"""Speeds, pressures and altitudes as an air path states them."""

from __future__ import annotations

import re
from typing import Any, Final

from blankwright.base.quantities import BadText, read_quantity
from blankwright.base.units import from_inches
from blankwright.handbook.inner import POUND_FORCE

_FOOT: Final = from_inches(12.0) / 1000.0

_SPEEDS: Final = {
    "m/s": 1.0,
    "km/h": 1 / 3.6,
    "kt": 1852.0 / 3600.0,
    "mph": 5280 * _FOOT / 3600.0,
    "ft/s": _FOOT,
}
_PRESSURES: Final = {
    "Pa": 1.0,
    "hPa": 100.0,
    "kPa": 1000.0,
    "inH2O": from_inches(1.0) / 1000.0 * 1000.0 * 9.80665,  # water at 1000 kg/m³
    "mmH2O": 9.80665,
    "lb/ft2": POUND_FORCE / _FOOT**2,
}

_NUMBER: Final = re.compile(r"\s*([0-9]+(?:\.[0-9]+)?)\s*([A-Za-z0-9/]+)\s*")


def read_speed(text: Any) -> float:
    """Return a speed [m/s], such as ``100 kt``. Raises BadText."""
    return _read(text, _SPEEDS, "100 kt")


def read_pressure(text: Any) -> float:
    """Return a pressure [Pa], such as ``250 Pa`` or ``1 inH2O``. Raises BadText."""
    return _read(text, _PRESSURES, "250 Pa")


def read_altitude(text: Any) -> float:
    """Return an altitude [m], such as ``5000 ft`` or ``1500 m``. Raises BadText."""
    if not isinstance(text, str):
        raise BadText("AIR-002", f"`{text}` is no altitude", 'such as "5000 ft"')
    quantity = read_quantity(text)
    if quantity.kind != "length" or not -500_000 <= quantity.value <= 12_000_000:
        raise BadText("AIR-002", f"`{text}` is no altitude", "up to 12000 m")
    return quantity.value / 1000.0


def _read(text: Any, units: dict[str, float], example: str) -> float:
    match = _NUMBER.fullmatch(text) if isinstance(text, str) else None
    if match is None or match[2] not in units:
        raise BadText(
            "AIR-002",
            f"`{text}` can't be read",
            f'a number and {", ".join(units)}, such as "{example}"',
        )
    return float(match[1]) * units[match[2]]
