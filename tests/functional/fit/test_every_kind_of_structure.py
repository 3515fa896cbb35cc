"""A flat plate among one of each kind of structure, with clearances worked out by hand.

The plate is 100 × 60 × 2 mm, its underside on z = 0. Bends and rounds are left out, so that each
distance is a difference of two figures of the files.
"""

import json
import math
from pathlib import Path

import pytest
from click.testing import CliRunner

from blankwright.cli.fit import command

PLATE = """
title = "Plate"
[sheet]
alloy = "6061-T6"
thickness = "2 mm"
[flats.plate]
outline = { rectangle = ["100 mm", "60 mm"] }
"""

ANGLE = """
title = "Angle"
[sheet]
alloy = "6061-T6"
thickness = "1 mm"
[flats.base]
outline = { rectangle = ["40 mm", "20 mm"] }
[bends.leg]
from = "base.back"
up = true
angle = "90 deg"
inside_radius = "2 mm"
leg = { height = "15 mm" }
"""

PLACE = """
title = "One of each"
[part]
file = "plate"
[references.over]
at = ["0 mm", "0 mm", "5 mm"]
[references.aside]            # x runs up there
at = ["130 mm", "30 mm", "0 mm"]
turn = { about = "y", by = "-90 deg" }
[sheets.skin]                 # 3 mm over the plate, its opening as large as the plate and more
in = "over"
outline = { rectangle = ["300 mm", "260 mm"] }
at = ["-100 mm", "-100 mm"]
thickness = "1 mm"
[sheets.skin.openings.hatch]
outline = { rectangle = ["104 mm", "68 mm"] }
at = ["-2 mm", "-4 mm"]
[members.frame]               # a bar that runs along the plate's left edge, 7 mm off
profile = { rectangle = ["13 mm", "18 mm"] }
at = ["-20 mm", "-8 mm"]
start = "-200 mm"
end = "200 mm"
in = "lengthwise"
[references.lengthwise]       # x right, y up, z forward
turn = { about = "x", by = "90 deg" }
[members.rib]                 # 4 mm in front of the plate; seen from its end x is aft
profile = { rectangle = ["5 mm", "20 mm"] }
at = ["-9 mm", "0 mm"]
line = { from = ["20 mm", "0 mm", "-10 mm"], to = ["60 mm", "0 mm", "-10 mm"], up = "z" }
[blocks.foam]                 # 0.4 mm up into the plate's underside
material = "foam"
corner = ["10 mm", "10 mm", "-6 mm"]
size = ["30 mm", "20 mm", "6.4 mm"]
[rivets.heads]                # their tops 0.7 mm under the plate
at = ["70 mm", "15 mm"]
in = "rivet-line"
head = { diameter = "6 mm", height = "1.3 mm" }
repeat = { to = ["70 mm", "45 mm"], count = 3 }
[references.rivet-line]
at = ["0 mm", "0 mm", "-2 mm"]
[rivets.tails]                # over the plate: 2 mm grip, tails 1.5 mm, so from z = 9 down to 5.5
at = ["50 mm", "30 mm"]
in = "tail-line"
tail = { diameter = "5 mm", height = "1.5 mm" }
grip = "2 mm"
[references.tail-line]
at = ["0 mm", "0 mm", "9 mm"]
[parts.angle]                 # its outside face 6 mm behind the plate's back edge
file = "angle"
in = "behind"
[references.behind]
at = ["30 mm", "66 mm", "-10 mm"]
turn = { about = "x", by = "90 deg" }
[solids.pulley]
step = "pulley.step"
in = "aside"
[pairs.pad]
between = ["metal", "foam"]
squeeze = "0.5 mm"
[pairs.metal]
between = ["metal", "metal"]
clearance = "0.6 mm"
"""


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    root = tmp_path_factory.mktemp("each")
    (root / "parts").mkdir()
    (root / "places").mkdir()
    (root / "blankwright.toml").write_text('title = "One of each"\n')
    (root / "parts" / "plate.toml").write_text(PLATE)
    (root / "parts" / "angle.toml").write_text(ANGLE)
    (root / "places" / "each.toml").write_text(PLACE)
    writer = STEPControl_Writer()
    writer.Transfer(BRepPrimAPI_MakeCylinder(25.0, 8.0).Shape(), STEPControl_AsIs)
    writer.Write(str(root / "places" / "pulley.step"))
    return root


def rest(project: Path, *words: str) -> dict[str, dict]:
    result = CliRunner().invoke(command, ["each", "--project", str(project), "--json", *words])
    assert result.exit_code in (0, 1), result.output
    return {pair["wall"]: pair for pair in json.loads(result.output)["each"]["rest"]}


BY_HAND = {
    # The opening's edge is 2 mm aside of the plate's and 3 mm over it.
    "skin": math.hypot(2, 3),
    "frame": 7.0,
    "rib": 4.0,
    "foam": -0.4,
    "heads": 0.7,
    "tails": 9 - 2 - 1.5 - 2,
    "angle": 6.0 - 1.0,
    # A cylinder of radius 25 along its z, which `aside` turns to run along −x from x = 130; its
    # end is 8 mm nearer, and it reaches down past the plate's level.
    "pulley": 130 - 8 - 100,
}


@pytest.mark.parametrize("wall", [*BY_HAND])
def test_each_clearance_is_that_worked_out_by_hand(project: Path, wall: str) -> None:
    pair = rest(project)[wall]
    # Chords of the rivets and of the pulley stand off by 0.01 mm at most.
    assert pair["gap"] == pytest.approx(BY_HAND[wall], abs=0.012)


def test_squeeze_area_and_where_it_is(project: Path) -> None:
    foam = rest(project)["foam"]
    assert foam["contact_area"] == pytest.approx(30 * 20, rel=1e-3)
    assert foam["part_point"][:2] == pytest.approx([25.0, 20.0], abs=0.01)
    assert foam["short"] == 0


def test_a_block_round_the_whole_part_is_not_told_to_be_clear(project: Path) -> None:
    file = project / "places" / "each.toml"
    file.write_text(
        PLACE + '\n[blocks.misplaced]\ncorner = ["-50 mm", "-50 mm", "-50 mm"]\n'
        'size = ["300 mm", "300 mm", "300 mm"]\n'
    )
    try:
        result = CliRunner().invoke(command, ["each", "--project", str(project)])
        assert result.exit_code == 1
        assert "FIT-001" in result.output
        assert rest(project)["misplaced"]["gap"] < -20
    finally:
        file.write_text(PLACE)
