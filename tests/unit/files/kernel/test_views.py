import pytest

from bent_parts import angle_part, channel, tray
from blankwright.develop.formed import form
from blankwright.develop.view import Shown
from blankwright.files.kernel import formed_views
from blankwright.geom.edges import Arc
from blankwright.geom.loop import Loop


def by_name(layout):
    return {view.name: view for view in formed_views(form(layout.blank()))}


def test_boxes_are_those_of_the_part() -> None:
    formed = form(tray().blank())
    (x0, y0, z0), (x1, y1, z1) = formed.box
    views = {view.name: view for view in formed_views(formed)}
    assert views["front"].box == pytest.approx((x0, z0, x1, z1), abs=0.02)
    assert views["top"].box == pytest.approx((x0, y0, x1, y1), abs=0.02)
    assert views["side"].box == pytest.approx((y0, z0, y1, z1), abs=0.02)


def test_the_end_of_an_angle_shows_its_section() -> None:
    """Seen along the bend line: 8 lines and arcs of the section in sight, arcs of R and R + T."""
    views = by_name(angle_part(1.0, radius=3.0))
    shown = [edge for how, edge in views["front"].edges if how is Shown.EDGE]
    arcs = sorted(edge.radius for edge in shown if isinstance(edge, Arc))
    assert arcs == pytest.approx([3.0, 4.0])
    assert sum(edge.length for edge in shown) == pytest.approx(
        2 * (30 + 20) + 2 * 1.0 + 3.141592653589793 / 2 * 7, abs=1e-6
    )


def test_what_is_behind_the_metal_is_hidden() -> None:
    """A hole in the web of a channel, seen from the front, is behind nothing but in the web."""
    views = by_name(channel().cut(Loop.circle((25, 40), 6)))
    front = views["front"]
    hidden = [e for how, e in front.edges if how is Shown.HIDDEN]
    assert any(abs(e.length - 1.2) < 1e-6 for e in hidden)
    top = [e for how, e in views["top"].edges if how is Shown.EDGE and isinstance(e, Arc)]
    assert any(abs(e.radius - 6) < 1e-6 for e in top)


def test_tangent_lines_are_told_from_edges() -> None:
    top = by_name(angle_part())["top"]
    tangent = [e for how, e in top.edges if how is Shown.TANGENT]
    assert any(abs(e.start[0] - 30) < 1e-6 and abs(e.end[0] - 30) < 1e-6 for e in tangent)


def test_hidden_lines_come_first_so_that_others_are_drawn_over_them() -> None:
    order = [how for how, _ in by_name(tray())["oblique"].edges]
    last_hidden = max(i for i, how in enumerate(order) if how is Shown.HIDDEN)
    first_edge = min(i for i, how in enumerate(order) if how is Shown.EDGE)
    assert last_hidden < first_edge
