"""The tools that holes are made with: twist drills, step drills, reamers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from blankwright.base.errors import NotPossible, Problem
from blankwright.handbook.drills import Drill


class ToolKind(Enum):
    """What makes a pass."""

    DRILL = "drill"
    STEP_DRILL = "step drill"
    REAMER = "reamer"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDrill:
    """A step drill.

    Args:
        name: what the shop calls it
        sizes: diameters of its steps, rising [mm]
        step_height: length of one step [mm]
    """

    name: str
    sizes: tuple[float, ...]
    step_height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reamer:
    """A reamer.

    Args:
        name: what the shop calls it
        diameter: [mm]
    """

    name: str
    diameter: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillRack:
    """The drills that a shop has.

    Args:
        drills: twist drills
        step_drills: step drills
        reamers: reamers
    """

    drills: tuple[Drill, ...]
    step_drills: tuple[StepDrill, ...] = ()
    reamers: tuple[Reamer, ...] = ()

    def nearest(self, diameter: float) -> tuple[Drill, float]:
        """Return the drill nearest to a diameter, and its diameter less that [mm].

        Raises:
            NotPossible: when the shop has no drill (DRILLING-001)
        """
        if not self.drills:
            raise NotPossible(
                Problem(
                    code="DRILLING-001",
                    where="drills of the shop",
                    got="the shop has no drill",
                    fix="List them under [drills] in the shop file",
                )
            )
        best = min(self.drills, key=lambda d: (round(abs(d.diameter - diameter), 9), d.diameter))
        return best, best.diameter - diameter
