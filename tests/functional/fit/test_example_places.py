"""The example places through the command line: what the issue of fitting asks for."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from blankwright.base.errors import BlankwrightError
from blankwright.cli.fit import command

EXAMPLE = Path(__file__).parents[3] / "examples" / "tarn200"


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("tarn")
    shutil.copytree(EXAMPLE, folder, dirs_exist_ok=True)
    return folder


def run(project: Path, *words: str) -> tuple[int, dict[str, Any]]:
    done = CliRunner().invoke(command, [*words, "--project", str(project), "--json"])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.output
    return done.exit_code, json.loads(done.output)


def test_the_vent_gate_goes_in_from_inboard_slides_and_stays(project: Path) -> None:
    status, result = run(project, "vent-opening")
    assert status == 0
    gate = result["vent-opening"]
    (way,) = gate["ways"]
    assert way["verdict"] == "a way"
    assert way["least"] > 0
    assert way["surely"] > 0
    assert way["whole_part"]["free"]
    assert 2 <= len(way["steps"]) <= 8
    (held,) = gate["ends"][0]["held"]
    assert held["verdict"] == "held"
    assert held["stays_up_to"] >= 3.0
    (motion,) = gate["motions"]
    stop = motion["contacts"][-1]
    assert (stop["wall"], stop["feature"]) == ("stop", "lip")
    # By the sizes: the block stands at 126 mm, the lip's face at 84 mm.
    assert stop["travel"] == pytest.approx(42.0, abs=1e-3)
    assert len(motion["travel"]) >= 200
    gaps = {pair["wall"]: pair["gap"] for pair in gate["rest"]}
    # (3.8 − 0.8128)/2 off the keeper; the felts are squeezed by what is left of their 1.6 mm.
    assert gaps["keeper"] == pytest.approx((3.8 - 0.8128) / 2, abs=1e-3)
    assert gaps["wall-felt"] == pytest.approx((3.8 - 0.8128) / 2 - 1.6, abs=1e-3)
    assert gaps["sill-trim"] == pytest.approx(-0.1, abs=1e-3)


def test_the_vent_gate_does_not_go_in_from_outboard(project: Path) -> None:
    status, result = run(project, "vent-opening", "--from", "outboard")
    assert status == 1
    assert result["vent-opening"]["ways"][0]["verdict"] == "no way"


def test_with_the_long_tail_there_is_no_way_in(project: Path) -> None:
    status, result = run(project, "vent-opening", "--variant", "long")
    assert status == 1
    assert result["vent-opening"]["ways"][0]["verdict"] == "no way"
    codes = {f["code"] for f in result["vent-opening"]["findings"]}
    assert "FIT-004" in codes


def test_with_the_short_tail_it_falls_out(project: Path) -> None:
    status, result = run(project, "vent-opening", "--variant", "short")
    assert status == 1
    (held,) = result["vent-opening"]["ends"][0]["held"]
    assert held["verdict"] == "comes out"
    assert held["comes_out_at"] <= 3.0
    assert held["steps"]


def test_the_cover_comes_off_with_its_neighbour_in_place(project: Path) -> None:
    status, result = run(project, "tensioner-bay")
    assert status == 0
    cover = result["tensioner-bay"]
    assert {pair["wall"] for pair in cover["rest"]} >= {"panel", "bulkhead", "panel-rivets"}
    assert cover["ways"][0]["verdict"] == "a way"
    assert cover["ways"][0]["whole_part"]["free"]
    status, result = run(project, "tensioner-bay", "--variant", "long")
    assert status == 1
    assert result["tensioner-bay"]["ways"][0]["verdict"] == "no way"


@pytest.mark.slow
def test_sizes_and_chance_are_told(project: Path) -> None:
    _, result = run(project, "vent-opening", "--sizes")
    sizes = result["vent-opening"]["sizes"]
    assert 0.5 < sizes["all_fit"] < 1.0
    assert {name for name, _ in sizes["matters"]} == {"place felt", "place keeper_off"}
    # Felt 0.15 against half of the keeper's 0.2: squares 0.0225 and 0.01.
    shares = dict(sizes["matters"])
    assert shares["place felt"] == pytest.approx(0.0225 / 0.0325, abs=1e-3)


@pytest.mark.slow
def test_a_size_to_change_is_told_and_mends_the_gap(project: Path, tmp_path: Path) -> None:
    folder = tmp_path / "tight"
    shutil.copytree(project, folder)
    path = folder / "places" / "vent-opening.toml"
    path.write_text(path.read_text().replace('"4 mm", "126 mm"', '"4 mm", "84.1 mm"'))
    _, result = run(folder, "vent-opening", "--sizes")
    changes = [c for c in result["vent-opening"]["sizes"]["changes"] if c["wall"] == "stop"]
    (width,) = [c for c in changes if c["size"] == "part width"]
    assert width["by"] == pytest.approx(-0.15, abs=1e-3)
    part = folder / "parts" / "vent-gate.toml"
    part.write_text(part.read_text().replace('width = "84 mm"', f'width = "{width["to"]:.4f} mm"'))
    _, result = run(folder, "vent-opening")
    gaps = {pair["wall"]: pair["gap"] for pair in result["vent-opening"]["rest"]}
    assert gaps["stop"] == pytest.approx(0.25, abs=1e-3)


@pytest.mark.slow
def test_same_question_same_answer(project: Path) -> None:
    assert run(project, "vent-opening") == run(project, "vent-opening")


@pytest.mark.slow
def test_the_picture_is_whole_and_the_same_each_time(project: Path, tmp_path: Path) -> None:
    pictures = []
    for name in ("a.svg", "b.svg"):
        done = CliRunner().invoke(
            command,
            ["vent-opening", "--project", str(project), "--picture", str(tmp_path / name)],
        )
        assert done.exit_code == 0, done.output
        pictures.append((tmp_path / name).read_bytes())
    assert pictures[0] == pictures[1]
    from xml.etree import ElementTree

    root = ElementTree.fromstring(pictures[0])
    looks = [e.get("class") for e in root.iter("{http://www.w3.org/2000/svg}path")]
    assert looks.count("fit-rest") == 1
    assert looks.count("fit-ghost") >= 2
    assert "fit-soft" in looks
    assert "fit-hard" in looks


@pytest.mark.slow
def test_a_way_through_space_is_found_too(project: Path) -> None:
    _, result = run(project, "vent-opening", "--space", "60")
    space = result["vent-opening"]["space"]
    assert space["found"]
    assert 0 < space["surely"] <= space["least"]
    assert space["planner"].startswith(("our own planner", "OMPL"))


def test_through_space_nothing_found_is_no_proof(project: Path) -> None:
    done = CliRunner().invoke(
        command,
        ["vent-opening", "--variant", "long", "--project", str(project), "--space", "0.2"],
    )
    assert "not found in 0.2 s by our own planner" in done.output
    assert ", which proves nothing" in done.output


@pytest.mark.parametrize(
    ("words", "code"),
    [(["no-such-place"], "PLACE-009"), (["vent-opening", "--from", "sideways"], "FIT-011")],
)
def test_what_is_not_there_is_told(project: Path, words: list[str], code: str) -> None:
    with pytest.raises(BlankwrightError) as caught:
        CliRunner().invoke(command, [*words, "--project", str(project)], catch_exceptions=False)
    assert caught.value.problems[0].code == code
