"""SVG files are proved; files spoiled on purpose are caught."""

import re

import pytest

import sample_blanks
from blankwright.base.errors import BadInput, OurBug
from blankwright.drawing.blank_drawing import FULL_LOOK
from blankwright.files.outputs import blank_svg, noted_blank
from blankwright.files.svg_out import MARGIN
from blankwright.files.svg_proof import prove_svg
from blankwright.files.svg_read import read_svg


@pytest.fixture(scope="module")
def tray():
    blank = sample_blanks.tray()
    return blank, blank_svg(blank, "tray").decode()


def caught(text, blank, match):
    with pytest.raises(OurBug, match=match):
        prove_svg(text.encode(), blank)


@pytest.mark.parametrize("name", sample_blanks.ALL)
def test_every_sample_is_proved_and_written_alike_twice(name):
    blank = sample_blanks.ALL[name]()
    assert blank_svg(blank, name) == blank_svg(blank, name)


def test_page_is_as_large_as_the_drawing(tray):
    blank, text = tray
    file = read_svg(text.encode())
    x0, y0, x1, y1 = noted_blank(blank, "tray", FULL_LOOK).box
    wanted = (x1 - x0 + 2 * MARGIN, y1 - y0 + 2 * MARGIN)
    assert (file.width, file.height) == pytest.approx(wanted, abs=2e-6)


def test_arcs_are_arcs(tray):
    _, text = tray
    outline = re.search(r'id="BLANK-EDGE".*?d="([^"]*)"', text, re.S)[1]
    assert outline.count("A 3.6 3.6 0 0") >= 4
    assert " Z" in outline


def spoil(text, pattern, change):
    match = re.search(pattern, text, re.S)
    assert match
    begin, end = match.span(1)
    return text[:begin] + change(match[1]) + text[end:]


def test_a_corner_moved_by_two_hundredths(tray):
    blank, text = tray
    moved = spoil(text, r'id="BLANK-EDGE".*?L \S+ (\S+) ', lambda v: str(float(v) + 0.02))
    caught(moved, blank, r"SVG-003 .*BLANK-EDGE")


def test_wrong_units(tray):
    blank, text = tray
    caught(re.sub(r'(width|height)="([\d.]+)mm"', r'\1="\2in"', text), blank, "SVG-003")
    caught(re.sub(r'(width|height)="([\d.]+)mm"', r'\1="\2px"', text), blank, "SVG-002")


def test_scaled(tray):
    blank, text = tray

    def larger(match):
        return f'{match[1]}="{float(match[2]) * 1.001:.6f}mm"'

    caught(re.sub(r'(width|height)="([\d.]+)mm"', larger, text), blank, "SVG-003")
    caught(re.sub(r'(width)="([\d.]+)mm"', larger, text, count=1), blank, "SVG-002 .*across")


def test_a_missing_hole(tray):
    blank, text = tray
    caught(re.sub(r"<circle [^>]*/>\n", "", text, count=1), blank, "HOLES: 8 closed loops")


def test_a_hole_moved_and_one_too_large(tray):
    blank, text = tray
    moved = spoil(text, r'<circle cx="([^"]*)"', lambda v: str(float(v) + 0.02))
    caught(moved, blank, r"HOLES: .* by 0\.02")
    large = spoil(text, r'<circle [^>]* r="([^"]*)"', lambda v: str(float(v) + 0.02))
    caught(large, blank, r"HOLES: .* by 0\.0200 mm")


def test_an_arc_swung_the_other_way(tray):
    blank, text = tray
    swung = spoil(
        text, r'id="BLANK-EDGE".*?A 3\.6 3\.6 0 0 ([01]) ', lambda v: "1" if v == "0" else "0"
    )
    caught(swung, blank, "SVG-003")


def test_an_outline_left_open(tray):
    blank, text = tray
    caught(spoil(text, r'id="BLANK-EDGE".*?( Z)"', lambda _: ""), blank, "SVG-003")


def test_a_moved_group(tray):
    blank, text = tray
    caught(
        text.replace('<g id="HOLES"', '<g transform="translate(1 0)" id="HOLES"'), blank, "SVG-002"
    )


def test_a_bend_line_missing(tray):
    blank, text = tray
    gone = spoil(text, r'id="BEND-TANGENT"[^>]*>\n(<path [^>]*/>\n)', lambda _: "")
    caught(gone, blank, r"BEND-TANGENT: an edge of the blank is off")


@pytest.mark.parametrize("data", [b"", b"<svg", b"<html/>"])
def test_no_svg_at_all(data):
    with pytest.raises(BadInput, match="SVG-001"):
        read_svg(data)


def test_a_missing_bend_note(tray):
    blank, text = tray
    caught(text.replace("left bend: UP", "left bend: DOWN"), blank, r"SVG-004 .*left bend")
