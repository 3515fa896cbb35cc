"""The page's fit view shows what the command line says."""

from pathlib import Path

import pytest

from blankwright.jobs.fit_open import open_fit
from blankwright.jobs.fit_report import FitReport, fit_report
from blankwright.jobs.project import open_project
from blankwright.page import fit_html as view

EXAMPLE = Path(__file__).parents[3] / "examples" / "tarn200"


@pytest.fixture(scope="module")
def shown() -> tuple[FitReport, str, str]:
    fit = open_fit(open_project(EXAMPLE), "tensioner-bay")
    report = fit_report(fit)
    return report, view._left(fit, report), view._right(fit, report)


def test_every_step_and_every_neighbour_is_shown(shown: tuple[FitReport, str, str]) -> None:
    report, left, _ = shown
    for step in report.ways[0].steps:
        assert step.text in left
    for pair in report.rest:
        assert f">{pair.wall}</td>" in left
    for finding in report.findings:
        assert finding.code in left


def test_the_picture_takes_the_colours_of_the_page(shown: tuple[FitReport, str, str]) -> None:
    report, _, right = shown
    assert "<style>" not in right
    assert right.count("<figure") == 2 + len(report.travels)
    assert 'class="fit-rest"' in right
