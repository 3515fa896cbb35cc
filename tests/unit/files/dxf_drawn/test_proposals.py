"""Proposals for drawings as other programs write them, made here by ezdxf."""

from __future__ import annotations

import io

import ezdxf
import pytest

from blankwright.develop.develop import develop_blank
from blankwright.files.partfile import read_part_text
from blankwright.jobs.bring_in import look_at
from blankwright.jobs.bring_in_asked import Asked, BendAsked

STATED = Asked(
    alloy="6061-T6",
    thickness="1 mm",
    every_bend=BendAsked(up=True, angle="90 deg", radius="3 mm"),
)


def drawing():
    doc = ezdxf.new("R2010")
    doc.units = 4
    return doc, doc.modelspace()


def look(doc, asked=STATED):
    stream = io.StringIO()
    doc.write(stream)
    data = stream.getvalue().encode()
    brought = look_at(data, "drawn.dxf", asked)
    (candidate,) = brought.candidates
    assert candidate.ready, (candidate.questions, candidate.problems)
    part = read_part_text(candidate.text, "drawn", drawings={brought.drawing: data})
    return develop_blank(part), candidate


def plate(space, layer="0", size=(120, 80)):
    w, h = size
    space.add_lwpolyline([(0, 0), (w, 0), (w, h), (0, h)], close=True, dxfattribs={"layer": layer})


def test_bends_up_and_down_on_layers_of_their_own_with_tangent_lines_on_a_third():
    doc, space = drawing()
    plate(space)
    for x, layer in ((30, "BEND_UP"), (90, "BEND_DOWN")):
        space.add_line((x, 0), (x, 80), dxfattribs={"layer": layer})
        for off in (-2.7, 2.7):
            space.add_line((x + off, 80), (x + off, 0), dxfattribs={"layer": "BEND_EXTENT"})
    blank, candidate = look(doc)
    assert [bend.up for bend in blank.bends] == [True, False]
    assert [bend.allowance for bend in blank.bends] == pytest.approx([5.4, 5.4])
    assert 'tangent_lines = ["layer BEND_EXTENT"]' in candidate.text


def test_holes_as_polylines_of_two_rounded_bulges_are_round():
    doc, space = drawing()
    plate(space)
    # Six decimals, as many programs write: centres of the halves differ a little.
    space.add_lwpolyline(
        [(20.000001, 30.0, 1.0), (29.999999, 30.000001, 0.999999)], format="xyb", close=True
    )
    blank, _ = look(doc)
    (hole,) = blank.holes
    assert hole.diameter == pytest.approx(10, abs=1e-5)


def test_an_outline_in_two_layers_and_lines_that_are_told_apart_by_colour():
    doc, space = drawing()
    for a, b, layer in (
        ((0, 0), (120, 0), "BOTTOM"),
        ((120, 0), (120, 80), "SIDES"),
        ((120, 80), (0, 80), "BOTTOM"),
        ((0, 80), (0, 0), "SIDES"),
    ):
        space.add_line(a, b, dxfattribs={"layer": layer, "color": 5})
    space.add_line((60, 0), (60, 80), dxfattribs={"layer": "SIDES", "color": 1})
    space.add_circle((20, 20), 3, dxfattribs={"layer": "SIDES", "color": 2})
    blank, candidate = look(doc)
    assert len(blank.bends) == 1
    assert len(blank.holes) == 1
    assert "colour 1" in candidate.text


def test_dimensions_hatches_and_mtext_do_not_disturb():
    doc, space = drawing()
    plate(space, "PROFILE")
    space.add_line((60, 0), (60, 80), dxfattribs={"layer": "PROFILE", "linetype": "DASHED"})
    space.add_linear_dim(base=(0, -10), p1=(0, 0), p2=(120, 0)).render()
    hatch = space.add_hatch()
    hatch.paths.add_polyline_path([(0, 0), (10, 0), (10, 10)], is_closed=True)
    space.add_mtext("UP 90{\\H0.7x;%%d}\\PR 3 mm", dxfattribs={"insert": (62, 40)})
    blank, candidate = look(doc)
    assert len(blank.bends) == 1
    assert any("HATCH" in line and "DIMENSION" in line for line in candidate.told)


def test_a_mirrored_array_in_a_turned_block():
    doc, space = drawing()
    plate(space)
    block = doc.blocks.new("HOLES")
    block.add_circle((5, 0), 2)
    block.add_lwpolyline([(0, 8), (4, 8, 1), (4, 12), (0, 12, 1)], format="xyb", close=True)
    space.add_blockref(
        "HOLES",
        (60, 40),
        dxfattribs={"rotation": 90, "xscale": -1.5, "yscale": 1.5, "zscale": 1.5},
    )
    blank, _ = look(doc)
    assert len(blank.outline.holes) == 2
    circle = next(h for h in blank.holes if h.diameter is not None)
    assert circle.diameter == pytest.approx(6)
    assert circle.center == pytest.approx((60, 32.5))
    slot = next(h for h in blank.holes if h.diameter is None)
    assert slot.loop.area == pytest.approx((16 + 4 * 3.141592653589793) * 1.5**2)
