"""Machines, sheets and parts to cut, for the tests of cutting."""

import math
import random
from dataclasses import replace

from blankwright.cutting.job import CutPart, CutSettings, SheetJob
from blankwright.cutting.machine import Cutter, CutterKind, Machine
from blankwright.cutting.planner import plan_work
from blankwright.cutting.program import program_for
from blankwright.cutting.stock import Clamp, Material, StockSheet
from blankwright.files.gcode_out import machine_text
from blankwright.geom.boolean import difference, union
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region

BIT = Cutter(number=1, name="1/8 single flute", kind=CutterKind.ROUTER_BIT, diameter=3.175)
SMALL_BIT = Cutter(
    number=2, name="1/16 two flute", kind=CutterKind.ROUTER_BIT, diameter=1.5875, flutes=2
)
DRILL_30 = Cutter(
    number=3,
    name="#30 drill",
    kind=CutterKind.DRILL,
    diameter=3.2639,
    flutes=2,
    tip_angle=math.radians(118),
    cut_length=30.0,
)
SPOT = Cutter(
    number=4, name="90 deg spot drill", kind=CutterKind.SPOT_DRILL, diameter=3.0, flutes=2
)
PEN = Cutter(number=5, name="pen in a spring holder", kind=CutterKind.PEN, diameter=1.0)

MACHINE = Machine(
    name="bench router",
    travel=(800.0, 600.0, 80.0),
    zero=(20.0, 20.0, 30.0),
    cutters=(BIT, DRILL_30, SPOT, PEN),
)
SETTINGS = CutSettings()


def sheet(width=400.0, height=300.0, thickness=1.016, clamps=(), material=Material.ALUMINIUM):
    return StockSheet(
        name="S-1",
        alloy="6061-T6" if material is Material.ALUMINIUM else material.value,
        material=material,
        thickness=thickness,
        region=Region(Loop.rectangle(0, 0, width, height)),
        clamps=tuple(clamps),
    )


def clamp(x0, y0, x1, y1, height=8.0):
    return Clamp(name="clamp", region=Region(Loop.rectangle(x0, y0, x1, y1)), height=height)


def plate(name="plate", at=(20.0, 20.0), size=(120.0, 80.0), holes=()) -> CutPart:
    x, y = at
    outer = Loop.rectangle(x, y, x + size[0], y + size[1])
    moved = [hole.moved(Move.shift(x, y)) for hole in holes]
    return CutPart(name=name, region=Region.of(outer, *moved))


def usual_plate() -> CutPart:
    """A plate with a bend across, two rivet holes, a small hole, a lightening hole and a slot."""
    part = plate(
        holes=[
            Loop.circle((15, 15), 3.2639 / 2),
            Loop.circle((105, 15), 3.2639 / 2),
            Loop.circle((15, 65), 1.2),
            Loop.circle((60, 40), 12.0),
            Loop.slot((100, 60), 20.0, 6.0, 0.4),
        ]
    )
    bend = Region(Loop.rectangle(50, 20, 54, 100))
    return replace(part, bends=(bend,), bend_lines=(Line((52, 20), (52, 100)),))


def random_outline(rng: random.Random, width: float, height: float) -> Region:
    regions = (Region(Loop.rectangle(0, 0, width, height)),)
    for _ in range(rng.randint(1, 4)):
        move = Move.turn(rng.choice([0.0, math.pi / 2, rng.uniform(0, 6)])).then(
            Move.shift(rng.uniform(0, width), rng.uniform(0, height))
        )
        loop = rng.choice(
            [
                Loop.rectangle(-10, -6, 10, 6),
                Loop.slot((0, 0), rng.uniform(12, 30), rng.choice([6.0, 8.0])),
                Loop.circle((0, 0), rng.uniform(4, 12)),
            ]
        )
        piece = (Region(loop.moved(move).ccw()),)
        regions = (difference if rng.random() < 0.7 else union)(regions, piece)
    region = max(regions, key=lambda r: r.area)
    return Region(region.outer)


def random_part(rng: random.Random, name: str) -> CutPart:
    """A part of random outline with random holes that keep off each other and the edge."""
    region = random_outline(rng, rng.uniform(50, 130), rng.uniform(40, 100))
    loops: list[Loop] = []
    for _ in range(60):
        if len(loops) >= 6:
            break
        x0, y0, x1, y1 = region.box
        p = (rng.uniform(x0, x1), rng.uniform(y0, y1))
        radius = rng.choice([1.0, 3.2639 / 2, 2.5, 4.0, 7.0])
        loop = Loop.circle(p, radius)
        if rng.random() < 0.3:
            loop = Loop.slot(p, 2 * radius + 9, 2 * radius, rng.uniform(0, 3))
        reach = max(loop.box[2] - p[0], loop.box[3] - p[1], radius) + 3
        if not region.contains(p) or region.distance_to_edge(p) < reach:
            continue
        if any(other.distance(p) < reach or other.contains(p) for other in loops):
            continue
        loops.append(loop)
    return CutPart(name=name, region=Region.of(region.outer, *loops))


def placed(part: CutPart, x: float, y: float) -> CutPart:
    """Move a part so that the box around it begins at (x, y)."""
    x0, y0, _, _ = part.region.box
    return replace(part, region=part.region.moved(Move.shift(x - x0, y - y0)))


def written(job: SheetJob, machine=MACHINE, settings=SETTINGS):
    """Plan a job and write it: the work, the feeds and the text of the file."""
    work = plan_work(job, machine, settings)
    program, feeds, _ = program_for(work)
    return work, feeds, machine_text(program, machine)


def job_of(*parts: CutPart, on: StockSheet | None = None) -> SheetJob:
    return SheetJob(name="trial", sheet=on or sheet(), parts=parts)
