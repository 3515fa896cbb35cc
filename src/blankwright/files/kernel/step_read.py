"""STEP files of bent parts, read into blanks."""

from __future__ import annotations

import io
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
from OCP.collections import Sequence_TCollection_AsciiString
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_FACE
from OCP.TopLoc import TopLoc_Location

from blankwright.base.errors import BadInput, FileProblem, NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.develop.unfold.model import place_of
from blankwright.develop.unfold.result import NotSheet, Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes, unfold
from blankwright.files.kernel.bodies import Bodies, Body, bodies_of, sewn_up
from blankwright.files.kernel.faces import model_of
from blankwright.files.kernel.names import solid_names, solid_records
from blankwright.files.kernel.probe import survives
from blankwright.files.kernel.proof import shapes
from blankwright.files.kernel.session import prepare

MOST_BYTES = 60_000_000
"""Files larger than this are not one part; the kernel would need minutes and gigabytes."""

_QUOTED = re.compile(rb"'[^']*'|/\*.*?\*/", re.DOTALL)
_RECORD = re.compile(rb"#(\d+)\s*=")
_REFERENCE = re.compile(rb"#(\d+)")


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
    bodies, names = _bodies(data, name)
    results: list[Unfolded | NotSheet] = []
    for body, label in zip(bodies.solids, names, strict=True):
        result = _unfolded(body, label, wishes)
        results.append(replace(result, copies=body.copies))
    if bodies.loose:
        results.append(NotSheet(name=f"{bodies.loose} faces", problems=(_surfaces(bodies),)))
    return tuple(results)


def _unfolded(body: Body, label: str, wishes: UnfoldWishes) -> Unfolded | NotSheet:
    try:
        model = model_of(body.shape, label)
        sewn = body.sewn
        if any(len(edge.faces) == 1 for edge in model.edges):
            # Faces side by side that share no edge: some programs write solids so.
            solids, _ = sewn_up(shapes(body.shape, TopAbs_FACE))
            if len(solids) == 1:
                model, sewn = model_of(solids[0], label), True
        if model.volume is not None and model.volume < 0:
            # Inside out, as the other hand of a part is when it is placed by mirroring it.
            model = model_of(body.shape.Reversed(), label)
        if model.volume is not None and model.volume <= 0:
            raise NotPossible(
                Problem(
                    code="STEP-022",
                    where=label,
                    got="the solid has no volume, or is inside out",
                    fix="Repair the solid in the program it was drawn in",
                )
            )
        result = unfold(model, wishes)
    except NotPossible as error:
        return NotSheet(name=label, problems=error.problems)
    except Exception as error:
        # Solids come from anywhere; one that trips us up must not stop the others.
        return NotSheet(name=label, problems=(_tripped(label, error),))
    return replace(result, findings=(*result.findings, _sewn(label))) if sewn else result


def _sewn(name: str) -> Finding:
    return Finding(
        code="STEP-035",
        level=Level.NOTE,
        place=name,
        got="the file holds surfaces and no solid; they close, and were sewn together",
        fix="Nothing, when the blank is as it should be; else save the part as a solid",
    )


def _surfaces(bodies: Bodies) -> Problem:
    at = "" if bodies.open_at is None else f", open at {place_of(np.array(bodies.open_at))}"
    return Problem(
        code="STEP-005",
        where=f"{bodies.loose} faces",
        got=f"surfaces that close no solid{at}",
        allowed="solids",
        fix="Save the part as a closed solid",
    )


def _tripped(name: str, error: Exception) -> Problem:
    return Problem(
        code="STEP-026",
        where=name,
        got=f"its faces do not fit together ({type(error).__name__}: {error})",
        allowed="a sound solid",
        fix="Check and repair the solid in the program it was drawn in; if it is sound, report it",
    )


def _bodies(data: bytes, name: str) -> tuple[Bodies, list[str]]:
    """Return what a file holds, and a name for each solid."""
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
    missing, twice = _records_amiss(data)
    if twice:
        # The kernel does not refuse such a file: it never ends.
        raise _bad(
            "STEP-004", name, f"record #{twice[0]} is stated twice", "Save or copy the file again"
        )
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
    bodies = bodies_of(shape)
    if not bodies.solids:
        got = _without_shape(data)
        if bodies.loose:
            got = f"the file holds surfaces without thickness ({bodies.loose} faces) and no solid"
            if bodies.open_at is not None:
                got += f"; they are open at {place_of(np.array(bodies.open_at))}"
        raise _bad("STEP-005", name, got, "Save the part as a closed solid")
    if lengths.Length() == 0:
        raise _bad("STEP-006", name, "the file states no unit of length", "Save it with units")
    if len(bodies.solids) == 1:
        return bodies, [Path(name).stem or "part"]
    return bodies, solid_names(data, name, _records(reader, bodies, data))


def _records(reader: STEPControl_Reader, bodies: Bodies, data: bytes) -> list[int | None]:
    """Return for each solid the number of its record in the file, where that can be told."""
    _, places = solid_records(data)
    model, transfer = reader.StepModel(), reader.WS().TransferReader()
    entities = {number: model.Value(place) for number, place in places.items()}
    result: list[int | None] = []
    for body in bodies.solids:
        found = None
        if not body.sewn:
            own = transfer.EntityFromShapeResult(body.shape.Located(TopLoc_Location()), -1)
            found = next((n for n, e in entities.items() if own is not None and e == own), None)
        result.append(found)
    return result


def _records_amiss(data: bytes) -> tuple[set[int], list[int]]:
    """Return the numbers of records that are used but missing, and of those stated twice."""
    bare = _QUOTED.sub(b"", data)
    stated = Counter(map(int, _RECORD.findall(bare)))
    missing = set(map(int, _REFERENCE.findall(bare))) - stated.keys()
    return missing, sorted(number for number, times in stated.items() if times > 1)


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


def _bad(code: str, where: str, got: str, fix: str) -> BadInput:
    return BadInput(
        Problem(code=code, where=where, got=got, allowed="a STEP file with solids", fix=fix)
    )
