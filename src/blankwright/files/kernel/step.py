"""The formed part as a STEP file (ISO 10303-21, application protocol 242), proved by reading it."""

from __future__ import annotations

import io

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.IFSelect import IFSelect_RetDone
from OCP.StepBasic import StepBasic_Product
from OCP.STEPControl import STEPControl_ManifoldSolidBrep, STEPControl_Reader, STEPControl_Writer
from OCP.StepShape import StepShape_AdvancedFace, StepShape_ManifoldSolidBrep
from OCP.TCollection import TCollection_HAsciiString
from OCP.TopoDS import TopoDS_Shape, TopoDS_Solid

from blankwright.base.errors import OurBug, Problem
from blankwright.files.kernel.session import prepare

_NO_CLOCK = "1970-01-01T00:00:00"
"""The time stamp of every file: same input, same bytes. The traveler carries the date."""


def write_step(solid: TopoDS_Solid, name: str, title: str, faces: list[str]) -> bytes:
    """Return a solid as a STEP file, in mm.

    Args:
        solid: one closed solid
        name: name of the product
        title: what it is, for the product's description and the file's header
        faces: name of each face, in the order of the shell

    Raises:
        OurBug: when the kernel does not write it
    """
    prepare()
    writer = STEPControl_Writer()
    done = writer.Transfer(solid, STEPControl_ManifoldSolidBrep)
    if done != IFSelect_RetDone:
        raise OurBug(_problem(name, f"the kernel could not turn the solid into STEP ({done})"))
    model = writer.Model()
    names = iter(faces)
    for i in range(1, model.NbEntities() + 1):
        entity = model.Value(i)
        # The kernel numbers products through the process; the name must not depend on that.
        if isinstance(entity, StepBasic_Product):
            entity.SetId(_text(name))
            entity.SetName(_text(name))
            entity.SetDescription(_text(title))
        elif isinstance(entity, StepShape_ManifoldSolidBrep):
            entity.SetName(_text(name))
        elif isinstance(entity, StepShape_AdvancedFace):
            entity.SetName(_text(next(names, "")))
    header = APIHeaderSection_MakeHeader(model)
    header.SetName(_text(f"{name}.step"))
    header.SetTimeStamp(_text(_NO_CLOCK))
    header.SetAuthorValue(1, _text(""))
    header.SetOrganizationValue(1, _text(""))
    header.SetOriginatingSystem(_text("Blankwright"))
    header.SetAuthorisation(_text(""))
    header.SetDescriptionValue(1, _text(title))
    stream = io.BytesIO()
    done = writer.WriteStream(stream)
    if done != IFSelect_RetDone:
        raise OurBug(_problem(name, f"the kernel could not write the STEP file ({done})"))
    return stream.getvalue()


def read_shape(data: bytes, name: str) -> TopoDS_Shape | None:
    """Return the shape of all roots of a STEP file [mm], or nothing when it can't be read."""
    prepare()
    reader = STEPControl_Reader()
    if reader.ReadStream(name, io.BytesIO(data)) != IFSelect_RetDone:
        return None
    if reader.TransferRoots() == 0:
        return None
    shape: TopoDS_Shape = reader.OneShape()
    return None if shape.IsNull() else shape


def _text(text: str) -> TCollection_HAsciiString:
    # Part 21 strings are ASCII; what is not is written as \X2\....\X0\ in UTF-16.
    parts: list[str] = []
    for char in text:
        if " " <= char <= "~":
            parts.append(char)
        else:
            parts.append("\\X2\\" + char.encode("utf-16-be").hex().upper() + "\\X0\\")
    return TCollection_HAsciiString("".join(parts))


def _problem(where: str, got: str) -> Problem:
    return Problem(code="KERNEL-001", where=where, got=got, fix="Report this: it is our bug")
