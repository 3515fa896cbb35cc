"""STEP files read back by the kernel against closed forms for volume and box.

The closed forms are written out here from the shape's drawing, not taken from our mass module.
"""

import math

import pytest

from bent_parts import Layout, angle_part, channel, tray, zed
from blankwright.develop.formed import form
from blankwright.files.kernel import formed_step
from blankwright.geom.loop import Loop

REL = 1e-9


def read_back(layout: Layout, state: float = 1.0):
    from OCP.TopAbs import TopAbs_SOLID

    from blankwright.files.kernel.proof import box_in, is_sound, shapes, volume_in
    from blankwright.files.kernel.step import read_shape

    data = formed_step(form(layout.blank(), state), "part", "A part")
    (solid,) = shapes(read_shape(data, "part"), TopAbs_SOLID)
    assert is_sound(solid)
    return volume_in(solid), box_in(solid)


def ring(angle_deg: float, radius: float, t: float) -> float:
    return math.radians(angle_deg) / 2 * ((radius + t) ** 2 - radius**2)


def assert_box(box, low, high) -> None:
    assert box[0] == pytest.approx(low, abs=1e-5)
    assert box[1] == pytest.approx(high, abs=1e-5)


@pytest.mark.parametrize("up", [True, False])
@pytest.mark.parametrize("radius", [0.0, 0.4, 3.0])
def test_angle(radius: float, up: bool) -> None:
    t, w, a, b = 1.0, 40.0, 30.0, 20.0
    volume, box = read_back(angle_part(t, w, (a, b), 90, radius, up))
    assert volume == pytest.approx(w * (t * (a + b) + ring(90, radius, t)), rel=REL)
    z0, z1 = (0, radius + t + b) if up else (-radius - b, t)
    assert_box(box, (0, 0, z0), (a + radius + t, w, z1))


def test_obtuse_angle() -> None:
    t, w, a, b, r = 1.2, 25.0, 30.0, 20.0, 4.0
    volume, box = read_back(angle_part(t, w, (a, b), 135, r))
    assert volume == pytest.approx(w * (t * (a + b) + ring(135, r, t)), rel=REL)
    h = math.sqrt(0.5)
    # The leg leans back; its face side is nearest the root at the tip.
    tip_x = a + (r + t) * h - b * h
    assert_box(box, (min(0, tip_x - t * h), 0, 0), (a + r + t, w, r + t + (r + t) * h + b * h))


def test_channel() -> None:
    t, r = 1.2, 2.5
    volume, box = read_back(channel(t, r))
    assert volume == pytest.approx(80 * (t * (50 + 25 + 15) + 2 * ring(90, r, t)), rel=REL)
    assert_box(box, (-r - t, 0, 0), (50 + r + t, 80, r + t + 25))


def test_zed() -> None:
    t, r = 1.0, 2.0
    volume, box = read_back(zed(t, r))
    assert volume == pytest.approx(60 * (t * (40 + 20 + 20) + 2 * ring(90, r, t)), rel=REL)
    assert_box(box, (-r - t, 0, -r - 20), (40 + r + t, 60, t + r + 20))


@pytest.mark.parametrize("returns", [False, True])
def test_tray(returns: bool) -> None:
    t, r = 1.016, 3.175
    volume, box = read_back(tray(t, r, returns))
    long, short = 120 - 12, 90 - 12
    section = t * 38 + ring(90, r, t)
    if returns:
        section += t * 12 + ring(90, r, t)
    assert volume == pytest.approx(120 * 90 * t + 2 * (long + short) * section, rel=REL)
    out = r + t if not returns else r + t + r + 12
    height = r + t + 38 + (0 if not returns else r + t)
    assert_box(box, (-out, -out, 0), (120 + out, 90 + out, height))


@pytest.mark.parametrize("radius", [0.0, 0.5])
def test_hem(radius: float) -> None:
    """Closed (no inside radius: the flats touch) and open hem."""
    t, w, a, b = 0.8, 30.0, 25.0, 8.0
    volume, box = read_back(angle_part(t, w, (a, b), 180, radius))
    assert volume == pytest.approx(w * (t * (a + b) + ring(180, radius, t)), rel=REL)
    assert_box(box, (0, 0, 0), (a + radius + t, w, 2 * (radius + t)))


def test_roll() -> None:
    t, w, a, b, r = 1.0, 30.0, 40.0, 2.0, 6.0
    volume, box = read_back(angle_part(t, w, (a, b), 270, r))
    assert volume == pytest.approx(w * (t * (a + b) + ring(270, r, t)), rel=REL)
    assert_box(box, (0, 0, 0), (a + r + t, w, 2 * (r + t)))


def test_round_hole_across_a_bend() -> None:
    """Cut on the blank, so its area counts by which strip it falls on."""
    t, w, a, b, r, k = 2.0, 60.0, 40.0, 30.0, 9.0, 0.4
    hole = 7.0
    allowance = math.pi / 2 * (r + k * t)
    layout = angle_part(t, w, (a, b), 90, r, k=k)
    volume, box = read_back(layout.cut(Loop.circle((a, w / 2), hole)))
    assert hole < allowance
    half = math.pi * hole**2 / 2
    stretch = ring(90, r, t) / (allowance * t)
    whole = w * (t * (a + b) + ring(90, r, t))
    assert volume == pytest.approx(whole - half * t - half * t * stretch, rel=1e-8)
    assert_box(box, (0, 0, 0), (a + r + t, w, r + t + b))


def test_slanted_end_across_a_bend() -> None:
    """One end cut at 45° on the blank: each strip loses a trapezium."""
    t, w, a, b, r, k = 1.5, 60.0, 30.0, 20.0, 5.0, 0.45
    allowance = math.pi / 2 * (r + k * t)
    length = a + allowance + b
    cut = Loop.polygon([(0, -1e-3), (length + 1, -1e-3), (length + 1, length + 1), (0, 0)])
    volume, _ = read_back(angle_part(t, w, (a, b), 90, r, k=k).cut(cut))

    def lost(x0: float, x1: float) -> float:
        return (x1**2 - x0**2) / 2 * (length + 1) / (length + 1)

    slope = (length + 1) / (length + 1)
    assert slope == 1
    stretch = ring(90, r, t) / (allowance * t)
    whole = w * (t * (a + b) + ring(90, r, t))
    gone = t * (lost(0, a) + stretch * lost(a, a + allowance) + lost(a + allowance, length))
    assert volume == pytest.approx(whole - gone, rel=1e-8)


def test_window_across_a_bend_parts_the_strip() -> None:
    t, w, a, b, r = 1.0, 60.0, 30.0, 20.0, 3.0
    layout = angle_part(t, w, (a, b), 90, r).cut(Loop.rectangle(25, 20, 40, 45))
    blank = layout.blank()
    assert len(blank.bends[0].regions) == 2
    volume, _ = read_back(layout)
    allowance = blank.bends[0].allowance
    gone = 25 * (t * 5 + ring(90, r, t) + t * (40 - 30 - allowance))
    whole = w * (t * (a + b) + ring(90, r, t))
    assert volume == pytest.approx(whole - gone, rel=REL)


def test_triangular_plate() -> None:
    volume, box = read_back(Layout(3.0, Loop.polygon([(0, 0), (60, 0), (0, 45)])))
    assert volume == pytest.approx(60 * 45 / 2 * 3, rel=REL)
    assert_box(box, (0, 0, 0), (60, 45, 3))


def test_plate_with_slots_and_holes() -> None:
    layout = Layout(1.5, Loop.rectangle(0, 0, 80, 50))
    layout.cut(Loop.circle((20, 25), 8), Loop.slot((55, 25), 30, 10, 0.3))
    volume, _ = read_back(layout)
    area = 80 * 50 - math.pi * 64 - (20 * 10 + math.pi * 25)
    assert volume == pytest.approx(1.5 * area, rel=REL)


def test_half_bent_keeps_the_neutral_fibre() -> None:
    t, w, a, b, r, k = 1.0, 40.0, 30.0, 20.0, 3.0, 0.4
    volume, box = read_back(angle_part(t, w, (a, b), 90, r, k=k), 0.5)
    allowance = math.pi / 2 * (r + k * t)
    wider = allowance / (math.pi / 4) - k * t
    assert volume == pytest.approx(w * (t * (a + b) + ring(45, wider, t)), rel=REL)
    h = math.sqrt(0.5)
    assert box[1][0] == pytest.approx(a + (wider + t) * h + b * h, abs=1e-5)


def test_flat_state_is_the_blank() -> None:
    layout = tray()
    volume, box = read_back(layout, 0.0)
    outline = layout.blank().outline
    x0, y0, x1, y1 = outline.box
    assert volume == pytest.approx(outline.area * layout.thickness, rel=REL)
    assert_box(box, (x0, y0, 0), (x1, y1, layout.thickness))
