import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from blankwright.base.errors import BadInput
from blankwright.cli.correct import command

EXAMPLE = Path(__file__).parents[3] / "examples" / "tarn200"
WORDS = ["--because", "rubs left, aft end, 0.4 mm", "--date", "2026-11-25"]


@pytest.fixture
def project(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLE, tmp_path / "p")
    return tmp_path / "p"


def test_the_file_is_changed_in_one_line_and_both_blanks_are_drawn(project: Path) -> None:
    path = project / "parts" / "vent-gate.toml"
    old = path.read_text()
    done = CliRunner().invoke(
        command,
        [
            *("vent-gate", "width", "83.6 mm", "--project", str(project), *WORDS),
            *("--drawing", str(project / "change.svg")),
        ],
        catch_exceptions=False,
    )
    assert done.exit_code == 0
    changed = [
        b for a, b in zip(old.splitlines(), path.read_text().splitlines(), strict=True) if a != b
    ]
    assert len(changed) == 1
    assert "83.6 mm" in changed[0]
    assert "2026-11-25: rubs left, aft end, 0.4 mm, was 84 mm" in changed[0]
    assert (project / "change.svg").read_bytes().startswith(b"<svg")


def test_a_value_that_makes_no_part_leaves_the_file_alone(project: Path) -> None:
    path = project / "parts" / "vent-gate.toml"
    old = path.read_bytes()
    with pytest.raises(BadInput):
        CliRunner().invoke(
            command,
            ["vent-gate", "width", "83.6", "--project", str(project), *WORDS],
            catch_exceptions=False,
        )
    assert path.read_bytes() == old
