"""The proof of machine files: good files pass, and every way of spoiling one is caught."""

import re
from dataclasses import replace

import pytest

from blankwright.base.errors import BadInput
from blankwright.cutting.job import BendMarks, SheetJob
from blankwright.cutting.machine import Dialect, FileUnits, ToolChange
from blankwright.cutting.program import program_for
from blankwright.cutting.proof import prove, prove_dry_run
from blankwright.cutting.sampled import second_proof
from blankwright.cutting.steps import dry_run
from blankwright.files.gcode_out import machine_text
from blankwright.files.gcode_read import read_machine_file
from blankwright.files.gcode_second import read_tracks
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from cutting_samples import (
    MACHINE,
    SETTINGS,
    clamp,
    job_of,
    placed,
    plate,
    sheet,
    usual_plate,
    written,
)

PEN_SETTINGS = replace(SETTINGS, bend_marks=BendMarks.PEN)


def codes_of_first(text, work, feeds):
    try:
        replay = read_machine_file(text)
    except BadInput as error:
        return {problem.code for problem in error.problems}
    return {finding.code for finding in prove(replay, work, feeds)}


def codes_of_second(text, work):
    try:
        tracks, ended = read_tracks(text)
        replay = read_machine_file(text)
    except BadInput as error:
        return {problem.code for problem in error.problems}
    return {finding.code for finding in second_proof(tracks, ended, replay, work)}


@pytest.fixture(scope="module")
def good():
    job = job_of(usual_plate(), on=sheet(clamps=[clamp(300, 0, 340, 30)]))
    return written(job, MACHINE, PEN_SETTINGS)


def test_the_good_file_passes_both_proofs(good):
    work, feeds, text = good
    assert codes_of_first(text, work, feeds) == set()
    assert codes_of_second(text, work) == set()


def once(text, old, new, which=0):
    """Replace one of several places where a text is found, which must be there."""
    places = [m.start() for m in re.finditer(re.escape(old), text)]
    at = places[which]
    return text[:at] + new + text[at + len(old) :]


def outside(text):
    return text.index("(plate: outside")


def in_outside(text, old, new, which=0):
    at = outside(text)
    return text[:at] + once(text[at:], old, new, which)


def left_side_at(text, x):
    """Move the points within the left side, beside its tab, and leave its ends."""
    return re.sub(r"G1 X18\.4125 Y(?!100|20)", f"G1 X{x} Y", text)


def without_first_pass(text):
    """Begin the outside at the second pass: straight to full depth, round the way in only once."""
    at = outside(text)
    head, body = text[:at], text[at:].splitlines()
    first = next(i for i, line in enumerate(body) if "Z-0.6580" in line)
    second = next(i for i, line in enumerate(body) if i > first and line.startswith("G3"))
    return head + "\n".join([*body[: first + 1], *body[second:]])


def openings_last(text):
    first, out = text.index("(plate: opening"), outside(text)
    end = text.index("(Up, spindle off")
    return text[:first] + text[out:end] + text[first:out] + text[end:]


def no_lifts(text):
    return re.sub(r"G1 Z-0\.7112\n", "", text)


def shallow_tabs(text):
    return text.replace("G1 Z-0.7112\n", "G1 Z-0.9500\n")


SPOILED = {
    "a point of a side moved into the part by 0.05 mm": (
        lambda t: left_side_at(t, "18.4625"),
        {"CUT-101"},
    ),
    "a point of a side moved into the part by 0.012 mm": (
        lambda t: left_side_at(t, "18.4245"),
        {"CUT-101"},
    ),
    "a point of a side moved off the part by 0.05 mm": (
        lambda t: left_side_at(t, "18.3625"),
        {"CUT-102"},
    ),
    "an arc turned the other way": (
        lambda t: in_outside(t, "G2 X20.0", "G3 X20.0", -1),
        {"CUT-101"},
    ),
    "an arc with its centre on the wrong side": (
        lambda t: in_outside(t, "I1.5875", "I-1.5875"),
        {"CUT-110"},
    ),
    "an arc written as a straight line": (
        lambda t: re.sub(r"G3 (X\S+ Y\S+) I\S+ J\S+", r"G1 \1", t),
        {"CUT-102"},
    ),
    "a feed along a side half as fast again as the cutter stands": (
        lambda t: in_outside(t, "F180", "F270"),
        {"CUT-109"},
    ),
    "a spindle slower than the feed is for": (
        lambda t: once(t, "S12031", "S9000"),
        {"CUT-109"},
    ),
    "a rapid plunge": (lambda t: once(t, "G1 Z0.0000 F45", "G0 Z-0.6000"), {"CUT-105"}),
    "a rapid move through the work": (
        lambda t: in_outside(t, "G1 X20.0000 Y18.4125", "G0 X20.0000 Y18.4125", -1),
        {"CUT-105"},
    ),
    "a rapid move sideways before it is up": (
        lambda t: once(t, "G0 Z10.0000\n(plate: opening", "(plate: opening", -1),
        {"CUT-105"},
    ),
    "not through the sheet": (lambda t: t.replace("Z-1.3160", "Z-0.9900"), {"CUT-102"}),
    "too deep": (lambda t: t.replace("Z-1.3160", "Z-1.9000"), {"CUT-108", "CUT-114"}),
    "into the machine's table": (lambda t: t.replace("Z-1.3160", "Z-8.0000"), {"CUT-108"}),
    "tabs cut through": (no_lifts, {"CUT-103"}),
    "tabs too thin": (shallow_tabs, {"CUT-103"}),
    "the wrong unit": (lambda t: t.replace("G21", "G20"), {"CUT-106", "CUT-110"}),
    "no unit": (lambda t: t.replace("G21 ", ""), {"CUT-110"}),
    "positions that add up": (lambda t: t.replace("G90", "G91"), {"CUT-110"}),
    "the spindle never started": (lambda t: t.replace("M3 S12031", "M5"), {"CUT-111"}),
    "the spindle too fast": (lambda t: t.replace("M3 S12031", "M3 S30000"), {"CUT-109"}),
    "a feed over the machine's": (lambda t: t.replace("F180", "F5000"), {"CUT-109"}),
    "a plunge at full feed": (lambda t: t.replace(" F45", " F180"), {"CUT-109"}),
    "no feed": (lambda t: re.sub(r" F\d+", "", t), {"CUT-110"}),
    "the wrong cutter": (lambda t: t.replace("T1\n", "T3\n"), {"CUT-102"}),
    "an unknown cutter": (lambda t: t.replace("T1\n", "T9\n"), {"CUT-118"}),
    "a changed cutter while the spindle turns": (
        lambda t: once(t, "M5\nT1", "T1"),
        {"CUT-110"},
    ),
    "no end": (lambda t: t.replace("M30", ""), {"CUT-119"}),
    "a file cut short": (
        lambda t: t[: outside(t) + 400].rsplit("\n", 1)[0],
        {"CUT-119", "CUT-102"},
    ),
    "a drilled hole left out": (
        lambda t: t.replace("G81 X125.0000 Y35.0000", "G81 X35.0000 Y35.0000"),
        {"CUT-112"},
    ),
    "a drilled hole moved by 0.05 mm": (
        lambda t: t.replace("G81 X125.0000", "G81 X125.0500"),
        {"CUT-101", "CUT-112"},
    ),
    "a drilled hole not through": (
        lambda t: t.replace("Y35.0000 Z-2.2966", "Y35.0000 Z-1.2000"),
        {"CUT-112"},
    ),
    "a spot mark left out": (lambda t: re.sub(r"G81 X35\S+ Y85\S+.*\n", "", t), {"CUT-112"}),
    "a spot mark too deep": (lambda t: t.replace("Z-0.3000 R", "Z-1.2500 R"), {"CUT-101"}),
    "a cycle that begins inside the work": (
        lambda t: t.replace("R1.0000", "R-0.1000"),
        {"CUT-105"},
    ),
    "a pen mark moved": (
        lambda t: t.replace("X52.0000 Y21.0000", "X53.0000 Y21.0000"),
        {"CUT-113"},
    ),
    "openings after the outside": (openings_last, {"CUT-115"}),
    "an unknown word": (lambda t: t.replace("G40", "G41"), {"CUT-110"}),
    "two words that contradict": (lambda t: t.replace("G21 ", "G21 G20 "), {"CUT-110"}),
    "something that is no word": (lambda t: in_outside(t, "G1 ", "G1 ?"), {"CUT-110"}),
    "the first pass left out": (without_first_pass, {"CUT-114"}),
    "a rapid move down to the sheet's face": (
        lambda t: in_outside(t, "G1 Z0.0000 F45", "G0 Z0.0000"),
        {"CUT-105"},
    ),
    "a rapid move sideways under the safe height": (
        lambda t: once(t, "G0 Z10.0000\n(plate: opening", "G0 Z4.0000\n(plate: opening", -1),
        {"CUT-120"},
    ),
    "a cutter changed low over the sheet": (
        lambda t: once(t, "G0 Z10.0000\n(Cutter 4", "G0 Z2.0000\n(Cutter 4"),
        {"CUT-120"},
    ),
    "a start low over the sheet": (lambda t: once(t, "G0 Z10.0000", "G0 Z2.0000"), {"CUT-120"}),
    "an end low over the sheet": (
        lambda t: once(t, "end)\nG0 Z10.0000", "end)\nG0 Z3.0000"),
        {"CUT-120"},
    ),
    "the spindle still turning at the end": (
        lambda t: once(t, "M5\nG0 X0.0000", "G0 X0.0000", -1),
        {"CUT-119"},
    ),
    "no time for the spindle to come up to speed": (
        lambda t: once(t, "G4 P5.0\n", "", -1),
        {"CUT-121"},
    ),
    "a wait before the spindle starts": (
        lambda t: once(t, "M3 S12031\nG4 P5.0", "G4 P5.0\nM3 S12031"),
        {"CUT-121"},
    ),
    "a change by the machine where it is done by hand": (
        lambda t: once(t, "M0\nM3 S12031", "M6\nM3 S12031"),
        {"CUT-118"},
    ),
    "a way down steeper than the ramp": (
        lambda t: re.sub(r"(\(plate: outside.*\n(?:.*\n){4})G3.*\nG3.*\n", r"\1", t),
        {"CUT-117"},
    ),
    "a cut so slow that it rubs": (lambda t: in_outside(t, "F180", "F20"), {"CUT-109"}),
    "a ramp at the feed along": (lambda t: in_outside(t, "F45", "F90", 1), {"CUT-109"}),
    "a router bit as deep as the drill": (
        lambda t: in_outside(t, "Z-1.3160", "Z-1.5160", -1),
        {"CUT-108"},
    ),
    "a pen pressed too hard": (lambda t: once(t, "Z-0.5000", "Z-0.9000"), {"CUT-108"}),
    "a pen held up": (lambda t: once(t, "Z-0.5000", "Z-0.1000"), {"CUT-113"}),
    "no plane": (lambda t: t.replace("G17 ", ""), {"CUT-110"}),
    "no work zero": (lambda t: t.replace("G54\n", ""), {"CUT-110"}),
    "a cycle that has not said how high it comes up": (
        lambda t: t.replace("G98\n", ""),
        {"CUT-110"},
    ),
    "coolant that nobody asked for": (lambda t: once(t, "G80\n", "M8\n", 1), {"CUT-110"}),
    "a straight plunge": (
        lambda t: in_outside(t, "G1 Z0.0000 F45", "G1 Z0.0000 F45\nG1 Z-0.6500"),
        {"CUT-117"},
    ),
}


@pytest.mark.parametrize("spoiling", SPOILED)
def test_every_spoiled_file_is_caught(good, spoiling):
    work, feeds, text = good
    spoil, expected = SPOILED[spoiling]
    spoiled = spoil(text)
    assert spoiled != text, "the spoiling changed nothing"
    assert expected & codes_of_first(spoiled, work, feeds)


GEOMETRY = [
    "a point of a side moved into the part by 0.05 mm",
    "a point of a side moved off the part by 0.05 mm",
    "an arc turned the other way",
    "an arc with its centre on the wrong side",
    "an arc written as a straight line",
    "a rapid plunge",
    "a rapid move through the work",
    "a rapid move sideways before it is up",
    "not through the sheet",
    "the wrong unit",
    "the wrong cutter",
    "a file cut short",
    "an unknown word",
    "a spot mark too deep",
]


@pytest.mark.parametrize("spoiling", GEOMETRY)
def test_the_second_reader_catches_spoiled_geometry_by_itself(good, spoiling):
    work, _, text = good
    spoiled = SPOILED[spoiling][0](text)
    # Hand it its own replay of the good file: it must find the fault without the first reader.
    replay = read_machine_file(text)
    try:
        tracks, ended = read_tracks(spoiled)
    except BadInput:
        return
    codes = {f.code for f in second_proof(tracks, ended, replay, work)} - {"CUT-116"}
    assert codes


@pytest.mark.parametrize("error", [-0.2, -0.024, 0.024, 0.2])
def test_a_file_for_a_cutter_of_another_diameter_is_caught(error):
    job = job_of(usual_plate())
    work, feeds, _ = written(job)
    other = replace(MACHINE.cutters[0], diameter=3.175 + error)
    _, _, text = written(job, replace(MACHINE, cutters=(other, *MACHINE.cutters[1:])))
    expected = "CUT-101" if error < 0 else "CUT-102"
    assert expected in codes_of_first(text, work, feeds)
    if abs(error) > 0.1:
        assert expected in codes_of_second(text, work)


def test_readers_that_disagree_are_noticed(good):
    work, _, text = good
    tracks, ended = read_tracks(text.replace("X35.0000", "X35.0100"))
    found = second_proof(tracks, ended, read_machine_file(text), work)
    assert "CUT-116" in {f.code for f in found}


def test_a_clamp_in_the_way_is_caught_in_cuts_and_in_low_rapids():
    job = job_of(usual_plate())
    work, feeds, text = written(job)
    for where in (clamp(60, 10, 80, 15), clamp(200, 0, 260, 20)):
        clamped = replace(work, job=replace(job, sheet=sheet(clamps=[where])))
        spoiled = text.replace("G0 X0.0000 Y0.0000\nM30", "G0 Z3.0\nG0 X230 Y10\nM30")
        assert "CUT-104" in codes_of_first(spoiled, clamped, feeds)
        assert "CUT-104" in codes_of_second(spoiled, clamped)


def test_a_cut_past_the_edge_of_the_sheet_is_caught():
    work, feeds, text = written(job_of(usual_plate()))
    small = replace(work, job=replace(work.job, sheet=sheet(141.0, 300.0)))
    assert "CUT-107" in codes_of_first(text, small, feeds)
    assert "CUT-107" in codes_of_second(text, small)


def test_a_machine_too_small_is_caught():
    work, feeds, text = written(job_of(usual_plate()))
    small = replace(work, machine=replace(MACHINE, travel=(140.0, 600.0, 80.0)))
    assert "CUT-106" in codes_of_first(text, small, feeds)
    assert "CUT-106" in codes_of_second(text, small)


@pytest.mark.parametrize("units", FileUnits)
@pytest.mark.parametrize("dialect", Dialect)
@pytest.mark.parametrize("cycles", [True, False])
@pytest.mark.parametrize("change", ToolChange)
def test_every_way_of_writing_passes_both_proofs(units, dialect, cycles, change):
    machine = replace(
        MACHINE, units=units, dialect=dialect, drill_cycles=cycles, tool_change=change
    )
    work, feeds, text = written(job_of(usual_plate()), machine, PEN_SETTINGS)
    assert ("G81" in text) == cycles
    assert ("M6" in text) == (change is ToolChange.BY_MACHINE)
    assert codes_of_first(text, work, feeds) == set()
    assert codes_of_second(text, work) == set()


def test_inch_and_millimetre_files_go_the_same_way():
    ways = []
    for units in FileUnits:
        _, _, text = written(job_of(usual_plate()), replace(MACHINE, units=units))
        ways.append(read_machine_file(text).motions)
    assert len(ways[0]) == len(ways[1])
    for a, b in zip(*ways, strict=True):
        assert a.edge.point(1.0) == pytest.approx(b.edge.point(1.0), abs=0.002)
        assert a.z1 == pytest.approx(b.z1, abs=2e-4)


def test_climb_keeps_the_part_right_of_travel_and_the_other_way_left():
    for climb, sign in ((True, -1), (False, 1)):
        work, _, _ = written(job_of(usual_plate()), MACHINE, replace(SETTINGS, climb=climb))
        for profile in work.profiles:
            around = profile.path.area > 0
            assert around == ((sign > 0) == profile.outside)


def test_the_dry_run_is_the_same_way_above_the_work():
    job = job_of(usual_plate(), on=sheet(clamps=[clamp(300, 0, 340, 30)]))
    work, _, text = written(job)
    program, _, _ = program_for(work)
    dry = machine_text(dry_run(program, min(work.bottom, -2.3), 10.0), MACHINE)
    real, shown = read_machine_file(text), read_machine_file(dry)
    assert prove_dry_run(shown, real, work) == ()
    assert all(motion.rpm == 0 and motion.low > 8.0 for motion in shown.motions)
    low = machine_text(dry_run(program, min(work.bottom, -2.3), 5.0), MACHINE)
    assert {f.code for f in prove_dry_run(read_machine_file(low), real, work)} == {"CUT-105"}
    turning = dry.replace("G54", "G54\nM3 S9000")
    found = prove_dry_run(read_machine_file(turning), real, work)
    assert {f.code for f in found} == {"CUT-109"}
    shifted = read_machine_file(dry.replace("X35.0000", "X36.0000"))
    assert "CUT-116" in {f.code for f in prove_dry_run(shifted, real, work)}


def test_parts_inside_a_cut_out_come_before_it():
    host = plate("host", (10, 10), (200, 150), [Loop.rectangle(30, 30, 170, 120)])
    small = placed(plate("small", size=(60, 40)), 70, 60)
    job = SheetJob(name="nested", sheet=sheet(), parts=(host, small))
    work, feeds, text = written(job)
    assert text.index("(small: outside") < text.index("(host: opening")
    assert codes_of_first(text, work, feeds) == set()
    late = text.index("(small: outside"), text.index("(host: opening"), text.index("(host: outs")
    swapped = text[: late[0]] + text[late[1] : late[2]] + text[late[0] : late[1]] + text[late[2] :]
    assert "CUT-115" in codes_of_first(swapped, work, feeds)


def test_a_part_turned_by_an_odd_angle_passes():
    part = usual_plate()
    turned = replace(
        part,
        region=part.region.moved(Move.turn(0.7)),
        bends=tuple(b.moved(Move.turn(0.7)) for b in part.bends),
    )
    work, feeds, text = written(job_of(placed(turned, 15, 15)))
    assert codes_of_first(text, work, feeds) == set()
    assert codes_of_second(text, work) == set()
