"""Both readers of machine files, on files written by hand: arcs both ways, inch and mm, cycles."""

import math

import pytest

from blankwright.base.errors import BadInput
from blankwright.files.gcode_read import read_machine_file
from blankwright.files.gcode_second import read_tracks
from blankwright.geom.edges import Arc

HEAD = "{units} G90 G17 G40 G94 G80\nG54\nG0 Z5\nT1\nM0\nM3 S9000\n"
END = "G0 Z5\nM5\nM30\n"


def text(body, units="G21"):
    return HEAD.format(units=units) + body + "\n" + END


def first(body, units="G21"):
    return [m for m in read_machine_file(text(body, units)).motions if not m.rapid]


def second(body, units="G21"):
    return [t for t in read_tracks(text(body, units))[0] if not t.rapid]


ARCS = {
    "quarter turn left": ("G3 X0 Y10 I-10 J0", math.pi / 2),
    "quarter turn right": ("G2 X0 Y-10 I-10 J0", -math.pi / 2),
    "half turn left": ("G3 X-10 Y0 I-10 J0", math.pi),
    "half turn right": ("G2 X-10 Y0 I-10 J0", -math.pi),
    "three quarters left": ("G3 X0 Y-10 I-10 J0", 3 * math.pi / 2),
    "three quarters right": ("G2 X0 Y10 I-10 J0", -3 * math.pi / 2),
}


@pytest.mark.parametrize("name", ARCS)
@pytest.mark.parametrize(
    ("units", "size"), [("G21", 1.0), ("G20", 25.4), ("G70", 25.4), ("G71", 1)]
)
def test_arcs_in_both_readers(name, units, size):
    word, sweep = ARCS[name]
    body = f"G0 X10 Y0\nG1 Z-1 F100\n{word} F200"
    (_, arc) = first(body, units)
    assert isinstance(arc.edge, Arc)
    assert arc.edge.sweep == pytest.approx(sweep)
    assert arc.edge.radius == pytest.approx(10 * size)
    assert arc.edge.center == pytest.approx((0, 0), abs=1e-9)
    assert arc.feed == pytest.approx(200 * size)
    (_, track) = second(body, units)
    legs = track.points[1:, :2] - track.points[:-1, :2]
    length = float(((legs**2).sum(axis=1) ** 0.5).sum())
    assert length == pytest.approx(abs(sweep) * 10 * size, rel=1e-3)
    assert tuple(track.points[-1, :2]) == pytest.approx(arc.edge.end, abs=1e-6)
    middle = track.points[len(track.points) // 2, :2]
    if len(track.points) % 2:
        assert tuple(middle) == pytest.approx(arc.edge.point(0.5), abs=1e-6)


def test_a_helix_comes_down_evenly():
    body = "G0 X10 Y0\nG1 Z0 F100\nG3 X-10 Y0 Z-2 I-10 J0"
    (_, helix) = first(body)
    assert (helix.z0, helix.z1) == (0, -2)
    below = helix.below(-1.0)
    assert below is not None
    assert below.start == pytest.approx((0, 10), abs=1e-9)
    (_, track) = second(body)
    assert track.points[:, 2] == pytest.approx(
        [-2 * i / (len(track.points) - 1) for i in range(len(track.points))]
    )


def test_drilling_cycles_in_both_readers():
    body = "G98\nG81 X5 Y5 Z-3 R1 F80\nG81 X9 Y5 Z-3 R1\nG80"
    holes = [m for m in first(body) if m.z1 == -3]
    assert [m.edge.start for m in holes] == [(5, 5), (9, 5)]
    assert all(m.z0 == 1 and m.drilling for m in holes)
    tracks = [t for t in second(body) if t.points[-1, 2] == -3]
    assert [tuple(t.points[-1, :2]) for t in tracks] == [(5, 5), (9, 5)]


def test_pecks_go_deeper_one_after_another():
    body = "G98\nG83 X5 Y5 Z-5 R1 Q2 F80\nG80"
    assert [m.z1 for m in first(body)] == [-1, -3, -5]
    assert [float(t.points[-1, 2]) for t in second(body)] == [-1, -3, -5]


def test_spindle_tool_and_comments():
    motions = first("G1 X1 Y1 F100 (G1 X99 is only said)\nG1 X2 ; so is Y99")
    assert {(m.tool, m.rpm) for m in motions} == {(1, 9000)}
    assert [m.edge.end for m in motions] == [(1, 1), (2, 1)]


BAD = {
    "no such G word": "G5 X1 Y1 F100",
    "no such M word": "M99",
    "no such letter": "G1 X1 A5 F100",
    "radius arcs": "G2 X10 Y10 R10 F100",
    "an arc without a centre": "G2 X10 Y10 F100",
    "an arc whose ends disagree": "G2 X10 Y10 I4 J0 F100",
    "a full circle in one line": "G2 X0 Y0 I4 J0 F100",
    "a cut without feed": "G1 X1",
    "no number": "G1 X",
    "rubbish": "G1 X1 $ F100",
    "two X words": "G1 X1 X2 F100",
    "cutter compensation": "G41 D1",
    "added positions": "G91",
    "a cycle without depth": "G81 X1 Y1 R1 F100",
    "a peck cycle without peck": "G83 X1 Y1 Z-1 R1 F100",
    "two motions in one line": "G0 G1 X1 F100",
}


@pytest.mark.parametrize("what", BAD)
def test_the_first_reader_refuses(what):
    with pytest.raises(BadInput) as caught:
        read_machine_file(text(BAD[what]))
    assert {problem.code for problem in caught.value.problems} == {"CUT-110"}


def test_all_bad_lines_are_told_at_once():
    with pytest.raises(BadInput) as caught:
        read_machine_file(text("G5 X1\nG41\nM99"))
    assert [p.where.rsplit(" ", 1)[1] for p in caught.value.problems] == ["7", "8", "9"]


@pytest.mark.parametrize("what", ["no such G word", "an arc whose ends disagree", "rubbish"])
def test_the_second_reader_refuses_or_disagrees(what):
    try:
        tracks, _ = read_tracks(text(BAD[what]))
    except BadInput:
        return
    assert what == "rubbish"
    assert tracks  # the library skips it; the first reader does not


def test_units_must_be_said():
    for reader in (read_machine_file, read_tracks):
        with pytest.raises(BadInput):
            reader("G90 G17\nG0 Z5\nM30\n")


def test_nothing_after_the_end_counts():
    good = text("G1 X1 F100")
    assert len(read_machine_file(good + "G1 X5\n").motions) == len(read_machine_file(good).motions)
    assert read_machine_file(good).ended
    assert not read_machine_file(good.replace("M30", "")).ended
    assert not read_tracks(good.replace("M30", ""))[1]
