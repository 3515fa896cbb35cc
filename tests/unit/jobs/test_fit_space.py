"""Which planner looks through space, and what the answer says of it."""

from pathlib import Path

import pytest

from blankwright.files import planner_ompl
from blankwright.fit.surely import Passing
from blankwright.jobs.fit_open import Fit, open_fit
from blankwright.jobs.fit_report import fit_report
from blankwright.jobs.fit_space import OWN, placements_of, space_answer
from blankwright.jobs.project import open_project

EXAMPLE = Path(__file__).parents[3] / "examples" / "tarn200"
UP = (0.0, 0.0, 1.0)
needs_library = pytest.mark.skipif(
    not planner_ompl.is_installed(),
    reason="the planning library (extra: planning) is not installed here",
)


@pytest.fixture(scope="module")
def fit() -> Fit:
    return open_fit(open_project(EXAMPLE), "tensioner-bay")


@pytest.mark.parametrize("planner", ["both", "library"])
def test_without_the_library_ours_looks_and_the_answer_says_so(
    fit: Fit, planner: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(planner_ompl, "is_installed", lambda: False)
    answer = space_answer(fit, UP, 60.0, planner=planner, most=1)
    assert answer.way is None
    assert answer.planner == OWN
    assert "not installed" in answer.note
    assert "planning" in answer.note
    assert answer.text == "not found in 60 s by our own planner, which proves nothing"


@needs_library
@pytest.mark.parametrize(
    ("planner", "names"),
    [("own", [OWN]), ("library", ["OMPL"]), ("both", [OWN, "OMPL"])],
)
def test_the_answer_names_who_looked(fit: Fit, planner: str, names: list[str]) -> None:
    answer = space_answer(fit, UP, 60.0, planner=planner, most=1)
    assert answer.way is None
    assert answer.note == ""
    found = answer.planner.split(" and ")
    assert len(found) == len(names)
    assert all(got.startswith(name) for got, name in zip(found, names, strict=True))


def test_chords_of_part_and_structure_are_taken_off(fit: Fit) -> None:
    places = placements_of(fit, UP)
    assert places.chords >= fit.solid.error > 0
    assert set(places.walls) == set(fit.hard)


@pytest.mark.slow
def test_the_whole_part_surely_keeps_no_more_than_a_dense_sweep_finds(fit: Fit) -> None:
    import itertools

    from blankwright.fit.planar import State
    from blankwright.jobs.fit_solid import pose_of

    report = fit_report(fit)
    (way,) = report.ways
    check = report.solid[way.section.name]
    assert check.passing is Passing.FREE
    assert 0 < check.surely < check.least
    least = 1e9
    for a, b in itertools.pairwise(way.answer.way.states):
        for k in range(41):
            t = k / 40
            state = State(
                a.turn + (b.turn - a.turn) * t, a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t
            )
            pose = pose_of(way, state)
            least = min(least, *(fit.collider.near(pose, w).distance for w in fit.hard))
    assert check.surely <= least
    assert check.least == pytest.approx(least, abs=0.1)
