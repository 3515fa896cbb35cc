"""DXF files are proved; files spoiled on purpose are caught."""

import math
from dataclasses import replace

import pytest

import sample_blanks
from blankwright.base.errors import BadInput, OurBug
from blankwright.drawing.blank_drawing import BlankLook
from blankwright.files.dxf_out import drawing_dxf
from blankwright.files.dxf_proof import prove_dxf
from blankwright.files.dxf_read import read_dxf
from blankwright.files.outputs import blank_dxf, noted_blank

X_CODES, Y_CODES = (10, 11), (20, 21)


def tags(data):
    lines = data.decode("cp1252").split("\n")
    return [[int(lines[i]), lines[i + 1]] for i in range(0, len(lines) - 1, 2)]


def data_of(tag_list):
    return "".join(f"{code:>3}\n{value}\n" for code, value in tag_list).encode("cp1252")


def entities(tag_list):
    """Begin and end of each entity of the drawing itself."""
    first = next(i for i, t in enumerate(tag_list) if t == [2, "ENTITIES"])
    last = next(i for i in range(first, len(tag_list)) if tag_list[i] == [0, "ENDSEC"])
    starts = [i for i in range(first, last) if tag_list[i][0] == 0]
    return list(zip(starts, [*starts[1:], last], strict=True))


def on_layer(tag_list, layer, kind=None):
    return [
        (i, j)
        for i, j in entities(tag_list)
        if [8, layer] in tag_list[i:j] and kind in (None, tag_list[i][1])
    ]


def edit(tag_list, span, code, change, which=0):
    places = [i for i in range(*span) if tag_list[i][0] == code]
    i = places[which]
    tag_list[i][1] = repr(change(float(tag_list[i][1])))


@pytest.fixture(scope="module")
def tray():
    blank = sample_blanks.tray()
    return blank, blank_dxf(blank, "tray")


@pytest.mark.parametrize("name", sample_blanks.ALL)
def test_every_sample_is_proved_and_written_alike_twice(name):
    blank = sample_blanks.ALL[name]()
    assert blank_dxf(blank, name) == blank_dxf(blank, name)


def test_units_layers_and_entities(tray):
    blank, data = tray
    file = read_dxf(data)
    assert (file.units, file.measurement) == (4, 1)
    assert {"BLANK-EDGE", "HOLES", "BEND-TANGENT", "BEND-CENTER", "SIGHT-LINE"} <= set(file.layers)
    assert len(file.loops["BLANK-EDGE"]) == 1
    assert len(file.loops["HOLES"]) == 9
    circles = [loop for loop in file.loops["HOLES"] if loop.as_circle]
    assert sorted(2 * loop.as_circle.radius for loop in circles) == pytest.approx([4.0] * 8)
    outline = file.loops["BLANK-EDGE"][0]
    assert outline.area == pytest.approx(blank.outline.outer.area, rel=1e-12)


def test_notes_are_in_the_file_with_their_signs(tray):
    _, data = tray
    words = {text for text, _, _ in read_dxf(data).texts}
    assert "front bend: UP 90° R 3.175 mm (1/8 in)" in words


def test_an_arc_of_nearly_a_whole_turn_stays_true():
    from blankwright.drawing.layers import BLANK_EDGE
    from blankwright.drawing.model import Drawing, Ring
    from blankwright.geom.edges import Arc, Line
    from blankwright.geom.loop import Loop

    arc = Arc((10.0, 20.0), 30.0, 0.1, math.tau - 0.02)
    loop = Loop((arc, Line(arc.end, arc.start)))
    data = drawing_dxf(Drawing(title="", items=(Ring(layer=BLANK_EDGE, loop=loop),)))
    (found,) = read_dxf(data).loops["BLANK-EDGE"]
    assert found.area == pytest.approx(loop.area, rel=1e-9)
    assert max(loop.distance(p) for p in found.points()) < 1e-6


def caught(tag_list, blank, match):
    with pytest.raises(OurBug, match=match):
        prove_dxf(data_of(tag_list), blank)


def test_untouched_tags_pass(tray):
    blank, data = tray
    prove_dxf(data_of(tags(data)), blank)


@pytest.mark.parametrize("which", range(8))
@pytest.mark.parametrize("way", [1, -1])
def test_a_corner_moved_by_two_hundredths(tray, which, way):
    blank, data = tray
    spoiled = tags(data)
    (span,) = on_layer(spoiled, "BLANK-EDGE")
    # Slantwise, so that no corner merely slides along its own edge.
    edit(spoiled, span, 10, lambda v: v + 0.02, which)
    edit(spoiled, span, 20, lambda v: v + 0.02 * way, which)
    caught(spoiled, blank, r"DXF-003 .*BLANK-EDGE: an edge of the (file|blank) is off .* by 0\.0")


def test_a_corner_moved_by_five_thousandths_is_within_the_limit(tray):
    blank, data = tray
    spoiled = tags(data)
    (span,) = on_layer(spoiled, "BLANK-EDGE")
    edit(spoiled, span, 10, lambda v: v + 0.005)
    prove_dxf(data_of(spoiled), blank)


def test_wrong_units(tray):
    blank, data = tray
    spoiled = tags(data)
    i = spoiled.index([9, "$INSUNITS"])
    spoiled[i + 1][1] = "1"
    caught(spoiled, blank, r"DXF-004 .* units 1")


@pytest.mark.parametrize(("codes", "name"), [(X_CODES, "x"), (Y_CODES, "y")])
def test_scaled_in_one_direction(tray, codes, name):
    blank, data = tray
    spoiled = tags(data)
    for begin, end in entities(spoiled):
        for i in range(begin, end):
            if spoiled[i][0] in codes:
                spoiled[i][1] = repr(float(spoiled[i][1]) * 1.001)
    caught(spoiled, blank, "DXF-003")


def test_a_missing_hole(tray):
    blank, data = tray
    spoiled = tags(data)
    begin, end = on_layer(spoiled, "HOLES", "CIRCLE")[3]
    del spoiled[begin:end]
    caught(spoiled, blank, r"HOLES: 8 closed loops. Allowed: 9")


def test_a_hole_twice(tray):
    blank, data = tray
    spoiled = tags(data)
    begin, end = on_layer(spoiled, "HOLES", "CIRCLE")[3]
    spoiled[begin:begin] = [list(tag) for tag in spoiled[begin:end]]
    caught(spoiled, blank, r"HOLES: 10 closed loops")


def test_a_hole_moved_to_another_layer(tray):
    blank, data = tray
    spoiled = tags(data)
    begin, end = on_layer(spoiled, "HOLES", "CIRCLE")[0]
    spoiled[spoiled.index([8, "HOLES"], begin, end)][1] = "NOTES"
    caught(spoiled, blank, r"HOLES: 8 closed loops")


def test_a_hole_too_large_by_two_hundredths(tray):
    blank, data = tray
    spoiled = tags(data)
    edit(spoiled, on_layer(spoiled, "HOLES", "CIRCLE")[0], 40, lambda r: r + 0.02)
    caught(spoiled, blank, r"by 0\.0200 mm")


def test_an_arc_flattened_to_its_chord(tray):
    blank, data = tray
    spoiled = tags(data)
    (begin, end) = on_layer(spoiled, "BLANK-EDGE")[0]
    bulges = [i for i in range(begin, end) if spoiled[i][0] == 42 and float(spoiled[i][1])]
    spoiled[bulges[0]][1] = "0.0"
    caught(spoiled, blank, "DXF-003")


def test_an_arc_turned_inside_out(tray):
    blank, data = tray
    spoiled = tags(data)
    (begin, end) = on_layer(spoiled, "BLANK-EDGE")[0]
    bulges = [i for i in range(begin, end) if spoiled[i][0] == 42 and float(spoiled[i][1])]
    spoiled[bulges[0]][1] = repr(-float(spoiled[bulges[0]][1]))
    caught(spoiled, blank, "DXF-003")


def test_an_open_outline(tray):
    blank, data = tray
    spoiled = tags(data)
    (begin, end) = on_layer(spoiled, "BLANK-EDGE")[0]
    i = next(i for i in range(begin, end) if spoiled[i][0] == 70)
    spoiled[i][1] = "0"
    caught(spoiled, blank, "DXF-002 .* open polyline")


@pytest.mark.parametrize("layer", ["BEND-TANGENT", "BEND-CENTER", "SIGHT-LINE", "CENTER-MARKS"])
def test_a_bend_line_moved(tray, layer):
    blank, data = tray
    spoiled = tags(data)
    span = on_layer(spoiled, layer)[0]
    for code in (10, 20, 11, 21):
        edit(spoiled, span, code, lambda v: v + 0.02)
    caught(spoiled, blank, f"DXF-003 .*{layer}")


def test_a_missing_bend_line(tray):
    blank, data = tray
    spoiled = tags(data)
    begin, end = on_layer(spoiled, "BEND-TANGENT")[2]
    del spoiled[begin:end]
    caught(spoiled, blank, r"DXF-003 .*BEND-TANGENT: an edge of the blank is off")


def test_a_missing_bend_note(tray):
    blank, data = tray
    spoiled = [
        [code, value.replace("left bend: UP", "left bend: DOWN")] for code, value in tags(data)
    ]
    caught(spoiled, blank, r"DXF-005 .*note of bend left bend is missing")


def test_odd_letters_in_names_come_back():
    blank = sample_blanks.angle()
    (bend,) = blank.bends
    odd = replace(blank, bends=(replace(bend, name="łuk ^1 %%d Ж"),))
    words = {text for text, _, _ in read_dxf(blank_dxf(odd, "część")).texts}
    assert "część" in words
    assert any("łuk ^ 1 % %d Ж" in text for text in words)


def test_title_and_material_are_written_below(tray):
    words = {text: at for text, at, layer in read_dxf(tray[1]).texts if layer == "NOTES"}
    assert "6061-T6, 1.016 mm (0.040 in) thick" in words
    assert all(y < tray[0].outline.box[1] for _, y in words.values())


def test_the_other_flat_clamped_is_not_the_same_file(tray):
    blank, data = tray
    look = BlankLook(clamped=(("front bend", "front"),))
    prove_dxf(drawing_dxf(noted_blank(blank, "tray", look)), blank, look)
    with pytest.raises(OurBug, match="SIGHT-LINE"):
        prove_dxf(data, blank, look)


@pytest.mark.parametrize(
    ("data", "code"),
    [(b"", "DXF-001"), (b"no file\n", "DXF-001"), (b"0\nSECTION\n", "DXF-001")],
)
def test_no_dxf_at_all(tray, data, code):
    with pytest.raises(BadInput, match=code):
        read_dxf(data)
    with pytest.raises(OurBug, match=code):
        prove_dxf(data, tray[0])


def test_half_a_file(tray):
    blank, data = tray
    with pytest.raises(OurBug, match="DXF-001"):
        prove_dxf(data[: len(data) // 2], blank)


def test_header_says_how_far_the_drawing_reaches(tray):
    """Viewers open on it; a writer that leaves it unset says 1e20."""
    blank, data = tray
    lines = data.decode("cp1252").split("\n")
    x0, y0, x1, y1 = noted_blank(blank, "tray", BlankLook()).box
    for name, wanted in (("$EXTMIN", (x0, y0)), ("$EXTMAX", (x1, y1))):
        i = lines.index(name)
        assert (float(lines[i + 2]), float(lines[i + 4])) == pytest.approx(wanted)


def test_a_polyline_seen_from_behind_is_refused(tray):
    blank, data = tray
    spoiled = data.replace(b"AcDbPolyline\n", b"AcDbPolyline\n230\n-1.0\n", 1)
    assert spoiled != data
    with pytest.raises(OurBug, match="seen from behind"):
        prove_dxf(spoiled, blank)
