"""The other hand: mirrored twice is the part again, and its blank is the mirror image."""

from __future__ import annotations

from pathlib import Path

import pytest

from blankwright.develop.develop import develop_blank
from blankwright.files.partfile import read_part
from blankwright.geom.loop import Loop
from blankwright.part.mirror import mirrored
from blankwright.part.model import DrawnFlat, Part

PARTS = sorted((Path(__file__).parents[3] / "examples" / "tarn200" / "parts").glob("*.toml"))


def same_loop(a: Loop, b: Loop) -> None:
    assert len(a.edges) == len(b.edges)
    for e, f in zip(a.edges, b.edges, strict=True):
        assert type(e) is type(f)
        for t in (0.0, 0.5, 1.0):
            assert e.point(t) == pytest.approx(f.point(t), abs=1e-9)


def same_flat(a: DrawnFlat, b: DrawnFlat) -> None:
    assert (a.name, a.edges, a.drawn_to) == (b.name, b.edges, b.drawn_to)
    same_loop(a.outline, b.outline)


def same_part(a: Part, b: Part) -> None:
    same_flat(a.root, b.root)
    assert a.hand == b.hand
    assert len(a.bends) == len(b.bends)
    for p, q in zip(a.bends, b.bends, strict=True):
        assert (p.name, p.parent, p.edge, p.up, p.angle) == (
            q.name,
            q.parent,
            q.edge,
            q.up,
            q.angle,
        )
        assert (p.start, p.end) == pytest.approx((q.start, q.end), abs=1e-9)
        same_flat(p.leg, q.leg)
    for h, k in zip(a.holes, b.holes, strict=True):
        assert (h.name, h.flat, h.kind, h.drill) == (k.name, k.flat, k.kind, k.drill)
        assert h.center == pytest.approx(k.center, abs=1e-9)
        same_loop(h.loop, k.loop)


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_mirrored_twice_is_the_part_again(path: Path) -> None:
    part = read_part(path)
    same_part(mirrored(mirrored(part)), part)
    assert mirrored(mirrored(part)).corners == part.corners


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_the_blank_of_the_other_hand_is_the_mirror_image(path: Path) -> None:
    part = read_part(path)
    one, other = develop_blank(part), develop_blank(mirrored(part))
    x0, y0, x1, y1 = one.outline.box
    assert other.outline.box == pytest.approx((-x1, y0, -x0, y1), abs=1e-6)
    assert other.outline.area == pytest.approx(one.outline.area, abs=1e-6)
    centers = {hole.name: hole.center for hole in other.holes}
    for hole in one.holes:
        if not hole.name.startswith("relief "):  # those are named by side, which changes
            x, y = hole.center
            assert centers[hole.name] == pytest.approx((-x, y), abs=1e-6)
    for bend in one.bends:
        twin = other.bend_by_name[bend.name]
        a, b = bend.center_line, twin.center_line
        assert b.start == pytest.approx((-a.end[0], a.end[1]), abs=1e-6)
        assert b.end == pytest.approx((-a.start[0], a.start[1]), abs=1e-6)
        assert twin.up == bend.up


def test_left_and_right_edges_change_places() -> None:
    part = read_part(PARTS[0].with_name("seat-hinge.toml"))
    other = mirrored(part)
    assert part.hand == "left"
    assert other.hand == "right"
    stiffener, twin = part.bend("stiffener"), other.bend("stiffener")
    edge = part.root.outline.edges[part.root.edges.index("front")]
    assert stiffener.start == pytest.approx(19.05)
    assert twin.end == pytest.approx(edge.length - 19.05)
