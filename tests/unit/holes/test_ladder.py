"""Drilling up with the drills that a shop has."""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput, NotPossible
from blankwright.files.shopfile import parse_shop
from blankwright.files.shopfile_drills import drills_of
from blankwright.handbook.drills import all_drills, find_drill
from blankwright.holes.drill_rack import DrillRack, Reamer, StepDrill, ToolKind
from blankwright.holes.ladder import AskedHole, plan_ladder

IN = 25.4


def rack(*names, **more):
    return DrillRack(drills=tuple(find_drill(name) for name in names), **more)


def size(name):
    return find_drill(name).diameter


def names(ladder):
    return [one.tool for one in ladder.passes]


def codes(ladder):
    return [f.code for f in ladder.findings]


def test_one_pass_when_the_step_is_small_enough():
    asked = AskedHole(pilot=size("#40"), final=size("#30"), stack=(0.8, 1.0), holes=24)
    ladder = plan_ladder(asked, rack("#40", "#35", "#30"))
    assert names(ladder) == ["#30"]
    assert ladder.strokes == 24


def test_fewest_passes_and_among_them_the_smallest_step():
    # 1/8 to 3/16 in thin sheet, 1/32 in at most: two passes, the middle rung half way.
    asked = AskedHole(pilot=IN / 8, final=IN * 3 / 16, stack=(0.8,))
    ladder = plan_ladder(asked, rack("9/64 in", "5/32 in", "#20", "11/64 in", "3/16 in"))
    assert names(ladder) == ["5/32 in", "3/16 in"]
    assert [one.step for one in ladder.passes] == pytest.approx([IN / 32, IN / 32])


def test_no_ladder_is_shorter():
    """Against all ladders, tried one by one."""
    have = ["#40", "#35", "#30", "#27", "#21", "#16", "#11", "#7", "#3", "#1", "E"]
    for pilot, final in (("#40", "#11"), ("#40", "E"), ("#30", "#3")):
        asked = AskedHole(pilot=size(pilot), final=size(final), stack=(0.8,))
        ladder = plan_ladder(asked, rack(*have))
        between = [n for n in have if size(pilot) < size(n) < size(final)]
        best = None
        for k in range(len(between) + 1):
            good = []
            for some in combinations(between, k):
                rungs = [size(pilot), *(size(n) for n in some), size(final)]
                step = max(b - a for a, b in pairwise(rungs))
                if step <= ladder.rule[0] + 1e-6:
                    good.append(step)
            if good:
                best = (k + 1, min(good))
                break
        assert best is not None
        assert (len(ladder.passes), max(p.step for p in ladder.passes)) == pytest.approx(best)


def test_a_gap_in_the_drills_is_told():
    with pytest.raises(NotPossible) as caught:
        plan_ladder(
            AskedHole(pilot=size("#40"), final=size("1/4 in"), stack=(0.8,)),
            rack("#30", "1/4 in"),
        )
    assert caught.value.problems[0].code == "DRILLING-003"
    assert "3.26 mm" in caught.value.problems[0].got


def test_a_first_drill_is_not_too_large():
    ladder = plan_ladder(
        AskedHole(final=size("#11"), stack=(0.8,)), rack("#40", "#30", "#21", "#11")
    )
    assert names(ladder) == ["#30", "#21", "#11"]


def test_nearest_drill_with_its_error():
    ladder = plan_ladder(AskedHole(pilot=4.0, final=4.8, stack=(1.0,)), rack("#21", "#12"))
    assert names(ladder) == ["#12"]
    assert codes(ladder) == ["DRILLING-012"]
    with pytest.raises(NotPossible) as caught:
        plan_ladder(AskedHole(pilot=4.0, final=4.8, plus=0.0, minus=0.0, stack=(1.0,)), rack("#12"))
    assert caught.value.problems[0].code == "DRILLING-002"


AN3 = AskedHole(
    pilot=0.128 * IN, final=0.1895 * IN, plus=0.0015 * IN, minus=0.0005 * IN, stack=(1.6, 2.3)
)
REAMER = Reamer(name="0.1895 reamer", diameter=0.1895 * IN)


def test_a_tight_hole_is_reamed_last_from_a_drill_that_leaves_its_cut():
    # It wants 0.003 to 0.007 in: #14 leaves 0.0075 in, #13 (0.185 in) 0.0045 in, #12 0.0005 in.
    ladder = plan_ladder(AN3, rack("#30", "#20", "#15", "#14", "#13", "#12", reamers=(REAMER,)))
    assert names(ladder)[-2:] == ["#13", "0.1895 reamer"]
    assert ladder.passes[-1].kind is ToolKind.REAMER
    assert codes(ladder) == []
    assert ladder.reached[1] <= AN3.final + AN3.plus


def test_without_the_reamer_the_tolerance_is_told():
    ladder = plan_ladder(AN3, rack("#30", "#20", "#15", "#12"))
    assert codes(ladder) == ["DRILLING-012", "DRILLING-011"]


def test_a_wide_tolerance_wears_out_no_reamer():
    wide = AskedHole(
        pilot=0.128 * IN, final=0.189 * IN, plus=0.010 * IN, minus=0.002 * IN, stack=(1.6,)
    )
    ladder = plan_ladder(wide, rack("#30", "#20", "#12", reamers=(REAMER,)))
    assert all(one.kind is ToolKind.DRILL for one in ladder.passes)


STEPS = StepDrill(name="steps", sizes=tuple(IN * n / 16 for n in (2, 3, 4, 5, 6)), step_height=3.2)


def test_step_drill_strokes_count_steps_and_lots():
    asked = AskedHole(
        pilot=IN / 8, final=IN * 3 / 8, stack=(1.0, 1.0), holes=6, use_step_drill=True
    )
    ladder = plan_ladder(asked, rack("#30", "3/8 in", step_drills=(STEPS,)))
    assert [(p.tool, p.strokes) for p in ladder.passes] == [("steps", 4)]
    assert ladder.strokes == 24
    # Over one step high: sheets are drilled apart, two lots of the stack.
    thick = AskedHole(
        pilot=IN / 8, final=IN * 3 / 8, stack=(2.0, 1.0, 2.0), holes=6, use_step_drill=True
    )
    ladder = plan_ladder(thick, rack("#30", "3/8 in", step_drills=(STEPS,)))
    assert ladder.passes[0].strokes == 8
    assert codes(ladder) == ["DRILLING-010"]


def test_step_drill_goes_as_far_as_it_can():
    asked = AskedHole(
        pilot=IN / 8, final=size("F"), stack=(1.6,), use_step_drill=True, material="aluminium"
    )
    ladder = plan_ladder(asked, rack("F", step_drills=(STEPS,)))
    assert [p.tool for p in ladder.passes] == ["steps", "F"]


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        (AskedHole(final=3.0, stack=()), "DRILLING-004"),
        (AskedHole(final=3.0, pilot=4.0, stack=(1.0,)), "DRILLING-004"),
        (AskedHole(final=3.0, stack=(60.0,)), "DRILL-004"),
    ],
)
def test_what_is_not_stated_rightly(asked, code):
    with pytest.raises(NotPossible) as caught:
        plan_ladder(asked, DrillRack(drills=all_drills()))
    assert caught.value.problems[0].code == code


def test_shop_without_drills():
    with pytest.raises(NotPossible) as caught:
        plan_ladder(AskedHole(final=3.0, stack=(1.0,)), DrillRack(drills=()))
    assert caught.value.problems[0].code == "DRILLING-001"


def shop(text):
    return drills_of(parse_shop(text, Path("shop.toml")))


def test_shop_file_lists_what_it_has():
    found = shop(
        '[drills]\nsets = ["number"]\nsingle = ["F"]\nmissing = ["#30"]\n'
        '[[drills.reamers]]\nname = "r"\ndiameter = "0.1895 in"\n'
    )
    have = {d.name for d in found.drills}
    assert {"#40", "F"} <= have
    assert not {"#30", "1/8 in"} & have
    assert found.reamers[0].diameter == pytest.approx(0.1895 * IN)
    assert len(shop("").drills) == len(all_drills())


@pytest.mark.parametrize(
    ("text", "phrase"),
    [
        ('[drills]\nsets = ["numbers"]', "no set `numbers`"),
        ('[drills]\nsets = "number"', "isn't a list"),
        ('[drills]\nsingle = ["bit"]', "no drill's name"),
        ('[drills]\nset = ["number"]', "Did you mean `sets`"),
        ('[drills]\nstep_drills = ["a"]', "isn't a list of tools"),
        ('[[drills.step_drills]]\nsizes = ["1/4 in", "1/8 in"]\nstep_height = "3 mm"', "rise"),
        ('[[drills.step_drills]]\nsizes = ["1/8 in", "1/4 in"]', "step_height"),
        ('[[drills.reamers]]\nname = "r"', "diameter"),
    ],
)
def test_what_is_wrong_in_the_shop_file(text, phrase):
    with pytest.raises(BadInput) as caught:
        shop(text)
    assert phrase in str(caught.value)
    assert {p.code for p in caught.value.problems} == {"SHOP-008"}
