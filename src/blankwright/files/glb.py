"""The formed part as GLB (glTF 2.0 binary) for viewing elsewhere.

Written here in full: the format is one JSON header and one block of little-endian numbers, and a
writer of our own gives the same bytes for the same part. glTF is in metres with y up; one root
node turns and scales the part, so that the numbers in the file stay mm with z up. Each flat and
bend is a node of its own name; the attribute ``_BLANK`` holds each vertex's place on the blank.

Source: Khronos glTF 2.0 specification (ISO/IEC 12113:2022), sections 3.6, 3.7, 4.4 and 5.1.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from blankwright.base.errors import OurBug, Problem
from blankwright.develop.formed import Formed
from blankwright.develop.mesh import VIEW_SAG, CellMesh, mesh_of

_MAGIC, _JSON, _BIN = 0x46546C67, 0x4E4F534A, 0x004E4942
_FLOAT, _UINT = 5126, 5125
_VERTEX_BUFFER, _INDEX_BUFFER = 34962, 34963
_LINES, _TRIANGLES = 1, 4
_HALF = math.sqrt(0.5)


def formed_glb(formed: Formed, name: str, sag: float = VIEW_SAG) -> bytes:
    """Return the formed part as a proved GLB file; same input, same bytes.

    Args:
        formed: the formed part, at any state of bending
        name: name of the part
        sag: how far a chord may stand off its arc [mm]

    Raises:
        OurBug: when the file, read back, does not hold the triangles
    """
    meshes = mesh_of(formed, sag)
    data = write_glb(meshes, name)
    _prove(data, meshes, name)
    return data


def write_glb(meshes: Sequence[CellMesh], name: str) -> bytes:
    """Return triangles and sharp edges of flats and bends as a GLB file."""
    block = bytearray()
    views: list[dict[str, Any]] = []
    accessors: list[dict[str, Any]] = []

    def add(array: NDArray[Any], kind: str, target: int) -> int:
        floats = array.dtype.kind == "f"
        raw = array.astype("<f4" if floats else "<u4")
        views.append(
            {"buffer": 0, "byteOffset": len(block), "byteLength": raw.nbytes, "target": target}
        )
        block.extend(raw.tobytes())
        accessor: dict[str, Any] = {
            "bufferView": len(views) - 1,
            "componentType": _FLOAT if floats else _UINT,
            "count": raw.size if kind == "SCALAR" else len(raw),
            "type": kind,
        }
        if floats:
            accessor["min"] = [float(v) for v in raw.min(axis=0)]
            accessor["max"] = [float(v) for v in raw.max(axis=0)]
        accessors.append(accessor)
        return len(accessors) - 1

    shapes = []
    for mesh in meshes:
        attributes = {
            "POSITION": add(mesh.points, "VEC3", _VERTEX_BUFFER),
            "NORMAL": add(_units(mesh.normals), "VEC3", _VERTEX_BUFFER),
            "_BLANK": add(mesh.blank, "VEC3", _VERTEX_BUFFER),
        }
        primitives = [
            {
                "attributes": attributes,
                "indices": add(mesh.triangles.ravel(), "SCALAR", _INDEX_BUFFER),
                "material": 0,
                "mode": _TRIANGLES,
            }
        ]
        if len(mesh.lines):
            primitives.append(
                {
                    "attributes": {"POSITION": attributes["POSITION"]},
                    "indices": add(mesh.lines.ravel(), "SCALAR", _INDEX_BUFFER),
                    "material": 1,
                    "mode": _LINES,
                }
            )
        shapes.append({"name": mesh.name, "primitives": primitives})
    root = {
        "name": name,
        "rotation": [-_HALF, 0.0, 0.0, _HALF],
        "scale": [0.001, 0.001, 0.001],
        "children": list(range(1, len(meshes) + 1)),
    }
    nodes = [
        {"name": m.name, "mesh": i, "extras": {"is": m.kind.value}} for i, m in enumerate(meshes)
    ]
    return _packed(
        {
            "asset": {"version": "2.0", "generator": "Blankwright"},
            "scene": 0,
            "scenes": [{"name": name, "nodes": [0]}],
            "nodes": [root, *nodes],
            "meshes": shapes,
            "materials": [
                _material("sheet", (0.72, 0.74, 0.76), 0.6, 0.45),
                _material("edge", (0.1, 0.1, 0.1), 0.0, 1.0),
            ],
            "accessors": accessors,
            "bufferViews": views,
            "buffers": [{"byteLength": len(block)}],
        },
        bytes(block),
    )


def read_glb(data: bytes) -> tuple[dict[str, Any], bytes]:
    """Return the JSON header and the block of numbers of a GLB file.

    Raises:
        ValueError: when the bytes are not a whole GLB file of version 2
    """
    if len(data) < 12:
        raise ValueError("too short for a GLB file")
    magic, version, length = struct.unpack_from("<III", data)
    if magic != _MAGIC or version != 2 or length != len(data):
        raise ValueError("not a whole GLB file of version 2")
    chunks = {}
    at = 12
    while at < length:
        size, kind = struct.unpack_from("<II", data, at)
        chunks[kind] = data[at + 8 : at + 8 + size]
        at += 8 + size
    if at != length or set(chunks) != {_JSON, _BIN}:
        raise ValueError("the chunks of the GLB file do not add up")
    return json.loads(chunks[_JSON]), chunks[_BIN]


def _prove(data: bytes, meshes: Sequence[CellMesh], name: str) -> None:
    """Decode the written bytes and compare every vertex and triangle."""
    try:
        header, block = read_glb(data)
        for mesh, shape in zip(meshes, header["meshes"], strict=True):
            triangles = shape["primitives"][0]
            points = _decoded(header, block, triangles["attributes"]["POSITION"])
            corners = _decoded(header, block, triangles["indices"]).reshape(-1, 3)
            # Single precision holds seven digits: far under what a picture shows.
            same = np.allclose(points, mesh.points, rtol=1e-6, atol=1e-4)
            if shape["name"] != mesh.name or not same or (corners != mesh.triangles).any():
                raise ValueError(f"the triangles of {mesh.name} differ")
    except (ValueError, KeyError, IndexError) as error:
        raise OurBug(
            Problem(
                code="GLB-001",
                where=f"{name}.glb",
                got=f"the file written does not hold the part: {error}",
                fix="Nothing was kept. Report this: it is our bug",
            )
        ) from error


def _decoded(header: dict[str, Any], block: bytes, number: int) -> NDArray[Any]:
    accessor = header["accessors"][number]
    view = header["bufferViews"][accessor["bufferView"]]
    width = {"SCALAR": 1, "VEC3": 3}[accessor["type"]]
    kind = {_FLOAT: "<f4", _UINT: "<u4"}[accessor["componentType"]]
    count = accessor["count"] * width
    return np.frombuffer(block, kind, count, view["byteOffset"]).reshape(-1, width)


def _units(normals: NDArray[np.float64]) -> NDArray[np.float64]:
    result: NDArray[np.float64] = normals / np.linalg.norm(normals, axis=1)[:, None]
    return result


def _material(
    name: str, color: tuple[float, float, float], metallic: float, rough: float
) -> dict[str, Any]:
    return {
        "name": name,
        "pbrMetallicRoughness": {
            "baseColorFactor": [*color, 1.0],
            "metallicFactor": metallic,
            "roughnessFactor": rough,
        },
    }


def _packed(header: dict[str, Any], block: bytes) -> bytes:
    text = json.dumps(header, separators=(",", ":"), ensure_ascii=True).encode()
    text += b" " * (-len(text) % 4)
    block += b"\0" * (-len(block) % 4)
    length = 12 + 8 + len(text) + 8 + len(block)
    return b"".join(
        (
            struct.pack("<III", _MAGIC, 2, length),
            struct.pack("<II", len(text), _JSON),
            text,
            struct.pack("<II", len(block), _BIN),
            block,
        )
    )
