import subprocess
import sys

import pytest

from bent_parts import angle_part, channel, tray
from blankwright.base.errors import OurBug
from blankwright.develop.formed import form
from blankwright.files.kernel import formed_step
from blankwright.geom.loop import Loop


def test_same_part_same_bytes_and_names_in_the_file() -> None:
    first = formed_step(form(tray().blank()), "tray-é", "Battery tray 'A' \\ 2")
    again = formed_step(form(tray().blank()), "tray-é", "Battery tray 'A' \\ 2")
    assert first == again
    text = first.decode("ascii")
    assert "AP242" in text
    assert "'1970-01-01T00:00:00'" in text
    assert "tray-\\X2\\00E9\\X0\\" in text
    assert "ADVANCED_FACE('front lip leg back'" in text
    assert ".MILLI." in text


def test_same_bytes_in_another_process() -> None:
    code = (
        "import sys; sys.path.insert(0, 'tests')\n"
        "from bent_parts import channel\n"
        "from blankwright.develop.formed import form\n"
        "from blankwright.files.kernel import formed_step\n"
        "sys.stdout.buffer.write(formed_step(form(channel().blank()), 'c'))\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert run.stdout == formed_step(form(channel().blank()), "c")
    assert run.stderr == b""


@pytest.mark.parametrize(
    ("other", "said"),
    [
        (angle_part(legs=(30.0, 20.01)), "volume"),
        (angle_part(up=False), "box"),
        (angle_part().cut(Loop.circle((10, 20), 3)), "volume"),
    ],
)
def test_proof_throws_out_another_part(other, said: str) -> None:
    from blankwright.files.kernel.proof import prove_step

    data = formed_step(form(other.blank()), "part")
    with pytest.raises(OurBug, match=said):
        prove_step(data, form(angle_part().blank()), "part")


def test_proof_throws_out_a_moved_hole() -> None:
    """Same volume, same box: only the points of the map tell."""
    from blankwright.files.kernel.proof import prove_step

    here = angle_part().cut(Loop.circle((10, 20), 3))
    there = angle_part().cut(Loop.circle((10.05, 20), 3))
    with pytest.raises(OurBug, match="off its faces"):
        prove_step(formed_step(form(there.blank()), "p"), form(here.blank()), "p")


@pytest.mark.parametrize("data", [b"", b"hello", b"ISO-10303-21;\nHEADER;\n"])
def test_proof_throws_out_what_is_no_step_file(data: bytes) -> None:
    from blankwright.files.kernel.proof import prove_step

    with pytest.raises(OurBug, match="can't read"):
        prove_step(data, form(angle_part().blank()), "part")


def test_nothing_of_the_kernel_is_loaded_before_it_is_needed() -> None:
    code = (
        "import sys, blankwright.files.kernel, blankwright.files.glb\n"
        "assert not [m for m in sys.modules if m.split('.')[0] in ('OCP', 'shapely')]\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
