"""Air paths of a place: flow and velocity against speed or pressure, and what chokes them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from blankwright.base.findings import Finding, worst_first
from blankwright.base.quantities import BadText
from blankwright.files.partfile.shapes import Missing, need
from blankwright.holes.air import AirPath, AirPiece, Flow, check_air, flow_at
from blankwright.jobs.findings_json import SHORT, findings_json
from blankwright.jobs.items import Item
from blankwright.jobs.project import Project

FRACTIONS = (0.25, 0.5, 0.75, 1.0)
"""Openings of a moving piece that are worked out."""

_T = TypeVar("_T")


@dataclass(frozen=True, kw_only=True)
class OpenAt:
    """How far a moving opening is clear along its travel.

    Args:
        motion: name of the motion
        travel: [mm, rad or steps], by `unit`
        fraction: clear share of the opening at each [-]
        area: of the whole opening [mm²]
        unit: ``length``, ``angle`` or ``number``
    """

    motion: str
    travel: tuple[float, ...]
    fraction: tuple[float, ...]
    area: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class AirResult:
    """An air path worked out.

    Args:
        path: the path
        flows: wide open, at each speed and pressure
        partly: at the first of them, with moving pieces partly open
        opened: how far moving openings are clear along their travel
        findings: the worst first
        note: as typed
    """

    path: AirPath
    flows: tuple[Flow, ...]
    partly: tuple[Flow, ...]
    opened: tuple[OpenAt, ...]
    findings: tuple[Finding, ...]
    note: str = ""


def air_paths(project: Project, place_name: str) -> tuple[AirResult, ...]:
    """Work out the air paths of a place.

    Raises:
        BadInput: with every problem of the place file
        FileProblem: when a file is missing
        NotPossible: when a path has no flow
    """
    from blankwright.files.placefile_holes import read_air
    from blankwright.jobs.fit_open import place_path

    text = place_path(project, place_name).read_text(encoding="utf-8")
    stated = read_air(text, place_name)
    builders = [_Builder(project, place_name, one) for one in stated]
    results: list[AirResult | None] = []
    for builder in builders:
        try:
            results.append(builder.result())
        except Missing:
            results.append(None)
    if stated:
        stated[0].problems.raise_if_any()
    return tuple(result for result in results if result is not None)


class _Builder:
    """Builds one path from its tables."""

    def __init__(self, project: Project, place: str, stated: Any) -> None:
        self.project = project
        self.place = place
        self.stated = stated
        self.numbers = stated.numbers
        self.problems = stated.problems
        self.opened: list[OpenAt] = []
        self.density = 0.0
        self.viscosity = 0.0

    def result(self) -> AirResult:
        from blankwright.files.air_losses import standard_air
        from blankwright.files.air_quantities import read_altitude, read_pressure, read_speed

        table, at = self.stated.table, f"air.{self.stated.name}"
        altitude = self._text(f"{at}.altitude", table.altitude, read_altitude, 0.0)
        speeds = [self._text(f"{at}.speeds", s, read_speed, 0.0) for s in table.speeds]
        pressures = [self._text(f"{at}.pressures", p, read_pressure, 0.0) for p in table.pressures]
        if not speeds and not pressures:
            self.problems.add(
                "PART-003", at, "no speed and no pressure drives it", 'speeds = ["60 kt", "100 kt"]'
            )
            raise Missing
        self.density, self.viscosity, source = standard_air(altitude)
        recovery = self.numbers.number(f"{at}.recovery", table.recovery, 0.0, 1.0)
        suction = self.numbers.number(f"{at}.suction", table.suction, -1.0, 3.0)
        pieces = self._pieces(at)
        path = AirPath(
            name=self.stated.name,
            pieces=pieces,
            density=self.density,
            density_source=source,
            recovery=1.0 if table.recovery is None else need(recovery),
            suction=0.0 if table.suction is None else need(suction),
        )
        drives = [(path.pressure_at(v), v) for v in speeds] + [(p, 0.0) for p in pressures]
        flows = tuple(flow_at(path, p, speed=v) for p, v in drives)
        partly: tuple[Flow, ...] = ()
        if any(piece.moves for piece in path.pieces):
            p, v = drives[0]
            partly = tuple(flow_at(path, p, speed=v, open_fraction=f) for f in FRACTIONS)
        return AirResult(
            path=path,
            flows=flows,
            partly=partly,
            opened=tuple(self.opened),
            findings=worst_first(check_air(path, flows)),
            note=table.note,
        )

    def _text(self, place: str, raw: Any, read: Callable[[Any], _T], default: _T) -> _T:
        if raw is None:
            return default
        try:
            return read(raw)
        except BadText as error:
            self.problems.add_text(place, error)
            raise Missing from None

    def _pieces(self, at: str) -> tuple[AirPiece, ...]:
        pieces: list[AirPiece] = []
        names: dict[str, int] = {}
        broken = False
        for i, table in enumerate(self.stated.table.pieces):
            names[table.kind] = names.get(table.kind, 0) + 1
            name = table.kind if names[table.kind] == 1 else f"{table.kind} {names[table.kind]}"
            try:
                pieces.append(self._piece(f"{at}.pieces[{i + 1}]", name, table))
            except Missing:
                broken = True
        if broken:
            raise Missing
        return tuple(pieces)

    def _piece(self, at: str, name: str, table: Any) -> AirPiece:
        from blankwright.files import air_losses as losses

        kind = table.kind
        if kind == "perforated" and table.part:
            return self._field(at, name, table)
        if kind == "opening" and table.motion:
            return losses.opening(name, self._motion(at, table), moves=True)
        area, hydraulic = self._section(at, table)
        if kind == "inlet":
            radius = self._length(f"{at}.radius", table.radius, 0.0)
            return losses.inlet(name, area, radius)
        if kind == "opening":
            return losses.opening(name, area)
        if kind == "outlet":
            return losses.outlet(name, area)
        if kind == "duct":
            return losses.duct(
                name,
                area,
                hydraulic,
                self._length(f"{at}.length", table.length),
                self.density,
                self.viscosity,
                self._length(f"{at}.roughness", table.roughness, 0.0),
            )
        if kind == "bend":
            angle = self.numbers.angle(f"{at}.angle", table.angle)
            if table.angle is None:
                self._missing(f"{at}.angle", 'angle = "90 deg"')
            radius = self._length(f"{at}.bend_radius", table.bend_radius, 0.0)
            return losses.bend(
                name, area, hydraulic, need(angle), radius, self.density, self.viscosity
            )
        share = self.numbers.number(f"{at}.open_area", table.open_area, 0.02, 0.95)
        if table.open_area is None:
            self._missing(f"{at}.open_area", "open_area = 0.4")
        hole = self._length(f"{at}.hole", table.hole)
        if kind == "screen":
            return losses.screen(name, area, need(share), hole, self.density, self.viscosity)
        thickness = self._length(f"{at}.thickness", table.thickness)
        return losses.perforated(name, area, need(share), hole, thickness)

    def _field(self, at: str, name: str, table: Any) -> AirPiece:
        """Return a perforated piece made by a field of vent holes of a part."""
        from blankwright.base.errors import BlankwrightError
        from blankwright.files.air_losses import perforated

        try:
            path = self.project.parts_folder / f"{table.part}.toml"
            part = Item(path=path, variant=table.variant).read()
        except BlankwrightError as error:
            for problem in error.problems:
                self.problems.add("PLACE-005", f"{at}.part", str(problem).rstrip("."))
            raise Missing from None
        fields = {field.name: field for field in part.fields}
        if table.field not in fields:
            self.problems.add(
                "AIR-003",
                f"{at}.field",
                f"{part.name} has no field of holes `{table.field}`",
                ", ".join(fields) or "none",
            )
            raise Missing
        field = fields[table.field]
        return perforated(name, field.area, field.open_area, field.diameter, part.sheet.thickness)

    def _motion(self, at: str, table: Any) -> float:
        """Return the area of an opening that a motion uncovers [mm²], its travel kept."""
        import numpy as np

        from blankwright.fit.motion import open_area
        from blankwright.jobs.fit_open import open_fit

        fit = open_fit(self.project, self.place)
        motions = {m.name: m for m in fit.place.motions if m.opening}
        if table.motion not in motions:
            self.problems.add(
                "AIR-003",
                f"{at}.motion",
                f"no motion `{table.motion}` uncovers an opening",
                ", ".join(motions) or "none",
            )
            raise Missing
        motion = motions[table.motion]
        travel = np.linspace(0.0, motion.length, 11)
        clear, whole = open_area(fit.place, fit.solid, motion, travel)
        self.opened.append(
            OpenAt(
                motion=motion.name,
                travel=tuple(float(t) for t in travel),
                fraction=tuple(float(a) / whole for a in clear),
                area=whole,
                unit=motion.unit,
            )
        )
        return whole

    def _section(self, at: str, table: Any) -> tuple[float, float]:
        """Return area [mm²] and hydraulic diameter [mm] of a piece."""
        from blankwright.files.partfile.shapes import outline_of

        ways = [
            key
            for key, there in (
                ("width and height", table.width is not None or table.height is not None),
                ("diameter", table.diameter is not None),
                ("outline", table.outline is not None),
            )
            if there
        ]
        if len(ways) != 1:
            self.problems.add(
                "PART-006" if ways else "PART-003",
                at,
                f"the piece has {' and '.join(ways)}" if ways else "the piece has no size",
                "width and height, diameter or outline",
            )
            raise Missing
        if table.diameter is not None:
            d = self._length(f"{at}.diameter", table.diameter)
            return math.pi * d * d / 4, d
        if table.outline is not None:
            loop = outline_of(self.numbers, f"{at}.outline", table.outline).loop
            return abs(loop.area), 4 * abs(loop.area) / loop.length
        w = self._length(f"{at}.width", table.width)
        h = self._length(f"{at}.height", table.height)
        return w * h, 2 * w * h / (w + h)

    def _length(self, place: str, raw: Any, default: float | None = None) -> float:
        if raw is None:
            if default is None:
                self._missing(place, 'a length, such as "2 in"')
            return need(default)
        return need(self.numbers.length(place, raw, over=0.0))

    def _missing(self, place: str, example: str) -> None:
        self.problems.add("PART-003", place, "it is missing", example)
        raise Missing


def air_result(result: AirResult) -> dict[str, Any]:
    """Return an air path as plain values: Pa, m/s, m³/s, mm²."""
    return {
        "name": result.path.name,
        "density": _n(result.path.density),
        "density_source": result.path.density_source,
        "recovery": result.path.recovery,
        "suction": result.path.suction,
        "flows": [_flow(flow) for flow in result.flows],
        "partly_open": [_flow(flow) for flow in result.partly],
        "openings": [
            {
                "motion": one.motion,
                "unit": one.unit,
                "area": _n(one.area),
                "travel": [_n(t) for t in one.travel],
                "open_fraction": [_n(f) for f in one.fraction],
            }
            for one in result.opened
        ],
        "findings": findings_json(result.findings, SHORT),
        "note": result.note,
    }


def _flow(flow: Flow) -> dict[str, Any]:
    return {
        "speed": _n(flow.speed),
        "pressure": _n(flow.pressure),
        "open_fraction": _n(flow.open_fraction),
        "flow": _n(flow.flow),
        "effective_area": _n(flow.effective_area * 1e6),
        "chokes": flow.worst.name,
        "pieces": [
            {
                "name": share.name,
                "velocity": _n(share.velocity),
                "coefficient": None if math.isnan(share.coefficient) else _n(share.coefficient),
                "pressure": _n(share.pressure),
                "share": _n(share.share),
                "source": share.source,
            }
            for share in flow.shares
        ],
    }


def _n(value: float) -> float:
    return round(value, 9) + 0.0
