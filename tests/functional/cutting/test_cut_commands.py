"""Packing, machine files and orders of the example airplane, through the command line's modules."""

import importlib
import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from blankwright.base.errors import BlankwrightError
from blankwright.files.gcode_read import read_machine_file
from blankwright.files.rackfile import read_rack

EXAMPLES = Path(__file__).resolve().parents[3] / "examples" / "tarn200"
PARTS = ("battery-tray", "shutoff-gate", "seat-hinge")


@pytest.fixture
def project(tmp_path):
    shutil.copytree(EXAMPLES, tmp_path / "tarn")
    shutil.rmtree(tmp_path / "tarn" / "out", ignore_errors=True)
    return tmp_path / "tarn"


def run(name, project, *arguments):
    command = importlib.import_module(f"blankwright.cli.{name}").command
    result = CliRunner().invoke(command, [*arguments, "--project", str(project)])
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def test_pack_then_machine_then_cut(project):
    packed = run("pack", project, *PARTS, "--seconds", "0", "--copies", "battery-tray=2", "--json")
    assert packed.exit_code == 0
    told = json.loads(packed.stdout)
    names = sorted(name for sheet in told["sheets"] for name in sheet["parts"])
    assert names == [
        "battery-tray 1",
        "battery-tray 2",
        "seat-hinge-left",
        "seat-hinge-right",
        "shutoff-gate",
    ]
    hinges = [s for s in told["sheets"] if "seat-hinge-left" in s["parts"]]
    assert "seat-hinge-right" in hinges[0]["parts"]
    assert all(Path(path).is_file() for path in told["files"])

    made = run("machine", project)
    assert made.exit_code == 0, made.output
    files = sorted((project / "out" / "machine").glob("*.nc"))
    assert len(files) == 2 * len(told["sheets"])
    for path in files:
        replay = read_machine_file(path.read_text())
        assert replay.ended
        if path.stem.endswith("dry-run"):
            assert all(motion.low > 0 and motion.rpm == 0 for motion in replay.motions)

    before = {sheet.name: sheet.count for sheet in read_rack(project / "rack.toml")}
    cut = run("pack", project, "--cut")
    assert cut.exit_code == 0
    after = {sheet.name: sheet for sheet in read_rack(project / "rack.toml")}
    assert any(sheet.offcut and sheet.name not in before for sheet in after.values())
    assert sum(s.count for s in after.values() if s.name in before) == sum(before.values()) - len(
        told["sheets"]
    )
    # Cut sheets are off the layout, so that they can't be taken twice.
    assert json.loads(run("machine", project, "--json").stdout) == {}


def test_two_runs_write_the_same_machine_files(project):
    def texts():
        run("pack", project, *PARTS, "--seconds", "0")
        run("machine", project)
        return [p.read_bytes() for p in sorted((project / "out").rglob("*.nc"))]

    assert texts() == texts()


def test_a_part_changed_since_it_was_packed_is_refused(project):
    run("pack", project, "battery-tray", "--seconds", "0")
    # The fingerprint in the layout stands for the blank as it was packed.
    layout = project / "out" / "sheets" / "layout.toml"
    layout.write_text(
        "\n".join(
            line.replace('blank = "', 'blank = "x') if "battery-tray" in line else line
            for line in layout.read_text().splitlines()
        )
    )
    with pytest.raises(BlankwrightError, match=r"PACK-016.*changed"):
        run("machine", project)


def edited(project, name, old, new):
    path = project / "parts" / f"{name}.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_a_part_of_another_alloy_since_it_was_packed_is_refused(project):
    """Its blank is the same to the last digit, but it must not be cut from that sheet."""
    run("pack", project, "battery-tray", "--seconds", "0")
    edited(project, "battery-tray", '"6061-T6"', '"5052-H32"')
    with pytest.raises(BlankwrightError, match=r"PACK-016.*alloy"):
        run("machine", project)


def test_a_part_with_a_stop_since_it_was_packed_is_refused(project):
    """A radius no table allows, with the allowance stated so that the blank stays the same."""
    edited(project, "twin-clip", 'alloy     = "5052-H32"', 'alloy     = "6061-T6"')
    edited(project, "twin-clip", '"1/16 in"', '"1/64 in"')
    edited(
        project,
        "twin-clip",
        "[flats.foot]",
        '[overrides]\nBEND-001 = "tried on scrap"\n\n[flats.foot]',
    )
    run("pack", project, "twin-clip", "--seconds", "0")
    edited(project, "twin-clip", '[overrides]\nBEND-001 = "tried on scrap"\n', "")
    with pytest.raises(BlankwrightError, match=r"PACK-014.*stop"):
        run("machine", project)


def test_no_stock_no_layout_and_no_such_part_are_told(project):
    with pytest.raises(BlankwrightError, match="PACK-011"):
        run("machine", project)
    (project / "rack.toml").write_text("")
    with pytest.raises(BlankwrightError, match="PACK-015"):
        run("pack", project, "battery-tray", "--seconds", "0")
    with pytest.raises(BlankwrightError, match="PACK-013"):
        run("pack", project, "battery-tray", "--copies", "wing=2", "--seconds", "0")
    wrong = run("pack", project, "--copies", "battery-tray")
    assert wrong.exit_code == 2


def test_a_template_on_board(project):
    packed = run("pack", project, "battery-tray", "--on", "hardboard", "--seconds", "0", "--json")
    assert [s["title"] for s in json.loads(packed.stdout)["sheets"]] == ["hardboard #1"]
    assert run("machine", project).exit_code == 0
    text = (project / "out" / "machine" / "hardboard-1.nc").read_text()
    assert "hardboard" in text.splitlines()[1]


@pytest.mark.slow
def test_the_strip_packer_presses_parts_together(project):
    result = run("pack", project, *PARTS, "--seconds", "4", "--json")
    assert result.exit_code == 0
    assert not any(f["level"] == "stop" for f in json.loads(result.stdout)["findings"])


def test_order_files(project):
    result = run("order", project, *PARTS, "--copies", "shutoff-gate=4", "--json")
    paths = [Path(p) for p in json.loads(result.stdout)]
    assert {p.suffix for p in paths} == {".dxf", ".txt"}
    assert all(p.is_file() for p in paths)
    sheets = "\n".join(p.read_text() for p in paths if p.suffix == ".txt")
    assert "shutoff-gate" in sheets
    assert "     4   " in sheets
