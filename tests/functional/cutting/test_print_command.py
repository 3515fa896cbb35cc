"""Full-size prints through the command line: kinds, papers, the printer's own error."""

import importlib
import json
import shutil
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from click.testing import CliRunner

from blankwright.base.errors import BadInput
from blankwright.jobs.coupon_job import with_coupon
from blankwright.jobs.prints import KINDS
from blankwright.jobs.project import find_project

EXAMPLES = Path(__file__).resolve().parents[3] / "examples" / "tarn200"


@pytest.fixture
def project(tmp_path):
    shutil.copytree(EXAMPLES, tmp_path / "tarn")
    shutil.rmtree(tmp_path / "tarn" / "out", ignore_errors=True)
    return tmp_path / "tarn"


def run(project, *arguments):
    command = importlib.import_module("blankwright.cli.print").command
    result = CliRunner().invoke(command, [*arguments, "--project", str(project)])
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def sizes(path):
    file = pdfium.PdfDocument(str(path))
    return [
        tuple(round(side * 25.4 / 72, 1) for side in file[i].get_size()) for i in range(len(file))
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind(project, kind):
    told = json.loads(run(project, "battery-tray", "--kind", kind, "--json").stdout)
    (path,) = told["files"]
    assert Path(path).name == f"battery-tray-{kind}-{find_project(project).paper.lower()}.pdf"
    assert Path(path).stat().st_size > 1000


def test_a_roll_and_its_cards(project):
    file = project / "blankwright.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(
        "\n".join(
            'paper = "roll 24 in"' if line.startswith("paper") else line
            for line in text.splitlines()
        ),
        encoding="utf-8",
    )
    told = json.loads(run(project, "battery-tray", "--json").stdout)
    (path,) = told["files"]
    assert all(609.6 in size for size in sizes(path))
    develop = importlib.import_module("blankwright.cli.develop").command
    made = CliRunner().invoke(
        develop, ["battery-tray", "--project", str(project), "--workers", "1"]
    )
    assert made.exit_code == 0, made.output
    card = project / "out" / "battery-tray" / "battery-tray-traveler.pdf"
    assert set(sizes(card)) == {(215.9, 279.4)}


def test_the_printers_error_is_entered_once_and_line_ends_stay(project):
    file = project / "blankwright.toml"
    before = file.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")
    file.write_bytes(before)
    out = run(project, "--across", "180 mm", "179.1 mm", "--along", "10 in", "10.02 in").output
    assert "99.500 mm across and 100.200 mm along" in out
    after = file.read_bytes()
    assert after.count(b"\n") == after.count(b"\r\n")
    told = json.loads(run(project, "--check-sheet", "--json").stdout)
    assert told["printer"] == {"across": 0.995, "along": 1.002}
    words = pdfium.PdfDocument(told["files"][0])[0].get_textpage().get_text_range()
    assert "Nothing is corrected on this sheet" in words


def test_lengths_without_units_and_an_error_over_five_percent_are_refused(project):
    for wrong in (("180", "179"), ("180 mm", ""), ("180 mm", "150 mm")):
        with pytest.raises(BadInput):
            run(project, "--across", *wrong)


def test_a_coupon_file_keeps_its_line_ends(project):
    opened = find_project(project)
    text = opened.coupon_file.read_text(encoding="utf-8") if opened.coupon_file.exists() else ""
    text = text or "# none yet\n"
    opened.coupon_file.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    new = (
        '[[coupons]]\nname = "crlf"\ndate = 2026-03-01\nalloy = "6061-T6"\n'
        'reading = "0.01 mm"\nthickness = "0.040 in"\ninside_radius = "1/8 in"\n'
        'angle = "90 deg"\ntool = "brake"\n'
        'strips = [\n  { before = "100.0 mm", legs = ["51.3 mm", "51.4 mm"] },\n]\n'
    )
    after = with_coupon(opened, new)
    assert after.startswith("\ufeff")
    assert after.count("\n") == after.count("\r\n")
    assert 'name = "crlf"' in after
