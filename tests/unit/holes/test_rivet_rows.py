"""Rivet rows laid on parts, read from part files."""

from __future__ import annotations

from itertools import pairwise

import pytest

from blankwright.base.findings import Level
from blankwright.geom import vec
from blankwright.jobs.holes_rows import rows_of
from blankwright.jobs.part_state import state_of_text

HEAD = """
title = "Channel"
[sheet]
alloy = "2024-T3"
thickness = "0.040 in"
[bend_defaults]
angle = "90 deg"
inside_radius = "5/32 in"
[flats.web]
outline = { rectangle = ["12 in", "4 in"] }
[bends.flange]
from = "web.front"
up = true
leg = { height = "1 in" }
[holes.light]
on = "web"
at = ["5 in", "2 in"]
lightening = "2 in"
"""

ROW = """
[rivets.seam]
on = "flange"
along = "tip"
rivet = "1/8 in"
kind = "solid"
edge_distance = "5/16 in"
ends = "3/8 in"
pitch_at_most = "1 in"
stack = [{ thickness = "0.032 in", alloy = "2024-T3" }]
"""


def state(rows, head=HEAD, **more):
    return state_of_text(head + rows, "channel", **more)


def codes(found):
    """Codes of the row; ROW-019 apart, for 1/8 in is a little over three times 0.040 in."""
    return {f.code for f in found.findings if f.code.startswith("ROW")} - {"ROW-019"}


def mm(inches):
    return inches * 25.4


def test_row_along_a_tip():
    found = state(ROW)
    (row,) = found.part.rivets
    holes = [h for h in found.part.holes if h.name in row.holes]
    # 12 in less twice 3/8 in by 1 in at most: 12 gaps of 0.9375 in.
    assert row.count == 13
    assert [h.name for h in holes][:2] == ["seam[1]", "seam[2]"]
    assert holes[0].center == pytest.approx((mm(0.375), mm(1 - 0.3125)))
    for a, b in pairwise(holes):
        assert vec.distance(a.center, b.center) == pytest.approx(mm(0.9375))
    assert all(h.drill == "#30" for h in holes)
    assert codes(found) == set()


def test_pilot_is_what_the_blank_is_drilled_with():
    found = state(ROW + 'pilot = "#40"\n')
    drilled = [h for h in found.blank.holes if h.name.startswith("seam")]
    assert {h.drill for h in drilled} == {"#40"}
    assert "drill up to #30" in drilled[0].note
    # Still held to the rivet's own diameter, not to the pilot's.
    assert codes(state((ROW + 'pilot = "#40"\n').replace("5/16 in", "3/16 in"))) == {"ROW-010"}


def test_edge_distance_is_that_of_the_rivet():
    # Exactly 2 D is enough for a protruding head, and not for a countersunk one.
    row = ROW.replace("5/16 in", "1/4 in")
    assert "ROW-010" not in codes(state(row))
    assert "ROW-010" in codes(state(row + 'head = "countersunk"\n'))
    assert "ROW-011" in codes(state(ROW.replace("5/16 in", "9/16 in")))


def test_pitch_limits():
    assert "ROW-013" in codes(state(ROW.replace('"1 in"', '"0.35 in"')))
    assert "ROW-014" in codes(state(ROW.replace('"1 in"', '"1.5 in"')))


def test_near_a_bend():
    assert "ROW-012" in codes(state(ROW.replace("5/16 in", "5/8 in")))
    # A dimple wants 3 D, a plain rivet 2 D from centre to tangent line.
    row = ROW.replace("5/16 in", "15/32 in")
    assert "ROW-012" not in codes(state(row))
    assert "ROW-012" in codes(state(row + 'head = "dimpled"\n'))


THROUGH = """
[rivets.mid]
on = "web"
between = [["1 in", "2 in"], ["11 in", "2 in"]]
rivet = "1/8 in"
kind = "solid"
pitch_at_most = "7/8 in"
"""


def test_dodges_a_lightening_hole():
    found = state(THROUGH)
    (row,) = found.part.rivets
    (line,) = row.lines
    assert line.dodged == ("hole light",)
    assert max(line.pitches) == pytest.approx(mm(2.5), abs=1e-3)  # the hole and 2 D on each side
    assert "ROW-015" in codes(found)
    assert all(f.level is not Level.STOP for f in found.findings)


def test_runs_through_when_told_to():
    found = state(THROUGH + "dodge = false\n")
    (row,) = found.part.rivets
    assert row.lines[0].dodged == ()
    assert max(row.lines[0].pitches) <= mm(0.875) + 1e-6


def test_a_later_row_dodges_an_earlier_one():
    across = """
[rivets.across]
on = "web"
between = [["8.4 in", "1 in"], ["8.4 in", "3 in"]]
rivet = "1/8 in"
kind = "solid"
count = 5
"""
    found = state(THROUGH + across)
    first, second = found.part.rivets
    assert second.lines[0].dodged == ("row mid",)
    assert "ROW-024" not in codes(found)
    through = state(THROUGH + across + "dodge = false\n")
    assert "ROW-024" in codes(through)
    assert first.count == through.part.rivets[0].count


def test_staggered_lines_stand_half_a_pitch_aside():
    found = state(ROW.replace('along = "tip"', 'along = "back"').replace('"flange"', '"web"')
                  + "lines = 2\n")  # fmt: skip
    (row,) = found.part.rivets
    first, second = row.lines
    assert len(second.holes) == len(first.holes) - 1
    centers = {h.name: h.center for h in found.part.holes}
    a, b = centers[first.holes[0]], centers[first.holes[1]]
    assert centers[second.holes[0]][0] == pytest.approx((a[0] + b[0]) / 2)
    # Three quarters of the pitch, which is more than 2½ D.
    assert row.line_distance == pytest.approx(0.75 * mm(0.9375))


def test_all_round_with_a_hole_on_each_corner():
    found = state("""
[rivets.rim]
on = "plate"
along = ["front", "right", "back", "left"]
rivet = "1/8 in"
kind = "blind"
edge_distance = "1/4 in"
corner_holes = true
pitch_at_most = "1 in"
""", head="""
title = "Plate"
[sheet]
alloy = "2024-T3"
thickness = "0.032 in"
[flats.plate]
outline = { rectangle = ["6.5 in", "4.5 in"] }
""")  # fmt: skip
    (row,) = found.part.rivets
    # 6 in and 4 in between corner holes: 6 and 4 gaps, twice.
    assert row.count == 20
    assert len(row.lines[0].pitches) == 20
    assert row.lines[0].pitches == pytest.approx([mm(1)] * 20)
    assert codes(found) == set()


def test_the_other_hand_has_the_mirrored_row():
    head = 'hand = "left"\n' + HEAD
    left, right = (state(ROW, head, hand=hand) for hand in ("left", "right"))
    assert left.part.rivets == right.part.rivets
    for a, b in zip(left.blank.holes, right.blank.holes, strict=True):
        assert a.center[1] == pytest.approx(b.center[1])
        assert a.center[0] + b.center[0] == pytest.approx(0, abs=1e-9)


def test_facts_of_a_solid_rivet():
    found = state(ROW)
    (row,) = rows_of(found)
    assert row["grip"] == pytest.approx(mm(0.072))
    assert row["buy"].startswith("-4-5 ")  # 0.072 and 0.1875 are 0.2595, the next 1/16 is 5/16
    assert row["shop_head"]["width"] == pytest.approx(mm(0.1875))
    assert row["hole"]["drill"] == "#30"
    assert row["joint"]["per_rivet_lb"] == pytest.approx(388, abs=0.5)
    assert row["joint"]["complete"]


def test_blind_rivets_and_screws():
    blind = state(ROW.replace('"solid"', '"blind"'))
    assert rows_of(blind)[0]["buy"] == "grip 42"
    assert not rows_of(blind)[0]["joint"]["complete"]
    screw = state(
        ROW.replace('rivet = "1/8 in"\nkind = "solid"', 'screw = "8-32"').replace("1 in", "2 in")
    )
    row = rows_of(screw)[0]
    assert row["hole"]["drill"] == "#16"
    assert row["diameter"] == pytest.approx(mm(0.164))
    assert "ROW-014" not in codes(screw)  # panels are held by few screws


def test_thin_countersinks_thick_dimples_odd_diameters():
    assert "ROW-020" in codes(state(ROW + 'head = "countersunk"\n'))
    assert "ROW-021" not in codes(state(ROW + 'head = "dimpled"\n'))
    thick = HEAD.replace('"0.040 in"', '"0.063 in"')
    assert "ROW-021" in codes(state(ROW + 'head = "dimpled"\n', thick))
    assert "ROW-020" not in codes(state(ROW + 'head = "countersunk"\n', thick))
    odd = state(ROW.replace("1/8 in", "1/4 in"))
    assert "ROW-019" in {f.code for f in odd.findings}


def test_splice_is_held_against_the_table():
    assert codes(state(ROW + "splice = true\n")) == {"ROW-022"}
    foreign = ROW.replace('alloy = "2024-T3"', 'alloy = "6061-T6"')
    assert codes(state(foreign + "splice = true\n")) == {"ROW-023"}


def test_count_that_is_not_kept_is_told():
    assert "ROW-016" in codes(state(THROUGH.replace('pitch_at_most = "7/8 in"', "count = 14")))


def test_overrides_let_a_finding_pass():
    found = state(ROW.replace("5/16 in", "3/16 in") + '\n[overrides]\nROW-010 = "as drawn, agreed"')
    (finding,) = [f for f in found.findings if f.code == "ROW-010"]
    assert finding.overridden == "as drawn, agreed"


def test_rows_are_laid_the_same_whatever_the_allowance():
    other = HEAD.replace("[flats.web]", 'allowance = "neutral-axis factor"\nk = 0.3\n[flats.web]')
    a, b = state(THROUGH).part, state(THROUGH, other).part
    assert [h.center for h in a.holes] == [h.center for h in b.holes]


def test_plate_nuts_get_their_rivet_holes():
    screws = ROW.replace('rivet = "1/8 in"\nkind = "solid"', 'screw = "8-32"')
    found = state(screws.replace('"1 in"', '"3 in"') + "nut_rivets = true\n")
    (row,) = found.part.rivets
    assert len(row.nut_holes) == 2 * row.count
    centers = {h.name: h.center for h in found.part.holes}
    for i, name in enumerate(row.holes):
        a, b = (centers[n] for n in row.nut_holes[2 * i : 2 * i + 2])
        # MS21047: 0.688 in from rivet to rivet, the screw half way.
        assert vec.distance(a, b) == pytest.approx(mm(0.688))
        assert vec.middle(a, b) == pytest.approx(centers[name])
    assert "ROW-024" not in codes(found)
    assert all(h.drill == "#40" for h in found.part.holes if h.name in row.nut_holes)


STRIP = """
title = "Strip"
[sheet]
alloy = "2024-T3"
thickness = "0.040 in"
[flats.web]
outline = { rectangle = ["10 in", "3 in"] }
notches = [{ edge = "front", at = "5 in", width = "1 in", depth = "1/2 in", shape = "square" }]
"""


def strip(rows):
    return state(rows, head=STRIP)


def rim_distance(found, name):
    """Least distance of a row's holes to the outer edge, points of it measured one by one."""
    rim = found.blank.outline.outer.points(1e-4)
    holes = [h for h in found.part.holes if h.name.startswith(f"{name}[")]
    at = found.blank.flat_by_name["web"].place
    gaps = [min(_to_piece(at(h.center), a, b) for a, b in pairwise([*rim, rim[0]])) for h in holes]
    inside = [found.blank.outline.outer.contains(at(h.center)) for h in holes]
    assert all(inside)
    return min(gaps)


def _to_piece(p, a, b):
    t = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / (
        (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
    )
    t = min(1.0, max(0.0, t))
    return vec.distance(p, (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))


BETWEEN = """
[rivets.low]
on = "web"
between = [["1/2 in", "3/8 in"], ["9-1/2 in", "3/8 in"]]
rivet = "1/8 in"
kind = "solid"
pitch_at_most = "3/4 in"
"""


def test_a_row_makes_room_for_a_notch_in_the_outer_edge():
    found = strip(BETWEEN)
    assert rim_distance(found, "low") >= mm(0.25) - 1e-6
    (row,) = found.part.rivets
    assert row.lines[0].dodged == ("the sheet's edge",)
    # A hole at both borders: the notch is 1 in wide and takes 2 D either side.
    assert max(row.lines[0].pitches) == pytest.approx(mm(1.5))
    assert "ROW-010" not in codes(found)
    assert "ROW-010" in codes(strip(BETWEEN + "dodge = false\n"))


@pytest.mark.parametrize("edge", ["back", "right"])
def test_a_row_without_end_distances_stays_off_the_sheet_s_ends(edge):
    rows = f"""
[rivets.line]
on = "web"
along = "{edge}"
rivet = "1/8 in"
kind = "solid"
count = 5
"""
    found = strip(rows)
    (row,) = found.part.rivets
    assert row.count == 5
    assert rim_distance(found, "line") == pytest.approx(mm(0.25))
    pitches = row.lines[0].pitches
    assert max(pitches) - min(pitches) < 1e-9
    assert codes(found) <= {"ROW-014"}  # five rivets in so long a row are few


def test_a_row_without_end_distances_makes_room_for_other_rows_and_keeps_its_count():
    across = BETWEEN.replace("low", "back").replace('"3/8 in"', '"2-3/4 in"')
    rows = (
        across
        + """
[rivets.side]
on = "web"
along = "right"
rivet = "1/8 in"
kind = "solid"
count = 4
"""
    )
    found = strip(rows)
    back, side = found.part.rivets
    assert side.count == 4
    at = {h.name: h.center for h in found.part.holes}
    gaps = [vec.distance(at[a], at[b]) for a in back.holes for b in side.holes]
    assert min(gaps) >= mm(0.375) - 1e-6
    assert codes(found) == set()


def test_lines_are_as_far_apart_as_their_own_pitch_asks():
    rows = """
[rivets.seam]
on = "web"
between = [["1 in", "2 in"], ["9 in", "2 in"]]
rivet = "3/32 in"
kind = "solid"
lines = 2
pitch_at_most = "20 mm"
[holes.light]
on = "web"
at = ["5 in", "2 in"]
diameter = "1 in"
"""
    found = strip(rows)
    (row,) = found.part.rivets
    assert row.line_distance >= 0.75 * row.pitch - 1e-9
    assert "ROW-017" not in codes(found)


def test_plate_nuts_have_room_beside_one_another():
    rows = """
[rivets.panel]
on = "web"
between = [["1 in", "2 in"], ["9 in", "2 in"]]
screw = "8-32"
nut_rivets = true
pitch_at_most = "2 in"
[holes.light]
on = "web"
at = ["5 in", "2 in"]
diameter = "1/4 in"
"""
    found = strip(rows)
    (row,) = found.part.rivets
    # MS21047: 0.688 in from rivet to rivet, and 3 D of a 3/32 in rivet to the next nut's.
    assert min(row.lines[0].pitches) >= mm(0.688 + 3 * 3 / 32) - 1e-6
    assert not [f for f in found.findings if f.code == "HOLE-004"]


def test_rows_make_room_for_plate_nuts_laid_before():
    nuts = """
[rivets.panel]
on = "web"
between = [["1 in", "2 in"], ["9 in", "2 in"]]
screw = "8-32"
nut_rivets = true
pitch_at_most = "2 in"
"""
    crossing = """
[rivets.up]
on = "web"
between = [["1.344 in", "1 in"], ["1.344 in", "2.7 in"]]
rivet = "1/8 in"
kind = "solid"
pitch_at_most = "1/2 in"
"""
    found = strip(nuts + crossing)
    at = {h.name: h.center for h in found.part.holes}
    panel, up = found.part.rivets
    gaps = [vec.distance(at[a], at[b]) for a in panel.nut_holes for b in up.holes]
    assert min(gaps) >= mm(3 / 8) - 1e-6


def test_a_pilot_of_the_finished_size_is_none():
    found = state(ROW + 'pilot = "#30"\n')
    (row,) = found.part.rivets
    assert row.pilot == ""
    assert "drill up" not in next(h.note for h in found.part.holes if h.name == "seam[1]")


def test_flush_rows_without_a_table_say_so():
    found = state(ROW + 'head = "countersunk"\nmetal = "AD"\n')
    (one,) = [f for f in found.findings if f.code == "ROW-025"]
    assert "upper limit" in one.got
    assert one.level is Level.ASK
    dimpled = ROW.replace("1/8 in", "3/32 in") + 'head = "dimpled"\nmetal = "AD"\n'
    assert "ROW-025" not in codes(state(dimpled))
    assert "ROW-025" not in codes(state(ROW))


@pytest.mark.parametrize(
    ("number", "words"),
    [
        ("MS20470AD4-5", ""),
        ("AN470AD4-5", ""),
        ("MS20470AD4-4", "a length of -4 where the grip asks for -5"),
        ("MS20470AD5-5", "a diameter of 5/32 in"),
        ("MS20426AD4-5", "another head than protruding"),
        ("MS20470DD4-5", "DD where the row says AD"),
    ],
)
def test_part_numbers_are_held_against_the_row(number, words):
    found = state(ROW + f'part_number = "{number}"\nmetal = "AD"\n')
    said = [f.got for f in found.findings if f.code == "ROW-026"]
    assert (words in said[0]) if words else said == []
    assert rows_of(found)[0]["part_number"] == number


def test_the_metal_makes_the_part_number():
    assert rows_of(state(ROW + 'metal = "2024-T31"\n'))[0]["buy"].startswith("MS20470DD4-5")
    # Nothing is taken for granted in the number: dashes alone.
    assert rows_of(state(ROW))[0]["buy"].startswith("-4-5")
    assert "taken as AD" in rows_of(state(ROW))[0]["joint"]["assumed"]


def test_a_ring_that_is_too_close_is_told_once():
    ring = """
[holes.ring]
on = "web"
at = ["6 in", "1.6 in"]
drill = "#30"
ring = { count = 12, diameter = "1 in" }
"""
    (one,) = [f for f in strip(ring).findings if f.code == "HOLE-004"]
    assert one.place == "holes ring"
    assert "12 pairs" in one.got
