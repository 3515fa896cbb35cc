"""The example places through the command line: what the issue of fitting asks for."""

import json
import math
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
    spreads = {spread["name"]: spread for spread in sizes["spreads"]}
    # Felt 0.15 and half of the keeper's 0.2, both the worse way; evenly spread, so over √3.
    felt = spreads["wall-felt"]
    assert felt["gap"] - felt["worst"] == pytest.approx(0.25, abs=2e-3)
    assert felt["widest"] - felt["gap"] == pytest.approx(0.25, abs=2e-3)
    assert felt["deviation"] == pytest.approx(math.hypot(0.15, 0.1) / math.sqrt(3), abs=2e-3)
    # Out of touch when felt and keeper are off by more than the 0.1064 mm that it is pressed: the
    # corner of the rectangle ±0.15 × ±0.1 beyond that.
    pressed = -felt["gap"]
    over = lambda a: min(max((pressed - a + 0.1) / 0.2, 0.0), 1.0)  # noqa: E731
    n = 4000
    fits = sum(over(-0.15 + 0.3 * (k + 0.5) / n) for k in range(n)) / n
    assert felt["chance"] == pytest.approx(fits, abs=0.015)
    # The sill is met by the tail: the shop's bend lands ±0.4 mm (95 %) from its line, and takes
    # ±k·θ·T more or less metal; nothing of the place moves it against the plate.
    assert sizes["matters"][0][0] == "shop place of bend tail"
    sill = spreads["sill-trim"]
    assert sill["chance"] < 0.7
    assert sizes["all_fit"] <= min(spread["chance"] for spread in sizes["spreads"])


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


def test_no_way_from_outboard_is_told_of_outboard_even_where_metal_may_touch(project: Path) -> None:
    status, result = run(project, "vent-opening", "--from", "outboard")
    assert status == 1
    (way,) = result["vent-opening"]["ways"]
    assert (way["from"], way["verdict"], way["touching"]) == ("outboard", "no way", "no way")
    told = CliRunner().invoke(
        command, ["vent-opening", "--from", "outboard", "--project", str(project)]
    )
    assert "no way in from outboard" in told.output
    assert "from inboard" not in told.output


def test_what_holds_the_gate_is_told_at_both_ends_of_its_slide(project: Path) -> None:
    _, result = run(project, "vent-opening")
    shut, opened = result["vent-opening"]["ends"]
    assert (shut["end"], opened["end"]) == ("at rest", "at the end of open")
    for end in (shut, opened):
        assert {p["wall"] for p in end["pressed"]} == {"wall-felt", "keeper-felt", "sill-trim"}
        rooms = {tuple(r["direction"]): r for r in end["rooms"]}
        # Keeper and wall are 3.8 mm apart, the plate is 0.032 in: half of what is left each way.
        play = (3.8 - 0.032 * 25.4) / 2
        for way, wall in (((1, 0, 0), "keeper"), ((-1, 0, 0), "wall")):
            assert rooms[way]["wall"] == wall
            assert rooms[way]["travel"] == pytest.approx(play, abs=0.02)
        (held,) = end["held"]
        assert held["verdict"] == "held"
    # The stop lip meets its block at the end: no more play aft.
    aft = next(r for r in opened["rooms"] if r["direction"] == [0, 1, 0])
    assert aft["wall"] == "stop"
    assert aft["travel"] < 0.01


def test_the_variant_that_falls_out_is_told_with_its_way_out(project: Path) -> None:
    done = CliRunner().invoke(
        command, ["vent-opening", "--variant", "short", "--project", str(project)]
    )
    assert done.exit_code == 1
    assert "own-weight, the way out 1." in done.output


def test_sprung_is_asked_for_only_where_the_place_says_what_springs(project: Path) -> None:
    done = CliRunner().invoke(
        command, ["vent-opening", "--sprung", "--variant", "long", "--project", str(project)]
    )
    assert isinstance(done.exception, BlankwrightError)
    assert done.exception.problems[0].code == "PLACE-011"


def test_springing_the_hook_does_not_bring_the_long_gate_in(project: Path) -> None:
    file = project / "places" / "vent-opening.toml"
    before = file.read_text()
    spring = '\n[spring]\nbend = "{}"\nsqueeze = "2 mm"\nlength = "10 mm"\n'
    try:
        file.write_text(before + spring.format("hook"))
        status, result = run(project, "vent-opening", "--variant", "long", "--sprung")
        (sprung,) = result["vent-opening"]["sprung"]
        assert status == 1
        assert sprung["verdict"] == "no way"
        file.write_text(before + spring.format("lip"))
        done = CliRunner().invoke(
            command, ["vent-opening", "--sprung", "--variant", "long", "--project", str(project)]
        )
        # The lip's bend runs along the section, not square to it.
        assert isinstance(done.exception, BlankwrightError)
        assert done.exception.problems[0].code == "PLACE-011"
    finally:
        file.write_text(before)


def test_pictures_are_written_of_way_rest_and_motion(project: Path, tmp_path: Path) -> None:
    picture = tmp_path / "gate.svg"
    done = CliRunner().invoke(
        command, ["vent-opening", "--picture", str(picture), "--project", str(project)]
    )
    assert done.exit_code == 0
    written = {p.name: p.read_text() for p in tmp_path.iterdir()}
    assert set(written) == {
        "gate.svg",
        "gate-vent-opening-at-rest.svg",
        "gate-vent-opening-open.svg",
    }
    rest = written["gate-vent-opening-at-rest.svg"]
    for name in ("wall: 0.70 mm clear", "sill-trim: squeezed 0.10 mm", "keeper: 1.49 mm clear"):
        assert name in rest
    assert "opening clear, mm²" in written["gate-vent-opening-open.svg"]


def test_the_place_in_the_docs_is_a_place(tmp_path: Path) -> None:
    docs = (EXAMPLE.parents[1] / "docs" / "fit.md").read_text()
    text = docs.split("```toml\n")[1].split("```")[0]
    (tmp_path / "parts").mkdir()
    (tmp_path / "places").mkdir()
    (tmp_path / "blankwright.toml").write_text('title = "Docs"\n')
    (tmp_path / "places" / "hatch-opening.toml").write_text(text)
    (tmp_path / "parts" / "hatch.toml").write_text(
        """
title = "Hatch"
[sheet]
alloy = "6061-T6"
thickness = "0.032 in"
[flats.door]
outline = { rectangle = ["100 mm", "80 mm"] }
[bends.front]
from = "door.front"
down = true
angle = "90 deg"
inside_radius = "1/8 in"
leg = { height = "10 mm" }
"""
    )
    _, result = run(tmp_path, "hatch-opening")
    hatch = result["hatch-opening"]
    gaps = {pair["wall"]: pair["gap"] for pair in hatch["rest"]}
    assert gaps["skin"] == pytest.approx(2.0, abs=1e-3)
    assert gaps["seal"] == pytest.approx(-0.2, abs=1e-3)
    assert gaps["stringer"] == pytest.approx(14.0, abs=1e-3)
    assert hatch["ways"][0]["verdict"] == "a way"
    # It swings about y = 82, z = 5 until its outside bend meets the stay's face at y = 98.
    (motion,) = hatch["motions"]
    t, r = 0.032 * 25.4, 3.175
    out = r + t
    y, z = -80 + out, t - out - 5  # the bend's axis, from the hinge

    def reach(angle: float) -> float:
        return y * math.cos(angle) + z * math.sin(angle) + out

    low, high = math.radians(90), math.radians(110)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if reach(middle) < 16 else (low, middle)
    assert motion["end"] == pytest.approx(-low, abs=2e-3)
    # Shut, what is clear is the gap all round.
    assert motion["open_area"][0] == pytest.approx(104 * 84 - 100 * 80, rel=1e-3)
