"""Every layer stands in docs/drawing.md as it is, every code in docs/messages/drawing.md."""

import re
from pathlib import Path

from blankwright.base.units import trimmed
from blankwright.drawing import layers

ROOT = Path(__file__).resolve().parents[2]
AREAS = ("DXF", "SVG", "PDF", "PAPER", "PRINT")
MODULES = [
    *(ROOT / "src/blankwright/drawing").glob("*.py"),
    *(ROOT / "src/blankwright/files").glob("*_proof.py"),
    *(ROOT / "src/blankwright/files").glob("dxf_*.py"),
    *(ROOT / "src/blankwright/files").glob("svg_*.py"),
    *(ROOT / "src/blankwright/files").glob("pdf_*.py"),
]


def test_table_of_layers_is_the_layers():
    text = (ROOT / "docs/drawing.md").read_text("utf-8")
    rows = re.findall(r"^\| ([A-Z]+(?:-[A-Z]+)*) \| (.*?) \| (.*?) \| (.*?) \|$", text, re.M)
    wanted = [
        (
            layer.name,
            trimmed(layer.weight, 2),
            " ".join(trimmed(d, 1) for d in layer.dashes) or "full",
            layer.meaning,
        )
        for layer in layers.ALL_LAYERS
    ]
    assert rows == wanted


def test_every_layer_is_listed_once():
    defined = [v for v in vars(layers).values() if isinstance(v, layers.Layer)]
    assert sorted(layer.name for layer in defined) == sorted(x.name for x in layers.ALL_LAYERS)
    assert len({layer.name for layer in defined}) == len(defined)


def test_every_code_has_a_heading():
    used = {
        code
        for module in MODULES
        for code in re.findall(rf"\b(?:{'|'.join(AREAS)})-\d{{3}}\b", module.read_text("utf-8"))
    }
    text = (ROOT / "docs/messages/drawing.md").read_text("utf-8")
    assert used == set(re.findall(r"^## (\S+)$", text, re.M))
