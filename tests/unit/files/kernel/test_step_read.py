"""Bent solids made with the kernel in other ways, unfolded, against closed-form blanks.

Developed lengths are written out from the drawing: straight legs plus angle · (R + k·T).
"""

import math

import pytest

import kernel_shapes as ks
from blankwright.develop.unfold.result import NotSheet, Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes
from blankwright.files.kernel.step_read import blanks_in
from blankwright.geom.edges import Arc, Line

K = 0.4
T = 2.0


def rule(radius: float, thickness: float, angle: float) -> tuple[float, float]:
    return angle * (radius + K * thickness), K


def all_of(*solids, **wishes) -> tuple[Unfolded | NotSheet, ...]:
    return blanks_in(ks.step_of(*solids), "part.step", UnfoldWishes(rule=rule, **wishes))


def unfold(solid, **wishes) -> Unfolded:
    (result,) = all_of(solid, **wishes)
    assert isinstance(result, Unfolded), result
    return result


def refused(solid) -> str:
    (result,) = all_of(solid)
    assert isinstance(result, NotSheet)
    return result.problems[0].code


def ba(degrees: float, radius: float, thickness: float = T) -> float:
    return math.radians(degrees) * (radius + K * thickness)


def assert_size(result: Unfolded, *wanted: float) -> None:
    assert sorted(result.blank.size) == pytest.approx(sorted(wanted), abs=1e-6)


def angle(width=40.0):
    return ks.strip_section((30, 20), ((90, 3),), T, width)


SECTIONS = {
    "angle": ((30, 20), ((90, 3),)),
    "acute": ((30, 20), ((35, 3),)),
    "past square": ((30, 20), ((130, 5),)),
    "down": ((30, 20), ((-90, 3),)),
    "channel": ((25, 50, 15), ((90, 3), (90, 4))),
    "zed": ((25, 50, 15), ((90, 3), (-90, 4))),
    "hat": ((15, 20, 40, 20, 15), ((-90, 3), (90, 3), (90, 3), (-90, 3))),
    "joggle, bend to bend": ((25, 0, 30), ((30, 4), (-30, 4))),
    "open hem": ((25, 10), ((180, 0.5),)),
    "nearly closed hem": ((25, 10), ((180, 0.002),)),
    "roll without end flat": ((40, 0), ((270, 6),)),
    "curled lip": ((40, 12, 0), ((90, 3), (250, 4))),
    "twenty bends": ((20, *[12] * 19, 20), ((90, 2), (-90, 2)) * 10),
}


@pytest.mark.parametrize("name", SECTIONS)
def test_extruded_section(name: str) -> None:
    legs, bends = SECTIONS[name]
    result = unfold(ks.strip_section(legs, bends, T, 60))
    length = sum(legs) + sum(ba(abs(a), r) for a, r in bends)
    assert result.blank.thickness == pytest.approx(T, abs=1e-9)
    assert_size(result, length, 60)
    assert result.blank.outline.area == pytest.approx(length * 60, rel=1e-9)
    assert all(isinstance(e, Line) for e in result.blank.outline.edges)
    assert len(result.blank.outline.edges) == 4
    got = sorted(
        (round(math.degrees(b.angle), 6), round(b.inside_radius, 6)) for b in result.blank.bends
    )
    assert got == sorted((float(abs(a)), float(r)) for a, r in bends)
    ups = [b.up for b in result.blank.bends]
    same_way = sum(a > 0 for a, _ in bends)
    assert sum(ups) in (same_way, len(bends) - same_way)
    assert not result.findings


def test_sharp_inside_corner_with_rounded_outside() -> None:
    """No inside radius: an outer cylinder of radius T, and flats that meet inside."""
    plates = ks.fuse(ks.box(0, 0, 0, 40, 30, T), ks.box(40 - T, 0, 0, 40, 30, 25))
    solid = ks.fillet(plates, T, lambda x, y, z: abs(x - 40) < 1e-6 and abs(z) < 1e-6)
    result = unfold(solid)
    assert_size(result, 40 - T + 25 - T + ba(90, 0), 30)
    assert result.blank.bends[0].inside_radius == 0.0


def test_fused_and_filleted_angle() -> None:
    plates = ks.fuse(ks.box(0, 0, 0, 40, 30, T), ks.box(40 - T, 0, 0, 40, 30, 25))
    solid = ks.fillet(plates, 3, lambda x, y, z: abs(x - 40 + T) < 1e-6 and abs(z - T) < 1e-6)
    solid = ks.fillet(solid, 3 + T, lambda x, y, z: abs(x - 40) < 1e-6 and abs(z) < 1e-6)
    assert_size(unfold(solid), 40 - 3 - T + 25 - 3 - T + ba(90, 3), 30)


def test_holes_slots_and_windows_on_flats() -> None:
    solid = ks.cut(
        angle(),
        ks.rod(10, 20, -1, 4, 5),
        ks.box(15, 5, -1, 20, 9, 5),
        ks.rod(30, 12, 18, 3, 9, (1, 0, 0)),
    )
    result = unfold(solid)
    holes = sorted((h.kind.value, round(h.diameter or 0, 9)) for h in result.blank.holes)
    assert holes == [("cut-out", 0), ("round hole", 6), ("round hole", 8)]
    whole = (50 + ba(90, 3)) * 40
    assert result.blank.outline.area == pytest.approx(
        whole - math.pi * 16 - 20 - math.pi * 9, rel=1e-9
    )
    on_leg = next(h for h in result.blank.holes if h.diameter == pytest.approx(6.0))
    on_root = next(h for h in result.blank.holes if h.diameter == pytest.approx(8.0))
    # Centre to centre: 20 along the root to the tangent line, the bend, 13 up the leg.
    across = abs(on_leg.center[0] - on_root.center[0])
    assert across == pytest.approx(20 + ba(90, 3) + (18 - 3 - T), abs=1e-9)
    assert abs(on_leg.center[1] - on_root.center[1]) == pytest.approx(8, abs=1e-9)


def test_hole_bored_square_to_the_middle_of_a_bend() -> None:
    """On the inside face: r² = x² + (R sin(φ − 45°))², y = φ·allowance/θ, arcs within 0.002."""
    radius, bore = 10.0, 3.0
    solid = ks.cut(
        ks.strip_section((30, 20), ((90, radius),), T, 40),
        ks.rod(30, 20, radius + T, bore, 30, (1, 0, -1)),
    )
    result = unfold(solid, seen_from=(0, 0, 1))
    (hole,) = result.blank.holes
    (bend,) = result.blank.bends
    back = bend.place.inverse()
    worst = 0.0
    for edge in hole.loop.edges:
        assert isinstance(edge, Arc)
        for i in range(8):
            x, y = back(edge.point(i / 8))
            phi = y / bend.allowance * bend.angle - bend.angle / 2
            # How far the point in space is off the bore, inside the bend.
            worst = max(worst, abs(math.hypot(x - 20, radius * math.sin(phi)) - bore))
    assert worst < 0.003


def test_window_across_a_bend() -> None:
    result = unfold(ks.cut(angle(), ks.box(25, 10, -5, 50, 30, 15)))
    (bend,) = result.blank.bends
    assert len(bend.regions) == 2
    gone = 20 * (5 + ba(90, 3) + 10)
    assert result.blank.outline.area == pytest.approx((50 + ba(90, 3)) * 40 - gone, rel=1e-9)


def test_window_across_two_bends_and_the_web_between() -> None:
    """The bends close in a ring round the window, but they meet again: nothing need be cut."""
    solid = ks.strip_section((20, 40, 20), ((90, 3), (90, 3)), T, 60)
    result = unfold(ks.cut(solid, ks.box(15, 20, -5, 60, 40, 60)))
    gone = 20 * (5 + 5 + 40 + 2 * ba(90, 3))
    assert result.blank.outline.area == pytest.approx((80 + 2 * ba(90, 3)) * 60 - gone, rel=1e-9)
    assert len(result.blank.outline.holes) == 1
    assert not result.findings


def test_two_legs_on_one_bend() -> None:
    slot = ks.box(25, 18, 3 + T, 60, 22, 40)
    result = unfold(ks.cut(angle(), slot))
    assert len(result.blank.bends) == 2
    assert result.blank.outline.area == pytest.approx((50 + ba(90, 3)) * 40 - 4 * 20, rel=1e-9)
    widths = sorted(b.width for b in result.blank.bends)
    assert widths == pytest.approx([20, 20])


def test_tapered_and_clipped_flange() -> None:
    solid = ks.cut(
        angle(),
        ks.prism([(-5, -1, 25), (-5, 41, 10), (-5, 41, 60), (-5, -1, 60)], 100, (1, 0, 0)),
    )

    # The leg's height over its tangent line at z = 5 falls from about 20 to about 5.
    def height(y):
        return 25 + (10 - 25) * (y + 1) / 42 - 5

    area = 30 * 40 + ba(90, 3) * 40 + (height(0) + height(40)) / 2 * 40
    assert unfold(solid).blank.outline.area == pytest.approx(area, rel=1e-9)


def test_countersink_is_told_from_the_hole() -> None:
    sink = ks.cone(12, 20, T - 1.2, 1.6, 1.6 + 2 * 1.7, 1.7)
    for bore in (True, False):
        tools = [ks.rod(12, 20, -1, 2, 5), sink] if bore else [ks.cone(12, 20, 0, 2, 4, T)]
        result = unfold(ks.cut(angle(), *tools), seen_from=(0, 0, 1))
        (hole,) = result.blank.holes
        (found,) = result.countersinks
        assert hole.diameter == pytest.approx(4.0)
        assert hole.center == pytest.approx((12, 20))
        assert found.hole == pytest.approx(4.0)
        assert found.on_face
        slope = 2.0 if bore else 1.0
        assert found.angle == pytest.approx(2 * math.atan(slope))
        assert found.sink == pytest.approx(2 * (1.6 + 2 * 1.2) if bore else 8.0)


def test_dimple() -> None:
    """Sheet pressed down in a cone of 100°, both skins parallel, 1 mm apart."""
    t, half, r_top, r_hole = 1.0, math.radians(50), 6.0, 3.0
    depth = (r_top - r_hole) / math.tan(half)
    low = (r_hole + t * math.cos(half), t - depth - t * math.sin(half))
    r_back = r_top + t / math.cos(half) - t * math.tan(half)
    plate = ks.cut(ks.box(0, 0, 0, 60, 40, t), ks.rod(30, 20, -1, 9, 5))
    ring = ks.revolved(
        [
            (30 + r_top, 20, t),
            (39, 20, t),
            (39, 20, 0),
            (30 + r_back, 20, 0),
            (30 + low[0], 20, low[1]),
            (30 + r_hole, 20, t - depth),
        ],
        (30, 20, 0),
        (0, 0, 1),
    )
    result = unfold(ks.fuse(plate, ring), seen_from=(0, 0, 1))
    (dimple,) = result.dimples
    assert dimple.center == pytest.approx((30, 20))
    assert dimple.hole == pytest.approx(6.0)
    assert dimple.angle == pytest.approx(2 * half)
    assert not dimple.up
    assert result.blank.outline.area == pytest.approx(60 * 40 - math.pi * 9)


@pytest.mark.parametrize(
    ("tool", "on_face"),
    [((10, 10, T - 0.3, 20, 12, T + 1), True), ((10, 10, -1, 20, 12, 0.3), False)],
)
def test_engraved_mark(tool, on_face: bool) -> None:
    result = unfold(ks.cut(angle(), ks.box(*tool)), seen_from=(0, 0, 1))
    assert result.blank.outline.area == pytest.approx((50 + ba(90, 3)) * 40, rel=1e-9)
    (mark,) = result.marks
    assert mark.on_face is on_face
    assert mark.depth == pytest.approx(0.3)
    assert mark.loops[0].area == pytest.approx(20)
    assert mark.loops[0].box == pytest.approx((10, 10, 20, 12))


def test_mark_over_a_tangent_line() -> None:
    result = unfold(ks.cut(angle(), ks.box(25, 10, T - 0.3, 31, 12, T + 0.01)))
    assert result.blank.outline.area == pytest.approx((50 + ba(90, 3)) * 40, rel=1e-9)
    assert len(result.marks) == 2
    assert result.findings == ()


def near(value, wanted):
    return abs(value - wanted) < 1e-6


EDGES = {
    "chamfer on the face": (ks.chamfer, lambda x, y, z: near(z, T)),
    "chamfers on both": (ks.chamfer, lambda x, y, z: near(z, T) or near(z, 0)),
    "rounds on both": (ks.fillet, lambda x, y, z: near(z, T) or near(z, 0)),
}


@pytest.mark.parametrize("name", EDGES)
@pytest.mark.parametrize("rounded_corners", [False, True])
def test_broken_edges_do_not_change_the_blank(name: str, rounded_corners: bool) -> None:
    make, where = EDGES[name]
    plate, area = ks.box(0, 0, 0, 60, 40, T), 2400.0
    if rounded_corners:
        plate = ks.fillet(
            plate,
            6,
            lambda x, y, z: (near(x, 0) or near(x, 60)) and (near(y, 0) or near(y, 40)),
        )
        area -= (4 - math.pi) * 36
    result = unfold(make(plate, 0.6, where))
    assert_size(result, 60, 40)
    assert result.blank.outline.area == pytest.approx(area, rel=1e-9)
    assert result.broken_edges > 0


def along_the_sides(inside: bool):
    """Edges of the face side (or back) along both sides of the angle, over its bend."""
    z0, x1, r = (T, 33, 3) if inside else (0, 35, 5)

    def wanted(x, y, z):
        if not near(y, 0) and not near(y, 40):
            return False
        on_arc = near(math.hypot(x - 30, z - 5), r)
        return (near(z, z0) and x < 30 + 1e-6) or (near(x, x1) and z > 5 - 1e-6) or on_arc

    return wanted


@pytest.mark.parametrize("make", [ks.chamfer, ks.fillet])
@pytest.mark.parametrize("sides", [(True,), (False,), (True, False)])
def test_edges_broken_all_along_over_the_bend(make, sides) -> None:
    """Cones and rings along the bend's edges are seen through as well."""
    solid = angle()
    for inside in sides:
        solid = make(solid, 0.5, along_the_sides(inside))
    result = unfold(solid)
    assert_size(result, 50 + ba(90, 3), 40)
    assert result.blank.outline.area == pytest.approx((50 + ba(90, 3)) * 40, rel=1e-9)
    assert len(result.blank.outline.edges) == 4
    assert result.broken_edges == 6 * len(sides)


def test_counterbore_takes_the_smaller_hole() -> None:
    solid = ks.cut(angle(), ks.rod(10, 20, -1, 2, 5), ks.rod(10, 20, 1, 4, 5))
    (hole,) = unfold(solid).blank.holes
    assert hole.diameter == pytest.approx(4.0)


def test_other_hand_in_the_file() -> None:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf

    solid = ks.cut(angle(), ks.rod(10, 10, -1, 4, 5))
    mirror = gp_Trsf()
    mirror.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(1, 0, 0)))
    for copied in (True, False):
        other = unfold(BRepBuilderAPI_Transform(solid, mirror, copied).Shape())
        assert_size(other, 50 + ba(90, 3), 40)
        assert other.blank.bends[0].up


def test_plate_rounded_on_every_edge() -> None:
    """Spherical corner patches: the blank still has its corner radius."""
    result = unfold(ks.fillet(ks.box(0, 0, 0, 60, 40, T), 0.6, lambda x, y, z: True))
    assert result.blank.outline.area == pytest.approx(2400 - (4 - math.pi) * 0.36, rel=1e-9)
    assert len([e for e in result.blank.outline.edges if isinstance(e, Arc)]) == 4


def test_closed_ring_is_cut_open_and_it_says_where() -> None:
    def rounded(a, b, r):
        return ks.fillet(
            ks.box(a, a, 0, b, b, 50),
            r,
            lambda x, y, z: (near(x, a) or near(x, b)) and (near(y, a) or near(y, b)),
        )

    result = unfold(ks.cut(rounded(0, 40, 5), rounded(2, 38, 3)))
    assert_size(result, 4 * 30 + 4 * ba(90, 3), 50)
    (finding,) = result.findings
    assert finding.code == "STEP-020"
    assert "cut open along the bend tangent line between" in finding.got


def test_tray_with_sharp_upright_corners_is_opened_there() -> None:
    base = ks.fillet(ks.box(0, 0, 0, 60, 40, 20), 5, lambda x, y, z: near(z, 0))
    hollow = ks.fillet(ks.box(1, 1, 1, 59, 39, 30), 4, lambda x, y, z: near(z, 1))
    result = unfold(ks.cut(base, hollow))
    assert len(result.blank.bends) == 4
    codes = [f.code for f in result.findings]
    assert codes.count("STEP-032") == 4
    wall = 15 + ba(90, 4, 1.0)
    assert_size(result, 50 + 2 * wall, 30 + 2 * wall)


def test_several_solids_each_with_its_answer() -> None:
    cube = ks.moved(ks.box(0, 0, 0, 10, 11, 12), (0, 0, 100))
    first, second, third = all_of(angle(), cube, ks.moved(angle(50), (0, 0, 200)))
    assert isinstance(first, Unfolded)
    assert isinstance(second, NotSheet)
    assert second.problems[0].code == "STEP-016"
    assert isinstance(third, Unfolded)
    assert_size(third, 50 + ba(90, 3), 50)


def test_anywhere_in_space_and_as_free_form_surfaces() -> None:
    solid = ks.cut(angle(), ks.rod(10, 20, -1, 4, 5), ks.box(25, 10, -5, 50, 30, 15))
    plain = unfold(solid).blank
    for other in (
        ks.moved(solid, (100, -30, 55), (1, 2, 3), 37),
        ks.as_free_form(solid),
        ks.as_free_form(ks.moved(solid, (1, 2, 3), (3, -1, 2), 111)),
    ):
        blank = unfold(other).blank
        assert blank.thickness == pytest.approx(T, abs=1e-6)
        assert blank.outline.area == pytest.approx(plain.outline.area, rel=1e-8)
        assert blank.outline.outer.length == pytest.approx(plain.outline.outer.length, rel=1e-8)
        assert blank.bends[0].angle == pytest.approx(math.pi / 2, abs=1e-8)
        assert len(blank.holes) == len(plain.holes)


def test_inches_are_read_as_the_file_says() -> None:
    from OCP.Interface import Interface_Static

    from blankwright.files.kernel.session import prepare

    prepare()
    try:
        Interface_Static.SetCVal_s("write.step.unit", "INCH")
        data = ks.step_of(angle())
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")
    assert b"INCH" in data
    (result,) = blanks_in(data, "part.step", UnfoldWishes(rule=rule))
    assert isinstance(result, Unfolded)
    assert_size(result, 50 + ba(90, 3), 40)


def test_suspicion_of_inches_read_as_mm_is_said_and_nothing_scaled() -> None:
    solid = ks.strip_section((1.2, 0.8), ((90, 0.125),), 0.04, 1.5)
    result = unfold(solid)
    assert result.blank.thickness == pytest.approx(0.04)
    (finding,) = result.findings
    assert finding.code == "STEP-030"
    assert "1.016 mm" in finding.limit


def drawn_box():
    outer = ks.fillet(ks.box(0, 0, 0, 60, 40, 40), 5, lambda x, y, z: True)
    inner = ks.fillet(ks.box(1, 1, 1, 59, 39, 39), 4, lambda x, y, z: True)
    return ks.cut(ks.cut(outer, ks.box(-5, -5, 20, 90, 90, 90)), inner)


def welded():
    return ks.fuse(ks.box(0, 0, 0, 40, 30, T), ks.box(40 - T, 0, 0, 40, 30, 25))


def eccentric():
    solid = ks.fillet(welded(), 3, lambda x, y, z: near(x, 40 - T) and near(z, T))
    return ks.fillet(solid, 3, lambda x, y, z: near(x, 40) and near(z, 0))


def frustum():
    return ks.revolved(
        [(20, 0, 0), (21, 0, 0), (11, 0, 30), (10, 0, 30)], (0, 0, 0), (0, 0, 1), 120
    )


def stepped():
    return ks.cut(ks.box(0, 0, 0, 60, 40, T), ks.box(40, -1, 1, 70, 50, 5))


def boss():
    return ks.fuse(ks.box(0, 0, 0, 60, 40, T), ks.rod(20, 20, T, 5, 8))


def touching():
    """A square tube whose ends touch without being joined: four faces at two edges."""
    return ks.strip_section((20, 30, 20, 30, 0), ((90, 3),) * 4, T, 50)


def pipe():
    return ks.cut(ks.rod(0, 0, 0, 10, 50), ks.rod(0, 0, -1, 8, 60))


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (drawn_box, "STEP-012"),
        (welded, "STEP-015"),
        (eccentric, "STEP-017"),
        (frustum, "STEP-014"),
        (stepped, "STEP-017"),
        (boss, "STEP-013"),
        (pipe, "STEP-018"),
        (touching, "STEP-022"),
        (lambda: ks.box(0, 0, 0, 30, 30, 30), "STEP-016"),
    ],
)
def test_refusals_say_what_and_where(make, code: str) -> None:
    (result,) = all_of(make())
    assert isinstance(result, NotSheet)
    problem = result.problems[0]
    assert problem.code == code
    assert problem.fix


def test_rolled_sheet_without_any_flat() -> None:
    half = ks.cut(
        ks.rod(0, 0, 0, 30, 80), ks.rod(0, 0, -1, 28, 90), ks.box(-40, -40, -5, 40, 0, 95)
    )
    result = unfold(half)
    assert_size(result, ba(180, 28), 80)
    (bend,) = result.blank.bends
    assert bend.up
    from blankwright.develop.formed import form
    from blankwright.develop.mass import volume_of

    assert volume_of(form(result.blank)) == pytest.approx(math.pi / 2 * (900 - 784) * 80, rel=1e-9)


@pytest.mark.parametrize("schema", ["AP203", "AP214IS", "AP242DIS"])
@pytest.mark.parametrize("curves", [0, 1])
def test_every_schema_with_and_without_surface_curves(schema: str, curves: int) -> None:
    from OCP.Interface import Interface_Static

    from blankwright.files.kernel.session import prepare

    prepare()
    solid = ks.cut(angle(), ks.rod(10, 20, -1, 4, 5), ks.box(25, 10, -5, 50, 30, 15))
    try:
        Interface_Static.SetCVal_s("write.step.schema", schema)
        Interface_Static.SetIVal_s("write.surfacecurve.mode", curves)
        data = ks.step_of(solid)
    finally:
        Interface_Static.SetCVal_s("write.step.schema", "AP242DIS")
        Interface_Static.SetIVal_s("write.surfacecurve.mode", 1)
    (result,) = blanks_in(data, "part.step", UnfoldWishes(rule=rule))
    assert isinstance(result, Unfolded)
    gone = 20 * (5 + ba(90, 3) + 10) + math.pi * 16
    wanted = (50 + ba(90, 3)) * 40 - gone
    assert result.blank.outline.area == pytest.approx(wanted, rel=1e-9)


def test_root_and_face_side_can_be_chosen() -> None:
    solid = angle()
    up = unfold(solid, root_at=(10, 20, T), seen_from=(0, 0, 1)).blank
    down = unfold(solid, root_at=(10, 20, T), seen_from=(0, 0, -1)).blank
    leg = unfold(solid, root_at=(34, 20, 20)).blank
    assert up.bends[0].up
    assert not down.bends[0].up
    assert up.root.region.area == pytest.approx(30 * 40)
    assert leg.root.region.area == pytest.approx(20 * 40)
    assert leg.outline.area == pytest.approx(up.outline.area)


def many():
    """Solids whose edges all stand square to the sheet."""
    yield from (ks.strip_section(legs, bends, T, 60) for legs, bends in SECTIONS.values())
    yield ks.cut(angle(), ks.rod(10, 20, -1, 4, 5), ks.box(25, 10, -5, 50, 30, 15))
    yield ks.cut(angle(), ks.box(25, 18, 3 + T, 60, 22, 40))
    channel = ks.strip_section((20, 40, 20), ((90, 3), (90, 3)), T, 60)
    yield ks.cut(channel, ks.box(15, 20, -5, 60, 40, 60))
    yield ks.moved(channel, (5, 6, 7), (1, -1, 2), 77)


def surface(solid) -> float:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(solid, properties, 1e-8)
    return properties.Mass()


def test_bent_again_the_blank_is_the_solid() -> None:
    """Fold each blank with our own map: same volume, and STEP that proves itself."""
    from blankwright.develop.formed import form
    from blankwright.develop.mass import volume_of
    from blankwright.files.kernel import formed_step
    from blankwright.files.kernel.proof import volume_in
    from blankwright.files.kernel.solid import solid_of

    for solid in many():
        formed = form(unfold(solid).blank)
        assert volume_of(formed) == pytest.approx(volume_in(solid), rel=1e-8)
        assert formed_step(formed, "again")
        # No slit between strips that are one bend in the metal: it would add surface.
        assert surface(solid_of(formed).shape) == pytest.approx(surface(solid), rel=1e-7)
