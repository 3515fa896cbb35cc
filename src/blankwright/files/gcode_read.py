"""An interpreter for machine files: every word is known or the file is refused.

It follows the modal groups of RS274/NGC (NISTIR 6556) for the words that a router needs, and the
unit words of ISO 6983. It keeps no knowledge of how our own writer works.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import from_inches
from blankwright.cutting.motion import Motion, Replay, straight
from blankwright.geom import vec
from blankwright.geom.edges import Arc, Edge
from blankwright.geom.vec import Point

ARC_SLACK = 0.002
"""How far the two ends of an arc may differ in their distance from its centre [mm].

RS274/NGC (NISTIR 6556), arc tolerance in millimetres; from memory, medium confidence."""

_WORD = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")
_COMMENT = re.compile(r"\([^()]*\)")
_GROUPS = {
    "motion": {0, 1, 2, 3, 80, 81, 83},
    "plane": {17},
    "units": {20, 21, 70, 71},
    "offset": {40},
    "length": {49},
    "place": {54},
    "distance": {90},
    "feed mode": {94},
    "return": {98, 99},
    "dwell": {4},
}
_GROUP_OF = {code: name for name, codes in _GROUPS.items() for code in codes}
_M_CODES = {0, 1, 2, 3, 5, 6, 7, 8, 9, 30}


@dataclass
class _State:
    at: Point = (0.0, 0.0)
    z: float = float("nan")
    inch: bool | None = None
    absolute: bool = False
    motion: int | None = None
    feed: float = 0.0
    speed: float = 0.0
    turning: bool = False
    asked: int = 0
    tool: int = 0
    to_plane: bool = False
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
    return Replay(motions=tuple(reader.motions), ended=reader.ended, stops=tuple(reader.stops))


class _Reader:
    def __init__(self, where: str) -> None:
        self.where = where
        self.state = _State()
        self.motions: list[Motion] = []
        self.stops: list[int] = []
        self.problems: list[Problem] = []
        self.ended = False
        self._line = 0

    def line(self, number: int, text: str) -> None:
        self._line = number
        bare = _COMMENT.sub("", text).split(";")[0].replace(" ", "").replace("\t", "").upper()
        if not bare or bare == "%":
            return
        words: list[tuple[str, float]] = []
        at = 0
        while at < len(bare):
            match = _WORD.match(bare, at)
            if match is None:
                self.wrong(f"`{text.strip()}` has something that is no word: `{bare[at:]}`")
                return
            words.append((match[1], float(match[2])))
            at = match.end()
        try:
            self.words(words)
        except _Wrong as wrong:
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

    def words(self, words: list[tuple[str, float]]) -> None:
        gs: dict[str, int] = {}
        ms: list[int] = []
        values: dict[str, float] = {}
        for letter, value in words:
            if letter == "G":
                code = _whole(value, "G")
                group = _GROUP_OF.get(code)
                if group is None:
                    raise _Wrong(f"G{value:g} is not known")
                if group in gs:
                    raise _Wrong(f"G{gs[group]} and G{code} in one line contradict each other")
                gs[group] = code
            elif letter == "M":
                code = _whole(value, "M")
                if code not in _M_CODES:
                    raise _Wrong(f"M{value:g} is not known")
                ms.append(code)
            elif letter in "XYZIJRQFSTPN":
                if letter in values:
                    raise _Wrong(f"two {letter} words in one line")
                values[letter] = value
            else:
                raise _Wrong(f"the word {letter}{value:g} is not known")
        values.pop("N", None)
        self.modes(gs)
        self.set_values(values)
        self.misc(ms)
        if "dwell" in gs:
            if values.pop("P", -1.0) < 0:
                raise _Wrong("G4 without how long")
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
        if "distance" in gs:
            state.absolute = True
        if "return" in gs:
            state.to_plane = gs["return"] == 99

    def set_values(self, values: dict[str, float]) -> None:
        state = self.state
        if "F" in values:
            state.feed = self.mm(values.pop("F"))
        if "S" in values:
            state.speed = values.pop("S")
        if "T" in values:
            state.asked = _whole(values.pop("T"), "T")

    def misc(self, ms: list[int]) -> None:
        state = self.state
        for code in ms:
            match code:
                case 3:
                    state.turning = True
                case 5:
                    state.turning = False
                case 6:
                    self.change()
                case 0:
                    # A stop is where the person at the machine puts the asked cutter in.
                    if state.asked != state.tool:
                        self.change()
                case 2 | 30:
                    self.ended = True
                    state.turning = False
                case _:
                    pass

    def change(self) -> None:
        if self.state.turning:
            raise _Wrong("the cutter is changed while the spindle turns")
        self.state.tool = self.state.asked
        self.stops.append(self.state.tool)

    # --- motions --------------------------------------------------------------------------------

    def mm(self, value: float) -> float:
        if self.state.inch is None:
            raise _Wrong("a length before the file says whether it is in inches or millimetres")
        return from_inches(value) if self.state.inch else value

    def move(self, values: dict[str, float]) -> None:
        state = self.state
        if not state.absolute:
            raise _Wrong("a motion before G90 says that positions are absolute")
        mode = state.motion
        if mode in (81, 83):
            self.drill(values)
            return
        if mode is None or mode == 80:
            raise _Wrong("positions without a G word that says how to go there")
        known = "XYZIJR" if mode in (2, 3) else "XYZ"
        odd = sorted(set(values) - set(known))
        if odd:
            raise _Wrong(f"G{mode} has no use for {', '.join(odd)}")
        x, y = (
            self.mm(values[w]) if w in values else c for w, c in zip("XY", state.at, strict=True)
        )
        z = self.mm(values["Z"]) if "Z" in values else state.z
        if mode in (1, 2, 3) and state.feed <= 0:
            raise _Wrong("a cutting motion without a feed")
        if z != z:
            raise _Wrong("a motion before the file says at what height")
        edge: Edge = straight(state.at, (x, y))
        if mode in (2, 3):
            edge = self.arc((x, y), values, mode == 3)
        self.add(edge, state.z if state.z == state.z else z, z, rapid=mode == 0)
        state.at, state.z = (x, y), z

    def arc(self, end: Point, values: dict[str, float], ccw: bool) -> Arc:
        start = self.state.at
        if "R" in values:
            raise _Wrong("arcs by radius are not taken: near half a turn they mean two arcs")
        if "I" not in values and "J" not in values:
            raise _Wrong("an arc without its centre")
        i, j = (self.mm(values[w]) if w in values else 0.0 for w in "IJ")
        center = (start[0] + i, start[1] + j)
        r0, r1 = vec.distance(start, center), vec.distance(end, center)
        if r0 < 1e-6:
            raise _Wrong("an arc of no radius")
        if abs(r0 - r1) > ARC_SLACK:
            raise _Wrong(f"an arc whose ends lie {r0:.4f} mm and {r1:.4f} mm from its centre")
        if vec.distance(start, end) < 1e-9:
            raise _Wrong("a full circle in one line, which controllers read in two ways")
        return Arc.through(start, end, center, ccw)

    def drill(self, values: dict[str, float]) -> None:
        state = self.state
        odd = sorted(set(values) - set("XYZRQ"))
        if odd:
            raise _Wrong(f"G{state.motion} has no use for {', '.join(odd)}")
        for word in "ZRQ":
            if word in values:
                state.cycle[word] = self.mm(values[word])
        if "Z" not in state.cycle or "R" not in state.cycle:
            raise _Wrong(f"G{state.motion} without its depth or its near height")
        if state.motion == 83 and state.cycle.get("Q", 0.0) <= 0:
            raise _Wrong("G83 without its peck")
        if state.feed <= 0:
            raise _Wrong("a cutting motion without a feed")
        x, y = (
            self.mm(values[w]) if w in values else c for w, c in zip("XY", state.at, strict=True)
        )
        depth, near, old = state.cycle["Z"], state.cycle["R"], state.z
        if depth > near:
            raise _Wrong("a drilling cycle that ends above where it begins")
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


class _Wrong(ValueError):
    """What is wrong with a line."""


def _whole(value: float, letter: str) -> int:
    if value != int(value):
        raise _Wrong(f"{letter}{value:g} is not known")
    return int(value)
