import math

import numpy as np
import pytest

from blankwright.develop.unfold.curve2d import FIT, chained, edges_of, turned
from blankwright.geom.edges import Arc, Line


def circle(center, radius, begin, sweep):
    def curve(t):
        a = begin + sweep * np.asarray(t)
        return np.column_stack((center[0] + radius * np.cos(a), center[1] + radius * np.sin(a)))

    return curve


def test_a_line_stays_a_line_whatever_its_parameter() -> None:
    (edge,) = edges_of(lambda t: np.column_stack((3 + 4 * t**2, 1 + 3 * t**2)))
    assert isinstance(edge, Line)
    assert edge.start == pytest.approx((3, 1))
    assert edge.end == pytest.approx((7, 4))


@pytest.mark.parametrize("sweep", [0.01, 1.0, -2.0, 3.0, -5.5, 6.2])
@pytest.mark.parametrize("radius", [0.2, 7.0, 3000.0])
def test_an_arc_stays_an_arc(sweep: float, radius: float) -> None:
    if radius * abs(sweep) ** 2 / 8 < 1e-5:
        pytest.skip("flat to the last digit: a line as well")
    (edge,) = edges_of(circle((2, -5), radius, 0.7, sweep))
    assert isinstance(edge, Arc)
    assert edge.radius == pytest.approx(radius, rel=1e-6)
    assert edge.sweep == pytest.approx(sweep, rel=1e-6)
    assert edge.start == pytest.approx(
        tuple(circle((2, -5), radius, 0.7, sweep)([0.0])[0]), abs=1e-7
    )


@pytest.mark.parametrize("sense", [1, -1])
def test_a_whole_circle(sense: int) -> None:
    (edge,) = edges_of(circle((1, 2), 4, 0.3, sense * math.tau))
    assert isinstance(edge, Arc)
    assert edge.is_circle
    assert edge.center == pytest.approx((1, 2))
    assert math.copysign(1, edge.sweep) == sense


@pytest.mark.parametrize("fit", [FIT, 0.05])
def test_an_ellipse_becomes_arcs_within_the_stated_tolerance(fit: float) -> None:
    def ellipse(t):
        a = math.tau * np.asarray(t)
        return np.column_stack((20 * np.cos(a), 9 * np.sin(a)))

    edges = edges_of(ellipse, fit)
    assert all(isinstance(e, Arc) for e in edges)
    dense = ellipse(np.linspace(0, 1, 2000))
    worst = max(min(e.distance((x, y)) for e in edges) for x, y in dense)
    assert worst < 1.5 * fit
    for a, b in zip(edges, (*edges[1:], edges[0]), strict=True):
        assert math.dist(a.end, b.start) < 1e-6


def test_chained_turns_curves_as_a_whole() -> None:
    a = [Line((0, 0), (1, 0))]
    b = [Line((1, 0), (1, 1)), Line((1, 1), (0.5, 2))]
    c = [Line((0.5, 2), (0, 0))]
    for groups in ([a, b, c], [turned(a), b, c], [a, turned(b), c], [a, turned(b), turned(c)]):
        chain = chained(groups, 1e-6)
        assert chain is not None
        assert len(chain) == 4
        for e, f in zip(chain, (*chain[1:], chain[0]), strict=True):
            assert math.dist(e.end, f.start) < 1e-9


def test_chained_bridges_small_gaps_only() -> None:
    a, b, c = [Line((0, 0), (1, 0))], [Line((1, 0.001), (1, 1))], [Line((1, 1), (0, 0))]
    assert chained([a, b, c], 1e-4) is None
    chain = chained([a, b, c], 0.01)
    assert chain is not None
    assert len(chain) == 4
