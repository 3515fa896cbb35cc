"""Bending tools and parts for tests, and an order found by trying all of them."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np

import samples
from blankwright.bending.plan import plan_bends
from blankwright.bending.search import change_cost
from blankwright.bending.tools import Costs, HandBlock, LeafBrake, PressBrake, Shop, Vise
from blankwright.develop.develop import develop_blank

RADII = (0.0, 0.4, 0.8, 1.6, 2.4, 3.2, 4.0, 4.8, 6.4, 8.0, 9.5)
FINGERS = (25.0, 30.0, 35.0, 40.0, 50.0, 50.0, 75.0, 100.0)


def brake(**more):
    """A leaf brake with fingers and a bar that leans back by 35°."""
    return LeafBrake(name="brake", **{"radii": RADII, "widths": FINGERS, "length": 400.0, **more})


def solid(**more):
    return brake(widths=(), **more)


def vise(**more):
    return Vise(name="vise", **{"radii": RADII, "widths": (50.0, 100.0), "length": 150.0, **more})


def block(**more):
    return HandBlock(name="block", **{"radii": RADII, "length": 600.0, "thickest": 2.5, **more})


def press(**more):
    return PressBrake(name="press", **{"radii": RADII, "widths": FINGERS, "length": 400.0, **more})


def shop(*tools, **more):
    return Shop(tools=tools or (brake(),), **more)


def planned(part, *tools, **more):
    return plan_bends(develop_blank(part), shop(*tools), **more)


def order(plan):
    return [name for step in plan.steps for name in step.bends]


def zed(middle, *, ends=60.0, width=60.0):
    """A Z: up, then down, with a middle flat of a given height."""
    return samples.part(
        samples.flat("foot", width, ends),
        [
            samples.bend("rise", "foot", "back", width, middle, radius=1.6),
            samples.bend("over", "rise", "tip", width, ends, radius=1.6, up=False),
        ],
    )


def hook(wall=30.0, lip=12.0, web=80.0, width=60.0):
    """A web, a wall up, and a return flange turned in at its top."""
    return samples.part(
        samples.flat("web", width, web),
        [
            samples.bend("wall", "web", "back", width, wall, radius=1.6),
            samples.bend("lip", "wall", "tip", width, lip, radius=1.6),
        ],
    )


def hat(crown=60.0, tall=40.0, flange=15.0, width=80.0):
    bends = []
    for side in ("front", "back"):
        bends.append(samples.bend(side, "crown", side, width, tall, radius=1.6))
        bends.append(
            samples.bend(f"{side}-flange", side, "tip", width, flange, radius=1.6, up=False)
        )
    return samples.part(samples.flat("crown", width, crown), bends)


def tube(side=30.0, width=60.0):
    """A square tube, closed but for a seam: three walls and a lip that laps under."""
    bends = [samples.bend("a", "base", "back", width, side, radius=1.6)]
    bends.append(samples.bend("b", "a", "tip", width, side, radius=1.6))
    bends.append(samples.bend("c", "base", "front", width, side - 2.0, radius=1.6))
    return samples.part(samples.flat("base", width, side), bends)


def small_random_part(seed, most=5):
    """A random part of a size that the test brake may well do: flats of 15 to 70 mm."""
    rng = random.Random(seed)
    width, depth = rng.uniform(40, 120), rng.uniform(40, 120)
    bends = []
    edges = [("root", edge, (width, depth)[i % 2]) for i, edge in enumerate(samples.ROOT)]
    for n in range(rng.randint(2, most)):
        if not edges:
            break
        parent, edge, length = edges.pop(rng.randrange(len(edges)))
        inset = rng.choice((0.0, 0.0, 6.0))
        made = samples.bend(
            f"b{n}",
            parent,
            edge,
            length,
            rng.uniform(12, 60),
            angle=rng.choice((90.0, 90.0, 90.0, rng.uniform(20, 100))),
            radius=1.6,
            up=rng.random() < 0.6,
            start=inset,
            end=length - inset,
        )
        bends.append(made)
        edges.append((made.name, "tip", made.end - made.start))
    return samples.part(samples.flat("root", width, depth), bends)


def tried_all(plan):
    """The least cost over all orders of the bends, found by trying every one.

    Every order of single bends and of lines of bends is walked; along one order the cheapest ways
    and set-ups are chosen step by step, keeping every set-up.
    """
    rooms, tools, costs = plan.rooms, plan.shop.tools, plan.shop.costs
    tree_bends = plan.blank.bends
    last = sum(1 << j for j, bend in enumerate(tree_bends) if bend.last)
    full = (1 << len(tree_bends)) - 1
    ways = list(rooms.ways)
    runs = {}
    for way in ways:
        run = tools[way.tool].shortest_run(way.need)
        if run is not None:
            runs.setdefault(way.tool, set()).add(run)
    known = {}

    def doable(mask):
        """(way, run, price) that can be done in a state."""
        if mask not in known:
            found = []
            for way in ways:
                if mask & way.mask or (way.mask & last and mask & ~last != full & ~last):
                    continue
                (tiers,) = rooms([way], np.array([mask]))
                for price, room in tiers:
                    for run in runs.get(way.tool, ()):
                        if way.need - 1e-6 <= run <= room[0] + 1e-6 and room[0] >= 0:
                            found.append((way, run, price))
            known[mask] = found
        return known[mask]

    groups = sorted({way.lay.group for way in ways})
    best = math.inf
    partitions = [
        chosen
        for size in range(1, len(tree_bends) + 1)
        for chosen in itertools.combinations(groups, size)
        if sorted(j for g in chosen for j in g) == list(range(len(tree_bends)))
    ]
    for chosen in partitions:
        for perm in itertools.permutations(chosen):
            best = min(best, _along(perm, doable, costs))
    return best


def _along(perm, doable, costs: Costs):
    states = {None: 0.0}
    mask = 0
    for group in perm:
        after = {}
        for way, run, price in doable(mask):
            if way.lay.group != group:
                continue
            key = (way.tool, run, way.nose, way.lay.face_up, way.lay.heading)
            for prior, cost in states.items():
                total = cost + way.base + price + (_change(prior, key, costs) if prior else 0.0)
                if total < after.get(key, math.inf):
                    after[key] = total
        if not after:
            return math.inf
        states = after
        mask |= sum(1 << j for j in group)
    return min(states.values())


def _change(a, b, costs):
    from blankwright.bending.search import SetUp

    def set_up(key):
        tool, run, nose, face_up, heading = key
        return SetUp(tool=tool, run=run, nose=nose, face_up=face_up, heading=heading)

    return change_cost(set_up(a), set_up(b), costs)


def corrugated(bends, *, width=100.0, flat=60.0, degrees=30.0):
    """A sheet folded up, down, down, up and so on along parallel lines: one chain of bends."""
    made, parent, edge = [], "first", "back"
    for i in range(bends):
        made.append(
            samples.bend(
                f"b{i}", parent, edge, width, flat, up=i % 4 in (0, 3), angle=degrees, radius=1.6
            )
        )
        parent, edge = made[-1].name, "tip"
    return samples.part(samples.flat("first", width, flat), made)


def pan(width=400.0, depth=300.0):
    """A floor with four leaning walls, flanges turned out, and lips turned down: twelve bends."""
    sides = (("front", width), ("right", depth), ("back", width), ("left", depth))
    bends = [
        samples.bend(n, "floor", n, long, 90.0, start=30.0, end=long - 30.0, angle=60.0, radius=1.6)
        for n, long in sides
    ]
    for before, word, tall, degrees in (("", "flange", 50.0, 60.0), ("flange", "lip", 30.0, 45.0)):
        bends += [
            samples.bend(
                f"{n}{word}",
                f"{n}{before}",
                "tip",
                long - 60.0,
                tall,
                angle=degrees,
                up=False,
                radius=1.6,
            )
            for n, long in sides
        ]
    return samples.part(samples.flat("floor", width, depth), bends)


def comb(tabs=10):
    """A long web with tabs along both edges, of two angles each: four lines of bends."""
    bends = [
        samples.bend(
            f"{side[0]}{i}",
            "web",
            side,
            600.0,
            30.0,
            start=60.0 * i + 5,
            end=60.0 * i + 45,
            angle=90.0 if i % 2 else other,
            radius=1.6,
        )
        for side, other in (("back", 60.0), ("front", 45.0))
        for i in range(tabs)
    ]
    return samples.part(samples.flat("web", 600.0, 120.0), bends)
