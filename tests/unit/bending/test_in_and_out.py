"""Ways in and out, by the planner's sweeps and by the collision library's samples."""

from __future__ import annotations

from dataclasses import replace

import pytest

import bend_shops
from bend_shops import block, brake, planned, press, vise
from blankwright.bending.clashes import clashes_of
from blankwright.bending.stages import INS, OUTS, Stage
from blankwright.bending.sweep import play
from blankwright.files.bend_in_out import in_and_out

DEEP = 4.0
"""What is deeper than this the library's samples can't miss: they lie closer together where the
part is in the tool [mm]."""

SHOPS = {
    "brake": (brake(),),
    "brake open behind": (brake(behind_open=True, beam=()),),
    "vise": (vise(bar_depth=20.0),),
    "block": (block(),),
    "press": (press(),),
}


def verdicts(plan):
    """For every step and way in or out that its tool has: what the planner says and the library."""
    tables = plan.rooms.tables
    for step in plan.steps:
        for name, stages in (("put_in", INS), ("take_out", OUTS)):
            for stage in stages:
                if not tables.has(step.way, stage):
                    continue
                tried = replace(step, **{name: stage})
                _, met = in_and_out(plan.blank, tried, play(plan.blank.thickness) + 0.1, 60)
                clashes = clashes_of(tables, step.way, stage, step.before)
                yield stage, clashes, [place for place, _, at in met if at is stage]


@pytest.mark.slow
@pytest.mark.parametrize("name", SHOPS)
def test_the_library_agrees_with_the_planner(name):
    clear = blocked = 0
    parts = [bend_shops.small_random_part(900 + seed, most=3) for seed in range(4)]
    parts += [bend_shops.hook(), bend_shops.hat(crown=75.0)]
    for part in parts:
        for stage, clashes, met in verdicts(planned(part, *SHOPS[name])):
            if met:
                # The bar may also meet what stands beside where it must be: that has no clash.
                assert clashes or stage not in (Stage.IN_END, Stage.OUT_END)
                blocked += 1
            elif clashes:
                assert clashes[0].depth < DEEP, (part.name, stage, clashes[0])
            else:
                clear += 1
    assert clear > 3
    assert blocked > 0 or name == "vise"
