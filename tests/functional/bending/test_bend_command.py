"""`blankwright bend`, end to end: what a builder types, sees and finds on disk."""

from __future__ import annotations

import json
from pathlib import Path

import pypdfium2
import pytest

from blankwright.cli.main import main

EXAMPLES = Path(__file__).parents[3] / "examples" / "tarn200"

CLIP = """\
title = "Stop clip"
drawing = "T200-99-02"
[sheet]
alloy = "5052-H32"
thickness = "0.040 in"
[bend_defaults]
inside_radius = "1/16 in"
angle = "90 deg"
[flats.foot]
outline = { rectangle = ["40 mm", "60 mm"] }
[bends.rise]
from = "foot.back"
up = true
leg = { height = "55 mm" }
[bends.over]
from = "rise.tip"
down = true
leg = { height = "25 mm" }
"""

TIGHT = CLIP.replace("55 mm", "12 mm").replace("25 mm", "60 mm")

BRAKE_ONLY = """
[[leaf_brakes]]
name = "my brake"
fingers = ["25 mm", "30 mm", "40 mm"]
radii = ["1/16 in", "1/8 in"]
"""


def run(capsys, *arguments):
    status = 0
    try:
        main([*arguments])
    except SystemExit as left:
        status = int(left.code or 0)
    captured = capsys.readouterr()
    return status, captured.out, captured.err


@pytest.fixture
def project(tmp_path, capsys):
    folder = tmp_path / "shop"
    assert run(capsys, "start", str(folder))[0] == 0
    (folder / "parts" / "clip.toml").write_text(CLIP, encoding="utf-8")
    (folder / "shop.toml").write_text(BRAKE_ONLY, encoding="utf-8")
    return folder


def words(path):
    with pypdfium2.PdfDocument(path) as file:
        return " ".join(
            " ".join(page.get_textpage().get_text_range().split()) for page in file
        ), len(file)


def test_plan_card_and_json_are_kept(project, capsys):
    status, out, err = run(capsys, "bend", "clip", "--project", str(project))
    assert status == 0, err
    assert "2 steps" in out
    assert "proved best" in out
    assert "my brake" in out
    text, pages = words(project / "out/bend-plans/clip-bend-plan.pdf")
    assert pages == 1  # a simple part fits on one page
    for word in ("Stop clip", "sight line", "scribed line", "90.7°"):
        assert word in text
    data = json.loads((project / "out/bend-plans/clip-bend-plan.json").read_text("utf-8"))
    assert data["found"]
    assert data["proved"]
    assert [step["bends"] for step in data["steps"]] == [["over"], ["rise"]] or [
        step["bends"] for step in data["steps"]
    ] == [["rise"], ["over"]]
    last = data["steps"][-1]
    assert last["after"] == {"rise": 1.0, "over": 1.0}
    assert {body["role"] for body in last["bodies"]} >= {"run", "bed", "leaf"}
    assert set(last["tool_pose"]) == {"x", "y", "z", "origin"}


def test_same_part_same_bytes(project, capsys):
    names = ("clip-bend-plan.pdf", "clip-bend-plan.json")
    folder = project / "out/bend-plans"
    run(capsys, "bend", "--project", str(project))
    first = [(folder / name).read_bytes() for name in names]
    run(capsys, "bend", "--project", str(project))
    assert [(folder / name).read_bytes() for name in names] == first


def test_no_order_is_a_stop_and_remedies_are_tried(project, capsys):
    (project / "parts" / "clip.toml").write_text(TIGHT, encoding="utf-8")
    status, out, _ = run(capsys, "bend", "clip", "--project", str(project), "--remedies")
    assert status == 1
    assert "BENDPLAN-001" in out
    assert "runs into the" in out
    assert "radius bars in the vise: radius bars cut to length" in out
    assert "a shallower leaf" in out
    assert "moulding it instead" in out
    assert not (project / "out/bend-plans/clip-bend-plan.pdf").exists()


def test_json_is_the_document_that_is_kept(project, capsys):
    _, out, _ = run(capsys, "bend", "clip", "--project", str(project), "--json")
    printed = json.loads(out)["clip"]
    kept = json.loads((project / "out/bend-plans/clip-bend-plan.json").read_text("utf-8"))
    assert printed == kept


def test_measure_sheet(project, capsys):
    status, _, _ = run(capsys, "bend", "--measure", "--project", str(project))
    assert status == 0
    text, _ = words(project / "out/bend-plans/what-to-measure.pdf")
    for key in ("leaf_brakes", "bar", "leaf_depth", "jaw_depth", "block_height", "opening"):
        assert key in text


def test_wrong_shop_file_is_bad_input(project, capsys):
    (project / "shop.toml").write_text('[[leaf_brakes]]\nlift = "much"\n', encoding="utf-8")
    status, _, err = run(capsys, "bend", "clip", "--project", str(project))
    assert status == 2
    assert "SHOP-020" in err


def test_part_with_a_stop_is_not_planned(project, capsys):
    cracks = CLIP.replace('"1/16 in"', '"0.01 mm"').replace("5052-H32", "2024-T3")
    (project / "parts" / "clip.toml").write_text(cracks, encoding="utf-8")
    status, _, err = run(capsys, "bend", "clip", "--project", str(project))
    assert status == 2
    assert "BENDPLAN-020" in err
