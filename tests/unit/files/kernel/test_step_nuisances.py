"""Solids as other programs write them: fewer digits, other surfaces, faces in pieces, loose shells.

Each is a part made with the kernel; the closed-form area of its blank does not care how the file
says it.
"""

import io
import math
import re

import pytest
from OCP.BRep import BRep_Builder
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Fuse
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.Interface import Interface_Static
from OCP.ShapeUpgrade import ShapeUpgrade_ShapeDivideAngle
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Compound

import kernel_shapes as ks
from blankwright.base.errors import BadInput
from blankwright.develop.develop import develop_blank
from blankwright.develop.restate import part_of_blank
from blankwright.develop.unfold.result import NotSheet, Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes
from blankwright.files.kernel.proof import shapes
from blankwright.files.kernel.session import prepare
from blankwright.files.kernel.step_read import blanks_in

K, T = 0.4, 2.0


def rule(radius, thickness, angle):
    return angle * (radius + K * thickness), K


def ba(degrees, radius, thickness=T):
    return math.radians(degrees) * (radius + K * thickness)


def read(data, name="part.step"):
    return blanks_in(data, name, UnfoldWishes(rule=rule))


def unfold(data):
    (result,) = read(data)
    assert isinstance(result, Unfolded), result
    return result


def holed(tilted=True):
    """An angle with two round holes and a square one."""
    solid = ks.cut(
        ks.strip_section((30, 20), ((90, 3),), T, 40),
        ks.rod(10, 20, -1, 4, 5),
        ks.box(15, 5, -1, 20, 9, 5),
        ks.rod(30, 12, 18, 3, 9, (1, 0, 0)),
    )
    if not tilted:
        return solid
    solid = ks.moved(solid, (13.123, -7.77, 4.2), (1, 2, 3), 37.3)
    return ks.moved(solid, (100, 2000, -300), (0.3, -0.7, 0.2), 71)


AREA = (50 + ba(90, 3)) * 40 - math.pi * (16 + 9) - 20


def with_digits(data, digits, directions=6):
    """Round all coordinates of a file, and its directions, as programs with few digits write."""

    def rounded(match, n):
        numbers = (f"{float(v):.{n}f}".encode() for v in match[2].split(b","))
        return match[1] + b",".join(numbers) + match[3]

    head, body = data.split(b"DATA;", 1)
    point = rb"(CARTESIAN_POINT\('[^']*',\()([^)]*)(\))"
    body = re.sub(point, lambda m: rounded(m, digits), body)
    direction = rb"(DIRECTION\('[^']*',\()([^)]*)(\))"
    body = re.sub(direction, lambda m: rounded(m, directions), body)
    return head + b"DATA;" + body


def in_unit(solid, unit):
    prepare()
    Interface_Static.SetCVal_s("write.step.unit", unit)
    try:
        return ks.step_of(solid)
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")


def with_splines(solid, within):
    """Turn every plane, cylinder and circle into a spline without weights: an approximation."""
    from OCP.GeomAbs import GeomAbs_C1
    from OCP.ShapeCustom import ShapeCustom, ShapeCustom_RestrictionParameters

    how = ShapeCustom_RestrictionParameters()
    how.ConvertPlane = True
    how.ConvertCylindricalSurf = True
    return ks.one(
        ShapeCustom.BSplineRestriction_s(
            solid, within, within, 8, 200, GeomAbs_C1, GeomAbs_C1, True, True, how
        )
    )


def divided(solid, degrees):
    divider = ShapeUpgrade_ShapeDivideAngle(math.radians(degrees), solid)
    divider.Perform()
    return ks.one(divider.Result())


FILES = {
    "5 digits": (lambda: with_digits(ks.step_of(holed()), 5), 1e-3),
    "4 digits": (lambda: with_digits(ks.step_of(holed()), 4), 0.01),
    "3 digits": (lambda: with_digits(ks.step_of(holed()), 3), 0.1),
    "inches, 5 digits": (lambda: with_digits(in_unit(holed(), "INCH"), 5), 0.03),
    "inches, 4 digits": (lambda: with_digits(in_unit(holed(), "INCH"), 4), 0.2),
    "metres": (lambda: in_unit(holed(), "M"), 1e-6),
    "splines with weights, 4 digits": (
        lambda: with_digits(ks.step_of(ks.as_free_form(holed())), 4),
        0.02,
    ),
    "splines without weights": (lambda: ks.step_of(with_splines(holed(), 1e-5)), 1e-4),
    "splines without weights, coarse": (lambda: ks.step_of(with_splines(holed(), 1e-3)), 0.01),
    "cylinders in patches of 30°": (lambda: ks.step_of(divided(holed(), 30)), 1e-6),
    "cylinders in patches of 45°": (lambda: ks.step_of(divided(holed(), 45)), 1e-6),
}


@pytest.mark.parametrize("name", FILES)
def test_however_the_file_says_it(name):
    make, within = FILES[name]
    result = unfold(make())
    blank = result.blank
    assert blank.outline.area == pytest.approx(AREA, abs=within)
    assert blank.thickness == pytest.approx(T, abs=1e-3)
    (bend,) = blank.bends
    assert math.degrees(bend.angle) == pytest.approx(90, abs=0.01)
    assert bend.inside_radius == pytest.approx(3, abs=2e-3)
    kinds = sorted(hole.kind.value for hole in blank.holes)
    assert kinds == ["cut-out", "round hole", "round hole"]
    # Restated as a part it gives the same blank, however small the slips were.
    again = develop_blank(part_of_blank(blank, "part", ""))
    assert again.outline.area == pytest.approx(blank.outline.area, abs=1e-4)
    assert len(again.outline.holes) == 3


def test_few_digits_are_said():
    (finding,) = unfold(with_digits(ks.step_of(holed()), 3)).findings
    assert finding.code == "STEP-033"
    assert not unfold(ks.step_of(holed())).findings


@pytest.mark.parametrize("across", [True, False])
def test_faces_parted_by_lines_that_mean_nothing(across):
    whole = ks.strip_section((30, 20), ((90, 3),), T, 40)
    points = [(-50, -60, -50), (100, 60, -50), (100, 200, -50), (-50, 200, -50)]
    tool = ks.prism(points, 200) if across else ks.box(32, -9, -9, 99, 99, 99)
    halves = ks.cut(whole, tool), ks.one(BRepAlgoAPI_Common(whole, tool).Shape())
    solid = ks.one(BRepAlgoAPI_Fuse(*halves).Shape())
    assert len(shapes(solid, TopAbs_FACE)) > 10
    result = unfold(ks.step_of(solid))
    assert result.blank.outline.area == pytest.approx((50 + ba(90, 3)) * 40, abs=1e-6)
    assert len(result.blank.outline.edges) == 4


def test_a_hundred_bends_do_not_drift():
    solid = ks.strip_section((20, *[12] * 99, 20), ((30, 2), (-30, 2)) * 50, 1.0, 60)
    solid = ks.moved(solid, (7, 8, 9), (1, 2, 3), 37.3)
    result = unfold(ks.step_of(solid))
    length = 40 + 12 * 99 + 100 * ba(30, 2, 1.0)
    assert len(result.blank.bends) == 100
    assert max(result.blank.size) == pytest.approx(length, abs=1e-4)


@pytest.mark.parametrize(("off", "level"), [(0.004, "note"), (0.05, "ask")])
def test_outside_of_a_bend_not_quite_about_the_axis_of_its_inside(off, level):
    plates = ks.fuse(ks.box(0, 0, 0, 40, 30, T), ks.box(40 - T, 0, 0, 40, 30, 25))
    solid = ks.fillet(plates, 3, lambda x, y, z: abs(x - 40 + T) < 1e-6 and abs(z - T) < 1e-6)
    solid = ks.fillet(solid, 3 + T + off, lambda x, y, z: abs(x - 40) < 1e-6 and abs(z) < 1e-6)
    result = unfold(ks.step_of(solid))
    assert result.blank.thickness == pytest.approx(T)
    assert result.blank.bends[0].inside_radius == pytest.approx(3)
    assert result.blank.outline.area == pytest.approx((35 + 20 + ba(90, 3)) * 30, abs=0.1)
    assert {f.level.value for f in result.findings if f.code == "STEP-033"} == {level}


def test_a_bend_that_is_thicker_is_no_slip():
    plates = ks.fuse(ks.box(0, 0, 0, 40, 30, T), ks.box(40 - T, 0, 0, 40, 30, 25))
    solid = ks.fillet(plates, 3, lambda x, y, z: abs(x - 40 + T) < 1e-6 and abs(z - T) < 1e-6)
    solid = ks.fillet(solid, 4, lambda x, y, z: abs(x - 40) < 1e-6 and abs(z) < 1e-6)
    (result,) = read(ks.step_of(solid))
    assert isinstance(result, NotSheet)
    assert {p.code for p in result.problems} == {"STEP-017"}


def shell_alone():
    return shapes(holed(), TopAbs_SHELL)[0]


def loose_faces(count=None):
    compound, make = TopoDS_Compound(), BRep_Builder()
    make.MakeCompound(compound)
    for face in shapes(holed(), TopAbs_FACE)[:count]:
        make.Add(compound, face)
    return compound


@pytest.mark.parametrize("make", [shell_alone, loose_faces])
def test_surfaces_that_close_are_sewn_and_it_is_said(make):
    result = unfold(ks.step_of(make()))
    assert result.blank.outline.area == pytest.approx(AREA, abs=1e-6)
    assert [finding.code for finding in result.findings] == ["STEP-035"]


def test_surfaces_that_do_not_close_are_refused_with_the_place():
    with pytest.raises(BadInput, match=r"STEP-005.*open at \("):
        read(ks.step_of(loose_faces(-1)))


def test_surfaces_beside_a_solid_are_told():
    compound, make = TopoDS_Compound(), BRep_Builder()
    make.MakeCompound(compound)
    make.Add(compound, holed())
    make.Add(compound, shapes(ks.moved(holed(), (300, 0, 0)), TopAbs_FACE)[0])
    found = read(ks.step_of(compound))
    assert [type(result) for result in found] == [Unfolded, NotSheet]
    assert found[1].problems[0].code == "STEP-005"


def assembly():
    """Two of a part, its other hand, and a block, each a product of its own."""
    prepare()

    def at(x, mirrored=False):
        mirror, shift = gp_Trsf(), gp_Trsf()
        if mirrored:
            mirror.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0)))
        shift.SetTranslation(gp_Vec(x, 0, 0))
        return TopLoc_Location(shift.Multiplied(mirror))

    part, compound, make = holed(tilted=False), TopoDS_Compound(), BRep_Builder()
    make.MakeCompound(compound)
    for where in (at(0), at(200)):
        make.Add(compound, part.Moved(where))
    make.Add(compound, part.Moved(at(400, mirrored=True), False))
    make.Add(compound, ks.box(0, 0, 0, 10, 10, 10))
    Interface_Static.SetIVal_s("write.step.assembly", 1)
    try:
        writer = STEPControl_Writer()
        writer.Transfer(compound, STEPControl_AsIs)
        stream = io.BytesIO()
        writer.WriteStream(stream)
    finally:
        Interface_Static.SetIVal_s("write.step.assembly", 2)
    names = iter((b"Baugruppe", b"Winkel \\X2\\00FC\\X0\\ ''A''", b"Klotz"))
    return re.sub(
        rb"PRODUCT\('[^']*',\s*'[^']*'",
        lambda m: b"PRODUCT('1','" + next(names) + b"'",
        stream.getvalue(),
    )


def test_parts_of_an_assembly_by_their_products_each_kind_once():
    found = read(assembly())
    assert [(r.name, r.copies) for r in found] == [
        ("Winkel ü 'A' 1", 2),
        ("Winkel ü 'A' 2", 1),
        ("Klotz", 1),
    ]
    hand, other, block = found
    assert isinstance(block, NotSheet)
    for result in (hand, other):
        assert isinstance(result, Unfolded)
        assert result.blank.outline.area == pytest.approx(AREA, abs=1e-6)
        (bend,) = result.blank.bends
        assert bend.inside_radius == pytest.approx(3)
        assert math.degrees(bend.angle) == pytest.approx(90)


def test_metal_that_would_be_lost_is_refused():
    """The proof itself: a volume that does not fit the blank stops it."""
    from blankwright.base.errors import NotPossible
    from blankwright.develop.unfold.metal import metal_kept, volume_bent
    from blankwright.files.kernel.faces import model_of

    solid = holed()
    result = unfold(ks.step_of(solid))
    model = model_of(solid, "part")
    assert volume_bent(result.blank) == pytest.approx(model.volume, rel=1e-6)
    assert metal_kept(model, result) == []
    model.volume *= 1.2
    with pytest.raises(NotPossible, match="STEP-027"):
        metal_kept(model, result)
    model.volume /= 1.2 / 1.01
    assert [finding.code for finding in metal_kept(model, result)] == ["STEP-034"]


@pytest.mark.parametrize("tilted", [False, True])
def test_volume_by_faces_is_the_kernels(tilted):
    from blankwright.files.kernel.faces import model_of
    from blankwright.files.kernel.proof import volume_in

    solid = holed(tilted=tilted)
    assert model_of(solid, "part").volume == pytest.approx(volume_in(solid), rel=1e-9)
    assert model_of(solid.Reversed(), "part").volume == pytest.approx(-volume_in(solid), rel=1e-9)
