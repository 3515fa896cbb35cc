"""The usual run of work on a part, and the pace learned from the log."""

import pytest

from blankwright.book.records import TaskKind
from blankwright.book.routine import PartFacts, learned_pace, wanted_tasks


def run(facts: PartFacts, bends: int = 0) -> list[tuple[str, str, tuple[tuple[str, float], ...]]]:
    tasks, _ = wanted_tasks(facts, bends=bends)
    prefix = f"part:{facts.name}:"
    return [
        (t.kind.value, t.stage, tuple((k.removeprefix(prefix), h) for k, h in t.after))
        for t in tasks
    ]


def test_everything_in_the_order_of_the_shop() -> None:
    facts = PartFacts(
        name="cover",
        holes=8,
        radii=("1/8 in",),
        last=(("lip", "after trial fit"),),
        position="inverted",
        glue="seal",
        cure_hours=24.0,
        treat="primer",
        rivets=18,
        closes="control run",
    )
    assert run(facts, bends=4) == [
        ("cut", "", ()),
        ("drill", "", (("cut", 0.0),)),
        ("deburr", "", (("drill", 0.0),)),
        ("bend", "", (("deburr", 0.0),)),
        ("trial fit", "", (("bend", 0.0),)),
        ("bend last", "", (("trial fit", 0.0),)),
        ("treat", "", (("bend last", 0.0),)),
        ("glue", "part:cover:closes", (("treat", 0.0),)),
        ("rivet", "", (("glue", 24.0),)),
        ("inspect", "", (("rivet", 0.0),)),
    ]


def test_a_flat_strip_is_cut_deburred_and_looked_at() -> None:
    assert [kind for kind, _, _ in run(PartFacts(name="strip"))] == ["cut", "deburr", "inspect"]


def test_what_closes_up_is_seen_before_the_first_step_that_closes() -> None:
    riveted = PartFacts(name="skin", rivets=40, closes="fuel line")
    stages = {kind: stage for kind, stage, _ in run(riveted)}
    assert stages["rivet"] == "part:skin:closes"
    loose = PartFacts(name="skin", closes="fuel line")
    tasks, seen = wanted_tasks(loose, bends=0)
    assert (seen, {t.stage for t in tasks}) == ((), {""})


def test_hours_follow_counts_and_pace() -> None:
    facts = PartFacts(name="tray", holes=20, radii=("3 mm", "5 mm"), rivets=10)
    tasks, _ = wanted_tasks(facts, bends=4, pace={TaskKind.BEND: 2.0})
    by_kind = {t.kind: t for t in tasks}
    assert by_kind[TaskKind.BEND].setup == "brake, 3 mm and 5 mm radius"
    assert by_kind[TaskKind.BEND].first_hours == pytest.approx(0.25 + 4 * 0.15)
    assert by_kind[TaskKind.BEND].hours == pytest.approx(2 * (0.25 + 4 * 0.15))
    assert by_kind[TaskKind.DRILL].hours == pytest.approx(0.15 + 20 * 0.025)
    assert by_kind[TaskKind.RIVET].hours == pytest.approx(0.25 + 10 * 0.03)


def test_pace_is_the_median_of_at_least_three() -> None:
    bends = [(TaskKind.BEND, 1.0, 1.5), (TaskKind.BEND, 2.0, 2.0), (TaskKind.BEND, 1.0, 9.0)]
    cuts = [(TaskKind.CUT, 1.0, 3.0), (TaskKind.CUT, 1.0, 3.0)]
    untold = [(TaskKind.CUT, 1.0, 0.0), (TaskKind.CUT, 0.0, 1.0)]
    assert learned_pace([*bends, *cuts, *untold]) == {TaskKind.BEND: 1.5}
