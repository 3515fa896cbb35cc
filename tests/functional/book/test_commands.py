"""Every command of the book on the command line, in words and as JSON."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import book_story
from blankwright.cli.book import COMMANDS
from blankwright.cli.book_shared import read_minutes
from blankwright.cli.main import cli

Run = Callable[..., Result]


@pytest.fixture
def run(project: Path, nowhere: str) -> Run:
    def called(*words: str, status: int = 0) -> Result:
        ends = ["--project", str(project), "--book", nowhere, "--at", "2026-01-21T19:00+00:00"]
        result = CliRunner().invoke(cli, ["book", *words, *ends])
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            assert status == 2, result.exception
        else:
            assert result.exit_code == status, result.output
        return result

    return called


def as_json(run: Run, *words: str) -> object:
    return json.loads(run(*words, "--json").stdout)


def test_a_builders_first_week(run: Run, project: Path, tmp_path: Path) -> None:
    run("start", "--builder", "Ida Berg", "--serial", "014")
    run("part", "battery-tray", "--major", "Fuselage", "--rivets", "14", "--lies", "upright")
    assert "battery-tray: 0 made, 0 renewed" in run("plan").stdout
    out = run("next").stdout
    assert "battery-tray: cut" in out
    assert "first: battery-tray: cut" in out
    run("takes", "MS20470AD4-5", "14", "--part", "battery-tray", "--grip", "0.072 in")
    assert "16" in run("hardware", "--to-order").stdout
    run("ordered", "MS20470AD4-5", "16", "--due", "2026-02-10", "--reference", "order 7")
    run("arrived", "MS20470AD4-5", "10")
    run("counted", "MS20470AD4-5", "9")
    run("used", "MS20470AD4-5", "1")
    stock = next(
        one
        for one in as_json(run, "hardware")["stocks"]  # type: ignore[index]
        if one["item"]["number"] == "MS20470AD4-5"
    )
    assert (stock["in_hand"], stock["on_order"], stock["used"]) == (8, 6, 1)
    assert stock["item"]["grip"] == pytest.approx(0.072 * 25.4)
    run("begin", "1")
    run("done", "1", "--took", "0:45")
    assert "It still waits: 0.03 m² of 6061-T6 sheet" in run("begin", "2").stdout
    assert run("done", "2", status=2).exception is not None
    run("counted", "6061-T6 sheet 0.040 in", "0.5")
    run("done", "2", "--took", "40", "--helped", "Bo Lind")
    assert run("done", "2", status=2).exception is not None  # twice is once too often
    assert run("done", "8", status=2).exception is not None
    run("task", "order paint", "--takes-time", "30", "--major", "Finish", "--after", "9")
    run("needs", "10", "--after", "9", "--cured", "12", "--hardware", "MS20470AD4-5=2")
    assert "after 9 battery-tray: inspect, and 12 h to cure" in run("needs", "10").stdout
    run("change", "10", "--title", "order the paint", "--takes-time", "1 h")
    assert "order the paint" in run("tasks").stdout
    run("correct", "2", "--took", "45")
    assert "45 min  Done: battery-tray: cut" in run("entries").stdout
    run("lies", "inverted")
    assert run("pace", "--turning", "soon", status=2).exception is not None
    assert "hours to turn over: 1.5" in run("pace", "--turning", "1.5").stdout
    assert "upright" in run("batches", "--waits-over").stdout
    assert "critical chain" in run("chain", "--hours-a-day", "2").stdout
    assert "Fuselage" in run("hours").stdout
    (tmp_path / "p.jpg").write_bytes(book_story.photo(9))
    run(
        "log",
        "measured the bay",
        "--photo",
        str(tmp_path / "p.jpg"),
        "--measured",
        "battery-tray.bay_width=186.4 mm ± 0.3 mm",
        "--reason",
        "least of three",
    )
    assert "186.4 mm ± 0.3 mm (no. 1, in the book)" in run("entries").stdout
    assert "bay_width is 186.4 mm now, was 7-3/8 in." in run("size", "1").stdout
    run("deviation", "open", "narrower", "--part", "battery-tray")
    run("deviation", "checked", "1", "battery fits")
    run("deviation", "ask", "1", "the designer")
    assert run("deviation", "close", "1", "fine", status=2).exception is not None
    run("deviation", "answer", "1", "go on")
    run("deviation", "close", "1", "letter")
    assert "closed by Ida Berg: letter" in run("deviation", "list").stdout
    run("stage", "add", "control run", "--closes", "pan-cover")
    run("stage", "seen", "1", "--by", "inspector")
    assert "inspector" in run("stage", "list").stdout
    run("recurring", "add", "controls", "--fasteners", "screw in plate nut=18", "--looking", "20")
    run("recurring", "done", "1", "--took", "41")
    assert "2027-01-31" in run("recurring", "list").stdout
    run("lot", "add", "6061-T6 0.040 in", "H-1")
    run("lot", "use", "1", "battery-tray")
    assert "H-1" in run("lot", "list").stdout
    assert "0 results" in run("coupons").stdout
    run("drop", "9", "not wanted")
    assert "pages" in run("record", str(tmp_path / "r.pdf")).stdout
    assert "not wanted" in run("history", "--last", "2").stdout
    assert "→" in run("history", "--of", "task 9", "--full").stdout
    newest = as_json(run, "history", "--last", "1")[0]["note"]["id"]  # type: ignore[index]
    run("take-back", str(newest))
    assert "The book is whole" in run("check").stdout
    run("backup", str(tmp_path / "b.zip"))
    assert run("restore", str(tmp_path / "b.zip"), status=2).exception is not None
    run("export", str(tmp_path / "b.json"))
    run("export", str(tmp_path / "csv"))
    assert "0 rows added" in run("import", str(tmp_path / "csv")).stdout
    for words in (
        ("tasks",),
        ("next",),
        ("chain",),
        ("batches",),
        ("hours",),
        ("entries",),
        ("deviation", "list"),
        ("stage", "list"),
        ("recurring", "list"),
        ("lot", "list"),
        ("check",),
    ):
        assert as_json(run, *words) is not None


def test_every_command_has_json_help_and_its_line() -> None:
    for name in COMMANDS:
        result = CliRunner().invoke(cli, ["book", name, "--help"])
        assert result.exit_code == 0, result.output
        if "Commands:" in result.stdout:
            subs = result.stdout.partition("Commands:")[2].split()
            names = [w for w in subs if w in ("add", "use", "list", "seen", "done", "open")]
            texts = [CliRunner().invoke(cli, ["book", name, sub, "--help"]).stdout for sub in names]
            assert texts
        else:
            texts = [result.stdout]
        assert all("--json" in text for text in texts), name


def test_no_book_yet_is_said_in_one_line(run: Run) -> None:
    from blankwright.base.errors import BlankwrightError

    result = run("next", status=2)
    assert isinstance(result.exception, BlankwrightError)
    assert result.exception.problems[0].code in ("BOOK-003", "BOOK-006")


def test_a_failed_check_exits_with_stop(run: Run, project: Path, tmp_path: Path) -> None:
    run("start")
    (tmp_path / "p.jpg").write_bytes(book_story.photo(9))
    run("log", "x", "--photo", str(tmp_path / "p.jpg"))
    for path in (project / "photos").glob("??/*.jpg"):
        path.write_bytes(b"")
    assert "PHOTO-004" in run("check", status=1).stdout


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("", 0),
        ("45", 45),
        ("1:30", 90),
        ("1.5 h", 90),
        ("1,5h", 90),
        ("20 min", 20),
        ("2 hours", 120),
    ],
)
def test_time_spans(typed: str, minutes: int) -> None:
    assert read_minutes(typed) == minutes


@pytest.mark.parametrize("typed", ["-5", "1:75", "soon", "1 day", "h"])
def test_no_time_spans(typed: str) -> None:
    import click

    with pytest.raises(click.BadParameter):
        read_minutes(typed)


def test_a_whole_book_goes_out_and_in_by_the_commands(
    run: Run, project: Path, tmp_path: Path
) -> None:
    run("start", "--builder", "Ida Berg")
    run("plan")
    run("log", "first evening", "--took", "45")
    run("export", str(tmp_path / "book.json"))
    run("export", str(tmp_path / "csv"))
    for source in ("book.json", "csv"):
        root = book_story.make_project(tmp_path / f"other {source}")
        ends = ["--project", str(root)]
        said = CliRunner().invoke(cli, ["book", "import", str(tmp_path / source), *ends])
        assert "the whole book with its history" in said.stdout
        CliRunner().invoke(cli, ["book", "export", str(root / "again.json"), *ends])
        assert (root / "again.json").read_bytes() == (tmp_path / "book.json").read_bytes()
        said = CliRunner().invoke(cli, ["book", "import", str(tmp_path / source), *ends])
        assert said.stdout.startswith("0 rows added, ")
    root = book_story.make_project(tmp_path / "third")
    (tmp_path / "bad.json").write_text("{}", encoding="utf-8")
    ends = ["--project", str(root)]
    said = CliRunner().invoke(cli, ["book", "import", str(tmp_path / "bad.json"), *ends])
    assert said.exception is not None
    assert not (root / "book.sqlite").exists()


def test_several_parts_at_once(run: Run, project: Path) -> None:
    text = book_story.TRAY.replace("Battery tray", "Second tray")
    (project / "parts" / "second-tray.toml").write_text(text, encoding="utf-8")
    run("start")
    said = run("part", "battery-tray", "second-tray", "rail", "--major", "Fuselage").stdout
    assert said.count("major.") == 3
    found = as_json(run, "tasks")
    assert {t["major"] for t in found} == {"Fuselage"}  # type: ignore[index, union-attr]
    assert {t["title"].partition(":")[0] for t in found} == {  # type: ignore[index, union-attr]
        "battery-tray",
        "second-tray",
        "rail",
    }


def test_recurring_items_and_sizes_by_the_commands(run: Run, project: Path) -> None:
    run("start", "--builder", "Ida Berg")
    run("plan")
    run("recurring", "add", "battery", "--fasteners", "latch=2", "--looking", "10")
    run("recurring", "change", "1", "--months", "6", "--times", "latch=30/60")
    run("recurring", "done", "1", "--took", "15")
    (item,) = as_json(run, "recurring", "list")  # type: ignore[misc]
    # Two latches at half a minute and a minute, and ten minutes of looking.
    assert (item["minutes"], item["item"]["months"], item["fasteners"]) == (13.0, 6, 2)
    run("recurring", "change", "1", "--ended")
    assert as_json(run, "recurring", "list") == []
    run("recurring", "change", "1", "--goes-on")
    assert len(as_json(run, "recurring", "list")) == 1  # type: ignore[arg-type]
    assert "No measurement waits." in run("size").stdout
    said = run("log", "gauged", "--measured", "battery-tray.bay_width = 7-5/16 in +/- 0.3 mm")
    assert "Put battery-tray.bay_width = 7-5/16 in into its file: blankwright book size 1" in (
        said.stdout
    )
    assert "1  battery-tray.bay_width = 7-5/16 in" in run("size").stdout
    run("size", "1")
    assert run("log", "x", "--measured", "battery-tray bay_width", status=2).exception is not None
