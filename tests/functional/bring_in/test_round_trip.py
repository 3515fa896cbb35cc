"""Blank → DXF → blank and blank → STEP → blank, through the job, for examples and random parts."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

import samples
from blankwright.base.errors import BlankwrightError
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.files.outputs import blank_dxf
from blankwright.files.partfile import read_part, read_part_text
from blankwright.geom import vec
from blankwright.geom.edges import Line
from blankwright.geom.move import Move
from blankwright.jobs.bring_in import look_at
from blankwright.jobs.bring_in_asked import Asked, BendAsked
from same_blank import inside, same_formed, same_outline

EXAMPLES = sorted((Path(__file__).parents[3] / "examples/tarn200/parts").glob("*.toml"))
RANDOM = 40


def mm(x):
    return f"{x:.12f} mm"


def by_dxf(blank, name):
    """The blank after a trip through its own DXF, bends stated as they are."""
    data = blank_dxf(blank, name)
    x, y = inside(blank.root.region)
    asked = Asked(
        alloy=blank.alloy, thickness=mm(blank.thickness), name="again", root_at=f"{mm(x)}, {mm(y)}"
    )
    first = look_at(data, f"{name}.dxf", asked).candidates[0]
    assert not first.problems, first.problems
    assert len(first.seen.bends) == len(blank.bends)
    bends = {}
    for own, start, end in first.seen.bends:
        middle = vec.middle(start, end)
        bend = min(blank.bends, key=lambda bend: bend.center_line.distance(middle))
        assert bend.center_line.distance(middle) < 1e-6
        bends[own] = BendAsked(
            name=bend.name,
            up=bend.up,
            angle=f"{math.degrees(bend.angle):.12f} deg",
            radius=mm(bend.inside_radius),
        )
    found = look_at(data, f"{name}.dxf", replace(asked, bends=bends))
    (candidate,) = found.candidates
    assert candidate.ready, (candidate.questions, candidate.problems)
    return develop_blank(read_part_text(candidate.text, "again", drawings={found.drawing: data}))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_through_dxf(path):
    blank = develop_blank(read_part(path))
    again = by_dxf(blank, path.stem)
    same_outline(blank.outline, again.outline)
    same_formed(blank, again)


def test_random_parts_through_dxf():
    done = 0
    for seed in range(10_000):
        blank = develop_blank(samples.random_part(seed))
        if blank.overlaps or blank.loose:
            continue
        again = by_dxf(blank, f"random-{seed}")
        same_outline(blank.outline, again.outline)
        same_formed(blank, again)
        done += 1
        if done == RANDOM:
            return


@pytest.mark.slow
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_through_step(path):
    from blankwright.files.kernel import formed_step

    part = read_part(path)
    blank = develop_blank(part)
    data = formed_step(form(blank), path.stem)
    x, y = inside(blank.root.region)
    asked = Asked(
        alloy=blank.alloy,
        root_at=f"{mm(x)}, {mm(y)}, {mm(blank.thickness)}",
        seen_from="+z",
    )
    found = look_at(data, f"{path.stem}.step", asked)
    (candidate,) = found.candidates
    assert candidate.ready, (candidate.questions, candidate.problems)
    again = develop_blank(read_part_text(candidate.text, "again", drawings={found.drawing: data}))
    assert abs(again.thickness - blank.thickness) < 1e-6
    assert len(again.bends) == len(blank.bends)
    # The solid's blank lies in a frame of its own: laid on the first it must be the same.
    # Some outlines can be laid on themselves in several ways; in one of them all bends agree.
    moves = list(laid_on(again.outline, blank.outline))
    assert any(same_bends(blank, again, move) for move in moves)


def same_bends(blank, again, move):
    same_outline(blank.outline, again.outline.moved(move))
    for bend in blank.bends:
        middle = bend.center_line.point(0.5)
        own = min(again.bends, key=lambda b: b.center_line.moved(move).distance(middle))
        if (
            own.center_line.moved(move).distance(middle) > 1e-6
            or abs(own.angle - bend.angle) > 1e-9
            or abs(own.inside_radius - bend.inside_radius) > 1e-6
            or abs(own.allowance - bend.allowance) > 1e-6
            or own.up != bend.up
        ):
            return False
    return True


def laid_on(own, other):
    """The moves that lay one outline on another, without turning it over."""
    lines = [edge for edge in own.outer.edges if isinstance(edge, Line)]
    long = max(lines, key=lambda edge: edge.length)
    for edge in other.outer.edges:
        if not isinstance(edge, Line) or abs(edge.length - long.length) > 1e-6:
            continue
        back = Move.onto(long.start, long.direction()).inverse()
        move = back.then(Move.onto(edge.start, edge.direction()))
        laid = own.moved(move)
        if all(min(e.distance(p.point(0.3)) for e in other.edges) < 1e-5 for p in laid.edges):
            yield move


def test_a_drawing_without_bends_is_a_flat_part():
    blank = develop_blank(samples.part(samples.flat("plate", 60.0, 40.0)))
    again = by_dxf(blank, "plate")
    same_outline(blank.outline, again.outline)
    assert not again.bends


def test_nothing_is_guessed():
    blank = develop_blank(samples.channel())
    data = blank_dxf(blank, "channel")
    found = look_at(data.replace(b"BEND-NOTES", b"OTHER-LAYR"), "channel.dxf", Asked())
    assert found.candidates[0].ready  # by the notes, which are shown
    bare = look_at(
        data.replace(b" R ", b" Q ").replace(b"UP", b"XX").replace(b"thick", b"thock"),
        "channel.dxf",
        Asked(),
    ).candidates[0]
    assert {question.key for question in bare.questions} == {
        *("alloy", "thickness"),
        *(f"bend-{i} {what}" for i in (1, 2) for what in ("direction", "angle", "radius")),
    }
    with pytest.raises(BlankwrightError):
        read_part_text(bare.text, "bare", drawings={found.drawing: data})


@pytest.mark.slow
@pytest.mark.parametrize("seed", [*range(400, 412)])
def test_random_parts_through_step(seed):
    """Blank, formed solid, part file, blank: the same to 1e-6 mm, wherever the solid lay."""
    from blankwright.develop.collide import clashes
    from blankwright.develop.compare import compare
    from blankwright.files.kernel import formed_step

    blank = develop_blank(samples.random_part(seed))
    formed = form(blank)
    if blank.overlaps or blank.loose or clashes(formed):
        pytest.skip("no part that can be made")
    data = formed_step(formed, "random")
    found = look_at(data, "random.step", Asked(alloy="6061-T6"))
    (candidate,) = found.candidates
    assert candidate.ready, (candidate.questions, candidate.problems)
    again = develop_blank(read_part_text(candidate.text, "again", drawings={found.drawing: data}))
    lines = [bend.center_line for bend in again.bends]
    held = compare(blank, again.outline, lines, 1e-6)
    assert held.differences == ()
    assert held.worst < 1e-6
    assert held.bends == len(blank.bends) == len(again.bends)
