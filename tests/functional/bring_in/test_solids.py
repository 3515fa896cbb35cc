"""Bent solids brought in: a part file for each sheet part, and why others are none."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

import kernel_shapes as ks
from blankwright.base.errors import BlankwrightError
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.files.partfile import read_part_text
from blankwright.jobs.bring_in import keep, look_at
from blankwright.jobs.bring_in_asked import Asked, read_bend_asked
from blankwright.jobs.items import chosen
from blankwright.jobs.outputs import make_outputs
from blankwright.jobs.part_state import state_of
from blankwright.jobs.project import start_project

K = 0.44
STATED = Asked(alloy="6061-T6", k=str(K))


def strip(legs, bends, thickness=1.0, width=50.0):
    return ks.strip_section(list(legs), list(bends), thickness, width)


def developed(legs, bends, thickness=1.0):
    """Closed form: the flats and the neutral fibre of each bend."""
    return sum(legs) + sum(math.radians(abs(a)) * (r + K * thickness) for a, r in bends)


def brought(solid, asked=STATED, name="part.step"):
    data = ks.step_of(solid)
    found = look_at(data, name, asked)
    (candidate,) = found.candidates
    assert candidate.ready, (candidate.questions, candidate.problems)
    return read_part_text(candidate.text, "part", drawings={found.drawing: data}), found


SHAPES = {
    "angle": ((30, 40), ((90, 3),)),
    "channel": ((25, 50, 25), ((90, 3), (90, 3))),
    "zed": ((30, 20, 40), ((60, 5), (-60, 5))),
    "two bends that meet": ((30, 0, 40), ((60, 5), (-60, 5))),
    "hem": ((30, 10), ((180, 0.5),)),
    "roll of 270": ((30, 0), ((270, 8),)),
    "curled end": ((30, 20, 0), ((90, 3), (45, 10))),
}


@pytest.mark.parametrize("name", SHAPES)
def test_sections_have_their_closed_form_length(name):
    legs, bends = SHAPES[name]
    part, _ = brought(strip(legs, bends))
    blank = develop_blank(part)
    assert sorted(blank.size)[-1] == pytest.approx(max(50.0, developed(legs, bends)), abs=1e-6)
    assert blank.outline.area == pytest.approx(50.0 * developed(legs, bends), abs=1e-4)
    assert sum(bend.angle for bend in blank.bends) == pytest.approx(
        sum(math.radians(abs(a)) for a, _ in bends), abs=1e-9
    )
    assert all(bend.angle <= math.pi + 1e-9 for bend in blank.bends)
    state = state_of(part)
    # The hem is bent sharper than the tables allow; all else is sound.
    blocking = {finding.code for finding in state.findings if finding.blocks}
    assert blocking <= {"BEND-001"}, state.findings
    assert form(blank).box is not None


@pytest.mark.slow
@pytest.mark.parametrize("name", ["two bends that meet", "roll of 270", "curled end"])
def test_their_files_are_made_and_proved(name, tmp_path):
    project = start_project(tmp_path / "p")
    legs, bends = SHAPES[name]
    keep(project, look_at(ks.step_of(strip(legs, bends)), "part.step", STATED))
    (item,) = chosen(project, ())
    made = make_outputs(project, item)
    assert not made.blocked, made.findings
    assert len(made.files) >= 8


def test_a_part_file_for_each_sheet_part_and_why_others_are_none(tmp_path):
    block = ks.box(200, 0, 0, 260, 40, 30)
    data = ks.step_of(strip((30, 40), ((90, 3),)), block, strip((20, 20), ((45, 2),)))
    found = look_at(data, "assembly.step", STATED)
    assert len(found.candidates) == 2
    assert len(found.refused) == 1
    assert all("solid" in candidate.text for candidate in found.candidates)
    assert len({candidate.name for candidate in found.candidates}) == 2
    assert found.refused[0][1]
    project = start_project(tmp_path / "p")
    names = keep(project, found)
    assert [item.name for item in chosen(project, ())] == sorted(names)
    for item in chosen(project, ()):
        assert len(item.read().bends) == 1


def test_only_blocks(tmp_path):
    found = look_at(ks.step_of(ks.box(0, 0, 0, 60, 40, 30)), "block.step", STATED)
    assert not found.candidates
    with pytest.raises(BlankwrightError):
        keep(start_project(tmp_path / "p"), found)


def test_alloy_is_asked_for():
    found = look_at(ks.step_of(strip((30, 40), ((90, 3),))), "part.step", Asked())
    (candidate,) = found.candidates
    assert [question.key for question in candidate.questions] == ["alloy"]


def test_what_a_blank_can_not_show_is_noted():
    plate = ks.cut(
        ks.box(0, 0, 0, 60, 40, 2.0),
        ks.cone(30, 20, 0.5, 1.6, 3.1, 1.5),
        ks.rod(30, 20, -1, 1.6, 4),
    )
    part, _ = brought(plate)
    (sink,) = [f for f in part.source.findings if f.code == "SOURCE-008"]
    assert "countersink 90°" in sink.got
    blank = develop_blank(part)
    (hole,) = blank.outline.holes
    assert hole.as_circle.radius == pytest.approx(1.6, abs=1e-6)
    # The place told is a place on the blank.
    x, y = hole.as_circle.center
    assert f"({x:.2f}, {y:.2f})" in sink.got


def faults(solid, old, new):
    data = ks.step_of(solid)
    found = look_at(data, "part.step", STATED)
    text = found.candidates[0].text
    assert old in text
    with pytest.raises(BlankwrightError) as error:
        read_part_text(text.replace(old, new), "part", drawings={found.drawing: data})
    return {problem.code for problem in error.value.problems}


def test_faults_of_a_part_from_a_solid():
    angle = strip((30, 40), ((90, 3),))
    assert faults(angle, '"1 mm"', '"1.2 mm"') == {"SOURCE-016"}
    assert faults(angle, "[sheet]", 'solid = "x"\n[sheet]') == {"SOURCE-017"}
    assert faults(angle, "[sheet]", 'units = "in"\n[sheet]') == {"PART-006"}
    assert faults(angle, "[sheet]", "[bends.lip]\nk = 0.4\n[sheet]") == {"PART-009"}
    assert faults(angle, "[sheet]", '[bends.bend-1]\nangle = "80 deg"\n[sheet]') == {"PART-006"}
    assert faults(angle, "k         = 0.44\n", "") == {"PART-003"}


def test_a_bend_of_a_solid_may_have_its_own_k_also_where_an_opening_runs_across():
    angle = strip((30, 40), ((90, 3),))
    data = ks.step_of(angle)
    found = look_at(data, "part.step", STATED)
    text = found.candidates[0].text + '\n[bends.bend-1]\nk = 0.3\nlast = "closes the box"\n'
    part = read_part_text(text, "part", drawings={found.drawing: data})
    assert part.bends[0].last == "closes the box"
    length = 70 + math.pi / 2 * (3 + 0.3)
    assert max(develop_blank(part).size) == pytest.approx(length, abs=1e-6)
    # A window that runs from flat to flat through the bend.
    window = ks.cut(angle, ks.box(25, 20, -5, 50, 36, 15))
    data = ks.step_of(window)
    found = look_at(data, "part.step", STATED)
    text = found.candidates[0].text + "\n[bends.bend-1]\nk = 0.3\n"
    blank = develop_blank(read_part_text(text, "part", drawings={found.drawing: data}))
    assert max(blank.size) == pytest.approx(length, abs=1e-6)
    strip_of = math.pi / 2 * (3 + 0.3)
    (opening,) = blank.outline.holes
    assert abs(opening.area) == pytest.approx(16 * (5 + strip_of + 11), abs=1e-6)


@pytest.mark.parametrize(
    "said",
    ["k 0.3", "allowance 5.183628 mm", "deduction 2.816372 mm", "deduction 0.11088079 in"],
)
def test_width_of_a_strip_as_others_state_it(said):
    """Closed form: 90°, R = 3, T = 1, k = 0.3: allowance π/2 · 3.3, deduction 2 · 4 less that."""
    data = ks.step_of(strip((30, 40), ((90, 3),)))
    asked = replace(STATED, k="", every_bend=read_bend_asked(said)[1])
    found = look_at(data, "part.step", asked)
    part = read_part_text(found.candidates[0].text, "part", drawings={found.drawing: data})
    blank = develop_blank(part)
    assert max(blank.size) == pytest.approx(70 + math.pi / 2 * 3.3, abs=2e-6)


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ('k = 0.3\ndeduction = "2 mm"', "PART-006"),
        ('deduction = "9 mm"', "SOURCE-022"),
        ('bend_allowance = "60 mm"', "SOURCE-022"),
        ('bend_allowance = "6"', "QTY-001"),
    ],
)
def test_width_of_a_strip_that_can_not_be(said, code):
    angle = strip((30, 40), ((90, 3),))
    assert code in faults(angle, "[sheet]", f"[bends.bend-1]\n{said}\n[sheet]")


@pytest.mark.parametrize("text", ["k 0.3 mm", "allowance 3.8", "deduction"])
def test_width_of_a_strip_that_can_not_be_read(text):
    with pytest.raises(BlankwrightError):
        read_bend_asked(text)
