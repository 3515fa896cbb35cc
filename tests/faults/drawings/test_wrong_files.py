"""Files that are no drawing of a part: one clear error each, no trace, nothing written."""

from __future__ import annotations

import io
import random
import subprocess
import sys
import zipfile
from pathlib import Path

import ezdxf
import pytest

from blankwright.base.errors import BlankwrightError
from blankwright.jobs.bring_in import look_at, read_drawing
from blankwright.jobs.bring_in_asked import Asked, read_bend_asked
from blankwright.jobs.project import start_project

CORPUS = Path(__file__).parents[2] / "corpus" / "dxf"
PLAIN = (CORPUS / "plain.dxf").read_bytes()


def packed():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as file:
        file.writestr("3D/model.model", "<model/>")
    return stream.getvalue()


WRONG = {
    "empty.dxf": (b"", "DRAWN-001"),
    "blank lines.dxf": (b"\r\n \r\n", "DRAWN-001"),
    "renamed dwg.dxf": (b"AC1032\x00\x00\x00" + bytes(200), "DRAWN-001"),
    "renamed stl.dxf": (b"solid part\n facet normal 0 0 1\n", "DRAWN-001"),
    "binary stl.dxf": (bytes(80) + b"\x0c\x00\x00\x00" + bytes(600), "DRAWN-001"),
    "renamed 3mf.dxf": (packed(), "DRAWN-001"),
    "renamed pdf.dxf": (b"%PDF-1.7\n", "DRAWN-001"),
    "picture.dxf": (b"\x89PNG\r\n\x1a\n" + bytes(50), "DRAWN-001"),
    "page.dxf": (b"<!DOCTYPE html><html></html>", "DRAWN-001"),
    "letter.dxf": (b"Dear builder,\nhere is the drawing.\n", "DRAWN-001"),
    "solid.dxf": (b"ISO-10303-21;\nHEADER;\n", "DRAWN-001"),
    "half.dxf": (PLAIN[: len(PLAIN) // 2], "DRAWN-003"),
    "flat.step": (PLAIN, "BRING-004"),
    "text.step": (b"no step file", "STEP-003"),
    "empty.step": (b"", "STEP-003"),
    "cut.step": (b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n#1=", "STEP-004"),
}


@pytest.mark.parametrize("name", WRONG)
def test_wrong_files_are_refused_in_one_word(name):
    data, code = WRONG[name]
    with pytest.raises(BlankwrightError) as error:
        look_at(data, name, Asked())
    (problem,) = error.value.problems
    assert problem.fix
    assert name.rsplit(".", 1)[0].split()[0] in problem.where
    if code:
        assert problem.code == code


def test_a_huge_file_is_not_even_read(tmp_path):
    huge = tmp_path / "airplane.dxf"
    with huge.open("wb") as file:
        file.truncate(100_000_000)
    with pytest.raises(BlankwrightError) as error:
        read_drawing(huge)
    assert [p.code for p in error.value.problems] == ["DRAWN-002"]
    with pytest.raises(BlankwrightError):
        read_drawing(tmp_path / "none.dxf")


def test_damage_anywhere_never_brings_a_trace():
    """Bytes knocked out, put in and cut off: the drawing comes in or is refused."""
    rng = random.Random(3)
    for _ in range(150):
        data = bytearray(PLAIN)
        for _ in range(rng.randint(1, 6)):
            at = rng.randrange(len(data))
            match rng.randrange(3):
                case 0:
                    data[at] = rng.randrange(256)
                case 1:
                    del data[at : at + rng.randint(1, 40)]
                case _:
                    data[at:at] = bytes(rng.randrange(256) for _ in range(rng.randint(1, 9)))
        try:
            look_at(bytes(data), "damaged.dxf", Asked(thickness="1 mm", alloy="6061-T6"))
        except BlankwrightError:
            continue


@pytest.mark.parametrize("release", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
@pytest.mark.parametrize("form", ["asc", "bin"])
def test_every_release_in_text_and_binary(tmp_path, release, form):
    doc = ezdxf.new(release)
    doc.units = 4
    space = doc.modelspace()
    for a, b in (((0, 0), (80, 0)), ((80, 0), (80, 50)), ((80, 50), (0, 50)), ((0, 50), (0, 0))):
        space.add_line(a, b)
    space.add_circle((20, 20), 4)
    path = tmp_path / "plate.dxf"
    doc.saveas(path, fmt=form)
    brought = look_at(
        path.read_bytes(), path.name, Asked(thickness="1 mm", alloy="6061-T6", units="mm")
    )
    (candidate,) = brought.candidates
    assert candidate.ready, (candidate.questions, candidate.problems)
    assert candidate.blank_size == pytest.approx((80, 50))


def test_the_command_leaves_nothing_behind(tmp_path):
    project = start_project(tmp_path / "p")
    for name, (data, _) in WRONG.items():
        if name not in ("renamed dwg.dxf", "half.dxf", "text.step"):
            continue
        (tmp_path / name).write_bytes(data)
        before = sorted(p for p in tmp_path.rglob("*"))
        done = subprocess.run(
            [
                *(sys.executable, "-m", "blankwright", "bring", str(tmp_path / name)),
                *("--keep", "--project", str(project.root)),
            ],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 2, done
        assert "Traceback" not in done.stderr
        assert len(done.stderr.strip().splitlines()) == 1
        assert sorted(p for p in tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    "text", ["", "bend-1:", "bend-1: 3 mm", "bend-1: up 90 deg R 3", "up 95 furlongs"]
)
def test_bends_stated_wrongly(text):
    with pytest.raises(BlankwrightError) as error:
        read_bend_asked(text)
    assert error.value.problems[0].code == "BRING-003"


@pytest.mark.parametrize(
    ("stated", "code"),
    [
        ({"units": "furlong"}, "BRING-003"),
        ({"closes": "3"}, "BRING-003"),
        ({"part_at": "3 mm"}, "BRING-003"),
        ({"outline": ("red ones",)}, "DRAWN-010"),
        ({"layout": "Sheet 9"}, "DRAWN-005"),
        ({"name": "Two Words"}, "BRING-003"),
        ({"bends": {"bend-9": read_bend_asked("up 90 deg")[1]}}, "BRING-003"),
    ],
)
def test_what_is_stated_wrongly(stated, code):
    with pytest.raises(BlankwrightError) as error:
        look_at(PLAIN, "plain.dxf", Asked(**stated))
    assert [p.code for p in error.value.problems] == [code]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b" 10\n25\n", b" 10\n25x5\n"),  # would be read as 25
        (b" 10\n25\n 20\n30\n", b""),  # would be read as (0, 0)
        (b" 40\n5\n", b""),  # would be read as 1
    ],
)
def test_a_damaged_number_is_never_read_in_silence(old, new, capfd):
    assert old in PLAIN
    asked = Asked(
        thickness="1 mm", alloy="6061-T6", every_bend=read_bend_asked("up 90 deg R 2 mm")[1]
    )
    brought = look_at(PLAIN.replace(old, new), "plain.dxf", asked)
    (candidate,) = brought.candidates
    assert any("damaged" in line for line in candidate.told)
    (finding,) = [f for f in candidate.findings if f.code == "SOURCE-006"]
    assert finding.level.value == "ask"
    assert capfd.readouterr() == ("", "")
