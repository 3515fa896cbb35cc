"""Speed of fitting; targets are those of issue 6."""

import itertools
from pathlib import Path

import pytest

from blankwright.files import planner_ompl
from blankwright.fit.decide import question_of, way_in
from blankwright.fit.motion import along
from blankwright.fit.planner import Planner
from blankwright.fit.search import Verdict
from blankwright.jobs.fit_open import open_fit
from blankwright.jobs.project import open_project
from slotted_plates import hooked_plate, placements, slotted

EXAMPLE = Path(__file__).parents[2] / "examples" / "tarn200"


@pytest.mark.parametrize(
    ("place", "variant", "verdict"),
    [
        ("vent-opening", "", Verdict.WAY),
        ("vent-opening", "long", Verdict.NO_WAY),
        ("vent-opening", "short", Verdict.WAY),
        ("tensioner-bay", "", Verdict.WAY),
        ("tensioner-bay", "long", Verdict.NO_WAY),
    ],
)
def test_way_or_proof_in_the_section(measured, place, variant, verdict):
    fit = open_fit(open_project(EXAMPLE), place, variant=variant)
    plane = fit.place.sections[0]

    def asked():
        part, walls = fit.cut(plane)
        question, near = question_of(fit.place, plane, part, walls)
        assert way_in(plane, question, near, part.features).verdict is verdict

    measured(f"way or proof, {place} {variant}".strip(), asked, target="2 s", rounds=3)


def test_clearance_against_travel(measured):
    fit = open_fit(open_project(EXAMPLE), "vent-opening")
    motion = fit.place.motions[0]

    def moved():
        travel = along(fit.place, fit.solid, fit.collider, motion)
        assert len(travel.travel) >= 200

    measured("clearance against travel, 200 positions", moved, target="1 s", rounds=3)


@pytest.mark.parametrize("planner", ["own", "library"])
def test_a_hooked_plate_through_a_slot_in_space(measured, planner):
    if planner == "library" and not planner_ompl.is_installed():
        pytest.skip("the planning library (extra: planning) is not installed here")
    part, walls, seeds = hooked_plate(), slotted(12), itertools.count(1)

    def found():
        places, seed = placements(part, walls), next(seeds)
        if planner == "own":
            way = Planner(places, seed=seed).plan(lambda: True, 2_000_000)
        else:
            way = planner_ompl.library_way(places, lambda: True, 2_000_000, seed=seed)
        assert way is not None
        assert way.surely > 0

    measured(f"hooked plate through a slot, {planner}, 20 seeds", found, target="2 s", rounds=20)
