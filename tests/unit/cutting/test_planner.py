"""Planning: which cutter does what, where tabs go, and what can't be done is told."""

import itertools
from dataclasses import replace

import pytest

from blankwright.base.errors import NotPossible
from blankwright.base.findings import Level
from blankwright.cutting.job import BendMarks, CutSettings, across_metal
from blankwright.cutting.passes import levels
from blankwright.cutting.planner import plan_work
from blankwright.cutting.proof import prove
from blankwright.cutting.stock import Material
from blankwright.cutting.tabs import place_tabs
from blankwright.cutting.work import PointKind
from blankwright.files.gcode_read import read_machine_file
from blankwright.geom.boolean import difference, union
from blankwright.geom.edges import Line
from blankwright.geom.loop import Loop
from blankwright.geom.region import Region
from blankwright.jobs.cutting_machine import make_machine_file
from cutting_samples import (
    BIT,
    MACHINE,
    PEN,
    SETTINGS,
    SMALL_BIT,
    SPOT,
    clamp,
    job_of,
    plate,
    sheet,
    usual_plate,
    written,
)


def codes(work):
    return {(f.code, f.level) for f in work.findings}


def test_each_hole_gets_the_cutter_that_suits_it():
    work = plan_work(job_of(usual_plate()), MACHINE, SETTINGS)
    kinds = [(p.kind, round(p.hole, 2)) for p in work.points]
    assert kinds.count((PointKind.DRILL, 3.26)) == 2
    assert kinds.count((PointKind.SPOT, 2.4)) == 1
    assert [(p.loop, p.cutter.number) for p in work.profiles] == [(4, 1), (5, 1), (0, 1)]


def test_a_smaller_bit_is_taken_where_the_large_one_does_not_fit():
    machine = replace(MACHINE, cutters=(BIT, SMALL_BIT, SPOT))
    part = plate(holes=[Loop.slot((60, 40), 20, 2.0), Loop.circle((20, 20), 1.0)])
    work = plan_work(job_of(part), machine, SETTINGS)
    assert {p.loop: p.cutter.number for p in work.profiles} == {1: 2, 2: 2, 0: 1}


def test_an_opening_too_narrow_for_every_bit_stops_the_file():
    work = plan_work(job_of(plate(holes=[Loop.slot((60, 40), 20, 1.0)])), MACHINE, SETTINGS)
    assert ("CUT-001", Level.STOP) in codes(work)


def test_a_small_hole_without_a_spot_drill_is_left_out_and_told():
    machine = replace(MACHINE, cutters=(BIT,))
    work = plan_work(job_of(plate(holes=[Loop.circle((60, 40), 1.0)])), machine, SETTINGS)
    assert ("CUT-004", Level.ASK) in codes(work)
    assert work.points == ()


def test_a_slot_just_as_wide_as_the_cutter_is_cut():
    outer = difference(
        (Region(Loop.rectangle(20, 20, 140, 100)),),
        (Region(Loop.rectangle(60, 80, 60 + 3.175, 120)),),
    )[0]
    part = replace(plate(), region=outer)
    work, feeds, text = written(job_of(part))
    assert prove(read_machine_file(text), work, feeds) == ()
    path = next(p.path for p in work.profiles if p.outside)
    assert min(e.distance((61.5875, 83.0)) for e in path.edges) < 0.01
    # The same slot a hundredth narrower is out of reach, and that is told.
    narrow = difference(
        (Region(Loop.rectangle(20, 20, 140, 100)),),
        (Region(Loop.rectangle(60, 80, 60 + 3.16, 120)),),
    )[0]
    work = plan_work(job_of(replace(plate(), region=narrow)), MACHINE, SETTINGS)
    assert ("CUT-002", Level.ASK) in codes(work)


def test_a_sharp_inside_corner_is_told_by_how_much():
    ell = difference(
        (Region(Loop.rectangle(20, 20, 140, 100)),), (Region(Loop.rectangle(80, 60, 200, 200)),)
    )[0]
    work = plan_work(job_of(replace(plate(), region=ell)), MACHINE, SETTINGS)
    (finding,) = [f for f in work.findings if f.code == "CUT-002"]
    assert "0.66 mm" in finding.got  # R (√2 − 1) for R = 1.5875 mm
    assert finding.at == pytest.approx((80, 60), abs=1e-6)


def test_tabs_keep_off_bends_holes_and_corners():
    part = usual_plate()
    work = plan_work(job_of(part), MACHINE, SETTINGS)
    tabs = next(p.tabs for p in work.profiles if p.outside)
    assert len(tabs) == 3
    for tab in tabs:
        assert part.region.outer.distance(tab.at) < 1e-9
        for bend in part.bends:
            assert bend.distance_to_edge(tab.at) >= tab.half + 2.0
        for hole in part.region.holes:
            assert hole.distance(tab.at) >= tab.half + 4.0
        for x in (20, 140):
            for y in (20, 100):
                assert abs(tab.at[0] - x) + abs(tab.at[1] - y) >= tab.half + 1.0


def test_tabs_are_spread_round_the_part():
    loop = Loop.rectangle(0, 0, 200, 100)
    tabs = place_tabs(loop, 4, 3.0, 1.5, (), ())
    assert len(tabs) == 4
    for i, tab in enumerate(tabs):
        for other in tabs[:i]:
            gap = ((tab.at[0] - other.at[0]) ** 2 + (tab.at[1] - other.at[1]) ** 2) ** 0.5
            assert gap > 80


def test_a_round_part_has_no_straight_edge_for_tabs_and_that_is_told():
    part = replace(plate(), region=Region(Loop.circle((80, 80), 40)))
    work = plan_work(job_of(part), MACHINE, SETTINGS)
    assert ("CUT-005", Level.ASK) in codes(work)


def test_no_tab_stands_in_a_hollow_that_another_way_cuts():
    """A C nearly closed: its hollow is cut by a way of its own, through a slit too narrow."""
    cut = union(
        (Region(Loop.rectangle(50, 40, 110, 80)),), (Region(Loop.rectangle(79.5, 10, 80.5, 60)),)
    )
    outer = difference((Region(Loop.rectangle(20, 20, 140, 100)),), cut)[0]
    part = replace(plate(), region=outer)
    for count in (3, 12):
        work, feeds, text = written(job_of(part), settings=replace(SETTINGS, tab_count=count))
        assert len([p for p in work.profiles if p.outside]) == 2
        tabs = [tab for p in work.profiles for tab in p.tabs]
        assert len(tabs) >= 3
        assert not any(49 < tab.at[0] < 111 and 39 < tab.at[1] < 81 for tab in tabs)
        assert prove(read_machine_file(text), work, feeds) == ()


def neighbours(gap):
    """Three plates in a row; the middle one has neighbours on both long sides."""
    plates = [plate(f"p{i}", at=(20 + i * (60 + gap), 20), size=(60, 200)) for i in range(3)]
    return job_of(*plates)


@pytest.mark.parametrize("gap", [3.3, 6.0, 7.2, 8.0, 12.0])
def test_a_tab_ends_in_metal_that_no_other_cut_takes_away(gap):
    work = plan_work(neighbours(gap), MACHINE, SETTINGS)
    for profile in work.profiles:
        assert profile.tabs
        others = [p for p in work.profiles if p is not profile]
        for tab in profile.tabs:
            x, y = tab.at
            (x0, y0, x1, y1) = profile.outline.box
            out = (round((x > x1 - 1) - (x < x0 + 1)), round((y > y1 - 1) - (y < y0 + 1)))
            # Just beyond its own slot, as far as the middle of the web: is there metal?
            at = (x + out[0] * (3.175 + 0.5), y + out[1] * (3.175 + 0.5))
            for other in others:
                assert min(e.distance(at) for e in other.path.edges) > other.cutter.radius


def test_parts_nearer_than_the_cutter_is_wide_stop_the_file():
    told = [f for f in plan_work(neighbours(3.0), MACHINE, SETTINGS).findings if f.blocks]
    assert [(f.code, f.place) for f in told] == [("CUT-018", "p0"), ("CUT-018", "p1")]
    assert not any(f.blocks for f in plan_work(neighbours(3.2), MACHINE, SETTINGS).findings)


def test_a_part_hemmed_in_by_others_tells_that_its_tabs_have_nothing_to_end_in():
    rows = [
        plate(f"p{i}{j}", at=(20 + 64 * i, 20 + 64 * j), size=(60, 60))
        for i in range(3)
        for j in range(3)
    ]
    work = plan_work(job_of(*rows), MACHINE, SETTINGS)
    told = {f.place: f.got for f in work.findings if f.code == "CUT-005"}
    assert "room for 0 tabs" in told["p11"]


def test_the_cutter_goes_down_beside_the_outline_and_comes_up_off_it():
    holes = [Loop.circle((60, 40), 15), Loop.rectangle(20, 15, 35, 65)]
    work, feeds, text = written(job_of(plate(holes=holes)))
    assert all(profile.entry is not None for profile in work.profiles)
    part = work.job.parts[0].region
    motions = read_machine_file(text).motions
    down = [m for m in motions if not m.rapid and m.z1 < m.z0 and not m.vertical]
    assert down
    touching = 0
    for motion in down:
        # Each way down is an arc off the part; it touches it in a point at most.
        gap = part.distance_to_edge(motion.edge.point(0.5)) - 1.5875
        assert gap > 0.2
        ends = [part.distance_to_edge(motion.edge.point(t)) - 1.5875 for t in (0.0, 1.0)]
        touching += min(ends) < 1e-3
    assert touching
    for before, after in itertools.pairwise(motions):
        if after.rapid and after.vertical and after.z1 > after.z0 and before.low < -1:
            assert part.distance_to_edge(before.edge.end) > 1.5875 + 0.5
    assert prove(read_machine_file(text), work, feeds) == ()


def test_the_way_in_keeps_off_tabs_clamps_neighbours_and_the_sheet_s_edge():
    on = sheet(216.0, 245.0, clamps=[clamp(90, 232, 120, 245)])
    job = replace(neighbours(4.0), sheet=on)
    work, feeds, text = written(job)
    assert prove(read_machine_file(text), work, feeds) == ()
    for profile in work.profiles:
        if profile.entry is None:
            continue
        x, y = profile.entry.center
        reach = max(abs(profile.entry.at[0] - x), abs(profile.entry.at[1] - y)) + 1.5875
        for part in work.job.parts:
            assert part.region.distance_to_edge((x, y)) > reach - 0.01
        for tab in (t for p in work.profiles for t in p.tabs):
            assert ((tab.at[0] - x) ** 2 + (tab.at[1] - y) ** 2) ** 0.5 > reach + 1.5875
        assert min(x, y, 216 - x, 245 - y) >= reach
        assert on.clamps[0].region.distance_to_edge((x, y)) >= reach + 2.0


def test_no_tabs_when_none_are_wanted():
    work, feeds, text = written(job_of(usual_plate()), settings=replace(SETTINGS, tab_count=0))
    assert all(not p.tabs for p in work.profiles)
    assert ("CUT-014", Level.ASK) in codes(work)
    assert prove(read_machine_file(text), work, feeds) == ()


def test_the_waste_of_a_large_opening_is_held_by_tabs():
    part = plate(holes=[Loop.rectangle(20, 20, 100, 60)])
    work = plan_work(job_of(part), MACHINE, SETTINGS)
    assert len(next(p.tabs for p in work.profiles if p.loop == 1)) >= 2


@pytest.mark.parametrize("height", [8.0, 11.0, 25.0, 44.0])
def test_the_safe_height_is_raised_over_clamps_between_parts(height):
    parts = [plate("a", size=(60, 60)), plate("b", at=(150, 20), size=(60, 60))]
    job = job_of(*parts, on=sheet(clamps=[clamp(95, 0, 125, 300, height)]))
    file = make_machine_file(job, MACHINE, SETTINGS)
    assert not file.blocked
    crossing = [
        motion
        for motion in read_machine_file(file.text).motions
        if motion.rapid
        and min(motion.edge.start[0], motion.edge.end[0]) < 95
        and max(motion.edge.start[0], motion.edge.end[0]) > 125
    ]
    assert crossing
    assert all(motion.low >= max(10.0, height + 2.0) - 1e-9 for motion in crossing)
    dry = read_machine_file(file.dry).motions
    assert min(motion.low for motion in dry) > height
    assert max(motion.high for motion in dry) <= MACHINE.reach[2][1]


def test_a_clamp_higher_than_the_machine_can_go_over_stops_the_file():
    job = job_of(usual_plate(), on=sheet(clamps=[clamp(300, 0, 340, 30, 49.0)]))
    assert ("CUT-016", Level.STOP) in codes(plan_work(job, MACHINE, SETTINGS))


def test_a_clamp_too_near_and_a_part_too_near_the_edge_stop_the_file():
    near = job_of(usual_plate(), on=sheet(clamps=[clamp(60, 5, 80, 15)]))
    assert ("CUT-006", Level.STOP) in codes(plan_work(near, MACHINE, SETTINGS))
    edge = job_of(plate(at=(3.0, 20.0)))
    assert ("CUT-007", Level.STOP) in codes(plan_work(edge, MACHINE, SETTINGS))


def test_a_short_cutter_a_thin_board_and_a_small_machine_stop_the_file():
    thick = job_of(usual_plate(), on=sheet(thickness=14.0))
    assert ("CUT-008", Level.STOP) in codes(plan_work(thick, MACHINE, SETTINGS))
    thin = replace(MACHINE, board=0.5)
    assert ("CUT-009", Level.STOP) in codes(plan_work(job_of(usual_plate()), thin, SETTINGS))
    small = replace(MACHINE, travel=(150.0, 600.0, 80.0))
    assert ("CUT-016", Level.STOP) in codes(plan_work(job_of(usual_plate()), small, SETTINGS))


def test_dimples_at_bend_ends_are_for_board_only():
    spots = replace(SETTINGS, bend_marks=BendMarks.SPOT)
    metal = plan_work(job_of(usual_plate()), MACHINE, spots)
    assert ("CUT-015", Level.STOP) in codes(metal)
    board = job_of(usual_plate(), on=sheet(thickness=3.0, material=Material.BOARD))
    work, feeds, text = written(board, MACHINE, spots)
    assert [p.kind for p in work.points].count(PointKind.BEND_SPOT) == 2
    assert prove(read_machine_file(text), work, feeds) == ()


def test_pen_marks_lie_on_the_bend_line_inside_the_metal():
    work = plan_work(job_of(usual_plate()), MACHINE, replace(SETTINGS, bend_marks=BendMarks.PEN))
    assert len(work.marks) == 2
    for mark in work.marks:
        assert mark.cutter is PEN
        for end in (mark.line.start, mark.line.end):
            assert end[0] == pytest.approx(52.0)
            assert work.job.parts[0].region.contains(end)


def test_a_bend_line_ends_where_the_metal_ends():
    ring = Region.of(Loop.rectangle(0, 0, 100, 50), Loop.rectangle(20, 10, 40, 40))
    (line,) = across_metal(Line((-10, 25), (200, 25)), ring)
    assert (line.start, line.end) == ((0, 25), (100, 25))
    assert across_metal(Line((-10, 80), (200, 80)), ring) == ()


def test_a_machine_without_a_router_bit_is_refused():
    with pytest.raises(NotPossible, match="CUT-004"):
        plan_work(job_of(usual_plate()), replace(MACHINE, cutters=(PEN,)), SETTINGS)
    with pytest.raises(NotPossible, match="number 7"):
        plan_work(job_of(usual_plate()), MACHINE, replace(SETTINGS, cutter=7))


def test_passes_are_equal_and_none_is_too_deep():
    for bottom, step in ((-1.316, 0.79), (-3.5, 1.2), (-0.4, 0.8), (-2.4, 0.8)):
        zs = [0.0, *levels(bottom, step)]
        drops = [a - b for a, b in itertools.pairwise(zs)]
        assert zs[-1] == bottom
        assert max(drops) <= step + 1e-9
        assert max(drops) - min(drops) < 1e-9


def test_usual_tab_height_is_never_more_than_the_sheet():
    for thickness in (0.2, 0.5, 1.0, 3.0, 10.0):
        assert 0 < CutSettings().tab_top(thickness) <= thickness
