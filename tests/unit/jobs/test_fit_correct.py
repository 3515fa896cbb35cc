from pathlib import Path
from xml.etree import ElementTree

import pytest

from blankwright.base.errors import BadInput
from blankwright.develop.develop import develop_blank
from blankwright.files.partfile import read_part_text
from blankwright.jobs.fit_correct import Correction, corrected, old_and_new
from blankwright.jobs.fit_sprung import spring_stress

GATE = (Path(__file__).parents[3] / "examples" / "tarn200" / "parts" / "vent-gate.toml").read_text()


def test_a_correction_changes_one_size_and_says_when_why_and_what_it_was() -> None:
    new = corrected(
        GATE,
        Correction(
            size="width", to="83.6 mm", reason="rubs left, aft end, 0.4 mm", date="2026-11-25"
        ),
    )
    part = read_part_text(new, "gate")
    (size,) = [s for s in part.sizes if s.name == "width"]
    assert size.value == pytest.approx(83.6)
    assert size.note == "2026-11-25: rubs left, aft end, 0.4 mm, was 84 mm"
    # Every other line stays as it was, comments too.
    old_lines, new_lines = GATE.splitlines(), new.splitlines()
    assert len(old_lines) == len(new_lines)
    assert sum(a != b for a, b in zip(old_lines, new_lines, strict=True)) == 1
    # The next blank follows: as much narrower.
    before = develop_blank(read_part_text(GATE, "gate")).size[0]
    assert develop_blank(part).size[0] == pytest.approx(before - 0.4)


def test_a_second_correction_keeps_the_first_ones_note() -> None:
    one = Correction(size="hook", to="4.8 mm", reason="catches the trim", date="2026-11-20")
    two = Correction(size="hook", to="4.6 mm", reason="still catches", date="2026-11-25")
    part = read_part_text(corrected(corrected(GATE, one), two), "gate")
    (size,) = [s for s in part.sizes if s.name == "hook"]
    assert size.value == pytest.approx(4.6)
    assert size.note == (
        "2026-11-20: catches the trim, was 5 mm; 2026-11-25: still catches, was 4.8 mm"
    )


def test_a_measured_size_keeps_what_was_drawn() -> None:
    new = corrected(
        GATE,
        Correction(
            size="rise", to="47.1 mm", reason="measured in place", date="2026-11-25", measured=True
        ),
    )
    (size,) = [s for s in read_part_text(new, "gate").sizes if s.name == "rise"]
    assert size.origin.value == "measured"
    assert size.drawn == "47.5 mm"
    assert size.value == pytest.approx(47.1)


@pytest.mark.parametrize(
    ("typed", "mm"), [("0.5 mm", 0.5), ("1/64 in", 25.4 / 64), ("0.020 in", 0.508)]
)
def test_a_plus_minus_stays_as_typed(typed: str, mm: float) -> None:
    text = GATE.replace('lip   = "9 mm"', f'lip   = {{ drawn = "9 mm", plus_minus = "{typed}" }}')
    new = corrected(text, Correction(size="lip", to="8 mm", reason="too long", date="2026-11-25"))
    (size,) = [s for s in read_part_text(new, "gate").sizes if s.name == "lip"]
    assert size.plus_minus == pytest.approx(mm)
    assert f'plus_minus = "{typed}"' in new


@pytest.mark.parametrize(
    ("correction", "code"),
    [
        (Correction(size="girth", to="1 mm", reason="r", date="d"), "FIT-050"),
        (Correction(size="hook", to="1 mm", reason=" ", date="d"), "FIT-051"),
        (Correction(size="hook", to="1 mm", reason="r", date=""), "FIT-051"),
        (Correction(size="hook", to="1 mm", reason="r", date="2026-13-01"), "FIT-051"),
        (Correction(size="hook", to="1 mm", reason="r", date="yesterday"), "FIT-051"),
    ],
)
def test_what_can_not_be_corrected_is_refused(correction: Correction, code: str) -> None:
    with pytest.raises(BadInput) as caught:
        corrected(GATE, correction)
    assert caught.value.problems[0].code == code


def test_a_correction_that_makes_no_part_is_refused() -> None:
    with pytest.raises(BadInput):
        corrected(GATE, Correction(size="hook", to="plenty", reason="r r", date="2026-11-25"))


def test_old_and_new_are_drawn_over_each_other() -> None:
    new = corrected(GATE, Correction(size="width", to="83 mm", reason="rubs", date="2026-11-25"))
    blanks = [develop_blank(read_part_text(t, "gate")) for t in (GATE, new)]
    root = ElementTree.fromstring(
        old_and_new(blanks[0], blanks[1], ("gate: width was 84 mm", "2026-11-25: rubs"))
    )
    paths = root.findall("{http://www.w3.org/2000/svg}path")
    assert len(paths) == 2
    assert paths[0].get("stroke-dasharray")
    assert not paths[1].get("stroke-dasharray")
    assert paths[0].get("d") != paths[1].get("d")
    # Full size: a millimetre of the picture is a millimetre on paper.
    _, _, wide, high = (float(v) for v in root.get("viewBox").split())
    assert root.get("width") == f"{wide:.3f}mm"
    assert root.get("height") == f"{high:.3f}mm"
    texts = [t.text for t in root.findall("{http://www.w3.org/2000/svg}text")]
    assert "gate: width was 84 mm" in texts
    assert "2026-11-25: rubs" in texts
    # The plate is a millimetre narrower: its right edge and the lip on it move by that.
    assert "moved 1.00 mm" in texts


def test_stress_of_a_sprung_strip() -> None:
    # By hand: E = 70 000 MPa, t = 1 mm, f = 2 mm, L = 50 mm: 1.5·70000·1·2/2500 = 84 MPa.
    assert spring_stress(2.0, 50.0, 1.0, 70_000.0) == pytest.approx(84.0)
