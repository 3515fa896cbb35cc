"""The solid's topology: closed by the way it is made, every edge used twice, once each way."""

import math

import pytest

from bent_parts import Layout, angle_part, channel, tray, zed
from blankwright.base.errors import NotPossible
from blankwright.develop.formed import form
from blankwright.develop.mass import volume_of
from blankwright.geom.loop import Loop

SLANTED = Loop.polygon([(20, 15), (45, 20), (40, 30), (25, 32)])
LAYOUTS = {
    "angle": angle_part(),
    "down": angle_part(up=False),
    "channel": channel(),
    "zed": zed(),
    "tray": tray(),
    "hole on a flat": angle_part().cut(Loop.circle((10, 10), 4)),
    "hole in a bend": angle_part(radius=10).cut(Loop.circle((38, 20), 4)),
    "hole across one line": angle_part(radius=10).cut(Loop.circle((30, 20), 4)),
    "hole across both": angle_part().cut(Loop.circle((32, 20), 9)),
    "hole across both, down": angle_part(up=False).cut(Loop.circle((32, 20), 9)),
    "slanted window": angle_part().cut(SLANTED),
    "notch": angle_part().cut(Loop.polygon([(20, -5), (45, -5), (40, 10), (25, 7)])),
    "sharp": angle_part(radius=0),
    "sharp, slanted": angle_part(radius=0).cut(SLANTED),
    "sharp, round": angle_part(radius=0).cut(Loop.circle((30, 20), 9)),
    "sharp, round, down": angle_part(radius=0, up=False).cut(Loop.circle((30, 20), 9)),
    "closed hem": angle_part(radius=0, angle_deg=180),
    "closed hem, slanted": angle_part(radius=0, angle_deg=180).cut(SLANTED),
    "roll": angle_part(radius=6, angle_deg=340).cut(Loop.circle((40, 20), 9)),
    "tight neutral radius": angle_part(0.4, radius=0.1).cut(Loop.circle((30, 20), 3)),
}


@pytest.mark.parametrize("name", LAYOUTS)
@pytest.mark.parametrize("state", [1.0, 0.35])
def test_solid_is_closed_valid_and_of_the_right_volume(name: str, state: float) -> None:
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SHELL
    from OCP.TopoDS import TopoDS

    from blankwright.files.kernel.proof import is_sound, shapes, volume_in
    from blankwright.files.kernel.solid import solid_of

    formed = form(LAYOUTS[name].blank(), state)
    solid = solid_of(formed)
    assert is_sound(solid.shape)
    (shell,) = shapes(solid.shape, TopAbs_SHELL)
    uses: dict[int, list] = {}
    for face in shapes(shell, TopAbs_FACE):
        for edge in shapes(face, TopAbs_EDGE):
            uses.setdefault(hash(edge), []).append(edge.Orientation())
    assert all(len(found) == 2 and found[0] != found[1] for found in uses.values())
    assert len(shapes(shell, TopAbs_FACE)) == len(solid.faces)
    assert volume_in(solid.shape) == pytest.approx(volume_of(formed), rel=1e-9)
    assert all(BRep_Tool.Tolerance_s(TopoDS.Edge(e)) < 1e-4 for e in shapes(shell, TopAbs_EDGE))


def test_the_soundness_check_can_fail() -> None:
    from OCP.BRep import BRep_Builder
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopoDS import TopoDS_Shell, TopoDS_Solid

    from blankwright.files.kernel.proof import is_sound, shapes
    from blankwright.files.kernel.solid import solid_of

    faces = shapes(solid_of(form(angle_part().blank())).shape, TopAbs_FACE)
    for spoiled in (faces[1:], [faces[0].Reversed(), *faces[1:]]):
        make, shell, solid = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
        make.MakeShell(shell)
        for face in spoiled:
            make.Add(shell, face)
        shell.Closed(True)
        make.MakeSolid(solid)
        make.Add(solid, shell)
        assert not is_sound(solid)


def test_metal_in_two_pieces_is_refused() -> None:
    from blankwright.files.kernel import formed_step

    blank = angle_part().blank()
    (bend,) = blank.bends
    fields = {f: getattr(bend, f) for f in bend.__dataclass_fields__}
    eaten = type(bend)(**{**fields, "regions": ()})
    loose = type(blank)(
        **{
            **{f: getattr(blank, f) for f in blank.__dataclass_fields__},
            "bends": (eaten,),
        }
    )
    with pytest.raises(NotPossible) as caught:
        formed_step(form(loose), "loose")
    assert caught.value.problems[0].code == "KERNEL-002"


def test_flat_of_no_height_between_two_bends() -> None:
    """Two bends back to back: the flat between them has no area at all."""
    layout = Layout(1.0, Loop.rectangle(0, 0, 30, 40))
    layout.bend("first", (30, 40), (30, 0), 90, 3, 1e-9)
    layout.bend("second", *layout.leg_tangent("first"), 60, 5, 12, parent="first leg", up=False)
    from blankwright.files.kernel.proof import is_sound, volume_in
    from blankwright.files.kernel.solid import solid_of

    solid = solid_of(form(layout.blank())).shape
    wanted = 40 * (30 + 12 + math.pi / 4 * 7 + math.pi / 6 * 11)
    assert is_sound(solid)
    assert volume_in(solid) == pytest.approx(wanted, rel=1e-8)
