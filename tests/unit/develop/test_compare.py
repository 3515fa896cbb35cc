"""A blank held against another drawing of it: found however it lies, and what differs is told."""

import math
import random

import pytest

from blankwright.develop.blank import Blank
from blankwright.develop.compare import compare
from blankwright.develop.flat.bends import blank_of_flat
from blankwright.develop.flat.strips import FlatBend
from blankwright.develop.laid_over import laid_over
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region

HOLES = (Loop.circle((20, 15), 4), Loop.circle((70, 40), 2.5), Loop.rectangle(30, 30, 40, 36))


def plate(long=100.0, holes=HOLES, corner=8.0):
    """A plate with one corner cut off, so that it fits one way only."""
    points = [(0, 0), (long, 0), (long, 60 - corner), (long - corner, 60), (0, 60)]
    outer = Loop(tuple(Line(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)))
    return Region(outer, tuple(hole.reversed() for hole in holes))


def blank(region, x=60.0, k=0.4, thickness=1.0) -> Blank:
    angle, radius = math.pi / 2, 2.0
    bend = FlatBend(
        name="lip",
        line=Line((x, 0), (x, 60)),
        angle=angle,
        inside_radius=radius,
        up=True,
        allowance=angle * (radius + k * thickness),
        k=k,
    )
    return blank_of_flat(region, [bend], thickness=thickness, alloy="6061-T6")


def moves(seed, count=6):
    rng = random.Random(seed)
    for i in range(count):
        turn = Move.turn(rng.uniform(-math.pi, math.pi))
        shift = Move.shift(rng.uniform(-500, 500), rng.uniform(-500, 500))
        yield Move(flip=i % 2 == 1).then(turn).then(shift)


@pytest.mark.parametrize("move", list(moves(7)), ids=str)
def test_the_same_plate_is_found_however_it_lies(move):
    ours = plate()
    back = laid_over(ours, ours.moved(move))
    for p in ((0.0, 0.0), (100.0, 0.0), (0.0, 60.0)):
        assert back(move(p)) == pytest.approx(p, abs=1e-6)


@pytest.mark.parametrize("move", list(moves(8, 4)), ids=str)
def test_what_differs_does_not_draw_the_rest_away(move):
    """One end 1.5 mm longer and a hole moved: all else still lies on itself."""
    theirs = plate(101.5, (Loop.circle((20, 15.4), 4), *HOLES[1:]))
    found = compare(blank(plate()), theirs.moved(move), (), 0.05)
    assert found.worst == pytest.approx(1.5, abs=1e-3)
    whats = [(d.what, round(d.by, 3)) for d in found.differences]
    assert ("opening", 0.4) in whats
    outline = [d for d in found.differences if d.what == "outline"]
    assert outline
    assert all(d.at[0] > 91 for d in outline)
    assert found.openings == 2


def test_the_same_agrees_to_the_last_digit():
    ours = plate()
    move = next(moves(9))
    line = Line(move((60.0, 0.0)), move((60.0, 60.0)))
    found = compare(blank(ours), ours.moved(move), (line,), 0.001)
    assert found.differences == ()
    assert found.worst < 1e-6
    assert (found.openings, found.bends) == (3, 1)


@pytest.mark.parametrize(
    ("theirs", "words"),
    [
        (plate(holes=HOLES[1:]), "hole Ø 8.000 mm is on the blank alone"),
        (
            plate(holes=(*HOLES, Loop.circle((85, 12), 3))),
            "hole Ø 6.000 mm is on the drawing alone",
        ),
        (plate(holes=(Loop.circle((20, 15), 4.25), *HOLES[1:])), "the drawing has Ø 8.500 mm"),
        (plate(corner=9.0), "off the drawing's"),
    ],
)
def test_each_difference_is_named(theirs, words):
    (found,) = compare(blank(plate()), theirs, (), 0.05).differences
    assert words in found.got


def test_bend_lines_are_held_too():
    ours = blank(plate())
    beside = compare(ours, plate(), (Line((60.3, 0), (60.3, 60)),), 0.05)
    assert [(d.what, round(d.by, 6)) for d in beside.differences] == [("bend line", 0.3)]
    more = compare(ours, plate(), (Line((60, 0), (60, 60)), Line((20, 0), (20, 60))), 0.05)
    assert [d.got for d in more.differences] == ["a bend line is in the drawing alone"]
    none = compare(ours, plate(), (Line((0, 20), (100, 20)),), 0.05)
    assert {d.got for d in none.differences} == {
        "bend lip has no bend line in the drawing",
        "a bend line is in the drawing alone",
    }


def test_their_k_is_found_when_nothing_else_differs():
    """Theirs is longer by what k = 0.5 in place of 0.4 makes: π/2 · 0.1 · 1 mm."""
    theirs = plate(100 + math.pi / 2 * 0.1)
    found = compare(blank(plate()), theirs, (), 0.01)
    # The corner goes with the end, so the strip's width is the whole difference.
    assert found.k == pytest.approx(0.5, abs=1e-9)


def test_round_blanks_are_laid_over_by_their_holes():
    def washer(angle):
        p = (30 * math.cos(angle), 20 * math.sin(angle) + 3)
        return Region(Loop.circle((0, 0), 50), (Loop.circle(p, 5).reversed(),))

    ours = washer(0.3)
    theirs = ours.moved(Move.turn(2.0).then(Move.shift(10, 20)))
    back = laid_over(ours, theirs)
    moved = theirs.moved(back)
    (hole,) = moved.holes
    circle = hole.as_circle
    assert isinstance(circle, Arc)
    own = ours.holes[0].as_circle
    assert own is not None
    assert math.dist(circle.center, own.center) < 1e-5
