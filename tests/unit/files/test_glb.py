"""GLB: same bytes twice, and read by another reader (the CAD kernel's) as well as our own."""

from pathlib import Path

import numpy as np
import pytest

from bent_parts import channel, tray
from blankwright.base.errors import OurBug
from blankwright.develop.formed import form
from blankwright.develop.mesh import mesh_of
from blankwright.files import glb


def test_same_part_same_bytes() -> None:
    assert glb.formed_glb(form(tray().blank()), "t") == glb.formed_glb(form(tray().blank()), "t")


def test_header_names_every_flat_and_bend() -> None:
    header, block = glb.read_glb(glb.formed_glb(form(channel().blank()), "channel"))
    assert header["asset"]["version"] == "2.0"
    assert [node["name"] for node in header["nodes"]] == [
        "channel",
        "root",
        "right leg",
        "left leg",
        "bend right",
        "bend left",
    ]
    assert header["buffers"][0]["byteLength"] == len(block)
    for view in header["bufferViews"]:
        assert view["byteOffset"] % 4 == 0


def test_another_reader_sees_the_part(tmp_path: Path) -> None:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib
    from OCP.Message import Message_ProgressRange
    from OCP.RWGltf import RWGltf_CafReader
    from OCP.RWMesh import RWMesh_CoordinateSystem
    from OCP.TCollection import TCollection_AsciiString, TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document

    from blankwright.files.kernel.session import prepare

    prepare()
    formed = form(tray().blank())
    path = tmp_path / "tray.glb"
    path.write_bytes(glb.formed_glb(formed, "tray"))
    reader = RWGltf_CafReader()
    reader.SetDocument(TDocStd_Document(TCollection_ExtendedString("x")))
    reader.SetSystemLengthUnit(0.001)
    reader.SetSystemCoordinateSystem(RWMesh_CoordinateSystem.RWMesh_CoordinateSystem_Zup)
    assert reader.Perform(TCollection_AsciiString(str(path)), Message_ProgressRange())
    box = Bnd_Box()
    BRepBndLib.Add_s(reader.SingleShape(), box, True)
    low, high = box.CornerMin(), box.CornerMax()
    assert (low.X(), low.Y(), low.Z()) == pytest.approx(formed.box[0], abs=1e-3)
    assert (high.X(), high.Y(), high.Z()) == pytest.approx(formed.box[1], abs=1e-3)


def test_proof_notices_one_wrong_number(monkeypatch: pytest.MonkeyPatch) -> None:
    honest = glb.write_glb

    def spoil(meshes, name):
        first = meshes[0]
        points = np.array(first.points)
        points[0, 0] += 0.01
        fields = {f: getattr(first, f) for f in first.__dataclass_fields__}
        return honest([type(first)(**{**fields, "points": points}), *meshes[1:]], name)

    monkeypatch.setattr(glb, "write_glb", spoil)
    with pytest.raises(OurBug, match="GLB-001"):
        glb.formed_glb(form(channel().blank()), "c")


@pytest.mark.parametrize("cut", [0, 8, 40, -4])
def test_a_torn_file_is_not_read(cut: int) -> None:
    data = glb.write_glb(mesh_of(form(channel().blank())), "c")
    with pytest.raises(ValueError):
        glb.read_glb(data[:cut])
