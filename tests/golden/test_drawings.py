"""Whole files of sample blanks: byte for byte where the writer is ours, else as geometry.

To renew them after a wanted change: `python tests/golden/bless_drawings.py`, then look at each.
"""

from pathlib import Path

import pytest

import sample_blanks
from blankwright.files.dxf_read import read_dxf
from blankwright.files.edge_proof import worst_deviation
from blankwright.files.outputs import blank_dxf, blank_svg
from blankwright.files.svg_read import read_svg

HERE = Path(__file__).parent / "drawings"
CASES = ("angle", "channel", "tray", "clip", "hem", "plain")


@pytest.mark.parametrize("name", CASES)
def test_svg_is_the_kept_one(name):
    data = blank_svg(sample_blanks.ALL[name](), name)
    assert data == (HERE / f"{name}.svg").read_bytes()


@pytest.mark.parametrize("name", CASES)
def test_dxf_holds_what_the_kept_one_holds(name):
    new = read_dxf(blank_dxf(sample_blanks.ALL[name](), name))
    kept = read_dxf((HERE / f"{name}.dxf").read_bytes())
    assert (new.units, new.layers, new.texts) == (kept.units, kept.layers, kept.texts)
    assert {k: len(v) for k, v in new.loops.items()} == {k: len(v) for k, v in kept.loops.items()}
    for layer in kept.layers:
        a, b = new.all_edges(layer), kept.all_edges(layer)
        assert len(a) == len(b)
        if a:
            assert worst_deviation(a, b).by < 1e-6
            assert worst_deviation(b, a).by < 1e-6


@pytest.mark.parametrize("name", CASES)
def test_dxf_and_svg_agree(name):
    dxf = read_dxf((HERE / f"{name}.dxf").read_bytes())
    svg = read_svg((HERE / f"{name}.svg").read_bytes())
    for layer in ("BLANK-EDGE", "HOLES"):
        areas = [sorted(abs(x.area) for x in f.loops.get(layer, ())) for f in (dxf, svg)]
        assert areas[0] == pytest.approx(areas[1], rel=1e-5)
    texts = [sorted((words, layer) for words, *_, layer in f.texts) for f in (dxf, svg)]
    assert texts[0] == texts[1]
