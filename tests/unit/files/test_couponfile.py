import inspect
import math
import re
import textwrap
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput, FileProblem
from blankwright.files import couponfile
from blankwright.files.couponfile import parse_coupons, read_coupons
from blankwright.part.model import DrawnTo

SAMPLE = textwrap.dedent(inspect.getdoc(couponfile).split("::", 1)[1])  # type: ignore[union-attr]


def problems(text: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        parse_coupons(text)
    return [str(problem) for problem in caught.value.problems]


def test_the_sample_in_the_docs_reads() -> None:
    (test,) = parse_coupons(SAMPLE).tests
    assert (test.name, test.date, test.tool) == ("leaf brake 040", "2026-03-14", "leaf brake")
    assert (test.alloy, test.temper, test.clad) == ("6061", "T6", False)
    assert (test.thickness, test.inside_radius) == (1.01, 3.175)
    assert test.measured_to is DrawnTo.OUTSIDE_MOLD_LINE
    assert [strip.before for strip in test.strips] == [100.0, 100.1]
    assert test.strips[0].legs == (51.3, 51.4)
    assert test.strips[0].angle == pytest.approx(math.pi / 2)
    assert test.strips[1].angle == pytest.approx(math.radians(90.5))
    assert test.reading.length == 0.1
    assert test.reading.angle == pytest.approx(math.radians(0.5))
    assert (test.reading.inside_radius, test.reading.thickness) == (0.1, 0.01)
    # L − a − b + 2(R+T): 100 − 51.3 − 51.4 + 2·4.185
    assert test.learned.strip_allowances[0] == pytest.approx(5.67)


def test_no_file_is_no_coupons(tmp_path: Path) -> None:
    assert read_coupons(tmp_path / "coupons.toml").tests == ()


def test_a_file_is_read(tmp_path: Path) -> None:
    path = tmp_path / "coupons.toml"
    path.write_text(SAMPLE, encoding="utf-8")
    assert read_coupons(path) == parse_coupons(SAMPLE)


def test_a_file_that_is_no_text(tmp_path: Path) -> None:
    path = tmp_path / "coupons.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(FileProblem, match=r"COUPON-001.*UTF-8"):
        read_coupons(path)
    with pytest.raises(FileProblem, match="COUPON-001"):
        read_coupons(tmp_path)


def test_empty_file() -> None:
    assert parse_coupons("").tests == ()


def test_over_90_legs_are_measured_to_the_outside_of_the_bend() -> None:
    text = SAMPLE.replace('"90 deg"', '"120 deg"').replace(', angle = "90.5 deg"', "")
    text = text.replace('measured_to = "outside mold line"', "")
    text = text.replace('["51.3 mm", "51.4 mm"]', '["50.4 mm", "50.4 mm"]')
    text = text.replace('["51.5 mm", "51.4 mm"]', '["50.4 mm", "50.5 mm"]')
    (test,) = parse_coupons(text).tests
    assert test.measured_to is DrawnTo.OUTSIDE_OF_BEND


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('name = "leaf brake 040"', "", "COUPON-007.*name: it is missing"),
        ('"leaf brake 040"', '""', "COUPON-008.*name"),
        ('"leaf brake 040"', "7", "COUPON-008.*7 isn't a text"),
        ("date = 2026-03-14", "", "COUPON-007.*date"),
        ("2026-03-14", '"March"', "COUPON-008.*'March' isn't a day"),
        ("2026-03-14", "3", "COUPON-008.*isn't a day"),
        ('"6061-T6"', '"brass"', "COUPON-006.*'brass'"),
        ('"1.01 mm"', "1.01", "COUPON-008.*1.01 has no unit"),
        ('"1.01 mm"', '"1.01"', "COUPON-008.*isn't a length"),
        ('"1.01 mm"', '"0 mm"', "COUPON-008.*can't be.*more than 0"),
        ('"1.01 mm"', '"-1 mm"', "COUPON-008.*can't be"),
        ('"1.01 mm"', '"1.01 furlong"', "thickness"),
        ('"1/8 in"', '"1/8 deg"', "COUPON-008.*inside_radius.*isn't a length"),
        ('"90 deg"', '"190 deg"', "COUPON-008.*angle.*up to 180°"),
        ('"90 deg"', '"0 deg"', "COUPON-008.*angle"),
        ('"0.5 deg"', '"0.5 mm"', "COUPON-008.*angle_reading.*isn't an angle"),
        ('reading = "0.1 mm" ', "", "COUPON-007.*reading"),
        ('"outside mold line"', '"inside mold line"', "COUPON-008.*measured_to"),
        ("tool =", "tol =", "COUPON-005.*'tol' means nothing here.*Write 'tool'"),
        ('["51.3 mm", "51.4 mm"]', '["51.3 mm"]', "COUPON-008.*strip 1, legs"),
        ('["51.3 mm", "51.4 mm"]', '"51.3 mm"', "COUPON-008.*strip 1, legs"),
        ('["51.3 mm", "51.4 mm"]', '[51.3, "51.4 mm"]', "COUPON-008.*strip 1, legs.*no unit"),
        ('before = "100.0 mm", ', "", "COUPON-007.*strip 1, before"),
        ('legs = ["51.3 mm", "51.4 mm"]', 'note = "?"', "COUPON-007.*strip 1, legs"),
        ('"90.5 deg"', '"90.5 mm"', "COUPON-008.*strip 2, angle"),
        ('before = "100.0 mm"', 'befor = "100.0 mm"', "COUPON-005.*strip 1.*Write 'before'"),
        ("51.3 mm", "61.3 mm", "COUPON-009.*strip 1: k comes out as"),
        ("[[coupons]]", "[[coupon]]", "COUPON-005.*'coupon' means nothing"),
        ("[[coupons]]", "[coupons]", "COUPON-003"),
        ("tool = ", "tool ", "COUPON-002.*line"),
    ],
)
def test_each_fault_has_its_message(old: str, new: str, says: str) -> None:
    assert old in SAMPLE
    found = problems(SAMPLE.replace(old, new))
    assert any(re.search(says, text) for text in found), found
    assert all("coupons.toml" in text for text in found)


def test_all_faults_are_told_at_once_with_the_line() -> None:
    bad = SAMPLE.replace('"1.01 mm"', "1.01").replace('"6061-T6"', '"brass"')
    both = SAMPLE + bad.replace("leaf brake 040", "second")
    found = problems(both)
    assert len(found) == 2
    line = both.splitlines().index("[[coupons]]", 5) + 1
    assert all(f"coupons.toml:{line}, coupon 'second'" in text for text in found)


def test_two_coupons_of_one_name() -> None:
    assert any("COUPON-004" in text for text in problems(SAMPLE + SAMPLE))


def test_no_strips() -> None:
    text = SAMPLE[: SAMPLE.index("strips")]
    assert any("COUPON-007" in found and "strips" in found for found in problems(text))
    assert any("no strip" in found for found in problems(text + "strips = []\n"))
    assert any("isn't a strip" in found for found in problems(text + "strips = [3]\n"))


def test_mold_line_of_a_strip_bent_to_180() -> None:
    text = SAMPLE.replace('"90.5 deg"', '"180 deg"')
    assert any("SETBACK-001" in found for found in problems(text))
