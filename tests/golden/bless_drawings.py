"""Writes the kept drawings and the table of layers in docs/drawing.md anew.

Run by hand after a wanted change, never by a test.
"""

import re
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import sample_blanks
from blankwright.base.units import trimmed
from blankwright.drawing.layers import ALL_LAYERS
from blankwright.files.outputs import blank_dxf, blank_svg

HERE = Path(__file__).parent / "drawings"

DOC = Path(__file__).parents[2] / "docs/drawing.md"


def layer_rows() -> str:
    """Return the rows of the table of layers."""
    return "".join(
        f"| {x.name} | {trimmed(x.weight, 2)} |"
        f" {' '.join(trimmed(d, 1) for d in x.dashes) or 'full'} | {x.meaning} |\n"
        for x in ALL_LAYERS
    )


if __name__ == "__main__":
    head = "| layer | weight | dashes | shows |\n| --- | --- | --- | --- |\n"
    text = DOC.read_text("utf-8")
    DOC.write_text(re.sub(re.escape(head) + r"(?:\|.*\n)+", head + layer_rows(), text), "utf-8")
    for name in ("angle", "channel", "tray", "clip", "hem", "plain"):
        blank = sample_blanks.ALL[name]()
        (HERE / f"{name}.svg").write_bytes(blank_svg(blank, name))
        (HERE / f"{name}.dxf").write_bytes(blank_dxf(blank, name))
