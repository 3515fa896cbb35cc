import math
from collections import Counter

import numpy as np
import pytest

from bent_parts import Layout, angle_part, channel, tray, zed
from blankwright.develop.formed import form
from blankwright.develop.mass import volume_of
from blankwright.develop.mesh import MeshKind, mesh_of
from blankwright.geom.loop import Loop

LAYOUTS = {
    "plate": Layout(1.0, Loop.rectangle(0, 0, 30, 20)).cut(Loop.circle((10, 10), 4)),
    "angle": angle_part(),
    "down": angle_part(up=False),
    "channel": channel(),
    "zed": zed(),
    "tray": tray(),
    "hem": angle_part(radius=0.0, angle_deg=180),
    "roll": angle_part(radius=6, angle_deg=300),
    "hole across": angle_part(radius=8).cut(Loop.circle((36, 20), 9)),
    "notch across": angle_part(radius=3).cut(Loop.polygon([(20, -5), (45, -5), (40, 10), (25, 7)])),
}


@pytest.mark.parametrize("name", LAYOUTS)
def test_triangles_close_up_and_hold_the_volume(name: str) -> None:
    formed = form(LAYOUTS[name].blank())
    meshes = mesh_of(formed, 0.01)
    volume = 0.0
    sides: Counter[tuple] = Counter()
    for mesh in meshes:
        corners = mesh.points[mesh.triangles]
        volume += np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
        keys = [tuple(np.round(p, 5) + 0.0) for p in mesh.points]
        for a, b, c in mesh.triangles:
            for p, q in ((a, b), (b, c), (c, a)):
                if keys[p] != keys[q]:
                    sides[keys[p], keys[q]] += 1
                    sides[keys[q], keys[p]] -= 1
    # Each side of a triangle is met by one the other way: no gaps, none turned inside out.
    assert not {k: n for k, n in sides.items() if n}
    assert volume == pytest.approx(volume_of(formed), rel=2e-3)


@pytest.mark.parametrize("name", LAYOUTS)
def test_normals_point_out_and_points_are_the_map_of_the_blank(name: str) -> None:
    formed = form(LAYOUTS[name].blank())
    for mesh in mesh_of(formed):
        corners = mesh.points[mesh.triangles]
        normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        means = mesh.normals[mesh.triangles].mean(axis=1)
        assert (np.einsum("ij,ij->i", normal, means) > -1e-9).all()
        assert np.linalg.norm(mesh.normals, axis=1) == pytest.approx(1.0)
        assert np.abs(formed.points(mesh.blank, mesh.name) - mesh.points).max() < 1e-9


def test_names_and_kinds() -> None:
    meshes = mesh_of(form(channel().blank()))
    assert [(m.name, m.kind) for m in meshes] == [
        ("root", MeshKind.FLAT),
        ("right leg", MeshKind.FLAT),
        ("left leg", MeshKind.FLAT),
        ("bend right", MeshKind.BEND),
        ("bend left", MeshKind.BEND),
    ]


def test_chords_keep_to_the_arc() -> None:
    sag, radius, t = 0.02, 12.0, 1.0
    formed = form(angle_part(t, radius=radius).blank())
    bend = next(m for m in mesh_of(formed, sag) if m.kind is MeshKind.BEND)
    corners = bend.points[bend.triangles]
    middles = (corners + np.roll(corners, 1, axis=1)).reshape(-1, 3) / 2
    r = np.hypot(middles[:, 0] - 30.0, middles[:, 2] - (radius + t))
    off_outer = radius + t - r
    off_inner = radius - r
    near = np.minimum(np.abs(off_outer), np.abs(off_inner))
    rim = np.abs(r - (radius + t / 2)) < 0.4 * t
    assert near[~rim].max() <= sag + 1e-9
    assert math.isclose(np.abs(off_outer).min(), 0, abs_tol=1e-9)
