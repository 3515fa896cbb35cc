"""Held or not, with lifts that are known in closed form."""

import math

import pytest
import shapely

from blankwright.fit.decide import held, question_of
from blankwright.fit.place import Force, PartOfPlace, Place, PlaneOfFit
from blankwright.fit.planar import PlanarQuestion, Wall
from blankwright.fit.search import Verdict
from blankwright.fit.section import Section
from blankwright.fit.steps import Words
from blankwright.geom.pose import Pose

WORDS = Words()


def disc_in_a_tray(rim: float) -> PlanarQuestion:
    """A sixteen-sided disc in a tray: it comes out when it is lifted over the rim."""
    disc = shapely.Point(0, 6.1).buffer(6, quad_segs=4)
    walls = (
        Wall(name="floor", shape=shapely.box(-20, -1, 20, 0)),
        Wall(name="left rim", shape=shapely.box(-20, 0, -19, rim)),
        Wall(name="right rim", shape=shapely.box(19, 0, 20, rim)),
    )
    return PlanarQuestion(part=disc, walls=walls, most_turn=0.4)


@pytest.mark.parametrize("rim", [1.5, 4.0])
def test_a_disc_in_a_tray_must_be_lifted_over_the_rim(rim: float) -> None:
    question = disc_in_a_tray(rim)
    force = Force(name="weight", section="s", toward=(0.0, -1.0), lift=0.5)
    answer = held(question, force, (0.0, 6.1), {"disc": question.part}, WORDS)
    assert answer.verdict is Verdict.NO_WAY
    # The disc hangs 0.1 over the floor; its lowest point goes over the rim. Standing on a side of
    # its sixteen, it is lower by 6·(1 − cos(π/16)).
    need = rim - 0.1
    side = 6 * (1 - math.cos(math.pi / 16))
    assert answer.least_lift < need
    assert answer.enough_lift >= need - side - 0.02
    assert answer.enough_lift - answer.least_lift < 0.3


def test_what_leans_over_the_edge_falls_out() -> None:
    question = disc_in_a_tray(0.3)
    force = Force(name="weight", section="s", toward=(0.0, -1.0), lift=0.5)
    answer = held(question, force, (0.0, 6.1), {"disc": question.part}, WORDS)
    assert answer.verdict is Verdict.WAY
    assert answer.steps
    assert answer.enough_lift <= 0.5


def test_a_part_in_a_closed_box_is_held_whatever_the_lift() -> None:
    ring = shapely.box(-10, -10, 10, 10).difference(shapely.box(-9, -9, 9, 9))
    question = PlanarQuestion(
        part=shapely.box(-2, -8.5, 2, -6), walls=(Wall(name="box", shape=ring),)
    )
    force = Force(name="weight", section="s", toward=(0.0, -1.0), lift=5.0)
    answer = held(question, force, (0.0, -7.0), {"part": question.part}, WORDS)
    assert answer.verdict is Verdict.NO_WAY
    assert answer.enough_lift == math.inf


def test_the_force_decides_which_way_is_out() -> None:
    # Open to the left only: a force to the right keeps it in, one to the left does not.
    cup = shapely.box(-10, -5, 10, 5).difference(shapely.box(-11, -4, 9, 4))
    question = PlanarQuestion(part=shapely.box(0, -2, 6, 2), walls=(Wall(name="cup", shape=cup),))
    features = {"part": question.part}
    right = Force(name="right", section="s", toward=(1.0, 0.0), lift=1.0)
    left = Force(name="left", section="s", toward=(-1.0, 0.0), lift=1.0)
    assert held(question, right, (3.0, 0.0), features, WORDS).verdict is Verdict.NO_WAY
    assert held(question, left, (3.0, 0.0), features, WORDS).verdict is Verdict.WAY


def test_held_lets_metal_touch_so_that_it_surely_holds() -> None:
    """A bar in a slot wider by less than the wanted clearance drops through all the same."""
    plane = PlaneOfFit(
        name="s",
        frame=Pose(),
        words=WORDS,
        way_in="",
        side=(0.0, 0.0),
        window=None,
        most_turn=0.2,
    )
    place = Place(
        name="p",
        title="",
        sizes=(),
        part=PartOfPlace(file="", variant="", material="metal", frame=Pose()),
        solids=(),
        pairs=(),
        keep_off=0.3,
    )
    bar = shapely.box(-3, 1, 3, 21)

    def section(name: str, shape: object) -> Section:
        return Section(name=name, material="metal", shape=shape, features={name: shape}, error=0.0)

    # A tray with a slot in its floor.
    left = shapely.union_all([shapely.box(-12, -2, -3.1, 0), shapely.box(-12, 0, -10, 40)])
    right = shapely.union_all([shapely.box(3.1, -2, 12, 0), shapely.box(10, 0, 12, 40)])
    walls = (section("a", left), section("b", right))
    force = Force(name="weight", section="s", toward=(0.0, -1.0), lift=0.0)
    verdicts = []
    for touching in (False, True):
        question, _ = question_of(place, plane, section("bar", bar), walls, touching=touching)
        verdicts.append(held(question, force, (0.0, 11.0), {"bar": bar}, WORDS).verdict)
    assert verdicts == [Verdict.NO_WAY, Verdict.WAY]
