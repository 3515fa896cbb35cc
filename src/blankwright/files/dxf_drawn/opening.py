"""From the bytes of a file to a DXF document, or one clear problem. Knows ezdxf."""

from __future__ import annotations

import io
import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from blankwright.base.errors import BadInput, Problem

MOST_BYTES = 32 * 1024 * 1024
"""Larger files are not the drawing of one blank, and would take minutes to read."""

_FIX = "Save the flat drawing as DXF, in text form, from the program it was drawn in"


def kind_of(data: bytes) -> str:
    """Return what a file is by its first bytes: ``dxf``, ``step``, or another kind in words."""
    head = data[:4096]
    text = head.lstrip(b"\xef\xbb\xbf \t\r\n")
    if not text:
        return "an empty file"
    if head.startswith(b"ISO-10303-21") or text.startswith(b"ISO-10303-21"):
        return "step"
    for begin, words in (
        (b"AC10", "a DWG file"),
        (b"PK\x03\x04", "a packed file (3MF, office document or ZIP)"),
        (b"%PDF", "a PDF file"),
        (b"solid", "an STL file: triangles only"),
        (b"\x89PNG", "a picture"),
        (b"\xff\xd8\xff", "a picture"),
        (b"GIF8", "a picture"),
        (b"<?xml", "an XML or SVG file"),
        (b"<svg", "an SVG file"),
        (b"<!DOCTYPE", "a web page"),
        (b"<html", "a web page"),
        (b"glTF", "a GLB file: triangles only"),
        (b"\x1f\x8b", "a packed file (gzip)"),
        (b"7z\xbc\xaf", "a packed file (7z)"),
    ):
        if text.startswith(begin) or head.startswith(begin):
            return words
    if b" Binary DXF\r\n\x1a\x00" in head[:24]:
        return "dxf"
    first = text.split(b"\n", 1)[0].strip()
    if first in (b"0", b"999") or b"SECTION" in head:
        return "dxf"
    if b"\x00" in head:
        return "a binary file of another kind"
    return "a text file of another kind"


def open_dxf(data: bytes, name: str) -> tuple[Any, int]:
    """Return a DXF document, and how many damaged numbers in it were mended by the reader.

    Args:
        data: the file
        name: what messages call it

    Raises:
        BadInput: DRAWN-001 when it is no DXF file, DRAWN-002 when it is too large, DRAWN-003 when
            it is damaged
    """
    if len(data) > MOST_BYTES:
        raise too_large(name, len(data), MOST_BYTES)
    kind = kind_of(data)
    if kind == "step":
        raise BadInput(
            Problem(
                code="DRAWN-001",
                where=name,
                got="this is a STEP file, although its name says DXF",
                fix="Give it the ending .step and bring it in again",
            )
        )
    if kind != "dxf":
        raise BadInput(
            Problem(code="DRAWN-001", where=name, got=f"this is {kind}, not a DXF file", fix=_FIX)
        )
    from ezdxf import recover

    with warnings.catch_warnings(), _quiet():
        warnings.simplefilter("ignore")
        try:
            if b" Binary DXF\r\n\x1a\x00" in data[:24]:
                return _binary(data), 0
            if b"EOF" not in data.rstrip(b"\x00\x1a \t\r\n")[-3:]:
                # What is missing is not known: half a drawing would look like a whole one.
                raise ValueError("no end of file")
            doc, auditor = recover.read(io.BytesIO(data), errors="ignore")
            # The reader makes "1x5" a 1 and says so only here.
            mended = {
                error.message.split("value ")[-1]
                for error in auditor.errors
                if "floating point" in error.message and not _is_number(error.message)
            }
            return doc, len(mended)
        except Exception as error:
            # ezdxf raises much beside its own errors on damaged files; each means the same here.
            raise BadInput(_damaged(data, name, error)) from None


def _is_number(message: str) -> bool:
    """Say whether a message tells of a number that was mended into itself."""
    quoted = message.split('"')
    try:
        return len(quoted) > 3 and float(quoted[1]) == float(quoted[3])
    except ValueError:
        return False


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep what the reader logs off the terminal: it is told by us, in our words."""
    logger = logging.getLogger("ezdxf")
    before = logger.disabled, logger.level, logger.propagate
    logger.propagate = False
    handler = logging.NullHandler()
    logger.addHandler(handler)
    try:
        yield
    finally:
        logger.disabled, logger.level, logger.propagate = before
        logger.removeHandler(handler)


def _binary(data: bytes) -> Any:
    from ezdxf.document import Drawing
    from ezdxf.lldxf.tagger import binary_tags_loader

    loader = binary_tags_loader(data, errors="ignore")
    return Drawing.load(loader)


def too_large(name: str, size: int, most: int) -> BadInput:
    """Return the problem of a file that is too large."""
    return BadInput(
        Problem(
            code="DRAWN-002",
            where=name,
            got=f"the file has {size / 1e6:.0f} MB",
            allowed=f"up to {most / 1e6:.0f} MB",
            fix="Save the one part alone, without the airplane around it",
        )
    )


def _damaged(data: bytes, name: str, error: Exception) -> Problem:
    told = str(error).splitlines()[0][:120] if str(error) else type(error).__name__
    got = f"the file is damaged ({told})"
    if b"EOF" not in data.rstrip(b"\x00\x1a \t\r\n")[-3:] and b" Binary " not in data[:24]:
        got = "the file ends too early"
    return Problem(
        code="DRAWN-003", where=name, got=got, allowed="a whole DXF file", fix="Save it again"
    )
