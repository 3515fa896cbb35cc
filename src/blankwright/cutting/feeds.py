"""Feeds and speeds: from cutter, material and machine, with the source of each number."""

from __future__ import annotations

import math
from dataclasses import dataclass

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.trail import TrailStep
from blankwright.base.units import trimmed
from blankwright.cutting.machine import Cutter, CutterKind, Machine
from blankwright.cutting.printed_feeds import Printed, printed_chip, printed_speed
from blankwright.cutting.stock import Material
from blankwright.handbook.table import Row, table

FORMULA_SOURCE = "Machinery's Handbook, cutting speeds and feeds (from memory, high confidence)"
CAREFUL = "table of cautious feeds, common practice, no source"
PEN_FEED = 1000.0
"""Feed of a pen over the sheet [mm/min]. Common practice, no source."""


def spindle_speed(speed: float, diameter: float) -> float:
    """Return the spindle speed for a cutting speed.

    Args:
        speed: cutting speed at the edge [m/min]
        diameter: [mm]

    Returns:
        spindle speed [1/min]

    Source:
        N = V / (π D), Machinery's Handbook
    """
    return speed * 1000.0 / (math.pi * diameter)


def cutting_speed(rpm: float, diameter: float) -> float:
    """Return the cutting speed [m/min] of a diameter [mm] at a spindle speed [1/min]."""
    return rpm * math.pi * diameter / 1000.0


def table_feed(rpm: float, flutes: int, chip_load: float) -> float:
    """Return the feed of the table.

    Args:
        rpm: spindle speed [1/min]
        flutes: cutting edges [-]
        chip_load: feed for each turn and edge [mm]

    Returns:
        feed [mm/min]

    Source:
        f = N n f_t, Machinery's Handbook
    """
    return rpm * flutes * chip_load


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeds:
    """How one cutter is run in one material.

    Args:
        rpm: spindle speed [1/min]; 0 for a pen
        feed: along the sheet [mm/min]
        plunge: down into the work [mm/min]
        step: greatest depth of one pass, or of one peck [mm]
        trail: where each number comes from
        findings: what the machine's limits did to them
    """

    rpm: float
    feed: float
    plunge: float
    step: float
    trail: tuple[TrailStep, ...]
    findings: tuple[Finding, ...] = ()

    def because(self) -> tuple[str, ...]:
        """Return where the stated and printed numbers come from, a line for each source."""
        said: dict[str, list[str]] = {}
        for step in self.trail:
            if not step.inputs:
                what = step.name.rpartition(": ")[2]
                said.setdefault(step.source, []).append(f"{what} {trimmed(step.value, 4)}")
        return tuple(f"{', '.join(what)}: {source}" for source, what in said.items())


def feeds_for(cutter: Cutter, material: Material, machine: Machine) -> Feeds:
    """Work out speed, feeds and depth of pass.

    The cutter's own stated numbers come first, then the table's. The machine's limits hold, and
    when the spindle is held back the feed comes down with it, so that the chip stays the same.

    Raises:
        NotPossible: when nothing states how this cutter is run in this material
    """
    if cutter.kind is CutterKind.PEN:
        feed = min(PEN_FEED, machine.most_feed)
        down = min(machine.most_plunge, feed)
        said = _step(f"{cutter.name}: feed", feed, "as stated", "common practice, no source")
        return Feeds(rpm=0.0, feed=feed, plunge=down, step=cutter.cut_length, trail=(said,))
    row = _row(cutter, material)
    numbers = table("cutting-feeds")
    stated = cutter.source or "shop file"
    trail: tuple[TrailStep, ...] = ()

    def pick(name: str, own: float | None, column: str, factor: float = 1.0) -> float:
        nonlocal trail
        if own is not None:
            value, source = own, stated
        else:
            if row is None:
                raise NotPossible(_unknown(cutter, material))
            value, source = numbers.inner(row, column) * factor, row.source
        trail += (_step(f"{cutter.name}: {name}", value, "as stated", source),)
        return value

    speed = pick("cutting speed", cutter.surface_speed, "speed")
    chip = pick("chip load", cutter.chip_load, "chip")
    step = pick("depth of pass", cutter.step, "step", cutter.diameter)
    share = pick("plunge share", 0.25 if row is None else None, "plunge")

    wanted = spindle_speed(speed, cutter.diameter)
    most = min(machine.most_rpm, cutter.most_rpm or math.inf)
    rpm = max(min(wanted, most), machine.least_rpm)
    feed = min(table_feed(rpm, cutter.flutes, chip), machine.most_feed)
    plunge = min(feed * share, machine.most_plunge)
    printed = (printed_speed(cutter, material), printed_chip(cutter, material))
    findings = _limits(cutter, machine, speed, wanted, rpm, chip, feed, printed)
    trail += _printed_steps(cutter, printed)
    trail += (
        TrailStep(
            name=f"{cutter.name}: spindle speed",
            value=rpm,
            kind="number",
            formula="N = V / (π D), within the machine's limits",
            inputs=(("V m/min", speed, "number"), ("D", cutter.diameter, "length")),
            source=FORMULA_SOURCE,
        ),
        TrailStep(
            name=f"{cutter.name}: feed",
            value=feed,
            kind="number",
            formula="f = N n f_t, within the machine's limits",
            inputs=(("N", rpm, "number"), ("n", cutter.flutes, "number"), ("f_t", chip, "length")),
            source=FORMULA_SOURCE,
        ),
    )
    return Feeds(
        rpm=float(round(rpm)),
        feed=float(max(1, math.floor(feed))),
        plunge=float(max(1, math.floor(plunge))),
        step=min(step, cutter.cut_length),
        trail=trail,
        findings=findings,
    )


def _row(cutter: Cutter, material: Material) -> Row | None:
    numbers = table("cutting-feeds")
    fitting = [
        row
        for row in numbers.rows
        if row.values["material"] == material.value
        and row.values["cutter"] == cutter.kind.value
        and numbers.inner(row, "up_to") >= cutter.diameter - 1e-9
    ]
    return min(fitting, key=lambda row: numbers.inner(row, "up_to"), default=None)


def _limits(
    cutter: Cutter,
    machine: Machine,
    speed: float,
    wanted: float,
    rpm: float,
    chip: float,
    feed: float,
    printed: tuple[Printed | None, Printed | None],
) -> tuple[Finding, ...]:
    found: list[Finding] = []
    most, coarsest = printed
    runs = cutting_speed(rpm, cutter.diameter)
    thin = feed / rpm / cutter.flutes
    if cutter.most_rpm and rpm > cutter.most_rpm:
        found.append(
            Finding(
                code="CUT-010",
                level=Level.STOP,
                place=f"cutter {cutter.number}, {cutter.name}",
                got=f"the slowest spindle speed is {machine.least_rpm:.0f} 1/min",
                limit=f"{cutter.most_rpm:.0f} 1/min for this cutter",
                source="shop file",
                fix="Use another cutter or a slower spindle",
            )
        )
    elif rpm > wanted * 1.01 and (most is None or runs > most.greatest):
        found.append(
            Finding(
                code="CUT-011",
                level=Level.ASK if rpm > 2 * wanted else Level.NOTE,
                place=f"cutter {cutter.number}, {cutter.name}",
                got=(
                    f"at the slowest spindle speed, {machine.least_rpm:.0f} 1/min, its edge runs "
                    f"at {runs:.0f} m/min"
                ),
                limit=f"{most.greatest if most else speed:.0f} m/min",
                source=most.source
                if most
                else "table of cautious feeds, common practice, no source",
                fix="Expect heat: lubricate, or use a smaller cutter",
            )
        )
    if coarsest is not None and thin > coarsest.greatest * 1.001:
        found.append(
            Finding(
                code="CUT-017",
                level=Level.ASK,
                place=f"cutter {cutter.number}, {cutter.name}",
                got=f"its chip is {thin:.3f} mm at each edge",
                limit=f"{coarsest.greatest:.3f} mm",
                source=coarsest.source,
                fix="Be sure that cutter and machine stand it; its maker's figure decides",
            )
        )
    if feed < 0.5 * table_feed(rpm, cutter.flutes, chip):
        found.append(
            Finding(
                code="CUT-012",
                level=Level.ASK,
                place=f"cutter {cutter.number}, {cutter.name}",
                got=f"the machine's fastest feed gives a chip of {thin:.4f} mm",
                limit=f"{chip:.4f} mm",
                source=CAREFUL,
                fix="A chip so thin rubs and heats; use fewer flutes or a slower spindle",
            )
        )
    return tuple(found)


def _printed_steps(
    cutter: Cutter, printed: tuple[Printed | None, Printed | None]
) -> tuple[TrailStep, ...]:
    names = ("cutting speed, greatest printed", "chip load, greatest printed")
    return tuple(
        _step(f"{cutter.name}: {name}", each.greatest, "as printed", each.source)
        for name, each in zip(names, printed, strict=True)
        if each is not None
    )


def _unknown(cutter: Cutter, material: Material) -> Problem:
    return Problem(
        code="CUT-013",
        where=f"cutter {cutter.number}, {cutter.name}",
        got=f"nothing says how a {cutter.kind.value} of {cutter.diameter:.2f} mm is run in "
        f"{material.value}",
        allowed="a row of the table of cautious feeds, or the cutter's own numbers",
        fix="State its cutting speed, chip load and depth of pass in the shop file, from its maker",
    )


def _step(name: str, value: float, formula: str, source: str) -> TrailStep:
    return TrailStep(name=name, value=value, kind="number", formula=formula, source=source)
