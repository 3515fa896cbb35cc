"""Benchmarks run only when asked for: ``./dev bench``."""

from __future__ import annotations

import platform
import statistics
import time
from pathlib import Path

import pytest

REPORT = Path(__file__).parents[2] / ".benchmarks" / "latest.md"
ROWS: list[tuple[str, str, str, str]] = []


def pytest_addoption(parser):
    parser.addoption("--bench", action="store_true", help="measure, not only try once")


@pytest.fixture
def measured(request):
    """Measure a function: median of several runs against a yardstick of this machine.

    The yardstick is a fixed piece of plain Python, run in between, so that figures of two machines,
    or of a busy and an idle one, can be held against each other as ratios. Without ``--bench`` the
    function is run once, so that benchmarks can't rot.
    """

    def measure(name, function, *, target, rounds=7, spent=None):
        if not request.config.getoption("--bench", default=False):
            function()
            return
        function()
        times, yards = [], []
        for _ in range(rounds):
            yards.append(_timed(yardstick))
            took = _timed(function)
            # A function that waits for others in between says itself what it took [s].
            times.append(spent() if spent else took)
        median, yard = statistics.median(times), statistics.median(yards)
        ROWS.append(
            (name, f"{median * 1e3:.1f} ms", target, f"{median / yard:.2f} × the yardstick")
        )

    return measure


def yardstick():
    """About 10 ms of plain Python on a common machine."""
    total = 0.0
    for i in range(150_000):
        total += (i % 7) * 0.5
    return total


def _timed(function):
    begin = time.perf_counter()
    function()
    return time.perf_counter() - begin


def pytest_terminal_summary(terminalreporter):
    if not ROWS:
        return
    lines = [
        f"{platform.machine()}, Python {platform.python_version()}, {platform.system()}",
        "",
        "| what | measured | target | ratio |",
        "| --- | --- | --- | --- |",
        *(f"| {' | '.join(row)} |" for row in ROWS),
    ]
    REPORT.parent.mkdir(exist_ok=True)
    REPORT.write_text("\n".join(lines) + "\n", encoding="utf-8")
    terminalreporter.write_line("")
    for line in lines:
        terminalreporter.write_line(line)
