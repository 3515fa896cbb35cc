"""Speed of solids: STEP out, and bent solid to blank against the kernel's own reading time."""

import kernel_shapes as ks
from bent_parts import tray
from blankwright.develop.formed import form
from blankwright.develop.mesh import mesh_of
from blankwright.develop.unfold.unfold import UnfoldWishes, unfold
from blankwright.geom.loop import Loop


def twenty_bends():
    """A solid of 20 bends and about 100 holes."""
    legs, bends = (60, *[14] * 19, 60), ((90, 2), (-90, 2)) * 10
    solid = ks.strip_section(legs, bends, 1.0, 200)
    holes = [ks.rod(6 + 8 * (i % 6), 6 + 11 * (i // 6), -5, 1.5, 20) for i in range(100)]
    return ks.step_of(ks.cut(solid, *holes))


def test_bent_solid_to_blank(measured) -> None:
    from OCP.TopAbs import TopAbs_SOLID

    from blankwright.files.kernel.faces import model_of
    from blankwright.files.kernel.proof import shapes
    from blankwright.files.kernel.step import read_shape

    data = twenty_bends()
    (solid,) = shapes(read_shape(data, "x"), TopAbs_SOLID)
    wishes = UnfoldWishes(rule=lambda r, t, a: (a * (r + 0.4 * t), 0.4))
    measured("kernel reads 20 bends, 100 holes", lambda: read_shape(data, "x"), target="-")
    measured(
        "solid of 20 bends, 100 holes to blank",
        lambda: unfold(model_of(solid, "x"), wishes),
        target="2 × the row above",
    )


def tray_with_holes():
    layout = tray()
    for i in range(20):
        for j in range(10):
            layout.cut(Loop.circle((12 + i * 5, 10 + j * 7), 1.5))
    return form(layout.blank())


def test_formed_outputs(measured) -> None:
    from blankwright.files.kernel import formed_step, formed_views

    formed = tray_with_holes()
    measured("mesh of 8 bends, 200 holes", lambda: mesh_of(formed), target="-")
    measured("proved STEP of 8 bends, 200 holes", lambda: formed_step(formed, "t"), target="-")
    measured("four views of 8 bends, 200 holes", lambda: formed_views(formed), target="-", rounds=3)
