"""Reading part files: what comes out, as typed and worked out."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput, FileProblem
from blankwright.files.partfile import PartProblem, read_part, read_part_text
from blankwright.jobs.items import items_of
from blankwright.part.model import (
    AllowanceRule,
    CornerRule,
    DrawnTo,
    HoleKind,
    Origin,
    ReliefRule,
)

EXAMPLES = Path(__file__).parents[4] / "examples" / "tarn200" / "parts"

SMALL = """\
title = "Plate"
hand = "left"
[sizes]
width = "4 in"
bore = { drill = "F" }
[variants.wide]
width = "6 in"
[sheet]
alloy = "2024-T3"
thickness = "0.032 in"
[flats.plate]
outline = { rectangle = ["width", "2 in"] }
"""
BEND = """
[bends.leg]
from = "plate.back"
angle = "90 deg"
inside_radius = "1/8 in"
up = true
leg = { height = "1 in" }
"""


def small(more: str = "", **how: object) -> object:
    return read_part_text(SMALL + more, "plate", **how)  # type: ignore[arg-type]


def test_every_example_is_read() -> None:
    files = sorted(EXAMPLES.glob("*.toml"))
    assert len(files) >= 9
    for path in files:
        for item in items_of(path):
            assert item.read().name == item.name


def test_the_tray() -> None:
    part = read_part(EXAMPLES / "battery-tray.toml")
    assert part.name == "battery-tray"
    assert part.title == "Battery tray"
    assert part.sheet.thickness == pytest.approx(1.016)
    assert part.sheet.grain == pytest.approx(math.pi / 2)
    width = next(size for size in part.sizes if size.name == "width")
    assert width.text == "bay_width - 2*clear"
    assert width.value == pytest.approx(184.9)
    assert width.origin is Origin.FORMULA
    bay = part.sizes[0]
    assert (bay.origin, bay.text, bay.drawn) == (Origin.MEASURED, "186.4 mm", "7-3/8 in")
    assert bay.plus_minus == pytest.approx(0.3)
    assert [bend.name for bend in part.bends][:4] == ["left", "right", "front", "back"]
    left = part.bend("left")
    assert (left.parent, left.edge, left.up) == ("floor", "left", True)
    assert (left.start, left.end) == pytest.approx((0.0, 127.0))
    assert left.leg.outline.box == pytest.approx((0.0, 0.0, 127.0, 38.1))
    assert not part.bend("left-lip").up
    assert [hole.name for hole in part.holes][:2] == ["mount[1]", "mount[2]"]
    assert part.holes[0].drill == "#30"


def test_numbers_are_kept_as_typed_with_their_line() -> None:
    path = EXAMPLES / "battery-tray.toml"
    part = read_part(path)
    lines = path.read_text(encoding="utf-8").split("\n")
    for place, stated in part.stated.items():
        assert stated.text in lines[stated.line - 1], place
    stated = part.stated["flats.floor.outline.rectangle[1]"]
    assert (stated.text, stated.uses, stated.kind) == ("width", ("width",), "length")
    assert stated.value == pytest.approx(184.9)
    assert part.stated["sheet.thickness"].text == "0.040 in"
    assert part.stated["bend_defaults.angle"].value == pytest.approx(math.pi / 2)
    for size in part.sizes:
        assert lines[size.line - 1].startswith(size.name)


def test_overriding_a_size_moves_all_that_hangs_on_it() -> None:
    part = read_part(EXAMPLES / "battery-tray.toml", sizes={"bay_width": "7 in"})
    by_name = {size.name: size for size in part.sizes}
    assert by_name["bay_width"].value == pytest.approx(177.8)
    assert by_name["bay_width"].origin is Origin.MEASURED
    assert by_name["width"].value == pytest.approx(176.3)
    assert part.root.outline.box[2] == pytest.approx(176.3)


def test_an_override_may_be_a_formula_or_a_drill() -> None:
    part = read_part_text(SMALL, "plate", sizes={"width": "3*bore", "bore": "#40"})
    by_name = {size.name: size.value for size in part.sizes}
    assert by_name["bore"] == pytest.approx(0.098 * 25.4, abs=1e-3)
    assert by_name["width"] == pytest.approx(3 * by_name["bore"])


def test_overriding_what_is_not_there_is_told() -> None:
    with pytest.raises(BadInput) as caught:
        small(sizes={"widht": "3 in"})
    assert "PART-014" in str(caught.value)
    assert "Did you mean `width`" in str(caught.value)


def test_a_bad_override_is_told() -> None:
    with pytest.raises(BadInput, match="SIZE-005"):
        small(sizes={"width": "3"})


def test_variants_and_hands() -> None:
    both = SMALL.replace('hand = "left"', 'hand = "left"\nother_hand = true')
    wide = read_part_text(both, "plate", variant="wide", hand="right")
    assert (wide.name, wide.hand) == ("plate-wide-right", "right")
    assert wide.root.outline.box[2] - wide.root.outline.box[0] == pytest.approx(152.4)
    assert read_part_text(both, "plate").name == "plate-left"


def test_the_other_hand_of_a_part_that_is_made_in_one() -> None:
    assert read_part_text(SMALL, "plate").name == "plate"
    assert read_part_text(SMALL, "plate", hand="left").name == "plate"
    right = read_part_text(SMALL, "plate", hand="right")
    assert (right.name, right.hand) == ("plate-right", "right")
    with pytest.raises(BadInput, match="PART-014"):
        read_part_text(SMALL.replace('hand = "left"\n', ""), "plate", hand="right")
    with pytest.raises(BadInput, match="PART-014"):
        read_part_text(SMALL, "plate", hand="upper")
    with pytest.raises(BadInput, match="PART-014"):
        read_part_text(SMALL, "plate", variant="narrow")


def test_insets_and_widths() -> None:
    def span(extra: str) -> tuple[float, float]:
        part = read_part_text(SMALL + BEND + extra, "plate")
        return part.bends[0].start / 25.4, part.bends[0].end / 25.4

    assert span("") == pytest.approx((0, 4))
    assert span('inset = "1/2 in"') == pytest.approx((0.5, 3.5))
    assert span('left_inset = "1 in"') == pytest.approx((1, 4))
    assert span('right_inset = "1 in"') == pytest.approx((0, 3))
    assert span('left_inset = "1 in"\nright_inset = "1/2 in"') == pytest.approx((1, 3.5))
    assert span('width = "1 in"\ncentered = true') == pytest.approx((1.5, 2.5))
    assert span('width = "1 in"\nleft_inset = "1/4 in"') == pytest.approx((0.25, 1.25))
    assert span('width = "1 in"\nright_inset = "1/4 in"') == pytest.approx((2.75, 3.75))


def test_left_is_left_as_seen_from_the_flat() -> None:
    # Over the back edge left is at x = 0; over the front edge it is at the greatest x.
    tab = 'left_inset = "1 in"\n'
    back = read_part_text(SMALL + BEND + tab, "plate").bends[0]
    front = read_part_text(SMALL + (BEND + tab).replace("back", "front"), "plate").bends[0]
    for bend, x in ((back, 25.4), (front, 101.6 - 25.4)):
        edge = next(
            e
            for e, name in zip(
                read_part_text(SMALL, "plate").root.outline.edges,
                ("front", "right", "back", "left"),
                strict=True,
            )
            if name == bend.edge
        )
        # The leg's left end is where the counter-clockwise edge ends.
        begin = edge.point(1 - bend.start / edge.length)
        assert begin[0] == pytest.approx(x)


def test_what_dimensions_are_drawn_to() -> None:
    def drawn(
        defaults: str = "", flat: str = "", bend: str = "", leg: str = ""
    ) -> tuple[DrawnTo, DrawnTo]:
        text = SMALL.replace('"2 in"] }', f'"2 in"] }}\n{flat}')
        text += f"[bend_defaults]\n{defaults}\n" if defaults else ""
        text += BEND.replace('height = "1 in"', f'height = "1 in"{leg}') + bend
        one = read_part_text(text, "plate").bends[0]
        return one.drawn_to, one.leg.drawn_to

    oml, iml, tan = DrawnTo.OUTSIDE_MOLD_LINE, DrawnTo.INSIDE_MOLD_LINE, DrawnTo.TANGENT_LINE
    inside = 'drawn_to = "inside mold line"'
    assert drawn() == (oml, oml)
    assert drawn(defaults=inside) == (iml, iml)
    assert drawn(flat=inside) == (iml, oml)
    assert drawn(leg=f", {inside}") == (oml, iml)
    assert drawn(bend='edge_drawn_to = "tangent line"') == (tan, oml)
    assert drawn(defaults=inside, bend='edge_drawn_to = "bend tangent line"') == (tan, iml)


def test_bend_settings() -> None:
    more = """
allowance = "neutral-axis factor"
k = 0.42
end_relief = { square = "1/8 in", depth = "1/16 in" }
last = "after the gate is in"
note = "mind the grain"
"""
    bend = read_part_text(SMALL + BEND + more, "plate").bends[0]
    assert bend.allowance is AllowanceRule.NEUTRAL_AXIS
    assert bend.k == 0.42
    assert bend.end_relief.rule is ReliefRule.SQUARE
    assert bend.end_relief.size == pytest.approx(3.175)
    assert bend.end_relief.depth == pytest.approx(1.5875)
    assert bend.last == "after the gate is in"
    assert bend.note == "mind the grain"


def test_a_lip_that_ends_in_its_bend() -> None:
    part = read_part(EXAMPLES / "rolled-cover.toml")
    lip = part.bend("lip")
    assert lip.leg.drawn_to is DrawnTo.TANGENT_LINE
    assert lip.leg.outline.box[3] == pytest.approx(0.02)


def test_corners_of_all_that_meet_by_default_and_as_stated() -> None:
    text = SMALL + BEND + BEND.replace("leg]", "side]").replace("back", "left")
    default = read_part_text(text, "plate").corners
    assert [(c.first, c.second, c.rule) for c in default] == [("leg", "side", CornerRule.OPEN)]
    stated = text + '[corners.c]\nbetween = ["side", "leg"]\nrule = "lapped"\ngap = "1 mm"\n'
    (corner,) = read_part_text(stated, "plate").corners
    assert (corner.first, corner.second, corner.rule) == ("side", "leg", CornerRule.LAPPED)
    assert corner.gap == 1.0
    apart = text.replace("up = true", 'up = true\ninset = "1/4 in"')
    assert read_part_text(apart, "plate").corners == ()


def test_kinds_of_holes() -> None:
    more = """
[holes.a]
on = "plate"
at = ["1 in", "1 in"]
diameter = "1/4 in"
[holes.b]
on = "plate"
at = ["1 in", "1 in"]
drill = "bore"
[holes.c]
on = "plate"
at = ["1 in", "1 in"]
slot = { length = "1 in", width = "1/4 in" }
turn = "90 deg"
[holes.d]
on = "plate"
at = ["2 in", "1 in"]
cut_out = { rectangle = ["1 in", "1/2 in"] }
[holes.e]
on = "plate"
cut_out = { polygon = [["0 in", "0 in"], ["1 in", "0 in"], ["0 in", "1 in"]] }
[holes.f]
on = "plate"
at = ["2 in", "1 in"]
lightening = "1/2 in"
ring = { count = 3, diameter = "1 in" }
"""
    holes = {hole.name: hole for hole in small(more).holes}  # type: ignore[attr-defined]
    assert list(holes) == ["a", "b", "c", "d", "e", "f[1]", "f[2]", "f[3]"]
    assert holes["a"].loop.as_circle.radius == pytest.approx(3.175)
    assert holes["b"].drill == "F"
    assert holes["b"].loop.as_circle.radius == pytest.approx(0.257 * 12.7, abs=1e-3)
    x0, y0, x1, y1 = holes["c"].loop.box
    assert (x1 - x0, y1 - y0) == pytest.approx((6.35, 25.4))
    assert holes["d"].loop.box == pytest.approx((38.1, 19.05, 63.5, 31.75))
    assert holes["d"].center == pytest.approx((50.8, 25.4))
    assert holes["e"].loop.box == pytest.approx((0, 0, 25.4, 25.4))
    assert {h.kind for h in holes.values()} == {
        HoleKind.ROUND, HoleKind.SLOT, HoleKind.CUT_OUT, HoleKind.LIGHTENING,
    }  # fmt: skip


def test_children_may_stand_before_their_parents() -> None:
    lip = BEND.replace("leg]", "lip]").replace("plate.back", "leg.tip")
    part = read_part_text(SMALL + lip + BEND, "plate")
    assert [bend.name for bend in part.bends] == ["leg", "lip"]


def test_windows_line_ends_and_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "plate.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode())
    part = read_part(path)
    assert part.stated["sheet.thickness"].line == 10
    path.write_bytes(SMALL.replace("0.032 in", "0.032").replace("\n", "\r\n").encode())
    with pytest.raises(BadInput) as caught:
        read_part(path)
    (problem,) = caught.value.problems
    assert isinstance(problem, PartProblem)
    assert (problem.line, problem.place) == (10, "sheet.thickness")


def test_files_that_are_none(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match="PART-012"):
        read_part(tmp_path / "none.toml")
    with pytest.raises(FileProblem, match="PART-012"):
        read_part(tmp_path)
    path = tmp_path / "latin.toml"
    path.write_bytes(b'title = "Tr\xe4ger"\n')
    with pytest.raises(FileProblem, match=r"line 1.*0xe4.*UTF-8"):
        read_part(path)


def test_an_empty_file_says_all_that_it_lacks() -> None:
    with pytest.raises(BadInput) as caught:
        read_part_text("", "empty")
    assert {p.code for p in caught.value.problems} == {"PART-003", "PART-011"}
    assert len(caught.value.problems) == 3


def test_problems_come_in_the_order_of_the_file() -> None:
    text = SMALL.replace("4 in", "4 inn").replace("0.032 in", "0.032").replace('"2 in"', '"2"')
    with pytest.raises(BadInput) as caught:
        read_part_text(text, "plate")
    lines = [p.line for p in caught.value.problems if isinstance(p, PartProblem)]
    assert len(lines) == 3
    assert lines == sorted(lines)


def test_overrides_need_reasons_and_are_kept() -> None:
    more = '[overrides]\nBEND-001 = "bent a coupon, looks sound"\n'
    more += '"HOLE-001 hole a" = "drilled after"\n'
    part = read_part_text(SMALL + more, "plate")
    assert dict(part.overrides) == {
        "BEND-001": "bent a coupon, looks sound",
        "HOLE-001 hole a": "drilled after",
    }
