"""Template files: read, placed, checked, drawn, mirrored."""

from __future__ import annotations

import math

import pytest

from blankwright.base.errors import BadInput, NotPossible, Problem
from blankwright.develop.develop import develop_blank
from blankwright.drawing.layers import LINE_UP, OPENING_EDGE
from blankwright.drawing.model import Text
from blankwright.drawing.paper import PrintSetup, paper_named
from blankwright.files.dxf_read import read_dxf
from blankwright.files.partfile import read_part_text
from blankwright.files.pdf_read import PdfPages
from blankwright.files.template_out import placing_card_pdf, template_dxf, template_pdf
from blankwright.files.templatefile import read_template_text
from blankwright.holes import template_picture
from blankwright.holes.placing import Way
from blankwright.holes.template import other_side, place_template
from blankwright.holes.template_card import placing_card
from blankwright.holes.template_checks import check_template
from blankwright.holes.template_sizes import diagonals_of, from_point, sizes_from

BASE = """
title = "Bracket template"
drawing = "T200-00-09"
mirror = true

[sizes]
apart = { measured = "307.4 mm", plus_minus = "0.3 mm" }

[plate]
outline = { rectangle = ["280 mm", "90 mm"] }
material = "6061-T6"
thickness = "1.6 mm"

[words]
left = "forward"
right = "aft"

[tape]
sides = ["left", "right"]
width = "20 mm"

[references.row-4]
kind = "rivet row"
runs = "up"

[references.row-5]
kind = "rivet row"
runs = "up"

[references.middle]
kind = "centre line"
runs = "up"

[references.sill]
kind = "frame edge"
runs = "across"

[measured.rows]
from = "row-4"
to = "row-5"
distance = "apart"

[measured.to-middle]
from = "row-4"
to = "middle"
distance = "153.7 mm"

[place]
across = { between = ["row-4", "row-5"] }
up = { from = "sill", side = "front", distance = "20 mm" }

[holes.a]
on = "plate"
at = ["40 mm", "30 mm"]
drill = "#40"
row = { count = 3, pitch = "100 mm", along = "x" }
"""

PART = """
title = "Bracket"
[sheet]
alloy = "6061-T6"
thickness = "0.040 in"
[flats.foot]
outline = { rectangle = ["60 mm", "40 mm"] }
[holes.mount]
on = "foot"
at = ["10 mm", "12 mm"]
drill = "#30"
row = { count = 2, pitch = "40 mm", along = "x" }
"""


def parts(name, variant):
    if name != "bracket":
        raise BadInput(Problem(code="FILE-001", where=name, got="there is no such file"))
    return read_part_text(PART, name)


def read(text=BASE, **changes):
    for old, new in changes.items():
        assert text.count(old) == 1
        text = text.replace(old, new)
    return read_template_text(text, "bracket-template", parts)


def placed(text=BASE):
    return place_template(read(text))


def codes(one):
    return {f.code for f in check_template(one)}


def test_halves_are_done_on_both_sides():
    sizes = {(s.reference, s.side): s for s in sizes_from(placed())}
    for key in (("row-4", "left"), ("row-5", "right")):
        assert sizes[key].low == pytest.approx(13.7)
        assert sizes[key].same
    assert sizes["sill", "front"].low == pytest.approx(20)
    # The centre line runs under the plate: in from either side to it.
    assert sizes["middle", "left"].over
    assert -sizes["middle", "left"].low == pytest.approx(140)
    assert -sizes["middle", "right"].low == pytest.approx(140)


def test_plus_minus_comes_from_the_size():
    (rows, other) = read().measured[Way.UP]
    assert rows.plus_minus == pytest.approx(0.3)
    assert other.plus_minus == pytest.approx(0.5)


def test_diagonals():
    found = diagonals_of(placed())
    own = [d.length for d in found if d.pair == 1]
    assert own == pytest.approx([math.hypot(280, 90)] * 2)
    crossing = {d.start: d.length for d in found if d.pair == 2}
    # From where a row meets the sill to the far upper corner: over by the plate and one gap.
    assert crossing["row-4 at sill"] == pytest.approx(math.hypot(280 + 13.7, 90 + 20))
    assert crossing["row-5 at sill"] == pytest.approx(crossing["row-4 at sill"])


def test_contradiction_is_told_with_its_size():
    text = BASE.replace('distance = "153.7 mm"', 'distance = "152 mm"')
    text += '\n[measured.from-middle]\nfrom = "middle"\nto = "row-5"\ndistance = "153.7 mm"\n'
    one = placed(text)
    (finding,) = [f for f in check_template(one) if f.code == "TEMPLATE-010"]
    # 307.4 and 152 + 153.7 = 305.7 are 1.7 apart.
    assert "1.70 mm" in finding.got
    assert "again" in finding.fix


def test_wishes_that_do_not_fit_are_told():
    text = BASE.replace(
        'across = { between = ["row-4", "row-5"] }',
        'across = [{ from = "row-4", side = "left", distance = "14.5 mm" },'
        ' { from = "row-5", side = "right", distance = "14.5 mm" }]',
    )
    one = placed(text)
    assert codes(one) == {"TEMPLATE-011"}
    sizes = {s.reference: s.low for s in sizes_from(one) if not s.over}
    assert sizes["row-4"] == pytest.approx(13.7)


def test_holes_under_the_tape():
    assert "TEMPLATE-014" in codes(placed(BASE.replace('"40 mm", "30 mm"', '"15 mm", "30 mm"')))


def test_lines_out_of_parallel():
    text = BASE.replace('distance = "apart"', 'distance = "apart"\nat = "low"')
    text += (
        '\n[measured.rows-high]\nfrom = "row-4"\nto = "row-5"\ndistance = "306.4 mm"\nat = "high"\n'
    )
    one = placed(text)
    assert "TEMPLATE-013" in codes(one)
    size = next(s for s in sizes_from(one) if s.reference == "row-4")
    assert (size.low, size.high) == pytest.approx((13.7, 13.2))


def test_what_nothing_ties_is_told():
    text = BASE.replace('from = "row-4"\nto = "middle"', 'from = "row-4"\nto = "row-5"')
    assert "TEMPLATE-012" in codes(placed(text))


def test_the_other_side_is_the_mirror_image():
    one = placed(BASE.replace('distance = "153.7 mm"', 'distance = "140 mm"'))
    other = other_side(one)
    assert other.template.word("left") == "aft"
    mine = {(s.reference, one.template.word(s.side)): s.low for s in sizes_from(one)}
    theirs = {(s.reference, other.template.word(s.side)): s.low for s in sizes_from(other)}
    assert mine == pytest.approx(theirs)
    for a, b in zip(one.template.plate.holes, other.template.plate.holes, strict=True):
        assert b.center == pytest.approx((-a.center[0], a.center[1]))
    assert [d.length for d in diagonals_of(other)] == pytest.approx(
        [d.length for d in diagonals_of(one)]
    )


def test_holes_carried_from_a_part():
    text = BASE + (
        '\n[carry.feet]\npart = "bracket"\nflat = "foot"\nholes = "mount"\n'
        'at = ["100 mm", "20 mm"]\nturn = "90 deg"\nface_down = true\ndrill = "#40"\n'
    )
    holes = {h.name: h.center for h in read(text).plate.holes}
    # Face down: x turns round; then a quarter turn to the left, then to its place.
    assert holes["feet.mount[1]"] == pytest.approx((100 - 12, 20 - 10))
    assert holes["feet.mount[2]"] == pytest.approx((100 - 12, 20 - 50))


OPENING = """
title = "Opening"
[structure]
thickness = "0.032 in"
[opening]
outline = { rectangle = ["120 mm", "80 mm"], radius = "15 mm" }
[references.left]
kind = "rivet row"
runs = "up"
rivet = "1/8 in"
[references.right]
kind = "bend"
runs = "up"
[measured.bay]
from = "left"
to = "right"
distance = "150 mm"
[place]
across = { between = ["left", "right"] }
"""


def test_opening_without_a_plate():
    one = placed(OPENING)
    assert one.template.paper
    assert codes(one) == {"TEMPLATE-017"}
    sizes = {s.reference: s.low for s in sizes_from(one)}
    assert sizes == pytest.approx({"left": 15, "right": 15})
    # The witness hole in the middle, and a hole at the centre of each corner's radius.
    names = [h.name for h in one.template.plate.holes]
    assert names == ["witness", "corner[1]", "corner[2]", "corner[3]", "corner[4]"]
    assert dict(from_point(one, one.template.opening.witness)) == pytest.approx(
        {"left": 75, "right": 75}
    )


def test_opening_too_near():
    # 2 D of 1/8 in rivets is 6.35 mm.
    near = placed(OPENING.replace('"150 mm"', '"132.6 mm"'))
    assert "TEMPLATE-015" in codes(near)
    assert "TEMPLATE-015" not in codes(placed(OPENING.replace('"150 mm"', '"132.8 mm"')))
    across = placed(OPENING.replace('"150 mm"', '"110 mm"'))
    found = [f for f in check_template(across) if f.code == "TEMPLATE-015"]
    assert any("cuts into" in f.got for f in found)


def test_sharp_corners():
    assert "TEMPLATE-016" in codes(placed(OPENING.replace(', radius = "15 mm"', "")))


def test_opening_on_a_plate_is_scribed_or_cut():
    text = BASE + (
        '\n[opening]\noutline = { rectangle = ["60 mm", "30 mm"], radius = "8 mm" }\n'
        'at = ["110 mm", "45 mm"]\n'
    )
    one = placed(text)
    assert [h.name for h in one.template.plate.holes][-5] == "witness"
    cut = placed(text + "in_plate = true\n")
    assert [h.name for h in cut.template.plate.holes][-1] == "opening"


WRONG = [
    ('kind = "centre line"', 'kind = "line"', "PART-005"),
    ('to = "middle"', 'to = "midle"', "TEMPLATE-001"),
    ('from = "row-4"\nto = "middle"', 'from = "sill"\nto = "middle"', "TEMPLATE-002"),
    ('between = ["row-4", "row-5"]', 'between = ["row-4", "sill"]', "TEMPLATE-002"),
    ('between = ["row-4", "row-5"]', 'between = ["row-4", "row-6"]', "TEMPLATE-001"),
    ('between = ["row-4", "row-5"]', 'between = ["row-4"]', "PART-006"),
    ('side = "front", distance = "20 mm"', 'side = "left", distance = "20 mm"', "TEMPLATE-003"),
    ('side = "front", distance = "20 mm"', 'side = "front"', "PART-003"),
    ('{ rectangle = ["280 mm", "90 mm"] }', "{ diameter = '9 in' }", "TEMPLATE-003"),
    ('distance = "153.7 mm"', "distance = 153.7", "QTY-001"),
    ('thickness = "1.6 mm"', "", "PART-003"),
    ("[plate]\n", "[plates]\n", "PART-002"),
    ('title = "Bracket template"', "", "PART-003"),
    ('width = "20 mm"', 'width = "0 mm"', "PART-015"),
    ('on = "plate"', 'on = "plat"', "PART-009"),
]


@pytest.mark.parametrize(
    ("old", "new", "code"), WRONG, ids=[w[2] + str(i) for i, w in enumerate(WRONG)]
)
def test_what_is_wrong_is_told(old, new, code):
    assert BASE.count(old) == 1
    with pytest.raises(BadInput) as caught:
        read(BASE.replace(old, new))
    assert code in {p.code for p in caught.value.problems}
    assert all("bracket-template" in p.where for p in caught.value.problems)


AT = 'at = ["0 mm", "0 mm"]\ndrill = "#40"'
DISC = '[opening]\noutline = { diameter = "20 mm" }\nat = ["30 mm", "30 mm"]\n'


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ('[carry.x]\npart = "b"\nflat = "foot"\nholes = "m"\n' + AT, "TEMPLATE-005"),
        ('[carry.x]\npart = "bracket"\nflat = "fot"\nholes = "m"\n' + AT, "PART-009"),
        ('[carry.x]\npart = "bracket"\nflat = "foot"\nholes = "m"\n' + AT, "PART-009"),
        (DISC + 'witness = ["90 mm", "9 mm"]', "TEMPLATE-006"),
        ('[measured.x]\nfrom = "row-4"\nto = "row-4"\ndistance = "1 mm"', "TEMPLATE-002"),
        ('[references.x]\nkind = "rivet row"\nruns = "up"\nrivet = "7/32 in"', "RIVET-001"),
    ],
)
def test_what_is_wrong_in_more_tables(more, code):
    with pytest.raises(BadInput) as caught:
        read(BASE + "\n" + more + "\n")
    assert code in {p.code for p in caught.value.problems}


def test_between_needs_a_way_there():
    text = BASE.replace('from = "row-4"\nto = "row-5"', 'from = "row-4"\nto = "middle"')
    with pytest.raises(BadInput) as caught:
        read(text)
    assert {p.code for p in caught.value.problems} == {"TEMPLATE-004"}


SETUP = PrintSetup(paper=paper_named("A4"))


def outputs(one):
    blank = develop_blank(one.template.plate)
    title = one.template.plate.title
    card = placing_card_pdf(one, tuple(check_template(one)), SETUP)
    return template_pdf(one, blank, title, SETUP), template_dxf(one, blank, title), card


@pytest.mark.slow
@pytest.mark.parametrize("side", [False, True])
def test_outputs_are_proved_and_say_the_sizes(side):
    one = other_side(placed()) if side else placed()
    print_file, dxf, card = outputs(one)
    assert outputs(one) == (print_file, dxf, card)
    file = read_dxf(dxf)
    assert len(file.loops["HOLES"]) == 3
    # The centre line is on the plate, to be laid on the structure's.
    (line,) = file.edges[LINE_UP.name]
    assert {round(abs(p[0]), 6) for p in (line.start, line.end)} == {140.0}
    texts = {text for text, _, _ in file.texts}
    assert any("13.7 mm to row-4" in text for text in texts)
    assert any(text.startswith("THIS SIDE UP") for text in texts)
    with PdfPages(card) as pages:
        words = " ".join("".join(pages.words(i).split()) for i in range(len(pages)))
    assert "13.70mm(0.539in)" in words
    assert ("otherside" in words) is side


def test_opening_prints():
    _, dxf, card = outputs(placed(OPENING))
    assert len(read_dxf(dxf).loops["HOLES"]) == 5
    with PdfPages(card) as pages:
        words = "".join("".join(pages.words(i).split()) for i in range(len(pages)))
    assert "witnessholetoleft" in words
    assert "75.00mm" in words
    text = BASE + '\n[opening]\noutline = { diameter = "20 mm" }\nat = ["200 mm", "60 mm"]\n'
    _, dxf, _ = outputs(placed(text))
    (ring,) = read_dxf(dxf).loops[OPENING_EDGE.name]
    assert ring.as_circle.center == pytest.approx((200, 60))


def test_a_plate_too_large_for_the_paper_is_told():
    one = placed(BASE.replace('"280 mm", "90 mm"', '"9000 mm", "3000 mm"'))
    with pytest.raises(NotPossible):
        outputs(one)


SQUARED = (
    BASE.replace("[place]", '[references.top]\nkind = "frame edge"\nruns = "across"\n\n[place]', 1)
    + """
[measured.high]
from = "sill"
to = "top"
distance = "130 mm"

[measured.rising]
from = ["row-4", "sill"]
to = ["top", "row-5"]
distance = "{rising} mm"

[measured.falling]
from = ["row-4", "top"]
to = ["row-5", "sill"]
distance = "{falling} mm"
"""
)


def squared(rising, falling):
    return SQUARED.replace("{rising}", str(rising)).replace("{falling}", str(falling))


def test_diagonals_that_agree_say_square():
    straight = round(math.hypot(307.4, 130), 2)
    one = placed(squared(straight, straight))
    assert one.network.lean == pytest.approx(0.0, abs=1e-4)
    assert not codes(one) & {"TEMPLATE-010", "TEMPLATE-018"}


def test_diagonals_that_differ_say_how_far_from_square():
    straight = math.hypot(307.4, 130)
    one = placed(squared(straight + 2, straight - 2))
    # d² changes by 2·307.4·130·sin(lean): 4·d of difference between the two makes 4·307.4·130.
    assert one.network.lean == pytest.approx(4 * straight / (2 * 307.4 * 130), rel=0.01)
    assert "TEMPLATE-018" in codes(one)
    sizes = {(s.reference, s.side): s for s in sizes_from(one)}
    assert not sizes["sill", "front"].same
    other = other_side(one)
    flipped = {(s.reference, s.side): s for s in sizes_from(other)}
    assert flipped["sill", "front"].low == pytest.approx(sizes["sill", "front"].high)
    # The card says the diagonals as measured and how far each was moved.
    words = " ".join(card_words(one))
    assert "rising, diagonal" in words
    assert "from square" in words


def test_diagonals_that_contradict_the_sides():
    straight = math.hypot(307.4, 130)
    one = placed(squared(straight + 3, straight + 3))
    found = [f for f in check_template(one) if f.code == "TEMPLATE-010"]
    assert found
    assert "contradict one another by 6.0" in found[0].got


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('from = ["row-4", "sill"]', 'from = ["row-4", "row-5"]', "TEMPLATE-002"),
        ('from = ["row-4", "sill"]', 'from = "row-4"', "PART-004"),
        ('from = ["row-4", "sill"]', 'from = ["row-4", "nothing"]', "TEMPLATE-001"),
        ('to = ["top", "row-5"]', 'to = ["sill", "row-5"]', "TEMPLATE-002"),
        ('[measured.high]\nfrom = "sill"\nto = "top"\ndistance = "130 mm"\n', "", "TEMPLATE-004"),
    ],
)
def test_diagonals_that_can_not_be(old, new, code):
    text = squared(333, 333)
    assert old in text
    with pytest.raises(BadInput, match=code):
        placed(text.replace(old, new))


def test_the_issue_s_own_example():
    """Between two rows 307.4, from a row to the plate's edge 14.5, from the row to the frame."""
    text = BASE.replace(
        'across = { between = ["row-4", "row-5"] }',
        'across = [{ from = "row-4", side = "left", distance = "14.5 mm" },'
        ' { from = "row-5", side = "right", distance = "14.5 mm" }]',
    ).replace('distance = "153.7 mm"', 'distance = "12 mm"')
    one = placed(text)
    sizes = {(s.reference, s.side): s for s in sizes_from(one)}
    # 14.5 + 280 + 14.5 = 309.0 into 307.4: 1.6 too much, 0.8 off either side.
    assert sizes["row-4", "left"].low == pytest.approx(13.7)
    assert sizes["row-5", "right"].low == pytest.approx(13.7)
    assert sizes["middle", "left"].low == pytest.approx(13.7 - 12)
    (finding,) = [f for f in check_template(one) if f.code == "TEMPLATE-011"]
    assert "contradict one another by 1.60 mm" in finding.got
    words = " ".join(card_words(one))
    assert "13.70 mm" in words
    assert "294.11 mm" in words  # the plate's own diagonal: 280 and 90
    assert f"{math.hypot(293.7, 110):.2f} mm" in words  # from row 4 at the sill to the far corner


def test_the_nearest_reference_is_drawn_nearest():
    text = BASE.replace('distance = "153.7 mm"', 'distance = "12 mm"')
    items = template_picture.placing_picture(placed(text)).items
    at = {i.text: i.at[0] for i in items if isinstance(i, Text)}
    assert at["row-4"] < at["middle"] < at["row-5"]


def card_words(one):
    for page in placing_card(one, tuple(check_template(one)), SETUP):
        yield from (i.text for i in page.furniture if isinstance(i, Text))
