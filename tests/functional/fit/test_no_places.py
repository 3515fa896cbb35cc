from pathlib import Path

from click.testing import CliRunner

from blankwright.cli.fit import command
from blankwright.jobs.project import start_project


def test_a_project_without_places_says_so_and_where_they_go(tmp_path: Path) -> None:
    project = start_project(tmp_path / "new")
    done = CliRunner().invoke(command, ["--project", str(project.root)], catch_exceptions=False)
    assert done.exit_code == 0
    assert "no place files yet" in done.output
    as_json = CliRunner().invoke(command, ["--project", str(project.root), "--json"])
    assert as_json.output.strip() == "{}"
