"""Loss coefficients of air paths and the standard atmosphere, from the library `fluids`.

The only module that knows `fluids`. Lengths come in mm and go to it in m.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from blankwright.holes.air import AirPiece, sharp_opening_loss, thin_plate_loss

_MM2 = 1e-6
_DISAGREE = 0.2
"""Two sources for one coefficient that differ by more than this are told [-]."""


def standard_air(altitude: float) -> tuple[float, float, str]:
    """Return density [kg/m³] and viscosity [Pa·s] of the standard atmosphere, and the source.

    Args:
        altitude: [m]
    """
    from fluids.atmosphere import ATMOSPHERE_1976

    air = ATMOSPHERE_1976(altitude)
    source = f"U.S. Standard Atmosphere 1976 at {altitude:.0f} m"
    return float(air.rho), float(air.mu), source


def inlet(name: str, area: float, radius: float = 0.0) -> AirPiece:
    """An inlet from the open: sharp-edged, or with a rounded lip.

    Args:
        name: what it is
        area: [mm²]
        radius: of the lip [mm]; 0 for a sharp edge
    """
    from fluids.fittings import entrance_rounded, entrance_sharp

    across = math.sqrt(4 * area / math.pi)
    if radius:
        zeta = float(entrance_rounded(Di=across / 1000, rc=radius / 1000))
        source = "fluids.entrance_rounded: Rennels and Hudson, Pipe Flow, 2012"
    else:
        zeta = float(entrance_sharp())
        source = "fluids.entrance_sharp: Rennels and Hudson, Pipe Flow, 2012"
    return AirPiece(name=name, area=area * _MM2, loss=_constant(zeta), source=source, kind="inlet")


def opening(name: str, area: float, *, moves: bool = False) -> AirPiece:
    """A sharp-edged opening in a wall between two large spaces.

    Args:
        name: what it is
        area: [mm²]
        moves: whether a gate uncovers it
    """
    return AirPiece(
        name=name,
        area=area * _MM2,
        loss=_constant(sharp_opening_loss()),
        source="jet contraction π/(π+2), Kirchhoff; its dynamic pressure lost",
        moves=moves,
        kind="opening",
    )


def duct(
    name: str,
    area: float,
    hydraulic_diameter: float,
    length: float,
    density: float,
    viscosity: float,
    roughness: float = 0.0,
) -> AirPiece:
    """A straight duct.

    Args:
        name: what it is
        area: [mm²]
        hydraulic_diameter: four areas over the wetted edge [mm]
        length: [mm]
        density: of the air [kg/m³]
        viscosity: of the air [Pa·s]
        roughness: of its wall [mm]
    """
    from fluids.friction import friction_factor

    d = hydraulic_diameter / 1000

    def loss(velocity: float) -> float:
        reynolds = max(density * velocity * d / viscosity, 1e-6)
        factor = float(friction_factor(Re=reynolds, eD=roughness / hydraulic_diameter))
        return factor * length / hydraulic_diameter

    return AirPiece(
        name=name,
        area=area * _MM2,
        loss=loss,
        source="fluids.friction_factor: Clamond 2009 solving Colebrook; 64/Re when laminar",
        kind="duct",
    )


def bend(
    name: str,
    area: float,
    hydraulic_diameter: float,
    angle: float,
    bend_radius: float,
    density: float,
    viscosity: float,
) -> AirPiece:
    """A bend of a duct, rounded or mitred.

    Args:
        name: what it is
        area: [mm²]
        hydraulic_diameter: [mm]
        angle: turned through [rad]
        bend_radius: of its centre line [mm]; 0 for a mitre
        density: of the air [kg/m³]
        viscosity: of the air [Pa·s]
    """
    from fluids.fittings import bend_miter, bend_rounded
    from fluids.friction import friction_factor

    d = hydraulic_diameter / 1000
    degrees = math.degrees(angle)

    def loss(velocity: float) -> float:
        reynolds = max(density * velocity * d / viscosity, 1e-6)
        if not bend_radius:
            return float(bend_miter(Di=d, angle=degrees))
        factor = float(friction_factor(Re=reynolds))
        return float(bend_rounded(Di=d, angle=degrees, fd=factor, rc=bend_radius / 1000))

    way = "bend_rounded" if bend_radius else "bend_miter"
    return AirPiece(
        name=name,
        area=area * _MM2,
        loss=loss,
        source=f"fluids.{way}: Rennels and Hudson, Pipe Flow, 2012",
        kind="bend",
    )


def perforated(name: str, area: float, open_area: float, hole: float, thickness: float) -> AirPiece:
    """A perforated plate across the air.

    Args:
        name: what it is
        area: of the whole plate that the air comes to [mm²]
        open_area: share that is open [-]
        hole: diameter of its holes [mm]
        thickness: of the plate [mm]
    """
    from fluids.filters import square_edge_grill, square_edge_screen

    thick = thickness > hole
    if thick:
        zeta = float(square_edge_grill(open_area))
        source = "fluids.square_edge_grill: Blevins, Applied Fluid Dynamics Handbook, 1984"
    else:
        zeta = float(square_edge_screen(open_area))
        source = "fluids.square_edge_screen: Blevins, Applied Fluid Dynamics Handbook, 1984"
    other = thin_plate_loss(open_area)
    note = ""
    if abs(zeta - other) > _DISAGREE * min(zeta, other):
        note = (
            f"sources differ: {zeta:.2f} here, {other:.2f} by Idelchik's thin plate"
            " (from memory, high confidence)"
        )
    return AirPiece(
        name=name,
        area=area * _MM2,
        loss=_constant(zeta),
        source=source,
        kind="perforated",
        note=note,
    )


def screen(
    name: str, area: float, open_area: float, gap: float, density: float, viscosity: float
) -> AirPiece:
    """A screen of round wire.

    Args:
        name: what it is
        area: of the whole screen [mm²]
        open_area: share that is open [-]
        gap: clear space between its wires [mm]
        density: of the air [kg/m³]
        viscosity: of the air [Pa·s]
    """
    from fluids.filters import round_edge_screen

    def loss(velocity: float) -> float:
        # The table runs from Re 20 to 400, counted by the space between the wires.
        reynolds = max(density * velocity / open_area * gap / 1000 / viscosity, 20.0)
        return float(round_edge_screen(open_area, reynolds))

    return AirPiece(
        name=name,
        area=area * _MM2,
        loss=loss,
        source="fluids.round_edge_screen: Blevins, Applied Fluid Dynamics Handbook, 1984",
        kind="screen",
    )


def outlet(name: str, area: float) -> AirPiece:
    """Where the air leaves: its dynamic pressure is lost.

    Args:
        name: what it is
        area: [mm²]
    """
    from fluids.fittings import exit_normal

    return AirPiece(
        name=name,
        area=area * _MM2,
        loss=_constant(float(exit_normal())),
        source="fluids.exit_normal: Rennels and Hudson, Pipe Flow, 2012",
        kind="outlet",
    )


def _constant(zeta: float) -> Callable[[float], float]:
    return lambda velocity: zeta
