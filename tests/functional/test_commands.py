"""The commands, end to end on a small project: what a builder types, sees and finds on disk."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import ezdxf
import pytest

from blankwright.cli.main import COMMANDS, main

EXAMPLES = Path(__file__).parents[2] / "examples" / "tarn200"

ANGLE = """\
title = "Stop angle"
drawing = "T200-99-01"
[sheet]
alloy = "2024-T3"
thickness = "0.032 in"
[flats.web]
outline = { rectangle = ["60 mm", "30 mm"] }
[bends.leg]
from = "web.back"
angle = "90 deg"
inside_radius = "1/8 in"
up = true
leg = { height = "20 mm", drawn_to = "outside mold line" }
"""

CRACKS = ANGLE.replace('"1/8 in"', '"0.1 mm"')


def run(capsys, *arguments):
    """Run a command; return exit status, standard output and standard error."""
    status = 0
    try:
        main([*arguments])
    except SystemExit as left:
        status = int(left.code or 0)
    captured = capsys.readouterr()
    return status, captured.out, captured.err


@pytest.fixture
def project(tmp_path, capsys):
    folder = tmp_path / "my airplane"
    assert run(capsys, "start", str(folder), "--title", "Tarn 200")[0] == 0
    (folder / "parts" / "stop-angle.toml").write_text(ANGLE, encoding="utf-8")
    return folder


def test_start_refuses_a_project_and_keeps_it(project, capsys):
    before = (project / "blankwright.toml").read_bytes()
    status, _, err = run(capsys, "start", str(project))
    assert status == 2
    assert "PROJECT-003" in err
    assert "is a project already" in err
    assert (project / "blankwright.toml").read_bytes() == before


def test_develop_makes_proved_files_and_leaves_them_when_nothing_changed(project, capsys):
    status, out, _ = run(capsys, "develop", "--project", str(project))
    assert status == 0
    assert "8 files proved and kept" in out
    folder = project / "out" / "stop-angle"
    names = sorted(path.name for path in folder.iterdir())
    assert names == sorted(
        [
            f"stop-angle-{name}"
            for name in (
                "blank.dxf",
                "blank.pdf",
                "blank.svg",
                "formed.glb",
                "formed.step",
                "paper-model.pdf",
                "result.json",
                "traveler.pdf",
            )
        ]
        + ["made.json"]
    )
    first = {path.name: path.read_bytes() for path in folder.iterdir()}
    status, out, _ = run(capsys, "develop", "--project", str(project))
    assert (status, "unchanged" in out) == (0, True)
    (folder / "made.json").unlink()
    run(capsys, "develop", "--project", str(project))
    again = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert again == first, "same input, same bytes"

    # The handbook's sum by hand: two legs less two setbacks, plus one allowance.
    thickness, radius = 0.032 * 25.4, 25.4 / 8
    flat = 30 + 20 - 2 * (radius + thickness) + (0.01745329 * radius + 0.0078 * thickness) * 90
    blank = ezdxf.readfile(folder / "stop-angle-blank.dxf").modelspace()
    ys = [v[1] for e in blank.query("LWPOLYLINE[layer=='BLANK-EDGE']") for v in e.get_points()]
    assert max(ys) - min(ys) == pytest.approx(flat, abs=1e-4)
    result = json.loads((folder / "stop-angle-result.json").read_text(encoding="utf-8"))
    assert sorted(result["blank"]["size"]) == pytest.approx([flat, 60], abs=1e-4)


def test_a_stop_keeps_files_back_until_a_written_reason(project, capsys):
    run(capsys, "develop", "--project", str(project))
    path = project / "parts" / "stop-angle.toml"
    path.write_text(CRACKS, encoding="utf-8")
    status, out, _ = run(capsys, "develop", "--project", str(project))
    folder = project / "out" / "stop-angle"
    assert status == 1
    assert "STOP" in out
    assert [p.name for p in folder.iterdir()] == ["not-made.txt"], "no stale blank is left to cut"
    assert "BEND-001" in (folder / "not-made.txt").read_text(encoding="utf-8")
    reason = '\n[overrides]\n"BEND-001" = "annealed at the bend, designer agreed in writing"\n'
    path.write_text(CRACKS + reason, encoding="utf-8")
    status, out, _ = run(capsys, "develop", "--project", str(project))
    assert status == 0
    assert "Overridden: annealed at the bend" in out
    assert (folder / "stop-angle-blank.dxf").is_file()
    import pypdfium2

    card = pypdfium2.PdfDocument(folder / "stop-angle-traveler.pdf")
    text = " ".join(card[i].get_textpage().get_text_bounded() for i in range(len(card)))
    assert "LET PASS: annealed at the bend" in " ".join(text.split())


def test_one_wrong_part_does_not_hold_up_the_others(project, capsys):
    (project / "parts" / "wrong.toml").write_text('title = "Wrong"\n', encoding="utf-8")
    status, out, err = run(capsys, "develop", "--project", str(project))
    assert status == 2
    assert "wrong: not made" in out
    assert "wrong.toml" in err
    assert "Traceback" not in out + err
    assert (project / "out" / "stop-angle" / "stop-angle-blank.dxf").is_file()
    assert not (project / "out" / "wrong").exists()


@pytest.mark.parametrize("command", ["check", "sizes", "trail", "develop"])
def test_json_of_every_command_is_json(project, capsys, command):
    shutil.copy(EXAMPLES / "parts" / "twin-clip.toml", project / "parts")
    status, out, _ = run(capsys, command, "twin-clip", "--project", str(project), "--json")
    assert status == 0
    assert "twin-clip" in json.dumps(json.loads(out))


def test_works_from_a_folder_inside(project, capsys, monkeypatch):
    monkeypatch.chdir(project / "parts")
    status, out, _ = run(capsys, "check")
    assert status == 0
    assert out.startswith("stop-angle:")


def test_no_such_part_names_what_there_is(project, capsys):
    status, _, err = run(capsys, "check", "stop-angel", "--project", str(project))
    assert status == 2
    assert "stop-angle" in err


def test_tables_show_sources(capsys):
    status, out, _ = run(capsys, "tables", "drills-number")
    assert status == 0
    assert "ASME" in out
    assert run(capsys, "tables", "no-such")[0] == 2


def test_coupon_teaches_k_and_is_kept(project, capsys):
    words = ["--alloy", "6061-T6", "--thickness", "1 mm", "--radius", "3 mm", "--name", "first"]
    # By hand: BA = flat − legs + 2·(R+T) = 100 − 103.2 + 8 = 4.8 mm; k = 4.8/(π/2) − 3 = 0.0558.
    strip = ["--strip", "100 mm: 51.6 mm, 51.6 mm"]
    where = ["--project", str(project), "--json"]
    status, out, _ = run(capsys, "coupon", *words, *strip, *where, "--keep")
    assert status == 0
    assert json.loads(out)[0]["learned"]["k"] == pytest.approx(4.8 / 1.5707963 - 3, abs=1e-4)
    status, out, _ = run(capsys, "coupon", *where)
    assert [one["coupon"]["name"] for one in json.loads(out)] == ["first"]


def test_every_command_has_help_and_a_heading_in_the_docs(capsys):
    text = (Path(__file__).parents[2] / "docs" / "commands.md").read_text(encoding="utf-8")
    for name in COMMANDS:
        status, out, _ = run(capsys, name, "--help")
        assert status == 0
        assert "Usage:" in out
        assert f"## {name}" in text


def test_our_own_bug_says_so_and_leaves_with_3(project, capsys, monkeypatch):
    import blankwright.jobs.part_state as part_state

    def broken(*_):
        raise ZeroDivisionError("on purpose")

    monkeypatch.setattr(part_state, "develop_blank", broken)
    status, _, err = run(capsys, "check", "--project", str(project))
    assert status == 3
    assert "This is our bug" in err


def test_a_file_changed_by_hand_is_made_again(project, capsys):
    """Even when its length stays the same: another blank of the same size is another blank."""
    run(capsys, "develop", "--project", str(project))
    path = project / "out" / "stop-angle" / "stop-angle-blank.svg"
    before = path.read_bytes()
    path.write_bytes(before[:-20] + before[-20:].swapcase())
    status, out, _ = run(capsys, "develop", "--project", str(project))
    assert (status, "proved and kept" in out) == (0, True)
    assert path.read_bytes() == before


def test_findings_are_told_again_when_nothing_changed(project, capsys):
    path = project / "parts" / "stop-angle.toml"
    path.write_text(ANGLE.replace("20 mm", "6 mm"), encoding="utf-8")
    first = run(capsys, "develop", "--project", str(project))[1]
    again = run(capsys, "develop", "--project", str(project))[1]
    assert "unchanged" in again
    assert "BEND-002" in first
    assert "BEND-002" in again
