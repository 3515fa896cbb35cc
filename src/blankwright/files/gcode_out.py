"""Machine files in the words of RS-274 and ISO 6983, from a program's steps.

Everything is absolute, arcs are G2 and G3 with incremental centres, and every motion line begins
with its G word, so that no line hangs on the one before it for its meaning.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterator
from textwrap import wrap

from blankwright.base.units import fixed, from_inches, inches
from blankwright.cutting.machine import Dialect, FileUnits, Machine, ToolChange
from blankwright.cutting.steps import (
    Along,
    Down,
    DrillAll,
    Height,
    Over,
    Program,
    Say,
    Step,
    UseCutter,
)
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge, Line
from blankwright.geom.vec import Point

DECIMALS = {FileUnits.MM: 4, FileUnits.INCH: 5}
"""Decimals of coordinates: steps of 0.1 µm, or of 0.25 µm in inches."""

LEAST_ARC = 0.02
"""Arcs shorter than this, or of a smaller radius, are written as straight lines [mm].

A line across so short an arc stands off it by less than 0.003 mm, while its rounded end points
would no longer fix its radius."""

LARGEST_RADIUS = 50_000.0
"""Arcs of a larger radius are written as lines, chord by chord, within 0.001 mm [mm]."""

MOST_SWEEP = math.pi
"""Arcs sweep at most half a turn a line: a full circle in one line is read in two ways [rad]."""

LONGEST_COMMENT = 76
"""Longer comments go on on the next line: small controllers keep no longer lines [-]."""

UNIT_WORDS = {
    (Dialect.RS_274, FileUnits.INCH): "G20",
    (Dialect.RS_274, FileUnits.MM): "G21",
    (Dialect.ISO_6983, FileUnits.INCH): "G70",
    (Dialect.ISO_6983, FileUnits.MM): "G71",
}


def machine_text(program: Program, machine: Machine) -> str:
    """Return a program as the text of a machine file.

    Args:
        program: what to do
        machine: whose units and words it is written in
    """
    return "\n".join([*_Writer(program, machine).lines(), ""])


class _Writer:
    def __init__(self, program: Program, machine: Machine) -> None:
        self.program = program
        self.machine = machine
        self.inch = machine.units is FileUnits.INCH
        self.digits = DECIMALS[machine.units]
        self.at: Point = (0.0, 0.0)
        self.z = program.safe
        self.out: list[str] = []
        self.feed = ""
        self._texts: dict[float, str] = {}  # lengths as written: most come again and again

    def lines(self) -> list[str]:
        program, machine = self.program, self.machine
        self.say(program.title)
        for line in program.head:
            self.say(line)
        units = UNIT_WORDS[machine.dialect, machine.units]
        self.say(f"Units: {'inches' if self.inch else 'millimetres'}")
        self.out.append(f"{units} G90 G17 G40 G94 G80")
        self.out.append("G54")
        self.say("Up to the safe height")
        self.out.append(f"G0 Z{self.number(program.safe)}")
        for step in program.steps:
            self.write(step)
        self.say("Up, spindle off, end")
        self.out.append(f"G0 Z{self.number(program.safe)}")
        self.out += ["M5", f"G0 X{self.number(0.0)} Y{self.number(0.0)}", "M30"]
        return self.out

    def number(self, length: float) -> str:
        text = self._texts.get(length)
        if text is None:
            value = inches(length) if self.inch else length
            text = self._texts[length] = fixed(value, self.digits)
        return text

    def rounded(self, p: Point) -> Point:
        """Return a point as the file will have it [mm]."""
        if self.inch:
            x, y = (from_inches(round(inches(c), self.digits)) for c in p)
            return (x, y)
        return (round(p[0], self.digits), round(p[1], self.digits))

    def say(self, text: str) -> None:
        plain = unicodedata.normalize("NFKD", text.replace("×", "x").replace("ø", "dia "))
        plain = plain.encode("ascii", "ignore").decode()
        plain = plain.replace("(", "[").replace(")", "]").replace("\n", " ")
        self.out.extend(f"({line})" for line in wrap(plain, LONGEST_COMMENT) or [""])

    def write(self, step: Step) -> None:
        match step:
            case Say(text):
                self.say(text)
            case UseCutter():
                self.use(step)
            case Over(at):
                if abs(self.z - self.program.safe) > 1e-9:
                    self.height(self.program.safe)
                self.out.append(f"G0 X{self.number(at[0])} Y{self.number(at[1])}")
                self.at = at
            case Height(z):
                self.height(z)
            case Down(z, feed):
                if self.number(z) != self.number(self.z):
                    self.out.append(f"G1 Z{self.number(z)} {self.feed_word(feed)}".rstrip())
                self.z = z
            case Along(edge, z, feed):
                self.along(edge, z, feed)
            case DrillAll():
                self.drill(step)

    def height(self, z: float) -> None:
        if self.number(z) != self.number(self.z):
            self.out.append(f"G0 Z{self.number(z)}")
        self.z = z

    def amount(self, feed: float) -> str:
        return fixed(inches(feed), 2) if self.inch else fixed(feed, 0)

    def feed_word(self, feed: float) -> str:
        word = f"F{self.amount(feed)}"
        if word == self.feed:
            return ""
        self.feed = word
        return word

    def use(self, step: UseCutter) -> None:
        cutter = step.cutter
        size = self.number(cutter.diameter)
        unit = "in" if self.inch else "mm"
        self.say(f"Cutter {cutter.number}: {cutter.name}, {size} {unit}, {cutter.kind.value}")
        if self.program.dry:
            self.say("Dry run: no cutter change, spindle stays off")
            self.out.append("M5")
            return
        feeds = f"feed {self.amount(step.feed)} {unit}/min, down {self.amount(step.plunge)}"
        if step.rpm > 0:
            deep = self.number(step.step).rstrip("0").rstrip(".")
            feeds = f"Spindle {step.rpm:.0f} 1/min, {feeds}, pass {deep} {unit} deep"
        self.say(feeds[0].upper() + feeds[1:])
        for line in step.because:
            self.say(line[0].upper() + line[1:])
        self.out.append("M5")
        if self.machine.tool_change is ToolChange.BY_MACHINE:
            self.out.append(f"M6 T{cutter.number}")
        else:
            self.out.append(f"T{cutter.number}")
            self.say(f"Put in cutter {cutter.number}, set its tip to zero at the sheet's face")
            self.out.append("M0")
        if step.rpm > 0:
            self.out.append(f"M3 S{step.rpm:.0f}")
            if self.machine.spin_up > 0:
                self.out.append(f"G4 P{fixed(self.machine.spin_up, 1)}")
        self.feed = ""

    def along(self, edge: Edge, z: float, feed: float) -> None:
        z0, length = self.z, edge.length
        for piece, share in _pieces(edge):
            if length > 0:
                self._piece(piece, z0 + (z - z0) * share, feed)
        self.z = z

    def _piece(self, piece: Edge, z: float, feed: float) -> None:
        end, number = piece.end, self.number
        z_text = number(z)
        z_word = f" Z{z_text}" if z_text != number(self.z) else ""
        to = f"X{number(end[0])} Y{number(end[1])}{z_word}"
        start = self.rounded(self.at)
        same = start == self.rounded(end)
        if isinstance(piece, Arc) and not same:
            i, j = piece.center[0] - start[0], piece.center[1] - start[1]
            word = "G3" if piece.sweep > 0 else "G2"
            line = f"{word} {to} I{number(i)} J{number(j)}"
        elif same and not z_word:
            self.at = end
            return
        else:
            line = f"G1 {to}"
        self.out.append(f"{line} {self.feed_word(feed)}".rstrip())
        self.at, self.z = end, z

    def drill(self, drill: DrillAll) -> None:
        self.height(drill.safe)
        feed = self.amount(drill.feed)
        code = "G83" if drill.peck > 0 else "G81"
        peck = f" Q{self.number(drill.peck)}" if drill.peck > 0 else ""
        self.out.append("G98")
        for p in drill.points:
            self.out.append(
                f"{code} X{self.number(p[0])} Y{self.number(p[1])} Z{self.number(drill.z)} "
                f"R{self.number(drill.near)}{peck} F{feed}"
            )
            self.at = p
        self.out.append("G80")
        self.feed = ""


def _pieces(edge: Edge) -> Iterator[tuple[Edge, float]]:
    """Yield the edge in pieces that the file can hold, each with its end's share of the way."""
    if not isinstance(edge, Arc):
        yield edge, 1.0
        return
    if edge.radius < LEAST_ARC or edge.length < LEAST_ARC:
        yield Line(edge.start, edge.end), 1.0
        return
    if edge.radius > LARGEST_RADIUS:
        count = edge.chord_count(0.001)
        for i in range(count):
            piece = edge.part(i / count, (i + 1) / count)
            yield Line(piece.start, piece.end), (i + 1) / count
        return
    count = max(1, math.ceil(abs(edge.sweep) / MOST_SWEEP - 1e-9))
    for i in range(count):
        piece = edge if count == 1 else edge.part(i / count, (i + 1) / count)
        yield piece, (i + 1) / count


def rounding(machine: Machine) -> float:
    """Return how far a written point may lie from the meant one [mm]."""
    step = 10.0 ** -DECIMALS[machine.units]
    size = from_inches(step) if machine.units is FileUnits.INCH else step
    return vec.length((size / 2, size / 2))
