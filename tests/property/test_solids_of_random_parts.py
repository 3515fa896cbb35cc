"""Solids, meshes and mass of random parts: closed, valid, and of one volume three ways."""

import numpy as np
import pytest

from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.develop.mass import volume_of
from blankwright.develop.mesh import mesh_of
from blankwright.files.kernel import formed_step
from samples import random_part

SEEDS = range(100, 120)


def blanks():
    for seed in SEEDS:
        blank = develop_blank(random_part(seed))
        if not blank.overlaps and not blank.loose:
            yield seed, blank


@pytest.mark.slow
def test_step_files_of_random_parts_prove_themselves() -> None:
    """`formed_step` raises when the file read back is not closed, valid, and of our volume."""
    done = 0
    for seed, blank in blanks():
        for state in (1.0, 0.5):
            assert formed_step(form(blank, state), f"random-{seed}")
        done += 1
    assert done > len(SEEDS) // 2


def test_meshes_of_random_parts_hold_the_volume() -> None:
    done = 0
    for seed, blank in blanks():
        formed = form(blank)
        volume = 0.0
        for mesh in mesh_of(formed, 0.005):
            p = mesh.points[mesh.triangles]
            volume += np.einsum("ij,ij->", p[:, 0], np.cross(p[:, 1], p[:, 2])) / 6
        assert volume == pytest.approx(volume_of(formed), rel=5e-3), seed
        done += 1
    assert done > len(SEEDS) // 2
