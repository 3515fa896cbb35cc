"""Blank → formed STEP → blank: the same lines and arcs to 1e-6 mm, for random parts."""

import math
from pathlib import Path

import pytest

from bent_parts import angle_part, channel, tray, zed
from blankwright.develop.blank import Blank
from blankwright.develop.collide import clashes
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.develop.unfold.result import Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes
from blankwright.files.kernel import formed_step
from blankwright.geom.edges import Arc
from blankwright.geom.loop import Loop, joined
from blankwright.geom.region import Region
from samples import random_part

SAME = 1e-6
SEEDS = range(200, 212)


def returned(blank: Blank) -> Unfolded:
    from blankwright.files.kernel.step_read import blanks_in

    def rule(radius: float, thickness: float, angle: float) -> tuple[float, float]:
        bend = min(blank.bends, key=lambda b: abs(b.inside_radius - radius) + abs(b.angle - angle))
        assert abs(bend.inside_radius - radius) < SAME
        assert abs(bend.angle - angle) < 1e-8
        return bend.allowance, bend.k

    starts = [edge.start for edge in blank.root.region.edges]
    middle = [sum(c) / len(starts) for c in zip(*starts, strict=True)]
    wishes = UnfoldWishes(rule=rule, root_at=(*middle, blank.thickness), seen_from=(0.0, 0.0, 1.0))
    (result,) = blanks_in(formed_step(form(blank), "part"), "part.step", wishes)
    assert isinstance(result, Unfolded), result
    return result


def assert_same(a: Region, b: Region) -> None:
    ours = [e for loop in a.loops for e in joined(loop.edges)]
    theirs = [e for loop in b.loops for e in joined(loop.edges)]
    assert len(ours) == len(theirs)
    for edge in ours:
        if isinstance(edge, Arc) and edge.is_circle:
            # Where a whole circle begins means nothing.
            rings = [o for o in theirs if isinstance(o, Arc) and o.is_circle]
            off = min(
                max(math.dist(edge.center, o.center), abs(edge.radius - o.radius)) for o in rings
            )
            assert off < SAME, edge
            continue
        best = min(
            max(
                math.dist(edge.start, other.start),
                math.dist(edge.point(0.5), other.point(0.5)),
                math.dist(edge.end, other.end),
            )
            for other in theirs
            if type(other) is type(edge)
        )
        assert best < SAME, edge


def assert_round_trip(blank: Blank) -> None:
    back = returned(blank).blank
    assert back.thickness == pytest.approx(blank.thickness, abs=1e-9)
    assert_same(blank.outline, back.outline)
    assert len(back.bends) == len(blank.bends)
    for bend in blank.bends:
        middle = bend.center_line.point(0.5)
        other = min(back.bends, key=lambda o: o.center_line.distance(middle))
        assert other.center_line.distance(middle) < SAME
        assert other.up == bend.up
        assert other.angle == pytest.approx(bend.angle, abs=1e-9)
        assert other.inside_radius == pytest.approx(bend.inside_radius, abs=1e-7)
    assert len(back.holes) == len(blank.outline.holes)


LAYOUTS = {
    "angle": angle_part(),
    "down": angle_part(up=False),
    "channel": channel(),
    "zed": zed(),
    "tray": tray(),
    "hole across": angle_part().cut(Loop.circle((32, 20), 9)),
    "slanted window": angle_part().cut(Loop.polygon([(20, 15), (45, 20), (40, 30), (25, 32)])),
    "closed hem": angle_part(radius=0, angle_deg=180),
    "sharp, round hole across": angle_part(radius=0).cut(Loop.circle((30, 20), 9)),
    "sharp, down": angle_part(radius=0, up=False).cut(Loop.circle((30, 20), 9)),
    "roll": angle_part(radius=6, angle_deg=320).cut(Loop.circle((50, 20), 9)),
    "slots": tray().cut(Loop.slot((60, 45), 40, 8, 0.3), Loop.slot((60, 0), 6, 20, 0.1)),
}


@pytest.mark.parametrize("name", LAYOUTS)
def test_named_parts(name: str) -> None:
    assert_round_trip(LAYOUTS[name].blank())


def test_random_parts() -> None:
    done = 0
    for seed in SEEDS:
        blank = develop_blank(random_part(seed))
        formed = form(blank)
        if blank.overlaps or blank.loose or clashes(formed):
            continue
        assert_round_trip(blank)
        done += 1
    assert done > len(SEEDS) // 2


EXAMPLES = sorted((Path(__file__).parents[2] / "examples/tarn200/parts").glob("*.toml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_parts_of_the_example_airplane(path: Path) -> None:
    from blankwright.files.partfile import read_part

    assert_round_trip(develop_blank(read_part(path)))
