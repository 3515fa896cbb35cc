"""Random jobs: every file that is written passes both proofs, whatever machine it is for."""

import random
from dataclasses import replace

import pytest

from blankwright.cutting.machine import Dialect, FileUnits
from blankwright.cutting.proof import prove
from blankwright.cutting.sampled import second_proof
from blankwright.files.gcode_read import read_machine_file
from blankwright.files.gcode_second import read_tracks
from cutting_samples import (
    MACHINE,
    SETTINGS,
    SMALL_BIT,
    job_of,
    placed,
    random_part,
    written,
)


def random_job(seed):
    rng = random.Random(seed)
    parts = [
        placed(random_part(rng, f"p{i}"), 10 + 190 * (i % 2), 10 + 140 * (i // 2))
        for i in range(rng.randint(1, 4))
    ]
    machine = replace(
        MACHINE,
        units=rng.choice(list(FileUnits)),
        dialect=rng.choice(list(Dialect)),
        drill_cycles=rng.random() < 0.5,
        cutters=(*MACHINE.cutters, SMALL_BIT),
    )
    settings = replace(SETTINGS, climb=rng.random() < 0.7)
    return job_of(*parts), machine, settings


@pytest.mark.parametrize("seed", range(25))
def test_random_jobs_pass_both_proofs(seed):
    work, feeds, text = written(*random_job(seed))
    replay = read_machine_file(text)
    tracks, ended = read_tracks(text)
    assert prove(replay, work, feeds) == ()
    assert second_proof(tracks, ended, replay, work) == ()


@pytest.mark.parametrize("seed", range(25))
def test_a_cutter_thicker_or_thinner_than_planned_never_passes(seed):
    job, machine, settings = random_job(seed)
    work, feeds, _ = written(job, machine, settings)
    rng = random.Random(seed)
    error = rng.choice([-1, 1]) * rng.uniform(0.03, 0.4)
    cutters = tuple(
        replace(c, diameter=c.diameter + error) if c.number == 1 else c for c in machine.cutters
    )
    _, _, other = written(job, replace(machine, cutters=cutters), settings)
    codes = {f.code for f in prove(read_machine_file(other), work, feeds)}
    assert codes & ({"CUT-101"} if error < 0 else {"CUT-102", "CUT-103"})


@pytest.mark.parametrize("seed", range(8))
def test_the_same_job_gives_the_same_bytes(seed):
    assert written(*random_job(seed))[2] == written(*random_job(seed))[2]


@pytest.mark.parametrize("seed", range(12))
def test_a_line_left_out_of_the_last_pass_never_passes(seed):
    """Leaving out any one cutting line of full depth must be noticed."""
    work, feeds, text = written(*random_job(seed))
    lines = text.splitlines()
    start = next(i for i, line in enumerate(lines) if ": outside" in line)
    # A line that begins and ends a move of its own, between two others of the same depth.
    candidates = [
        i
        for i in range(start + 2, len(lines) - 2)
        if all(lines[k].startswith(("G1 X", "G2 X", "G3 X")) for k in (i - 1, i, i + 1))
        and lines[i].startswith(("G2", "G3"))
        and not any("Z" in lines[k] for k in (i - 1, i, i + 1))
    ]
    if not candidates:
        pytest.skip("no arc between two moves of one depth in this job")
    last = candidates[-1]
    spoiled = "\n".join([*lines[:last], *lines[last + 1 :], ""])
    try:
        replay = read_machine_file(spoiled)
    except ValueError:
        return
    assert prove(replay, work, feeds)
