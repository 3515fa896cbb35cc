"""STEP files of bent parts, read into blanks."""

from __future__ import annotations

import io
import re
from pathlib import Path

from OCP.collections import Sequence_TCollection_AsciiString
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopoDS import TopoDS_Shape

from blankwright.base.errors import BadInput, FileProblem, NotPossible, Problem
from blankwright.develop.unfold.result import NotSheet, Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes, unfold
from blankwright.files.kernel.faces import model_of
from blankwright.files.kernel.probe import survives
from blankwright.files.kernel.proof import shapes
from blankwright.files.kernel.session import prepare

MOST_BYTES = 60_000_000
"""Files larger than this are not one part; the kernel would need minutes and gigabytes."""

_QUOTED = re.compile(rb"'[^']*'")
_RECORD = re.compile(rb"#(\d+)\s*=")
_REFERENCE = re.compile(rb"#(\d+)")
_PRODUCT = re.compile(rb"MANIFOLD_SOLID_BREP\s*\(\s*'((?:[^']|'')*)'")


def read_blanks(path: Path, wishes: UnfoldWishes) -> tuple[Unfolded | NotSheet, ...]:
    """Read every solid of a STEP file.

    Args:
        path: the file
        wishes: allowance rule and choices

    Returns:
        For each solid, in the order of the file, its blank, or why it is no sheet part.

    Raises:
        FileProblem: when the file can't be read
        BadInput: when it is no STEP file, or holds no solid
    """
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise BadInput(
                Problem(
                    code="STEP-002",
                    where=str(path),
                    got=f"the file is {size / 1e6:.0f} MB",
                    allowed=f"up to {MOST_BYTES / 1e6:.0f} MB",
                    fix="Save the part alone, without the assembly around it",
                )
            )
        data = path.read_bytes()
    except FileProblem:
        raise
    except OSError as error:
        raise FileProblem(
            Problem(
                code="STEP-001",
                where=str(path),
                got=f"the file can't be read ({error.strerror or error})",
                fix="Check the name and that you may read it",
            )
        ) from error
    return blanks_in(data, path.name, wishes)


def blanks_in(data: bytes, name: str, wishes: UnfoldWishes) -> tuple[Unfolded | NotSheet, ...]:
    """Read every solid of a STEP file that is in memory. See `read_blanks`."""
    solids = _solids(data, name)
    names = _names(data, name, len(solids))
    results: list[Unfolded | NotSheet] = []
    for solid, label in zip(solids, names, strict=True):
        try:
            model = model_of(solid, label)
            if model.volume is not None and model.volume <= 0:
                raise NotPossible(
                    Problem(
                        code="STEP-022",
                        where=label,
                        got="the solid has no volume, or is inside out",
                        fix="Repair the solid in the program it was drawn in",
                    )
                )
            results.append(unfold(model, wishes))
        except NotPossible as error:
            results.append(NotSheet(name=label, problems=error.problems))
        except Exception as error:
            # Solids come from anywhere; one that trips us up must not stop the others.
            results.append(NotSheet(name=label, problems=(_tripped(label, error),)))
    return tuple(results)


def _tripped(name: str, error: Exception) -> Problem:
    return Problem(
        code="STEP-026",
        where=name,
        got=f"its faces do not fit together ({type(error).__name__}: {error})",
        allowed="a sound solid",
        fix="Check and repair the solid in the program it was drawn in; if it is sound, report it",
    )


def _solids(data: bytes, name: str) -> list[TopoDS_Shape]:
    if not data.strip():
        raise _bad("STEP-003", name, "the file is empty", "Save it again")
    if b"ISO-10303-21" not in data[:4096]:
        raise _bad(
            "STEP-003",
            name,
            "this is no STEP file",
            "Save the part as STEP (AP203, AP214 or AP242)",
        )
    if b"ENDSEC" not in data or b"END-ISO-10303-21" not in data[-4096:]:
        raise _bad("STEP-004", name, "the file ends too early", "Save or copy it again")
    prepare()
    missing = _missing_records(data)
    if missing and not survives(data):
        raise _bad(
            "STEP-004",
            name,
            f"record #{min(missing)} is used but missing, and the kernel fails on the file",
            "Save or copy it again",
        )
    reader = STEPControl_Reader()
    if reader.ReadStream(name, io.BytesIO(data)) != IFSelect_RetDone:
        raise _bad("STEP-004", name, "the file is damaged", "Save or copy it again")
    damaged = _damaged(reader)
    if damaged and not missing and not survives(data):
        raise _bad(
            "STEP-004",
            name,
            f"{damaged} records of the file are damaged and the kernel fails on it",
            "Save or copy it again",
        )
    lengths, angles, solid_angles = (Sequence_TCollection_AsciiString() for _ in range(3))
    reader.FileUnits(lengths, angles, solid_angles)
    if reader.TransferRoots() == 0 or reader.OneShape().IsNull():
        raise _bad("STEP-005", name, _without_shape(data), "Save the part as a solid")
    shape = reader.OneShape()
    solids = shapes(shape, TopAbs_SOLID)
    if not solids:
        shells, faces = len(shapes(shape, TopAbs_SHELL)), len(shapes(shape, TopAbs_FACE))
        got = f"the file holds {faces} loose faces" if faces else _without_shape(data)
        if shells:
            got = f"the file holds surfaces without thickness ({faces} faces) and no solid"
        raise _bad("STEP-005", name, got, "Save the part as a closed solid")
    if lengths.Length() == 0:
        raise _bad("STEP-006", name, "the file states no unit of length", "Save it with units")
    return solids


def _missing_records(data: bytes) -> set[int]:
    """Return numbers of records that others refer to and that are not there."""
    bare = _QUOTED.sub(b"", data)
    there = set(map(int, _RECORD.findall(bare)))
    return set(map(int, _REFERENCE.findall(bare))) - there


def _damaged(reader: STEPControl_Reader) -> int:
    """Return how many records the kernel could not make sense of."""
    model = reader.StepModel()
    if model is None:
        return 1
    bad = sum(1 for i in range(1, model.NbEntities() + 1) if model.IsErrorEntity(i))
    return bad or int(model.GlobalCheck().NbFails())


def _without_shape(data: bytes) -> str:
    if b"TRIANGULATED" in data or b"TESSELLATED" in data or b"COORDINATES_LIST" in data:
        return "the file holds triangles only, no solid with true faces"
    return "the file holds no solid"


def _names(data: bytes, name: str, count: int) -> list[str]:
    """Return a name for each solid: the file's own where each has one, else numbered."""
    found = [
        match.group(1).decode("latin-1").replace("''", "'") for match in _PRODUCT.finditer(data)
    ]
    stem = Path(name).stem or "part"
    if len(found) == count and all(found) and len(set(found)) == count:
        return found
    return [stem] if count == 1 else [f"{stem} {i}" for i in range(1, count + 1)]


def _bad(code: str, where: str, got: str, fix: str) -> BadInput:
    return BadInput(
        Problem(code=code, where=where, got=got, allowed="a STEP file with solids", fix=fix)
    )
