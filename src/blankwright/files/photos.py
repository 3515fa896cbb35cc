"""Photos: kept as they came, under the hash of their bytes, with shrunk copies for pages.

photos/3f/3f…e1.jpg          the file as it came, never changed
photos/small/3f…e1.jpg       a shrunk copy, upright, without the camera's notes; made anew
                             whenever it is missing
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import importlib
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from blankwright.base.errors import BadInput, FileProblem, Problem
from blankwright.files.whole import write_whole

SMALL: Final = "small"
SMALL_SIDE: Final = 1200
"""Longer side of a shrunk copy [px]: enough for a third of a printed page at 300 dots an inch."""

MOST_BYTES: Final = 60_000_000
MOST_PIXELS: Final = 200_000_000
"""Larger photos are refused: they would fill the memory when shrunk."""

_ENDINGS: Final = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp", "TIFF": "tif", "MPO": "jpg"}
_HEIC: Final = {"HEIF": "heic"}
_HEIC_MARKS: Final = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
"""Brands at the beginning of such a file: ISO/IEC 23008-12 (from memory)."""
_TAKEN, _TAKEN_IN_EXIF, _EXIF = 0x0132, 0x9003, 0x8769


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A photo that is kept.

    Args:
        sha256: hash of its bytes, in hex
        file: path from the photo folder
        size: [bytes]
        width: as seen upright [px]
        height: as seen upright [px]
        taken_at: when the camera says it was taken, as the camera writes it; empty if it doesn't
    """

    sha256: str
    file: str
    size: int
    width: int
    height: int
    taken_at: str


def keep_photo(folder: Path, data: bytes, name: str) -> Kept:
    """Keep a photo; the same bytes are kept once.

    Args:
        folder: the photo folder; made if it isn't there
        data: the file's bytes
        name: what it is called in messages

    Raises:
        BadInput: when it is no photo that can be read, or too large
        FileProblem: when it can't be written
    """
    kept, small = _looked_at(data, name)
    path = folder / kept.file
    if not path.is_file() or path.stat().st_size != len(data):
        _make(path.parent)
        write_whole(path, data)
    _make(folder / SMALL)
    write_whole(folder / SMALL / f"{kept.sha256}.jpg", small)
    return kept


def small_photo(folder: Path, file: str) -> Path:
    """Return the path of the shrunk copy of a kept photo, making it if need be.

    Raises:
        FileProblem: when the photo isn't there
        BadInput: when its bytes are spoiled
    """
    sha256 = Path(file).stem
    path = folder / SMALL / f"{sha256}.jpg"
    if not path.is_file():
        _, small = _looked_at(read_photo(folder, file), file)
        _make(path.parent)
        write_whole(path, small)
    return path


def read_photo(folder: Path, file: str) -> bytes:
    """Return the bytes of a kept photo, held against its hash.

    Raises:
        FileProblem: when it isn't there, or its bytes are not those that were kept
    """
    path = folder / file
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileProblem(
            Problem(
                code="PHOTO-003",
                where=str(path),
                got=f"the photo can't be read ({error.strerror})",
                fix="Get it from a backup: blankwright book restore",
            )
        ) from error
    if hashlib.sha256(data).hexdigest() != path.stem:
        raise FileProblem(
            Problem(
                code="PHOTO-004",
                where=str(path),
                got="the photo's bytes are not those that were kept",
                fix="Get it from a backup: blankwright book restore",
            )
        )
    return data


def kept_photos(folder: Path) -> Iterator[str]:
    """Yield the paths, from the photo folder, of all photos kept in it, in order."""
    for inner in sorted(folder.glob("[0-9a-f][0-9a-f]")):
        for path in sorted(inner.iterdir()):
            if not path.name.startswith("."):
                yield f"{inner.name}/{path.name}"


def _looked_at(data: bytes, name: str) -> tuple[Kept, bytes]:
    from PIL import Image, ImageOps

    endings = _ENDINGS
    if _is_heic(data):
        if not _reads_heic():
            raise BadInput(
                Problem(
                    code="PHOTO-006",
                    where=name,
                    got="it is a HEIC photo, and what reads those is not installed",
                    fix="Install blankwright[photos], or set the phone to most compatible: JPEG",
                )
            )
        endings = _HEIC
    if len(data) > MOST_BYTES:
        raise _refused(name, f"it has {len(data)} bytes", f"up to {MOST_BYTES}")
    try:
        with Image.open(io.BytesIO(data), formats=list(endings)) as image:
            if image.width * image.height > MOST_PIXELS:
                raise _refused(name, f"{image.width} × {image.height} px", f"{MOST_PIXELS} px")
            ending = endings[image.format or ""]
            taken = ""
            with contextlib.suppress(Exception):  # camera notes are often broken; they're no must
                notes = image.getexif()
                taken = str(notes.get_ifd(_EXIF).get(_TAKEN_IN_EXIF) or notes.get(_TAKEN) or "")
            image.draft("RGB", (2 * SMALL_SIDE, 2 * SMALL_SIDE))
            width, height = image.size
            upright = ImageOps.exif_transpose(image)
            turned = upright.width != width and (upright.width, upright.height) == (height, width)
            with Image.open(io.BytesIO(data), formats=list(endings)) as whole:
                full = whole.size
            upright = upright.convert("RGB")
            upright.thumbnail((SMALL_SIDE, SMALL_SIDE))
            stream = io.BytesIO()
            upright.save(stream, "JPEG", quality=82)
    except BadInput:
        raise
    except Exception as error:  # Pillow raises whatever the file brings it to
        raise _refused(name, f"it can't be read as a photo ({error})", "") from error
    sha256 = hashlib.sha256(data).hexdigest()
    if turned:
        full = (full[1], full[0])
    return (
        Kept(
            sha256=sha256,
            file=f"{sha256[:2]}/{sha256}.{ending}",
            size=len(data),
            width=full[0],
            height=full[1],
            taken_at="".join(sign for sign in taken if sign.isprintable())[:40],
        ),
        stream.getvalue(),
    )


def _is_heic(data: bytes) -> bool:
    """Whether it is a photo as many phones make them by themselves."""
    return data[4:8] == b"ftyp" and data[8:12] in _HEIC_MARKS


@functools.cache
def _reads_heic() -> bool:
    """Let Pillow read HEIC photos, if the extra `photos` is installed."""
    try:
        importlib.import_module("pi_heif").register_heif_opener()
    except ImportError:
        return False
    return True


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileProblem(
            Problem(
                code="PHOTO-005",
                where=str(folder),
                got=f"the folder can't be made ({error.strerror})",
                fix="Check that the project folder is not read-only",
            )
        ) from error


def _refused(name: str, got: str, allowed: str) -> BadInput:
    return BadInput(
        Problem(
            code="PHOTO-001",
            where=name,
            got=got,
            allowed=allowed or "JPEG, PNG, WebP, TIFF, HEIC",
            fix="Save it as JPEG (phones: most compatible)",
        )
    )
