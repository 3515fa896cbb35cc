"""Files spoiled by single edits at random: the proofs catch each, or it does no harm.

Whether an edit that passes the proofs does harm is worked out in a third way, by what is left of
the metal as polygons at three heights (`spoiling.harm_done`).
"""

from dataclasses import replace

import pytest

from blankwright.base.errors import BadInput
from blankwright.cutting.job import BendMarks, CutSettings, SheetJob
from blankwright.cutting.machine import FileUnits, ToolChange
from blankwright.cutting.proof import prove
from blankwright.cutting.sampled import second_proof
from blankwright.files.gcode_read import read_machine_file
from blankwright.files.gcode_second import read_tracks
from blankwright.geom.loop import Loop
from cutting_samples import MACHINE, clamp, job_of, placed, plate, sheet, usual_plate, written
from spoiling import IN_LINE, WHOLE, harm_done, spoiled

PEN = CutSettings(bend_marks=BendMarks.PEN)


def usual():
    return job_of(usual_plate(), on=sheet(clamps=[clamp(300, 0, 340, 30)]))


def nested():
    host = plate("host", (15, 15), (150, 110), [Loop.rectangle(30, 25, 120, 85)])
    small = placed(plate("small", size=(40, 25), holes=[Loop.circle((20, 12), 1.6)]), 65, 55)
    return SheetJob(
        name="nested", sheet=sheet(clamps=[clamp(180, 0, 230, 20)]), parts=(host, small)
    )


CASES = {
    "mm, cycles": (usual, MACHINE, 1),
    "inch, plain moves": (
        usual,
        replace(MACHINE, units=FileUnits.INCH, drill_cycles=False),
        2,
    ),
    "a part in a part, changed by the machine": (
        nested,
        replace(MACHINE, tool_change=ToolChange.BY_MACHINE),
        3,
    ),
}


def caught(text, work, feeds):
    """Return why a file is refused; nothing when it passes."""
    try:
        replay = read_machine_file(text)
        tracks, ended = read_tracks(text)
    except BadInput as error:
        return [str(problem) for problem in error.problems]
    found = (*prove(replay, work, feeds), *second_proof(tracks, ended, replay, work))
    return [finding.code for finding in found]


def check(case, count):
    make, machine, seed = CASES[case]
    work, feeds, text = written(make(), machine, PEN)
    assert not caught(text, work, feeds)
    good, _ = read_tracks(text)
    assert harm_done(good, good, work) == []
    refused, kinds, harmful = 0, set(), []
    for what, bad in spoiled(text, seed, count):
        kinds.add(what.split(", line")[0])
        if caught(bad, work, feeds):
            refused += 1
            continue
        harm = harm_done(good, read_tracks(bad)[0], work)
        if harm:
            harmful.append((what, harm))
    assert harmful == []
    assert refused >= 0.6 * count
    if count >= 100:
        assert kinds == {*IN_LINE, *WHOLE}


@pytest.mark.parametrize("case", CASES)
def test_a_few_edits_at_random(case):
    check(case, 25)


@pytest.mark.slow
@pytest.mark.parametrize("case", CASES)
def test_many_edits_at_random(case):
    check(case, 400)


def test_harm_is_seen_when_there_is_some():
    """The third way is no rubber stamp: it sees what the named spoilings do."""
    work, _, text = written(usual(), MACHINE, PEN)
    good, _ = read_tracks(text)
    for old, new in [
        ("X18.4125 Y100.0000", "X18.4625 Y100.0000"),
        ("Z-1.3160", "Z-0.9000"),
        ("G1 Z-0.7112\n", ""),
        ("M3 S12031", "M5"),
        ("F180", "F900"),
    ]:
        assert old in text
        assert harm_done(good, read_tracks(text.replace(old, new))[0], work), old
