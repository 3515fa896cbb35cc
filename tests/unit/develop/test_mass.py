"""Mass properties against closed forms, and against a plain sum over small cubes of metal."""

import math

import numpy as np
import pytest

from bent_parts import Layout, angle_part, tray
from blankwright.develop.formed import form
from blankwright.develop.mass import mass_of, volume_of
from blankwright.geom.loop import Loop

ALUMINIUM = 2.70e-6
"""kg/mm³; any number does here."""


def test_flat_plate() -> None:
    plate = Layout(2.0, Loop.rectangle(0, 0, 60, 40)).blank()
    m = mass_of(form(plate), ALUMINIUM)
    assert m.volume == pytest.approx(60 * 40 * 2)
    assert m.mass == pytest.approx(4800 * ALUMINIUM)
    assert m.center == pytest.approx((30, 20, 1))
    wanted = [m.mass * (b * b + c * c) / 12 for b, c in ((40, 2), (60, 2), (60, 40))]
    assert [m.inertia[i][i] for i in range(3)] == pytest.approx(wanted)
    assert m.principal == pytest.approx(sorted(wanted))


@pytest.mark.parametrize("radius", [0.0, 0.5, 3.0, 40.0])
@pytest.mark.parametrize("angle", [30.0, 90.0, 180.0, 270.0])
def test_angle_volume(radius: float, angle: float) -> None:
    """Two slabs and a sector of a ring: θ/2·((R+T)² − R²) per width."""
    t, width, legs = 1.6, 25.0, (30.0, 20.0)
    blank = angle_part(t, width, legs, angle, radius).blank()
    sector = math.radians(angle) / 2 * ((radius + t) ** 2 - radius**2)
    assert volume_of(form(blank)) == pytest.approx(width * (t * sum(legs) + sector), rel=1e-13)


def test_half_pipe_center_and_inertia() -> None:
    """A half ring, nearly without legs: centre 4/3π·(b³−a³)/(b²−a²) from the axis."""
    a, t, width, leg = 10.0, 2.0, 50.0, 1e-7
    b = a + t
    blank = angle_part(t, width, (leg, leg), 180, a).blank()
    m = mass_of(form(blank), 1.0)
    axis_z = t + a
    from_axis = 4 / (3 * math.pi) * (b**3 - a**3) / (b**2 - a**2)
    assert m.center == pytest.approx((from_axis, width / 2, axis_z), rel=1e-6)
    # About the pipe's own axis: m(a² + b²)/2, moved to the centre of gravity.
    about_axis = m.mass * (a * a + b * b) / 2 - m.mass * from_axis**2
    assert m.inertia[1][1] == pytest.approx(about_axis, rel=1e-6)


def test_hole_across_a_bend_against_small_cells() -> None:
    layout = angle_part(2.0, 40.0, (30.0, 25.0), 100.0, 6.0)
    blank = layout.cut(
        Loop.circle((33, 18), 9), Loop.polygon([(28, 40), (50, 40), (40, 33)])
    ).blank()
    formed = form(blank)
    got = mass_of(formed, 1.0)
    total, first, second = 0.0, np.zeros(3), np.zeros((3, 3))
    n = 400
    for name, regions in (
        *((f.name, (f.region,)) for f in blank.flats),
        *((b.label, b.regions) for b in blank.bends),
    ):
        for region in regions:
            x0, y0, x1, y1 = region.box
            dx, dy, dz = (x1 - x0) / n, (y1 - y0) / n, 2.0 / 4
            grid = np.array(
                [(x0 + (i + 0.5) * dx, y0 + (j + 0.5) * dy) for i in range(n) for j in range(n)]
            )
            inside = _inside(region, grid)
            for k in range(4):
                z = (k + 0.5) * dz
                pts = formed.points(np.column_stack((grid[inside], np.full(inside.sum(), z))), name)
                stretch = 1.0
                if name not in formed.flats:
                    shape = formed.bends[name.removeprefix("bend ")]
                    r = abs(shape.axis_height(2.0) - z)
                    stretch = r * shape.angle / shape.bend.allowance
                w = dx * dy * dz * stretch
                total += w * len(pts)
                first += w * pts.sum(axis=0)
                second += w * pts.T @ pts
    center = first / total
    about = second - total * np.outer(center, center)
    inertia = np.trace(about) * np.eye(3) - about
    assert got.volume == pytest.approx(total, rel=2e-3)
    assert got.center == pytest.approx(tuple(center), abs=0.05)
    assert np.array(got.inertia) == pytest.approx(inertia, rel=0.02, abs=0.005 * inertia.max())


def _inside(region, grid):
    import shapely

    outer, holes = region.polygon(0.001)
    return shapely.contains_xy(shapely.Polygon(outer, holes), grid[:, 0], grid[:, 1])


def test_the_center_moves_with_the_state_and_the_mass_nearly_not() -> None:
    blank = tray().blank()
    flat, formed = (mass_of(form(blank, s), ALUMINIUM) for s in (0.0, 1.0))
    assert flat.center[2] == pytest.approx(blank.thickness / 2)
    assert formed.center[2] > 10
    assert formed.center[:2] == pytest.approx((60, 45))
    assert flat.volume == pytest.approx(blank.outline.area * blank.thickness, rel=1e-12)
