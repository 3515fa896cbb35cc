"""A hooked plate under a sheet with a slot, for planners."""

from __future__ import annotations

from blankwright.files.collision import MeshCollider
from blankwright.fit.placements import Placements
from blankwright.fit.solid import Solid, drawn_out
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Pose
from blankwright.geom.region import Region

Corner = tuple[float, float, float]


def box(name: str, low: Corner, high: Corner, of: str = "metal") -> Solid:
    base = Region(Loop.rectangle(low[0], low[1], high[0], high[1]))
    return Solid(name=name, material=of, pieces=(drawn_out(name, base, low[2], high[2], Pose()),))


def hooked_plate() -> Solid:
    stem = Region(Loop.rectangle(-0.5, -30, 0.5, 0))
    hook = Region(Loop.rectangle(0.5, -30, 9, -29))
    return Solid(
        name="",
        material="metal",
        pieces=(
            drawn_out("plate", stem, -20, 20, Pose()),
            drawn_out("hook", hook, -20, 20, Pose()),
        ),
    )


def slotted(width: float) -> tuple[Solid, ...]:
    half = width / 2
    return (
        box("left", (-100, 2, -100), (-half, 3, 100)),
        box("right", (half, 2, -100), (100, 3, 100)),
        box("front", (-half, 2, -100), (half, 3, -24)),
        box("back", (-half, 2, 24), (half, 3, 100)),
    )


def lidded() -> tuple[Solid, ...]:
    """The sheet with its slot closed."""
    return (*slotted(12)[:2], box("lid", (-6, 2, -100), (6, 3, 100)))


def placements(part: Solid, walls: tuple[Solid, ...]) -> Placements:
    return Placements(
        part,
        MeshCollider(part, walls),
        [w.name for w in walls],
        ((-100.0, 2.0, -100.0), (100.0, 3.0, 100.0)),
        (0.0, 1.0, 0.0),
        chords=0.02,
    )
