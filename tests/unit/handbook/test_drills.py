import pytest

from blankwright.base.errors import BadInput
from blankwright.handbook.drills import SETS, DrillSet, all_drills, find_drill, nearest_drill


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("#30", "#30"),
        ("# 30", "#30"),
        ("No. 30", "#30"),
        ("no 30", "#30"),
        ("number 30", "#30"),
        ("#30 drill", "#30"),
        ("F", "F"),
        ("f", "F"),
        ("letter F", "F"),
        ("Letter f drill", "F"),
        ("1/8 in", "1/8 in"),
        ('1/8"', "1/8 in"),
        ("1/8 in drill", "1/8 in"),
        ("8/64 in", "1/8 in"),
        ("64/64 in", "1 in"),
        ("2.5 mm", "2.5 mm"),
        ("2.5mm drill", "2.5 mm"),
        ("2.50 mm", "2.5 mm"),
        ("3 mm", "3.0 mm"),
        ("3.25 mm", "3.25 mm"),
    ],
)
def test_a_drill_is_found_by_every_way_to_write_it(text: str, name: str) -> None:
    assert find_drill(text).name == name


def test_every_drill_is_found_by_its_own_name() -> None:
    for drill in all_drills():
        assert find_drill(drill.name) == drill


def test_metric_drills_go_by_tenths_and_quarters() -> None:
    sizes = [drill.diameter for drill in all_drills() if drill.set == "metric"]
    tenths = {round(index / 10, 2) for index in range(5, 131)}
    quarters = {round(index / 4, 2) for index in range(3, 53)}
    assert [round(size, 6) for size in sizes] == sorted(tenths | quarters)


def test_drills_are_sorted_and_named_once() -> None:
    drills = all_drills()
    sizes = [drill.diameter for drill in drills]
    assert sizes == sorted(sizes)
    assert len({drill.name for drill in drills}) == len(drills)
    assert {drill.set for drill in drills} == set(SETS)


@pytest.mark.parametrize("text", ["", "foo", "5", "0.098", "0.098 in", "FF", "1/8", "1/0 in", "#"])
def test_what_is_no_drills_name(text: str) -> None:
    with pytest.raises(BadInput, match="DRILL-001"):
        find_drill(text)


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("4.03 mm", "4.0 mm"),
        ("1/3 in", "21/64 in"),
        ("9/8 in", "1 in"),
        ("20 mm", "13.0 mm"),
    ],
)
def test_a_drill_that_does_not_exist_names_the_nearest(text: str, near: str) -> None:
    with pytest.raises(BadInput, match=f"DRILL-002.*nearest of its set is {near}"):
        find_drill(text)


@pytest.mark.parametrize("text", ["#0", "#81", "#100"])
def test_numbers_outside_the_index(text: str) -> None:
    with pytest.raises(BadInput, match="DRILL-002"):
        find_drill(text)


def test_nearest_gives_the_signed_error() -> None:
    drill, error = nearest_drill(3.27)
    assert drill.name == "#30"
    assert error == pytest.approx(0.1285 * 25.4 - 3.27, abs=1e-12)
    drill, error = nearest_drill(3.27, ("metric",))
    assert drill.name == "3.25 mm"
    assert error == pytest.approx(-0.02, abs=1e-12)


def test_of_two_equally_near_the_smaller_wins() -> None:
    drill, error = nearest_drill(3.05, ("metric",))
    assert drill.name == "3.0 mm"
    assert error == pytest.approx(-0.05)


def test_of_two_alike_the_set_named_first_wins() -> None:
    # 1/4 in and letter E are both 0.250 in.
    assert nearest_drill(6.35)[0].name == "E"
    assert nearest_drill(6.35, ("fraction", "metric"))[0].name == "1/4 in"


@pytest.mark.parametrize("sets", [("number",), ("letter", "metric"), SETS])
def test_nearest_is_no_worse_than_any_other(sets: tuple[DrillSet, ...]) -> None:
    for step in range(1, 260):
        wanted = step * 0.05
        _, error = nearest_drill(wanted, sets)
        best = min(abs(d.diameter - wanted) for d in all_drills() if d.set in sets)
        assert abs(error) == pytest.approx(best, abs=1e-9)


def test_no_set_is_said() -> None:
    with pytest.raises(BadInput, match="DRILL-003"):
        nearest_drill(3.0, ())
