"""Rivets, templates, matched parts, drilling and air of the example airplane by its commands."""

from __future__ import annotations

import json
import math
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from blankwright.cli.main import cli
from blankwright.files.dxf_read import read_dxf
from blankwright.files.pdf_read import PdfPages
from blankwright.jobs.holes_matched import matched_pairs
from blankwright.jobs.items import chosen
from blankwright.jobs.outputs import make_outputs
from blankwright.jobs.project import open_project

EXAMPLE = Path(__file__).parents[3] / "examples" / "tarn200"


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    return copied(tmp_path_factory.mktemp("tarn"))


@pytest.fixture
def own(tmp_path):
    """A project that a test may change."""
    return copied(tmp_path)


def copied(folder):
    for name in ("parts", "places", "templates"):
        shutil.copytree(EXAMPLE / name, folder / name)
    for name in ("blankwright.toml", "shop.toml"):
        shutil.copy(EXAMPLE / name, folder / name)
    return open_project(folder)


def run(project, *words):
    result = CliRunner().invoke(cli, [*words, "--project", str(project.root)])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.output
    return result


def read(project, *words):
    result = run(project, *words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_rivets(project):
    rows = read(project, "rivets", "tunnel-angle", "vent-grille")
    angle = rows["tunnel-angle-left"]["rivets"][0]
    assert angle["count"] == 7
    assert [p["tool"] for p in angle["drilling"]["passes"]] == ["#30"]
    assert angle["drilling"]["strokes"] == 7
    assert rows["tunnel-angle-right"]["rivets"][0]["lines"] == angle["lines"]
    grille = rows["vent-grille"]["fields"][0]
    assert grille["open_area"] == pytest.approx(0.4, abs=0.01)
    assert grille["open_area"] == pytest.approx(grille["open_area_by_cut"], abs=1e-6)
    text = run(project, "rivets", "tunnel-angle").output
    assert "then deburr both sides" in text


def test_drill(project):
    ladder = read(project, "drill", "#11", "--pilot", "#40", "--stack", "0.032 in + 0.040 in")
    # The shop's #11 is broken: the nearest is told with its error.
    assert ladder["passes"][-1]["tool"] == "#12"
    assert [f["code"] for f in ladder["findings"]] == ["DRILLING-012"]
    words = ("drill", "0.1895 in", "--pilot", "#30", "--stack", "1.6 mm + 2.3 mm")
    reamed = read(project, *words, "--over", "0.0015 in")
    assert reamed["passes"][-1]["kind"] == "reamer"
    stepped = read(project, "drill", "3/8 in", "--pilot", "1/8 in", "--step-drill", "--holes", "6")
    assert stepped["strokes"] == 24
    assert "#12 drill" in run(project, "drill", "#11", "--pilot", "#40").output


@pytest.mark.slow
def test_template(project):
    (result,) = read(project, "template", "vent-drill-plate")
    mine, theirs = result["sides"]
    assert {s["reference"]: (s["low"], s["high"]) for s in mine["sizes"]} == {
        "row-4": pytest.approx((14.7, 14.5)),
        "row-5": pytest.approx((14.7, 14.5)),
        "sill": pytest.approx((20, 20)),
    }
    assert theirs["other_side"]
    folder = project.out / "placing-vent-drill-plate"
    made = {path.name for path in folder.iterdir()}
    assert {"vent-drill-plate.pdf", "vent-drill-plate-other-side-card.pdf"} <= made
    mine_holes = read_dxf((folder / "vent-drill-plate.dxf").read_bytes()).loops["HOLES"]
    other = read_dxf((folder / "vent-drill-plate-other-side.dxf").read_bytes()).loops["HOLES"]
    key = [tuple(round(x, 6) for x in loop.as_circle.center) for loop in mine_holes]
    flipped = [(round(-x, 6) + 0.0, y) for x, y in (loop.as_circle.center for loop in other)]
    assert sorted((x + 0.0, y) for x, y in key) == sorted((x, round(y, 6)) for x, y in flipped)


def test_template_dry(project):
    result = run(project, "template", "inspection-opening", "--dry")
    assert "TEMPLATE-017" in result.output
    assert not (project.out / "placing-inspection-opening").exists()
    wrong = CliRunner().invoke(cli, ["template", "nothing", "--project", str(project.root)])
    assert "PROJECT-002" in str(wrong.exception)


def test_template_is_cut_like_a_part(project):
    (item,) = chosen(project, ["template-vent-drill-plate"])
    assert item.name == "template-vent-drill-plate"
    assert len(item.read().holes) == 9
    assert all(not i.is_template for i in chosen(project, []))


def test_match(project):
    left, right = read(project, "match", "battery-bay")
    assert [h["how"] for h in left["holes"]] == ["drill on the flat"] * 2
    assert left["clearance"] == pytest.approx((4.8514 - 2.4892) / 2)
    # One part file serves both sides: the right angle is the left one turned about, so its holes
    # come out the other way round.
    assert left["holes"][0]["on_blank"] == pytest.approx(right["holes"][1]["on_blank"])
    for pair in matched_pairs(project, "battery-bay"):
        for match in pair.matches:
            hole = next(h for h in pair.first.formed.blank.holes if h.name == match.hole)
            here = pair.first.frame(pair.first.formed.point(hole.center, 0.0, hole.flat))
            top = pair.other.formed.blank.thickness
            there = pair.other.frame(pair.other.formed.point(match.point, top, match.place))
            assert math.dist(here, there) < 1e-6


@pytest.mark.slow
def test_match_makes_proved_blanks(project):
    result = run(project, "match", "battery-bay", "--make")
    assert result.exit_code == 0, result.output
    folder = project.out / "matched-battery-bay"
    holes = read_dxf((folder / "left-angle-matched.dxf").read_bytes()).loops["HOLES"]
    assert len(holes) == 7 + 2


def test_air(project):
    (result,) = read(project, "air", "vent-opening")
    speeds = [round(f["speed"], 2) for f in result["flows"]]
    assert speeds == [30.87, 51.44, 61.73]
    flows = [f["flow"] for f in result["flows"]]
    assert flows == sorted(flows)
    # Twice the speed, nearly twice the flow.
    assert flows[2] / flows[0] == pytest.approx(2.0, rel=0.02)
    partly = [f["flow"] for f in result["partly_open"]]
    assert partly == sorted(partly)
    opened = result["openings"][0]["open_fraction"]
    assert opened[-1] > opened[0]
    assert all(piece["source"] for flow in result["flows"] for piece in flow["pieces"])
    assert "chokes" in run(project, "air", "vent-opening").output


@pytest.mark.slow
def test_traveler_and_result_say_the_rows(project):
    (item,) = chosen(project, ["vent-grille"])
    made = make_outputs(project, item)
    result = json.loads((made.folder / "vent-grille-result.json").read_text(encoding="utf-8"))
    assert result["rivets"][0]["count"] == 8
    assert result["fields"][0]["count"] == len(
        [h for h in result["blank"]["holes"] if h["kind"] == "vent hole"]
    )
    with PdfPages((made.folder / "vent-grille-traveler.pdf").read_bytes()) as pages:
        words = "".join("".join(pages.words(i).split()) for i in range(len(pages)))
    assert "Rivetrows" in words
    assert "Fieldsofholes" in words
    assert "notanapproval" in words


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('to         = "left-angle"', 'to         = "left"', "PLACE-005"),
        ('holes      = ["mount[1]", "mount[3]"]', 'holes = ["moun"]', "MATCH-001"),
        (
            'final      = "#11"                   # 3/16 in at assembly',
            'final = "#30"',
            "MATCH-002",
        ),
        ("[matched.left]", "[matched.left]\nclear = 1", "PART-002"),
        ("[matched.left]", '[matched.left]\nscrew = "8-32"', "PART-006"),
    ],
)
def test_wrong_matches(project, tmp_path, old, new, code):
    shutil.copytree(project.root, tmp_path / "p", ignore=shutil.ignore_patterns("out"))
    place = tmp_path / "p" / "places" / "battery-bay.toml"
    text = place.read_text(encoding="utf-8")
    assert text.count(old) >= 1
    place.write_text(text.replace(old, new, 1), encoding="utf-8")
    result = CliRunner().invoke(cli, ["match", "battery-bay", "--project", str(tmp_path / "p")])
    assert code in str(result.exception)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('"60 kt"', '"60 knots"', "AIR-002"),
        ('motion = "open"', 'motion = "shut"', "AIR-003"),
        ('field = "grille"', 'field = "gril"', "AIR-003"),
        ('part = "vent-grille"', 'part = "vent-gril"', "PLACE-005"),
        ('kind = "outlet", diameter = "60 mm"', 'kind = "outlet"', "PART-003"),
        ('kind = "outlet"', 'kind = "outlit"', "PART-005"),
        ('length = "600 mm", ', "", "PART-003"),
        ("recovery = 0.8", "recovery = 8", "PART-015"),
        ('speeds   = ["60 kt", "100 kt", "120 kt"]', "", "PART-003"),
    ],
)
def test_wrong_air_paths(project, tmp_path, old, new, code):
    shutil.copytree(project.root, tmp_path / "p", ignore=shutil.ignore_patterns("out"))
    place = tmp_path / "p" / "places" / "vent-opening.toml"
    text = place.read_text(encoding="utf-8")
    assert text.count(old) == 1
    place.write_text(text.replace(old, new), encoding="utf-8")
    result = CliRunner().invoke(cli, ["air", "vent-opening", "--project", str(tmp_path / "p")])
    assert code in str(result.exception)


@pytest.mark.slow
def test_template_files_leave_other_files_alone(own):
    """What the builder keeps in the folder stays; the plate made as a part has its own folder."""
    run(own, "template", "vent-drill-plate")
    folder = own.out / "placing-vent-drill-plate"
    mine = folder / "how-it-went.txt"
    mine.write_text("measured twice")
    run(own, "develop", "template-vent-drill-plate")
    path = own.root / "templates" / "vent-drill-plate.toml"
    path.write_text(path.read_text("utf-8").replace("mirror  = true", "mirror  = false"), "utf-8")
    run(own, "template", "vent-drill-plate")
    made = {p.name for p in folder.iterdir()}
    assert mine.read_text() == "measured twice"
    assert "vent-drill-plate-card.pdf" in made
    assert not any("other-side" in name for name in made)
    assert (own.out / "template-vent-drill-plate").is_dir()


def test_matched_holes_go_into_the_other_part_file(own):
    path = own.parts_folder / "tunnel-angle.toml"
    before = path.read_text("utf-8")
    said = run(own, "match", "battery-bay", "--into-parts").output
    assert "put into" in said
    after = path.read_text("utf-8")
    # Every line that was there is there still, comments too, in the same order.
    left = iter(after.splitlines())
    assert all(any(line == kept for kept in left) for line in before.splitlines())
    # Both angles are made from it, and both find their holes there: in space, on the tray's.
    pairs = matched_pairs(own, "battery-bay")
    assert {m.how.value for pair in pairs for m in pair.matches} == {"there already"}
    for pair in pairs:
        blank = pair.other.formed.blank
        mine = [h for h in blank.holes if h.name.startswith("matched-battery-bay-")]
        assert len(mine) == 2
        tops = [
            pair.other.frame(pair.other.formed.point(h.center, blank.thickness, h.flat))
            for h in mine
        ]
        for match in pair.matches:
            hole = next(h for h in pair.first.formed.blank.holes if h.name == match.hole)
            low = pair.first.frame(pair.first.formed.point(hole.center, 0.0, hole.flat))
            assert min(math.dist(low, top) for top in tops) < 1e-6
    assert {h.drill for h in mine} == {"#40"}
    # Doing it again changes nothing.
    assert "already in" in run(own, "match", "battery-bay", "--into-parts").output
    assert path.read_text("utf-8") == after


def test_matched_holes_move_with_the_place(own):
    path = own.parts_folder / "tunnel-angle.toml"
    run(own, "match", "battery-bay", "--into-parts")
    path.write_text(path.read_text("utf-8").replace("19.8 mm", "19.3 mm"), "utf-8")
    (pair, _) = matched_pairs(own, "battery-bay")
    assert {m.how.value for m in pair.matches} == {"drill on the flat"}
    note = "# keep this line\n"
    path.write_text(path.read_text("utf-8") + note, "utf-8")
    run(own, "match", "battery-bay", "--into-parts")
    text = path.read_text("utf-8")
    assert note in text
    assert "19.3 mm" not in text
    assert text.count("19.8 mm") == 2


def test_parts_of_one_file_get_the_same_holes_or_none(own):
    place = own.root / "places" / "battery-bay.toml"
    text = place.read_text("utf-8")
    place.write_text(text.replace('["mount[2]", "mount[4]"]', '["mount[2]"]'), "utf-8")
    path = own.parts_folder / "tunnel-angle.toml"
    before = path.read_bytes()
    words = ["match", "battery-bay", "--into-parts", "--project", str(own.root)]
    result = CliRunner().invoke(cli, words)
    assert "MATCH-003" in str(result.exception)
    assert path.read_bytes() == before


@pytest.mark.slow
def test_card_of_matched_holes(own):
    run(own, "match", "battery-bay", "--make")
    data = (own.out / "matched-battery-bay" / "battery-bay-matched-card.pdf").read_bytes()
    with PdfPages(data) as file:
        words = " ".join(" ".join(file.words(i) for i in range(len(file))).split())
    assert "battery-tray to left-angle" in words
    assert words.count("drill on the flat") >= 4
    assert "temporary fastener" in words
    assert "it does not approve" in words


def test_holes_that_run_into_one_that_is_there_are_left_out(own):
    path = own.parts_folder / "tunnel-angle.toml"
    old = '[holes.old]\non = "seat"\nat = ["20.5 mm", "31.75 mm"]\ndrill = "#40"\n'
    path.write_text(path.read_text("utf-8") + "\n" + old, "utf-8")
    said = run(own, "match", "battery-bay", "--into-parts").output
    assert "mount[1]: left out, it runs into hole old" in said
    text = path.read_text("utf-8")
    assert "left-mount-1" not in text
    assert "left-mount-3" in text
