"""A drawing brought in, kept, changed, noticed, and taken again: by the command and the page."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from blankwright.base.errors import BadInput
from blankwright.cli.main import cli
from blankwright.files.partfile import read_part
from blankwright.jobs.bring_in import bring_again, keep, look_at
from blankwright.jobs.bring_in_asked import Asked, BendAsked, asked_of
from blankwright.jobs.items import chosen
from blankwright.jobs.outputs import make_outputs
from blankwright.jobs.part_state import state_of_file
from blankwright.jobs.project import start_project

CORPUS = Path(__file__).parents[2] / "corpus" / "dxf"
STATED = Asked(
    title="Angle",
    alloy="5052-H32",
    thickness="0.032 in",
    every_bend=BendAsked(up=True, angle="90 deg", radius="1/8 in"),
)


@pytest.fixture
def project(tmp_path):
    return start_project(tmp_path / "p")


def bring(project, *more):
    runner = CliRunner()
    return runner.invoke(cli, ["bring", *map(str, more), "--project", str(project.root)])


def kept(project, name="plain", asked=STATED):
    data = (CORPUS / f"{name}.dxf").read_bytes()
    return keep(project, look_at(data, f"{name}.dxf", asked))


def test_nothing_is_written_before_it_is_asked_for(project, tmp_path):
    before = sorted(tmp_path.rglob("*"))
    done = bring(project, CORPUS / "plain.dxf")
    assert done.exit_code == 0
    assert "To be stated first" in done.output
    assert 'thickness = "?"' in done.output
    assert "Nothing was written." in done.output
    assert sorted(tmp_path.rglob("*")) == before
    with pytest.raises(BadInput) as error:
        keep(project, look_at((CORPUS / "plain.dxf").read_bytes(), "plain.dxf", Asked()))
    assert {problem.code for problem in error.value.problems} == {"BRING-001"}
    assert len(error.value.problems) == 5
    assert sorted(tmp_path.rglob("*")) == before


def test_the_command_keeps_what_it_shows(project):
    options = [
        *("--alloy", "6061-T6", "--thickness", "1 mm", "--title", "Shelf angle"),
        *("--bend", "bend-1 = flange: down 85 deg R 3 mm"),
    ]
    shown = bring(project, CORPUS / "plain.dxf", *options)
    assert shown.exit_code == 0
    assert not list(project.parts_folder.iterdir())
    done = bring(project, CORPUS / "plain.dxf", *options, "--keep")
    assert done.exit_code == 0
    text = (project.parts_folder / "shelf-angle.toml").read_text()
    for line in text.splitlines():
        assert line.strip() in shown.output
    part = read_part(project.parts_folder / "shelf-angle.toml")
    assert [bend.name for bend in part.bends] == ["flange"]
    assert not part.bends[0].up
    assert (project.root / "drawings" / "plain.dxf").is_file()
    again = bring(project, CORPUS / "plain.dxf", *options, "--keep")
    assert isinstance(again.exception, BadInput)
    assert again.exception.problems[0].code == "BRING-002"


def test_a_drawing_in_the_project_stays_where_it_is(project):
    folder = project.root / "from-the-designer"
    folder.mkdir()
    drawing = folder / "plain.dxf"
    drawing.write_bytes((CORPUS / "plain.dxf").read_bytes())
    done = bring(
        project,
        *(drawing, "--alloy", "6061-T6", "--thickness", "1 mm"),
        *("--every-bend", "up 90 deg R 3 mm", "--keep"),
    )
    assert done.exit_code == 0, done.output
    assert not (project.root / "drawings").exists()
    text = (project.parts_folder / "plain.toml").read_text()
    assert '"../from-the-designer/plain.dxf"' in text


def test_a_part_from_a_drawing_is_a_part_like_any_other(project):
    kept(project)
    path = project.parts_folder / "angle.toml"
    path.write_text(
        path.read_text()
        + '\n[sizes]\nedge = "10 mm"\n'
        + '\n[holes.rivet]\non = "root"\nat = ["edge", "edge"]\ndrill = "#30"\n'
        + 'row = { count = 3, pitch = "15 mm", along = "y" }\n'
        + '\n[overrides]\n"HOLE-002" = "by the drawing"\n'
    )
    state = state_of_file(path)
    assert len(state.blank.outline.holes) == 4
    assert [hole.name for hole in state.part.holes] == [
        *("opening[1]", "rivet[1]", "rivet[2]", "rivet[3]")
    ]
    assert any(step.name == "bend bend-1: allowance" for step in state.trail)
    assert not state.blocked


@pytest.mark.slow
def test_its_files_are_made_and_a_change_stops_them(project):
    kept(project)
    (item,) = chosen(project, ())
    made = make_outputs(project, item)
    assert not made.blocked
    assert len(made.files) >= 8
    assert make_outputs(project, item).unchanged
    drawing = project.root / "drawings" / "plain.dxf"
    drawing.write_bytes(drawing.read_bytes().replace(b" 40\n5\n", b" 40\n6\n"))
    again = make_outputs(project, item)
    assert again.blocked
    assert "SOURCE-001" in {finding.code for finding in again.findings}


def test_a_changed_drawing_is_noticed_and_taken_again(project):
    kept(project)
    path = project.parts_folder / "angle.toml"
    drawing = project.root / "drawings" / "plain.dxf"
    path.write_text("# my own words\n" + path.read_text())
    assert not state_of_file(path).blocked
    drawing.write_bytes(drawing.read_bytes().replace(b" 40\n5\n", b" 40\n6\n"))
    state = state_of_file(path)
    (finding,) = [f for f in state.findings if f.code == "SOURCE-001"]
    assert finding.blocks
    assert "--again" in finding.fix
    assert state.part.source.changed
    old = path.read_text()
    shown = bring(project, drawing, "--again")
    assert shown.exit_code == 0
    assert "has changed" in shown.output
    assert path.read_text() == old
    assert bring(project, drawing, "--again", "--keep").exit_code == 0
    new = path.read_text()
    assert new != old
    assert new.startswith("# my own words\n")
    state = state_of_file(path)
    assert not state.blocked
    assert state.blank.holes[0].diameter == pytest.approx(12)


def test_a_changed_drawing_that_makes_no_part_is_not_taken(project):
    kept(project)
    path = project.parts_folder / "angle.toml"
    old = path.read_text()
    new = project.root.parent / "plain.dxf"
    new.write_bytes((CORPUS / "wide-gap.dxf").read_bytes())
    (renewed,) = bring_again(project, new, write=True)
    assert renewed.problems
    assert path.read_text() == old
    stored = (project.root / "drawings" / "plain.dxf").read_bytes()
    assert stored == (CORPUS / "plain.dxf").read_bytes()


def test_a_bend_line_that_moved_is_told(project):
    kept(project)
    path = project.parts_folder / "angle.toml"
    drawing = project.root / "drawings" / "plain.dxf"
    drawing.write_bytes(drawing.read_bytes().replace(b"\n60\n 20\n0\n", b"\n70\n 20\n0\n"))
    drawing.write_bytes(drawing.read_bytes().replace(b"\n60\n 21\n60\n", b"\n70\n 21\n60\n"))
    with pytest.raises(BadInput) as error:
        read_part(path)
    assert [problem.code for problem in error.value.problems] == ["SOURCE-013"]
    assert "(70.000, 30.000)" in error.value.problems[0].allowed


def test_the_page_states_the_same_as_the_command():
    said = asked_of(
        {
            "title": "Angle",
            "alloy": "5052-H32",
            "thickness": "0.032 in",
            "outline": "layer CUT; layer HOLE",
            "bends": {"bend-1": {"up": "up", "angle": "90 deg", "radius": "1/8 in"}},
        }
    )
    data = (CORPUS / "plain.dxf").read_bytes()
    by_page = look_at(data, "plain.dxf", said).candidates[0]
    by_command = look_at(
        data,
        "plain.dxf",
        replace(
            STATED,
            outline=("layer CUT", "layer HOLE"),
            bends={"bend-1": BendAsked(up=True, angle="90 deg", radius="1/8 in")},
            every_bend=BendAsked(),
        ),
    ).candidates[0]
    assert by_page == by_command
    assert by_page.ready
    for wrong in (3, {"title": 3}, {"bends": {"a": {"up": 1}}}, {"outline": [1]}):
        with pytest.raises(BadInput):
            asked_of(wrong)


def test_as_json(project):
    done = bring(project, CORPUS / "plain.dxf", "--json")
    assert done.exit_code == 0
    said = json.loads(done.output)
    assert said["kind"] == "DXF"
    (candidate,) = said["candidates"]
    assert not candidate["ready"]
    assert {q["key"] for q in candidate["questions"]} >= {"alloy", "bend-1 angle"}


def test_a_small_part_file_by_hand_is_enough(project):
    (project.parts_folder / "plain.dxf").write_bytes((CORPUS / "plain.dxf").read_bytes())
    path = project.parts_folder / "hand.toml"
    path.write_text(
        'title = "By hand"\n'
        '[source]\nfile = "plain.dxf"\noutline = ["layer CUT"]\nopenings = "layer HOLE"\n'
        'bend_lines = "layer BEND"\n'
        '[sheet]\nalloy = "2024-T3"\nthickness = "0.032 in"\n'
        '[bend_defaults]\nangle = "90 deg"\ninside_radius = "1/8 in"\nk = 0.44\n'
        'allowance = "neutral-axis factor"\n'
        '[bends.flange]\nline = ["60 mm", "10 mm"]\nup = true\ndrawn_as = "bend tangent line"\n'
    )
    state = state_of_file(path)
    (bend,) = state.blank.bends
    assert bend.k == pytest.approx(0.44)
    # The tangent line nearer the root is where it was drawn, the strip beyond it.
    assert bend.parent_tangent.distance((60.0, 30.0)) < 1e-6
    assert bend.leg_tangent.distance((60.0 + bend.allowance, 30.0)) < 1e-6
    assert "SOURCE-002" in {finding.code for finding in state.findings}


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (('outline = ["layer CUT"]\n', ""), "PART-003"),
        (('"layer CUT"', '"red"'), "DRAWN-010"),
        (('"layer CUT"', '"layer CUTS"'), "DRAWN-011"),
        (('file = "plain.dxf"', 'file = "other.dxf"'), "DRAWN-006"),
        (("[bends.flange]", "[bends.root]"), "PART-008"),
        (('line = ["60 mm", "10 mm"]\n', ""), "PART-003"),
        (("up = true", "up = true\ndown = true"), "PART-006"),
        (('"60 mm"', '"61 mm"'), "SOURCE-013"),
        (("[bends.flange]", '[flats.floor]\noutline = { diameter = "1 in" }\n[bends.flange]'),
         "PART-006"),
        (("closes", "solid"), "PART-006"),
        (('"0.02 mm"', '"0.02"'), "QTY-001"),
        (("[source]", "[source]\nlayers = 3"), "PART-002"),
    ],
)  # fmt: skip
def test_faults_of_the_source_table(project, change, code):
    (project.parts_folder / "plain.dxf").write_bytes((CORPUS / "plain.dxf").read_bytes())
    path = project.parts_folder / "hand.toml"
    text = (
        'title = "By hand"\n'
        '[source]\nfile = "plain.dxf"\noutline = ["layer CUT"]\nbend_lines = "layer BEND"\n'
        'closes = "0.02 mm"\n'
        '[sheet]\nalloy = "2024-T3"\nthickness = "0.032 in"\n'
        '[bends.flange]\nline = ["60 mm", "10 mm"]\nangle = "90 deg"\ninside_radius = "1/8 in"\n'
        "up = true\n"
    )
    path.write_text(text)
    read_part(path)
    assert change[0] in text
    path.write_text(text.replace(*change))
    with pytest.raises(BadInput) as error:
        read_part(path)
    assert code in {problem.code for problem in error.value.problems}, error.value
