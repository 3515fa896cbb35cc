"""Bad STEP files: one clear error each, no trace, nothing hung."""

import re
from pathlib import Path

import pytest

import kernel_shapes as ks
from blankwright.base.errors import BadInput, FileProblem
from blankwright.develop.unfold.result import NotSheet, Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes
from blankwright.files.kernel import blanks_of_step

WISHES = UnfoldWishes(rule=lambda r, t, a: (a * (r + 0.4 * t), 0.4))


def good() -> bytes:
    return ks.step_of(ks.strip_section((30, 20), ((90, 3),), 2.0, 40))


def code_of(tmp_path: Path, data: bytes) -> str:
    path = tmp_path / "part.step"
    path.write_bytes(data)
    with pytest.raises(BadInput) as caught:
        blanks_of_step(path, WISHES)
    assert len(caught.value.problems) == 1
    problem = caught.value.problems[0]
    assert problem.fix
    assert list(tmp_path.iterdir()) == [path]
    return problem.code


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "STEP-003"),
        (b" \n ", "STEP-003"),
        (b"0\nSECTION\n2\nHEADER\n", "STEP-003"),
        (b"solid cube\nfacet normal 0 0 1\n", "STEP-003"),
        (bytes(range(256)) * 40, "STEP-003"),
        (b"ISO-10303-21;\n", "STEP-004"),
        (b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n", "STEP-004"),
    ],
)
def test_no_step_file(tmp_path: Path, data: bytes, code: str) -> None:
    assert code_of(tmp_path, data) in (code, "STEP-005")


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_torn_off(tmp_path: Path, share: float) -> None:
    data = good()
    assert code_of(tmp_path, data[: int(len(data) * share)]) == "STEP-004"


def test_surfaces_without_thickness(tmp_path: Path) -> None:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Sewing
    from OCP.TopAbs import TopAbs_FACE

    from blankwright.files.kernel.proof import shapes

    sewing = BRepBuilderAPI_Sewing()
    for face in shapes(ks.strip_section((30, 20), ((90, 3),), 2.0, 40), TopAbs_FACE)[:3]:
        sewing.Add(face)
    sewing.Perform()
    assert code_of(tmp_path, ks.step_of(sewing.SewedShape())) == "STEP-005"


def test_nothing_but_triangles(tmp_path: Path) -> None:
    data = (
        b"ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\n"
        b"FILE_NAME('','',(''),(''),'','','');\nFILE_SCHEMA(('AP242'));\nENDSEC;\nDATA;\n"
        b"#1=COORDINATES_LIST('',3,((0.,0.,0.),(1.,0.,0.),(0.,1.,0.)));\n"
        b"ENDSEC;\nEND-ISO-10303-21;\n"
    )
    path = tmp_path / "part.step"
    path.write_bytes(data)
    with pytest.raises(BadInput, match="triangles only"):
        blanks_of_step(path, WISHES)


def test_huge(tmp_path: Path) -> None:
    path = tmp_path / "part.step"
    with path.open("wb") as file:
        file.write(b"ISO-10303-21;\n")
        file.truncate(100_000_000)
    with pytest.raises(BadInput, match="STEP-002"):
        blanks_of_step(path, WISHES)


def test_missing_and_folder(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match="STEP-001"):
        blanks_of_step(tmp_path / "none.step", WISHES)
    with pytest.raises(FileProblem, match="STEP-001"):
        blanks_of_step(tmp_path, WISHES)


def test_open_shell_called_a_solid() -> None:
    from OCP.BRep import BRep_Builder
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopoDS import TopoDS_Shell, TopoDS_Solid

    from blankwright.files.kernel.proof import shapes
    from blankwright.files.kernel.step_read import blanks_in

    make, shell, solid = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
    make.MakeShell(shell)
    for face in shapes(ks.strip_section((30, 20), ((90, 3),), 2.0, 40), TopAbs_FACE)[1:]:
        make.Add(shell, face)
    make.MakeSolid(solid)
    make.Add(solid, shell)
    with pytest.raises(BadInput, match="STEP-005"):
        blanks_in(ks.step_of(solid), "open.step", WISHES)


def test_a_record_stated_twice_is_refused_at_once() -> None:
    """The kernel itself never comes back from such a file."""
    from blankwright.files.kernel.step_read import blanks_in

    text = good().decode("ascii")
    twice = re.sub(r"(?m)^#12 ?=", "#1 =", text, count=1)
    assert twice != text
    with pytest.raises(BadInput, match=r"STEP-004.*record #1 is stated twice"):
        blanks_in(twice.encode("ascii"), "twice.step", WISHES)
    said = text.replace("DATA;", "DATA;\n/* #1 = once more, in a comment */", 1)
    assert blanks_in(said.encode("ascii"), "said.step", WISHES)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10))
def test_damaged_numbers_never_leave_a_trace(tmp_path: Path, seed: int) -> None:
    """Numbers and references changed at random: a blank, a refusal or one error; never a crash."""
    import random

    rng = random.Random(seed)
    text = good().decode("ascii")
    spots = [m.span() for m in re.finditer(r"#\d+|\d+\.\d*", text)]
    for a, b in rng.sample(spots, 3):
        text = text[:a] + rng.choice(["#1", "0.", "1.E9", "#99999", "*"])[: b - a] + text[b:]
    path = tmp_path / "part.step"
    path.write_text(text)
    try:
        results = blanks_of_step(path, WISHES)
    except BadInput:
        return
    assert all(isinstance(result, Unfolded | NotSheet) for result in results)
