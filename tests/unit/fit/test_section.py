import math
from pathlib import Path

import numpy as np
import pytest
import shapely

from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import Formed, form
from blankwright.files.partfile import read_part, read_part_text
from blankwright.fit.section import section_of
from blankwright.fit.solid import ERROR, Solid, drawn_out, solid_of_formed
from blankwright.geom.loop import Loop
from blankwright.geom.pose import Pose
from blankwright.geom.region import Region

PARTS = Path(__file__).parents[3] / "examples" / "tarn200" / "parts"
ACROSS = Pose((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (25.0, 0.0, 0.0))
"""A plane square to x: section x along y, section y along z."""

ANGLE = """
title = "angle"
[sheet]
alloy = "6061-T6"
thickness = "1 mm"
[flats.base]
outline = { rectangle = ["50 mm", "30 mm"] }
[bends.up]
from = "base.back"
angle = "90 deg"
inside_radius = "3 mm"
up = true
leg = { height = "20 mm" }
"""


def formed_of(text: str) -> Formed:
    return form(develop_blank(read_part_text(text, "angle")))


def test_section_of_an_angle_is_two_bars_and_a_quarter_ring() -> None:
    section = section_of(solid_of_formed(formed_of(ANGLE), Pose()), ACROSS)
    # Closed form: legs to their tangent lines (setback 4 mm), and a quarter ring of 3 to 4 mm.
    assert section.features["base"].area == pytest.approx(26.0, abs=1e-3)
    assert section.features["up"].area == pytest.approx(16.0, abs=1e-3)
    ring = math.pi / 4 * (4**2 - 3**2)
    assert section.features["bend up"].area == pytest.approx(ring, abs=0.06)
    assert section.shape.geom_type == "Polygon"
    assert section.shape.bounds == pytest.approx((0, 0, 30, 20), abs=1e-3)


def test_the_stated_error_holds_at_the_bend() -> None:
    section = section_of(solid_of_formed(formed_of(ANGLE), Pose()), ACROSS)
    exact = shapely.union_all(
        [
            shapely.box(0, 0, 26, 1),
            shapely.box(29, 4, 30, 20),
            shapely.Point(26, 4)
            .buffer(4, quad_segs=2000)
            .difference(shapely.Point(26, 4).buffer(3, quad_segs=2000))
            .intersection(shapely.box(26, 0, 30, 4)),
        ]
    )
    assert section.error <= ERROR + 1e-4
    assert section.shape.hausdorff_distance(exact) <= section.error
    assert exact.buffer(-section.error).difference(section.shape).is_empty
    assert section.shape.buffer(-section.error).difference(exact).is_empty


def test_a_hole_in_the_way_parts_the_section() -> None:
    text = ANGLE + '[holes.big]\non = "base"\nat = ["25 mm", "12 mm"]\ndiameter = "8 mm"\n'
    section = section_of(solid_of_formed(formed_of(text), Pose()), ACROSS)
    assert section.shape.geom_type == "MultiPolygon"
    left = min(section.shape.geoms, key=lambda p: p.bounds[0])
    assert left.bounds[2] == pytest.approx(8.0, abs=0.01)


@pytest.mark.parametrize("path", sorted(PARTS.glob("*.toml")), ids=lambda p: p.stem)
def test_sections_of_all_example_parts_are_as_thick_as_the_sheet(path: Path) -> None:
    part = read_part(path)
    formed = form(develop_blank(part))
    solid = solid_of_formed(formed, Pose())
    least, most = formed.box
    plane = Pose(
        (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.52 * (least[0] + most[0]), 0.0, 0.0)
    )
    section = section_of(solid, plane)
    assert section.shape.is_valid
    assert not section.is_empty
    low = np.array(least) - 2 * section.error
    high = np.array(most) + 2 * section.error
    x0, y0, x1, y1 = section.shape.bounds
    assert low[1] <= x0
    assert x1 <= high[1]
    assert low[2] <= y0
    assert y1 <= high[2]


def test_oblique_cut_of_a_box_is_exact() -> None:
    box = Solid(
        name="box",
        material="metal",
        pieces=(drawn_out("box", Region(Loop.rectangle(0, 0, 10, 10)), 0, 10, Pose()),),
    )
    s = math.sqrt(0.5)
    plane = Pose((0.0, 0.0, 1.0), (s, -s, 0.0), (s, s, 0.0), (5.0, 5.0, 0.0))
    section = section_of(box, plane)
    assert section.error < 1e-4
    assert section.shape.area == pytest.approx(10 * 10 * math.sqrt(2), rel=1e-5)


def test_a_shell_of_triangles_is_cut_like_its_solid() -> None:
    region = Region.of(Loop.rectangle(0, 0, 20, 12), Loop.circle((8, 6), 3))
    solid = Solid(name="a", material="m", pieces=(drawn_out("a", region, 0, 5, Pose()),))
    from blankwright.geom.triangles import triangulate

    corners, triangles = triangulate(*region.polygon(0.005))
    faces = []
    for z, order in ((0.0, (0, 2, 1)), (5.0, (0, 1, 2))):
        for t in triangles:
            faces.append([(*corners[t[k]], z) for k in order])
    for loop in region.loops:
        points = loop.points(0.005)
        for p, q in zip(points, points[1:] + points[:1], strict=True):
            faces.append([(*p, 0.0), (*q, 0.0), (*q, 5.0)])
            faces.append([(*p, 0.0), (*q, 5.0), (*p, 5.0)])
    shell = Solid(name="b", material="m", shell=np.array(faces))
    for plane in (
        Pose(origin=(0.0, 0.0, 2.5)),
        Pose((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (8.2, 0.0, 0.0)),
    ):
        a, b = section_of(solid, plane), section_of(shell, plane)
        assert a.shape.symmetric_difference(b.shape).area < 1e-2
        assert a.shape.area > 10
