import math
from collections.abc import Callable
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput, BlankwrightError
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import Formed, form
from blankwright.files.partfile import read_part
from blankwright.files.placefile import PlaceSource, read_place, read_place_text
from blankwright.fit.place import Place

EXAMPLE = Path(__file__).parents[3] / "examples" / "tarn200"

HEAD = """
title = "somewhere"
keep_off = "0.5 mm"
[part]
file = "vent-gate"
"""


def formed(file: str, variant: str) -> Formed:
    return form(develop_blank(read_part(EXAMPLE / "parts" / f"{file}.toml", variant=variant)))


SOURCE = PlaceSource(formed, EXAMPLE / "places")


def read(text: str, **words: str) -> Place:
    return read_place_text(HEAD + text, "somewhere", SOURCE, **words)  # type: ignore[arg-type]


def problems(text: str, head: str = HEAD) -> list[tuple[str, str]]:
    with pytest.raises(BadInput) as caught:
        read_place_text(head + text, "somewhere", SOURCE)
    return [(p.code, p.place) for p in caught.value.problems]  # type: ignore[attr-defined]


def volume(place: Place, name: str) -> float:
    """Volume of a solid from its wedges: each a prism of a triangle."""
    import numpy as np

    (solid,) = [s for s in place.solids if s.name == name]
    total = 0.0
    for piece in solid.pieces:
        for wedge in piece.wedges:
            a, b, c, d = wedge[0], wedge[1], wedge[2], wedge[3]
            total += abs(float(np.cross(b - a, c - a) @ (d - a))) / 2
    return total


def test_every_kind_of_solid_has_the_volume_it_should() -> None:
    place = read(
        """
[sheets.web]
outline = { rectangle = ["100 mm", "60 mm"] }
thickness = "2 mm"
[sheets.web.openings.vent]
outline = { rectangle = ["20 mm", "10 mm"] }
at = ["30 mm", "30 mm"]
[members.angle]
profile = { polygon = [["0 mm", "0 mm"], ["10 mm", "0 mm"], ["10 mm", "1 mm"], ["1 mm", "1 mm"],
    ["1 mm", "10 mm"], ["0 mm", "10 mm"]] }
start = "-5 mm"
end = "15 mm"
[blocks.foam]
material = "foam"
corner = ["1 mm", "2 mm", "3 mm"]
size = ["4 mm", "5 mm", "6 mm"]
[rivets.row]
at = ["0 mm", "0 mm"]
head = { diameter = "6 mm", height = "2 mm" }
tail = { diameter = "4 mm", height = "3 mm" }
grip = "1.6 mm"
repeat = { to = ["40 mm", "0 mm"], count = 3 }
"""
    )
    assert volume(place, "web") == pytest.approx(2 * (6000 - 200))
    assert volume(place, "angle") == pytest.approx(20 * 19)
    assert volume(place, "foam") == pytest.approx(120)
    rivet = math.pi * (9 * 2 + 4 * 3)
    assert volume(place, "row") == pytest.approx(3 * rivet, rel=0.02)
    corners = place.solids[-1].triangles[0]
    # The tails end the grip and their own height under the heads' seat.
    assert corners[:, 2].min() == pytest.approx(-4.6)
    assert place.openings["web.vent"].outline[0] == pytest.approx((30.0, 30.0))


def test_references_turn_then_shift_then_follow_the_one_they_stand_in() -> None:
    place = read(
        """
[references.a]
at = ["10 mm", "0 mm", "0 mm"]
turn = { about = "z", by = "90 deg" }
[references.b]
in = "a"
at = ["0 mm", "5 mm", "0 mm"]
turn = [{ about = "x", by = "90 deg" }, { about = "z", by = "90 deg" }]
[blocks.one]
in = "b"
corner = ["1 mm", "2 mm", "3 mm"]
size = ["1 mm", "1 mm", "1 mm"]
"""
    )
    low = place.solids[0].triangles[0].min(axis=0)
    high = place.solids[0].triangles[0].max(axis=0)
    # (x, y, z) → about x (x, −z, y) → about z (z, x, y) → + (0, 5, 0) → about z of a (−x−5, z, y)
    # → + (10, 0, 0).
    assert low == pytest.approx((10 - (5 + 2), 3, 2))
    assert high == pytest.approx((10 - (5 + 1), 4, 3))


def test_sizes_formulas_variants_and_what_hangs_on_them() -> None:
    text = """
[sizes]
wide = { measured = "10 mm", plus_minus = "0.2 mm" }
deep = "wide / 2"
[variants.big]
wide = "20 mm"
[blocks.b]
corner = ["0 mm", "0 mm", "0 mm"]
size = ["wide", "deep", "1 mm"]
"""
    assert volume(read(text), "b") == pytest.approx(50)
    assert volume(read(text, variant="big"), "b") == pytest.approx(200)
    with_sizes = read_place_text(HEAD + text, "s", SOURCE, sizes={"wide": "8 mm"})
    assert volume(with_sizes, "b") == pytest.approx(32)
    assert read(text).solids[0].steps == ("wide", "deep")


def test_another_formed_part_stands_where_its_reference_says() -> None:
    place = read(
        """
[references.r]
at = ["0 mm", "0 mm", "50 mm"]
[parts.neighbour]
in = "r"
file = "bay-panel"
"""
    )
    assert place.solids[0].name == "neighbour"
    # The sheet's back lies in the reference's plane, its flange hangs 12 mm from the face.
    assert place.solids[0].triangles[0][:, 2].max() == pytest.approx(50 + 0.8128)
    assert place.solids[0].triangles[0][:, 2].min() == pytest.approx(50 + 0.8128 - 12)


def test_a_step_solid_is_read_as_a_closed_shell(tmp_path: Path) -> None:
    from blankwright.files.kernel import formed_step

    part = formed("bay-panel", "")
    (tmp_path / "panel.step").write_bytes(formed_step(part, "panel"))
    source = PlaceSource(formed, tmp_path)
    text = HEAD + '[solids.panel]\nstep = "panel.step"\n[parts.same]\nfile = "bay-panel"\n'
    place = read_place_text(text, "s", source)
    shell, same = place.solids[1], place.solids[0]
    from blankwright.fit.section import section_of
    from blankwright.geom.pose import Pose

    plane = Pose((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (71.0, 0.0, 0.0))
    a, b = section_of(shell, plane).shape, section_of(same, plane).shape
    assert a.area == pytest.approx(b.area, rel=2e-3)
    assert a.symmetric_difference(b).area < 0.3


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("[walls.x]\na = 1\n", ("PLACE-001", "walls")),
        (
            '[blocks.b]\ncorner = ["0 mm", "0 mm"]\nsize = ["1 mm", "1 mm", "1 mm"]\n',
            ("PART-004", "blocks.b.corner"),
        ),
        (
            '[blocks.b]\nin = "nowhere"\ncorner = ["0 mm", "0 mm", "0 mm"]\n'
            'size = ["1 mm", "1 mm", "1 mm"]\n',
            ("PLACE-003", "blocks.b.in"),
        ),
        (
            '[blocks.b]\ncorner = ["0 mm", "0 mm", "0"]\nsize = ["1 mm", "1 mm", "1 mm"]\n',
            ("QTY-001", "blocks.b.corner[3]"),
        ),
        ('[references.a]\nin = "b"\n[references.b]\nin = "a"\n', ("PLACE-003", "references.a.in")),
        (
            '[pairs.p]\nbetween = ["metal", "butter"]\nclearance = "1 mm"\n',
            ("PLACE-006", "pairs.p.between"),
        ),
        ('[pairs.p]\nbetween = ["metal", "metal"]\n', ("PART-006", "pairs.p")),
        ('[sections.s]\nway_in = "sideways"\n', ("PLACE-007", "sections.s.way_in")),
        ('[motions.m]\nalong = "x"\n', ("PART-003", "motions.m")),
        (
            '[motions.m]\nalong = "x"\ntravel = "2 mm"\nroll = { radius = "3 mm", on = "-y" }\n',
            ("PART-006", "motions.m.roll"),
        ),
        (
            '[spring]\nbend = "b"\nsqueeze = "1 mm"\nlength = "60 mm"\nmodulus = 70000\n',
            ("PART-003", "spring.source"),
        ),
        (
            '[motions.m]\nalong = "x"\ntravel = "5 mm"\nopening = "web.hole"\n',
            ("PLACE-007", "motions.m.opening"),
        ),
        ('[forces.f]\nsection = "s"\ntoward = "down"\n', ("PLACE-007", "forces.f.section")),
        ('[rivets.r]\nat = ["0 mm", "0 mm"]\n', ("PART-003", "rivets.r")),
        (
            '[members.m]\nprofile = { rectangle = ["1 mm", "1 mm"] }\n'
            'start = "5 mm"\nend = "2 mm"\n',
            ("PART-015", "members.m.end"),
        ),
        ('[parts.p]\nfile = "no-such-part"\n', ("PLACE-005", "parts.p.file")),
        ('[solids.s]\nstep = "gone.step"\n', ("PLACE-005", "solids.s.step")),
        (
            '[blocks.a]\ncorner = ["0 mm", "0 mm", "0 mm"]\nsize = ["1 mm", "1 mm", "1 mm"]\n'
            '[parts.a]\nfile = "bay-panel"\n',
            ("PLACE-004", "parts.a"),
        ),
    ],
)
def test_what_is_wrong_is_told_with_its_place(text: str, wanted: tuple[str, str]) -> None:
    assert wanted in problems(text)


def test_all_problems_are_told_at_once() -> None:
    found = problems(
        '[blocks.b]\nin = "x"\ncorner = ["0 mm", "0 mm", "0 mm"]\nsize = ["1 mm", "0 mm", "1"]\n'
        '[sections.s]\nway_in = "nowhere"\n',
        head='title = "t"\n',
    )
    assert {code for code, _ in found} >= {"PLACE-002", "PLACE-003", "PLACE-007"}


@pytest.mark.parametrize("name", ["vent-opening", "tensioner-bay"])
def test_the_example_places_read(name: str) -> None:
    place = read_place(EXAMPLE / "places" / f"{name}.toml", SOURCE)
    assert place.sections
    assert len({solid.name for solid in place.solids}) == len(place.solids)


_SHREDS: list[Callable[[str], str]] = [
    lambda t: t.replace('"0.82 mm"', '"thick"'),
    lambda t: t.replace("[part]", "[port]"),
    lambda t: t.replace("rectangle", "rectangel"),
    lambda t: t[: t.index('"felt"') - 2] + "[",
    lambda t: t.replace('in        = "duct"', 'in        = "duck"'),
]


@pytest.mark.parametrize("shred", _SHREDS)
def test_a_spoiled_file_is_refused_and_never_crashes(shred: Callable[[str], str]) -> None:
    text = (EXAMPLE / "places" / "vent-opening.toml").read_text()
    with pytest.raises(BlankwrightError):
        read_place_text(shred(text), "vent", SOURCE)


@pytest.mark.parametrize(
    ("on", "way"),
    [
        # Anticlockwise on a floor it rolls to the left, under a ceiling to the right.
        ("-y", (-3.0, 0.0, 0.0)),
        ("y", (3.0, 0.0, 0.0)),
        # Against a wall on the right it climbs, on the left it comes down.
        ("x", (0.0, -3.0, 0.0)),
        ("-x", (0.0, 3.0, 0.0)),
    ],
)
def test_an_edge_rolls_the_way_that_a_wheel_does(on: str, way: tuple[float, float, float]) -> None:
    place = read(f'[motions.m]\nturn = "60 deg"\nroll = {{ radius = "3 mm", on = "{on}" }}\n')
    (motion,) = place.motions
    assert motion.roll == pytest.approx(way)
    # Where edge and plane touch nothing slips: a very small turn leaves that point in place.
    touch = {"-y": (0, -3, 0), "y": (0, 3, 0), "x": (3, 0, 0), "-x": (-3, 0, 0)}[on]
    assert motion.at(1e-6)(touch) == pytest.approx(touch, abs=1e-10)
