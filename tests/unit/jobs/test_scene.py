"""The scene says of a blank what the blank says of itself."""

from __future__ import annotations

import json
import math
import re

import pytest

import samples
from blankwright.develop.formed import form
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.jobs.part_state import state_of
from blankwright.jobs.pictorial import pictorial
from blankwright.jobs.scene import dimension_steps, loop_path, scene_of

STEP = re.compile(r"([MLAZ])([^MLAZ]*)")


def read_path(d: str) -> Loop:
    """Read an SVG path back by the rules of the SVG standard: ends and flags, not our centres."""
    edges: list[Line | Arc] = []
    start = at = (0.0, 0.0)
    for word, rest in STEP.findall(d):
        numbers = [float(n) for n in rest.split()]
        if word == "M":
            start = at = (numbers[0], numbers[1])
        elif word == "L":
            edges.append(Line(at, (numbers[0], numbers[1])))
            at = (numbers[0], numbers[1])
        elif word == "A":
            r, _, _, large, sweep, x, y = numbers
            edges.append(svg_arc(at, (x, y), r, large == 1, sweep == 1))
            at = (x, y)
        elif math.dist(at, start) > 1e-9:
            edges.append(Line(at, start))
    return Loop(tuple(edge for edge in edges if edge.length > 1e-9))


def svg_arc(a, b, r, large, sweep) -> Arc:
    dx, dy = b[0] - a[0], b[1] - a[1]
    half = math.hypot(dx, dy) / 2
    high = math.sqrt(max(0.0, r * r - half * half))
    side = -1.0 if large == sweep else 1.0
    center = (
        (a[0] + b[0]) / 2 - side * dy / (2 * half) * high,
        (a[1] + b[1]) / 2 + side * dx / (2 * half) * high,
    )
    return Arc.through(a, b, center, ccw=sweep)


def turned_down(loop: Loop) -> float:
    """Area of a loop after y is turned down: the sign changes, nothing else."""
    return -loop.area


@pytest.mark.parametrize(
    "loop",
    [
        Loop.rectangle(0, 0, 30, 20),
        Loop.circle((5, -7), 3.25),
        Loop.slot((10, 10), 30, 8, 0.3),
        Loop((Arc((0, 0), 10, 0, 1.5 * math.pi), Line((0, -10), (10, 0)))),
        Loop.circle((0, 0), 4).reversed(),
    ],
)
def test_paths_are_exact(loop):
    back = read_path(loop_path(loop))
    assert back.area == pytest.approx(turned_down(loop), rel=1e-6)
    assert back.length == pytest.approx(loop.length, rel=1e-6)
    x0, y0, x1, y1 = loop.box
    assert back.box == pytest.approx((x0, -y1, x1, -y0), abs=2e-5)


@pytest.fixture(scope="module")
def busy():
    return state_of(samples.busy())


def test_the_outline_path_has_the_blanks_area(busy):
    d = scene_of(busy.blank)["outline"]["d"]
    loops = [read_path(piece + "Z") for piece in d.split("Z") if piece.strip()]
    assert -sum(loop.area for loop in loops) == pytest.approx(busy.blank.outline.area, rel=1e-7)


def test_it_is_plain_json_and_the_same_twice(busy):
    first, second = (json.dumps(scene_of(busy.blank), allow_nan=False) for _ in range(2))
    assert first == second


def test_every_hole_is_carried_by_what_is_around_it(busy):
    blank = busy.blank
    for hole in scene_of(blank)["holes"]:
        kind, name = hole["on"].split(" ", 1)
        x, y = hole["center"]
        if kind == "bend":
            _, v = blank.bend_by_name[name].place.inverse()((x, y))
            assert 0 < v < blank.bend_by_name[name].allowance
        else:
            # The middle of a corner's relief is on no metal: it goes with the flat it is cut in.
            around = blank.flat_by_name[name].region.outer.contains((x, y))
            assert around or (hole["kind"] == "relief" and name == hole["flat"])


def test_dimensions_measure_what_they_say(busy):
    blank = busy.blank
    dims = scene_of(blank)["dims"]
    whole = {d["axis"]: d["value"] for d in dims if d["name"] == "blank"}
    assert (whole["x"], whole["y"]) == pytest.approx(blank.size)
    for dim in dims:
        assert math.dist(dim["from"], dim["to"]) == pytest.approx(dim["value"], abs=2e-6)
        axis = "xy".index(dim["axis"])
        if dim["name"].startswith("hole "):
            hole = next(h for h in blank.holes if h.name == dim["name"].removeprefix("hole "))
            assert dim["to"][axis] == pytest.approx(hole.center[axis], abs=1e-6)
        elif dim["name"] != "blank":
            line = blank.bend_by_name[dim["name"].removeprefix("bend ")].center_line
            assert dim["to"][axis] == pytest.approx(line.start[axis], abs=1e-5)
    assert {d["trail"] for d in dims} == {s.name for s in dimension_steps(blank)}


def test_the_small_picture_shows_every_piece_within_its_box(busy):
    formed = form(busy.blank)
    facets, (x0, y0, w, h) = pictorial(formed)
    assert sum(not facet.bend for facet in facets) == len(busy.blank.flats)
    for facet in facets:
        assert 0.0 <= facet.tone <= 1.0
        for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", facet.d):
            assert x0 - 0.02 <= float(x) <= x0 + w + 0.02
            assert y0 - 0.02 <= float(y) <= y0 + h + 0.02
