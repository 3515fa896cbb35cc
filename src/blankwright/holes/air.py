"""The air path: how much air goes through openings, ducts and perforated plates in a row.

One stream, steady, taken as incompressible: the pressure that drives it is spent piece by piece,
Δp = Σ ζ·½ρv², v being the mean velocity in the piece. Where the coefficients come from stands with
each; this module only adds them up and finds the flow. SI units here: m, m², m/s, m³/s, Pa, kg/m³.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level

_INCOMPRESSIBLE = 100.0
"""Up to here the density changes by less than 5 % [m/s]: Mach 0.3, the usual limit."""

_CHOKES = 0.5
"""A piece that takes more than this share of the pressure chokes the path [-]. Our choice."""


@dataclass(frozen=True, kw_only=True)
class AirPiece:
    """One piece of the path.

    Args:
        name: what it is
        area: that the velocity is counted by [m²]
        loss: coefficient ζ for a velocity [m/s] in that area [-]
        source: where the coefficient comes from
        moves: whether its area is a share of what is stated, as a gate opens
        kind: ``inlet``, ``outlet`` or the like
        note: what to know about the coefficient
    """

    name: str
    area: float
    loss: Callable[[float], float]
    source: str
    moves: bool = False
    kind: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one piece takes.

    Args:
        name: of the piece
        velocity: in it [m/s]
        coefficient: ζ [-]
        pressure: that it takes [Pa]
        share: of the whole [-]
        source: where the coefficient comes from
    """

    name: str
    velocity: float
    coefficient: float
    pressure: float
    share: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """The flow at one pressure.

    Args:
        pressure: that drives it [Pa]
        speed: airspeed that makes the pressure [m/s], or 0
        open_fraction: how far the moving pieces are open [-]
        flow: [m³/s]
        effective_area: of a loss-free opening that passes as much [m²]
        shares: of each piece, in order
    """

    pressure: float
    speed: float
    open_fraction: float
    flow: float
    effective_area: float
    shares: tuple[Share, ...]

    @property
    def worst(self) -> Share:
        """The piece that takes most."""
        return max(self.shares, key=lambda share: share.pressure)


@dataclass(frozen=True, kw_only=True)
class AirPath:
    """Pieces in the order that the air meets them.

    Args:
        name: what it is called
        pieces: in order
        density: of the air [kg/m³]
        density_source: where that comes from
        recovery: share of the dynamic pressure that the inlet catches [-]
        suction: how much of it the outlet's suction adds [-]
    """

    name: str
    pieces: tuple[AirPiece, ...]
    density: float
    density_source: str
    recovery: float = 1.0
    suction: float = 0.0

    def pressure_at(self, speed: float) -> float:
        """Return the pressure that an airspeed [m/s] makes [Pa]."""
        return (self.recovery + self.suction) * self.density * speed * speed / 2

    def at_fraction(self, fraction: float) -> AirPath:
        """Return the path with its moving pieces open by a share [-]."""
        return replace(
            self,
            pieces=tuple(
                replace(p, area=p.area * fraction, moves=False) if p.moves else p
                for p in self.pieces
            ),
        )


def flow_at(
    path: AirPath, pressure: float, *, speed: float = 0.0, open_fraction: float = 1.0
) -> Flow:
    """Find the flow that a pressure drives.

    Args:
        path: its pieces
        pressure: [Pa]
        speed: airspeed that makes it, for the record [m/s]
        open_fraction: how far the moving pieces are open [-]

    Raises:
        NotPossible: when the path has no piece, or one without an area or a loss (AIR-001)
    """
    opened = path.at_fraction(open_fraction)
    for piece in opened.pieces:
        if piece.area < 0 or (piece.area == 0 and open_fraction > 0):
            raise _no(f"air path {path.name}, {piece.name}", "it has no area", "more than 0")
    if not opened.pieces or pressure < 0:
        raise _no(f"air path {path.name}", "no piece, or a pressure under zero", "a piece or more")
    closed = open_fraction <= 0 and any(p.moves for p in path.pieces)
    flow = 0.0 if closed or pressure == 0 else _solve(opened, pressure)
    shares = _shares(opened, flow)
    effective = flow / math.sqrt(2 * pressure / path.density) if pressure else 0.0
    return Flow(
        pressure=pressure,
        speed=speed,
        open_fraction=open_fraction,
        flow=flow,
        effective_area=effective,
        shares=shares,
    )


def _lost(path: AirPath, flow: float) -> float:
    total = 0.0
    for piece in path.pieces:
        v = flow / piece.area
        total += piece.loss(v) * path.density * v * v / 2
    return total


def _solve(path: AirPath, pressure: float) -> float:
    """Return the flow whose losses add up to the pressure: they grow with it, so by halving."""
    least = min(piece.area for piece in path.pieces)
    high = least * math.sqrt(2 * pressure / path.density)
    for _ in range(200):
        if _lost(path, high) > pressure:
            break
        high *= 2
    else:
        raise _no(f"air path {path.name}", "nothing in it takes any pressure", "a loss over zero")
    low = 0.0
    for _ in range(200):
        middle = (low + high) / 2
        if _lost(path, middle) > pressure:
            high = middle
        else:
            low = middle
        if high - low <= 1e-15 * high:
            break
    return (low + high) / 2


def _shares(path: AirPath, flow: float) -> tuple[Share, ...]:
    found: list[tuple[AirPiece, float, float, float]] = []
    for piece in path.pieces:
        v = flow / piece.area if piece.area else 0.0
        zeta = piece.loss(v) if v else math.nan
        found.append((piece, v, zeta, zeta * path.density * v * v / 2 if v else 0.0))
    total = sum(p for _, _, _, p in found)
    return tuple(
        Share(
            name=piece.name,
            velocity=v,
            coefficient=zeta,
            pressure=p,
            share=p / total if total else 0.0,
            source=piece.source,
        )
        for piece, v, zeta, p in found
    )


def check_air(path: AirPath, flows: Sequence[Flow]) -> Iterator[Finding]:
    """Report what chokes the path, and where its assumptions end.

    Args:
        path: the path
        flows: at all pressures and openings asked for, the moving pieces wide open among them
    """
    wide = [flow for flow in flows if flow.open_fraction >= 1.0 and flow.flow > 0]
    if wide:
        most = max(wide, key=lambda flow: flow.pressure)
        worst = most.worst
        kind = next(p.kind for p in path.pieces if p.name == worst.name)
        if len(path.pieces) > 1 and worst.share > _CHOKES:
            yield Finding(
                code="AIR-010",
                level=Level.ASK if kind != "inlet" else Level.NOTE,
                place=f"air path {path.name}",
                got=f"{worst.name} chokes it: it takes {worst.share:.0%} of the pressure",
                limit=f"{_CHOKES:.0%} for one piece",
                source=worst.source,
                fix="Open that piece further before any other"
                if kind != "inlet"
                else "The inlet should set the flow; check that it is large enough",
            )
        fastest = max(share.velocity for share in most.shares)
        if fastest > _INCOMPRESSIBLE:
            yield Finding(
                code="AIR-011",
                level=Level.ASK,
                place=f"air path {path.name}",
                got=f"the air goes {fastest:.0f} m/s: its density changes, and this is worked"
                " without",
                limit=f"{_INCOMPRESSIBLE:.0f} m/s",
                source="Mach 0.3, the usual limit of incompressible flow",
                fix="Take the numbers as a rough guide only",
            )
    for piece in path.pieces:
        if piece.note:
            yield Finding(
                code="AIR-012",
                level=Level.NOTE,
                place=f"air path {path.name}, {piece.name}",
                got=piece.note,
                source=piece.source,
                fix="Leave a margin",
            )


def thin_plate_loss(open_area: float) -> float:
    """Return ζ of a thin plate with sharp-edged holes, on the approach velocity [-].

    Args:
        open_area: share that is open [-]

    Source: Idelchik, Handbook of Hydraulic Resistance, ch. 8, thin grid in a duct, turbulent:
    (0.707·√(1−f) + 1 − f)²/f²; formula from memory, high confidence.
    """
    f = open_area
    return float((0.707 * math.sqrt(1 - f) + 1 - f) ** 2 / f**2)


ORIFICE = math.pi / (math.pi + 2)
"""Contraction of a jet out of a slit in a plane wall [-]: Kirchhoff's free streamlines."""


def sharp_opening_loss() -> float:
    """Return ζ of a sharp-edged opening between large spaces, on the velocity in it [-].

    The jet contracts to π/(π+2) of the opening (Kirchhoff) and all of its dynamic pressure is lost.
    """
    return 1.0 / ORIFICE**2


def _no(where: str, got: str, allowed: str) -> NotPossible:
    return NotPossible(Problem(code="AIR-001", where=where, got=got, allowed=allowed))
