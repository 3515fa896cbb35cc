"""The question that a place asks: pairs, springing, what is too near at rest."""

from dataclasses import replace

import pytest
import shapely

from blankwright.fit.decide import question_of, way_in
from blankwright.fit.place import Pair, PartOfPlace, Place, PlaneOfFit
from blankwright.fit.planar import PlanarQuestion, Wall
from blankwright.fit.search import Verdict
from blankwright.fit.section import Section
from blankwright.fit.steps import Words
from blankwright.geom.pose import Pose

PLANE = PlaneOfFit(
    name="s",
    frame=Pose(),
    words=Words(up="aft"),
    way_in="aft",
    side=(0.0, 1.0),
    window=(-60.0, -60.0, 60.0, 60.0),
    most_turn=0.5,
)


def section(name: str, shape: shapely.Geometry, material: str = "metal") -> Section:
    return Section(name=name, material=material, shape=shape, features={name: shape}, error=0.0)


def place(keep_off: float = 0.0, *pairs: Pair) -> Place:
    return Place(
        name="p",
        title="",
        sizes=(),
        part=PartOfPlace(file="", variant="", material="metal", frame=Pose()),
        solids=(),
        pairs=pairs,
        keep_off=keep_off,
    )


def slot(width: float, material: str = "metal") -> tuple[Section, ...]:
    return (
        section("left", shapely.box(-60, 0, -width / 2, 2), material),
        section("right", shapely.box(width / 2, 0, 60, 2), material),
    )


BAR = section("bar", shapely.box(-3, -30, 3, -10))


def verdict(*, keep_off: float, width: float, soft: float = 0.0) -> Verdict:
    pairs = (Pair(name="s", between=("metal", "felt"), clearance=-soft, most=0.0),) if soft else ()
    walls = slot(width, "felt" if soft else "metal")
    question, near = question_of(place(keep_off, *pairs), PLANE, BAR, walls)
    assert near == ()
    return way_in(PLANE, question, near, BAR.features).verdict


def test_the_clearance_that_is_wanted_decides() -> None:
    assert verdict(keep_off=0.1, width=6.4) is Verdict.WAY
    assert verdict(keep_off=0.3, width=6.4) is Verdict.NO_WAY


def test_soft_walls_give_way_as_far_as_they_may_be_squeezed() -> None:
    assert verdict(keep_off=0.0, width=5.8, soft=0.05) is Verdict.NO_WAY
    assert verdict(keep_off=0.0, width=5.8, soft=0.2) is Verdict.WAY


def test_a_soft_wall_backed_by_metal_gives_way_from_its_free_side_alone() -> None:
    felt = shapely.box(0, 0, 2, 20)
    backed = PlanarQuestion(
        part=shapely.box(10, 0, 12, 20),
        walls=(
            Wall(name="felt", shape=felt, keep_off=-1.2),
            Wall(name="metal", shape=shapely.box(-0.5, -1, 0, 21)),
        ),
    )
    (left, _) = backed.far_walls
    # 1.2 of 2 mm may be squeezed: from the free side, so 0.8 stays before the metal.
    assert left.shape.bounds == pytest.approx(
        (0.0, 1.2, 0.8, 18.8), abs=0.011
    )  # though the metal is thin
    assert left.keep_off == 0.0
    free = replace(backed, walls=backed.walls[:1])
    assert free.far_walls[0].shape.is_empty


def test_metal_in_metal_at_rest_is_no_way_and_not_a_narrow_one() -> None:
    walls = (section("block", shapely.box(-60, -20, -2.5, 2)),)
    question, near = question_of(place(0.2), PLANE, BAR, walls)
    assert near[0].got == pytest.approx(-0.5, abs=1e-3)
    assert way_in(PLANE, question, near, BAR.features).verdict is Verdict.BLOCKED_AT_REST


def test_a_wall_too_near_at_rest_is_told_and_asked_for_no_more() -> None:
    near_bar = section("bar", shapely.box(-3, -30, 3, -0.1))
    walls = (section("lid", shapely.box(-60, 0, -20, 2)), *slot(7.0))
    walls = (*walls, section("roof", shapely.box(2.5, 0.0, 60, 2)))
    question, near = question_of(place(0.2), PLANE, near_bar, walls)
    assert {(n.wall, n.wanted) for n in near} == {("roof", 0.2)}
    assert near[0].got == pytest.approx(0.1)
    (roof,) = [w for w in question.walls if w.name == "roof"]
    assert roof.keep_off == pytest.approx(0.1, abs=0.002)


def test_steps_speak_the_words_of_the_place() -> None:
    question, near = question_of(place(0.1), PLANE, BAR, slot(6.6))
    way = way_in(PLANE, question, near, BAR.features)
    assert way.steps
    # Going in is against the side it comes from.
    assert any("down" in step.text for step in way.steps)
    assert any("aft" in step.text for step in way.out)
    assert way.steps[-1].end == question.rest
    assert way.out[0].begin == question.rest


def test_what_stays_undecided_is_told_with_the_spot_where_it_is_narrow() -> None:
    # A bar of 6 in slots of 8 and, after that, of exactly 6: at the second it just goes, or not.
    walls = (
        section(
            "left", shapely.union_all([shapely.box(-60, 0, -4, 2), shapely.box(-60, 40, -3, 42)])
        ),
        section("right", shapely.union_all([shapely.box(4, 0, 60, 2), shapely.box(3, 40, 60, 42)])),
    )
    question, near = question_of(place(0.0), PLANE, BAR, walls)
    asked = replace(question, side=(0.0, 1.0), most_turn=0.0003, window=(-60, -50, 60, 60))
    found = way_in(PLANE, asked, near, BAR.features).answer.found
    assert found.verdict is Verdict.UNDECIDED
    assert found.narrowest is not None
    # The bar is 20 high: its middle is within its half height of the second slot's 40 … 42.
    assert found.narrowest.x == pytest.approx(0.0, abs=0.1)
    assert 40 - 10.2 < found.narrowest.y < 42 + 10.2
