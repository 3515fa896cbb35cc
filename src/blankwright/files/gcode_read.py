"""An interpreter for machine files: every word is known or the file is refused.

It follows the modal groups of RS274/NGC (NISTIR 6556) for the words that a router needs, and the
unit words of ISO 6983. It keeps no knowledge of how our own writer works.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import from_inches
from blankwright.cutting.motion import Change, Motion, Replay, SpinUp, straight
from blankwright.files.gcode_words import (
    MUST_BE_SAID,
    WrongLine,
    letters_and_numbers,
    sorted_words,
    whole,
)
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge
from blankwright.geom.vec import Point

ARC_SLACK = 0.002
"""How far the two ends of an arc may differ in their distance from its centre [mm].

RS274/NGC (NISTIR 6556), arc tolerance in millimetres; from memory, medium confidence."""


@dataclass
class _State:
    at: Point = (0.0, 0.0)
    z: float = float("nan")
    inch: bool | None = None
    unsaid: set[str] = field(default_factory=lambda: set(MUST_BE_SAID))
    motion: int | None = None
    feed: float = 0.0
    speed: float = 0.0
    turning: bool = False
    asked: int = 0
    tool: int = 0
    to_plane: bool | None = None
    cycle: dict[str, float] = field(default_factory=dict)


def read_machine_file(text: str, where: str = "machine file") -> Replay:
    """Interpret a machine file.

    Args:
        text: the whole file
        where: how messages call it

    Raises:
        BadInput: with every line that can't be read, at most twenty
    """
    reader = _Reader(where)
    for number, line in enumerate(text.splitlines(), start=1):
        if reader.ended:
            break
        reader.line(number, line)
        if len(reader.problems) >= 20:
            break
    if reader.problems:
        raise BadInput.of(reader.problems)
    return Replay(
        motions=tuple(reader.motions),
        ended=reader.ended,
        changes=tuple(reader.changes),
        spin_ups=tuple(reader.spin_ups),
        still=reader.still,
    )


class _Reader:
    def __init__(self, where: str) -> None:
        self.where = where
        self.state = _State()
        self.motions: list[Motion] = []
        self.changes: list[Change] = []
        self.spin_ups: list[SpinUp] = []
        self.problems: list[Problem] = []
        self.ended = False
        self.still = True
        self._line = 0
        self._fed = False  # whether it has fed since the spindle was last started

    def line(self, number: int, text: str) -> None:
        self._line = number
        try:
            words = letters_and_numbers(text)
            if words:
                self.words(*sorted_words(words))
        except WrongLine as wrong:
            self.wrong(str(wrong))

    def wrong(self, got: str) -> None:
        self.problems.append(
            Problem(
                code="CUT-110",
                where=f"{self.where}, line {self._line}",
                got=got,
                allowed="the words of RS-274 that docs/cutting.md lists",
                fix="Write the machine file anew",
            )
        )

    # --- one line -------------------------------------------------------------------------------

    def words(self, gs: dict[str, int], ms: list[int], values: dict[str, float]) -> None:
        if gs:
            self.modes(gs)
        turning, speed = self.state.turning, self.state.speed
        self.set_values(values)
        self.misc(ms)
        state = self.state
        if state.turning and (not turning or speed != state.speed):
            self.spin_ups.append(SpinUp(line=self._line, rpm=state.speed, seconds=0.0))
        if "dwell" in gs:
            self.wait(values.pop("P", -1.0))
            gs.pop("motion", None)
        if "motion" in gs:
            self.state.motion = gs["motion"]
            if gs["motion"] == 80:
                self.state.cycle.clear()
        if values:
            self.move(values)

    def modes(self, gs: dict[str, int]) -> None:
        state = self.state
        match gs.get("units"):
            case 20 | 70:
                state.inch = True
            case 21 | 71:
                state.inch = False
            case _:
                pass
        state.unsaid.difference_update(gs)
        if "return" in gs:
            state.to_plane = gs["return"] == 99

    def wait(self, seconds: float) -> None:
        if seconds < 0:
            raise WrongLine("G4 without how long")
        if self.spin_ups and not self._fed:
            last = self.spin_ups[-1]
            self.spin_ups[-1] = replace(last, seconds=last.seconds + seconds)

    def set_values(self, values: dict[str, float]) -> None:
        state = self.state
        if "F" in values:
            state.feed = self.mm(values.pop("F"))
        if "S" in values:
            state.speed = values.pop("S")
        if "T" in values:
            state.asked = whole(values.pop("T"), "T")

    def misc(self, ms: list[int]) -> None:
        state = self.state
        for code in ms:
            match code:
                case 3:
                    state.turning = True
                    self._fed = False
                case 5:
                    state.turning = False
                case 6:
                    self.change(by_hand=False)
                case 0:
                    # A stop is where the person at the machine puts the asked cutter in.
                    if state.asked != state.tool:
                        self.change(by_hand=True)
                case _:  # 2 and 30
                    self.ended = True
                    self.still = not state.turning
                    state.turning = False

    def change(self, *, by_hand: bool) -> None:
        state = self.state
        if state.turning:
            raise WrongLine("the cutter is changed while the spindle turns")
        state.tool = state.asked
        made = Change(line=self._line, tool=state.tool, by_hand=by_hand, z=state.z)
        self.changes.append(made)

    # --- motions --------------------------------------------------------------------------------

    def mm(self, value: float) -> float:
        if self.state.inch is None:
            raise WrongLine("a length before the file says whether it is in inches or millimetres")
        return from_inches(value) if self.state.inch else value

    def move(self, values: dict[str, float]) -> None:
        state = self.state
        if state.unsaid:
            missing = ", ".join(MUST_BE_SAID[name] for name in sorted(state.unsaid))
            raise WrongLine(f"a motion before the file has said {missing}")
        mode = state.motion
        if mode in (81, 83):
            self.drill(values)
            return
        if mode is None or mode == 80:
            raise WrongLine("positions without a G word that says how to go there")
        known = "XYZIJR" if mode in (2, 3) else "XYZ"
        odd = sorted(set(values) - set(known))
        if odd:
            raise WrongLine(f"G{mode} has no use for {', '.join(odd)}")
        x, y = (
            self.mm(values[w]) if w in values else c for w, c in zip("XY", state.at, strict=True)
        )
        z = self.mm(values["Z"]) if "Z" in values else state.z
        if mode in (1, 2, 3) and state.feed <= 0:
            raise WrongLine("a cutting motion without a feed")
        if z != z:
            raise WrongLine("a motion before the file says at what height")
        edge: Edge = straight(state.at, (x, y))
        if mode in (2, 3):
            edge = self.arc((x, y), values, mode == 3)
        self.add(edge, state.z if state.z == state.z else z, z, rapid=mode == 0)
        state.at, state.z = (x, y), z

    def arc(self, end: Point, values: dict[str, float], ccw: bool) -> Arc:
        if "R" in values:
            raise WrongLine("arcs by radius are not taken: near half a turn they mean two arcs")
        if "I" not in values and "J" not in values:
            raise WrongLine("an arc without its centre")
        start = self.state.at
        i, j = (self.mm(values[w]) if w in values else 0.0 for w in "IJ")
        return _arc(start, end, (start[0] + i, start[1] + j), ccw)

    def drill(self, values: dict[str, float]) -> None:
        state = self.state
        odd = sorted(set(values) - set("XYZRQ"))
        if odd:
            raise WrongLine(f"G{state.motion} has no use for {', '.join(odd)}")
        for word in "ZRQ":
            if word in values:
                state.cycle[word] = self.mm(values[word])
        if "Z" not in state.cycle or "R" not in state.cycle:
            raise WrongLine(f"G{state.motion} without its depth or its near height")
        if state.motion == 83 and state.cycle.get("Q", 0.0) <= 0:
            raise WrongLine("G83 without its peck")
        if state.feed <= 0:
            raise WrongLine("a cutting motion without a feed")
        x, y = (
            self.mm(values[w]) if w in values else c for w, c in zip("XY", state.at, strict=True)
        )
        if state.to_plane is None:
            raise WrongLine("a drilling cycle before G98 or G99 says how high it comes up again")
        depth, near, old = state.cycle["Z"], state.cycle["R"], state.z
        if depth > near:
            raise WrongLine("a drilling cycle that ends above where it begins")
        if old < near:
            self.add(straight(state.at, state.at), old, near, rapid=True)
            old = near
        self.add(straight(state.at, (x, y)), old, old, rapid=True)
        here = straight((x, y), (x, y))
        self.add(here, old, near, rapid=True)
        z = near
        if state.motion == 83:
            while z - state.cycle["Q"] > depth:
                z -= state.cycle["Q"]
                self.add(here, near, z, rapid=False, drilling=True)
                self.add(here, z, near, rapid=True, drilling=True)
        self.add(here, near, depth, rapid=False, drilling=True)
        back = near if state.to_plane else old
        self.add(here, depth, back, rapid=True, drilling=True)
        state.at, state.z = (x, y), back

    def add(self, edge: Edge, z0: float, z1: float, *, rapid: bool, drilling: bool = False) -> None:
        state = self.state
        if not rapid:
            self._fed = True
        self.motions.append(
            Motion(
                line=self._line,
                rapid=rapid,
                edge=edge,
                z0=z0,
                z1=z1,
                feed=0.0 if rapid else state.feed,
                rpm=state.speed if state.turning else 0.0,
                tool=state.tool,
                drilling=drilling,
            )
        )


@lru_cache(maxsize=10_000)
def _arc(start: Point, end: Point, center: Point, ccw: bool) -> Arc:
    """Return an arc; the same again when a file goes the same way at another depth."""
    r0, r1 = vec.distance(start, center), vec.distance(end, center)
    if r0 < 1e-6:
        raise WrongLine("an arc of no radius")
    if abs(r0 - r1) > ARC_SLACK:
        raise WrongLine(f"an arc whose ends lie {r0:.4f} mm and {r1:.4f} mm from its centre")
    if vec.distance(start, end) < 1e-9:
        raise WrongLine("a full circle in one line, which controllers read in two ways")
    return Arc.through(start, end, center, ccw)
