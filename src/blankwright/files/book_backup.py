"""Backups: one file with the whole book, its history and all photos, the same for both databases.

A zip file: ``book.json`` (all tables), ``photos/…`` as they are kept, and ``contents.json`` with
the hash of each. It is read back before it takes its name, and held against its hashes before
anything of it is restored.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final

from blankwright.base.errors import BadInput, FileProblem, OurBug, Problem
from blankwright.files.whole import write_whole

FORM: Final = "Blankwright job book, form 1"
_BOOK, _CONTENTS, _PHOTOS = "book.json", "contents.json", "photos/"
_WHEN: Final = (1980, 1, 1, 0, 0, 0)
_CHUNK: Final = 1 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """What a backup holds.

    Args:
        version: version of the book
        tables: all tables, plain
        photos: paths from the photo folder
    """

    version: str
    tables: dict[str, list[dict[str, Any]]]
    photos: tuple[str, ...]


def book_json(version: str, tables: dict[str, list[dict[str, Any]]]) -> bytes:
    """Return the whole book as JSON, always the same for the same book."""
    whole = {"form": FORM, "version": version, "tables": tables}
    text = json.dumps(whole, ensure_ascii=False, allow_nan=False, indent=1, sort_keys=True)
    return (text + "\n").encode("utf-8")


def read_book_json(data: bytes, name: str) -> tuple[str, dict[str, list[dict[str, Any]]]]:
    """Read what `book_json` wrote: version and tables.

    Raises:
        BadInput: when it is something else
    """
    try:
        whole = json.loads(data.decode("utf-8"))
        if whole["form"] != FORM:
            raise ValueError(f"form {whole['form']!r}")
        tables = whole["tables"]
        rows_fine = all(isinstance(row, dict) for rows in tables.values() for row in rows)
        if not rows_fine or not isinstance(whole["version"], str):
            raise ValueError("no tables of rows")
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise BadInput(
            Problem(
                code="BOOK-098",
                where=name,
                got=f"this is no job book as Blankwright writes it ({error})",
            )
        ) from error
    return whole["version"], tables


def write_backup(
    path: Path,
    version: str,
    tables: dict[str, list[dict[str, Any]]],
    folder: Path,
    photos: Iterable[str],
) -> None:
    """Write a backup, whole or not at all, after reading it back.

    Args:
        path: the file
        version: version of the book
        tables: all its tables
        folder: the photo folder
        photos: paths from it; each is held against its hash

    Raises:
        FileProblem: when a photo is missing or spoiled, or the file can't be written
    """
    from blankwright.files.photos import read_photo

    try:
        handle, beside = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as pack:
                    contents = {_BOOK: _put(pack, _BOOK, book_json(version, tables), True)}
                    for photo in sorted(set(photos)):
                        name = _PHOTOS + photo
                        contents[name] = _put(pack, name, read_photo(folder, photo), False)
                    told = json.dumps({"form": FORM, "sha256": contents}, indent=1, sort_keys=True)
                    _put(pack, _CONTENTS, told.encode(), True)
                file.flush()
                os.fsync(file.fileno())
            if read_backup(Path(beside)).tables != tables:
                raise OurBug(
                    Problem(code="BOOK-099", where=str(path), got="the backup reads back otherwise")
                )
            Path(beside).chmod(0o600 if os.name == "posix" else 0o666)
            Path(beside).replace(path)
        finally:
            Path(beside).unlink(missing_ok=True)
    except OSError as error:
        if isinstance(error, FileProblem):
            raise
        raise FileProblem(
            Problem(
                code="FILE-001",
                where=str(path),
                got=f"the file can't be written ({error.strerror or error})",
                fix="Check that the folder exists, is not read-only and that the disk is not full",
            )
        ) from error


def read_backup(path: Path) -> Backup:
    """Read a backup and hold all of it against its hashes.

    Raises:
        BadInput: when it is no backup, or anything in it is spoiled or missing
        FileProblem: when it can't be read
    """
    with _opened(path) as pack:
        told = _contents(pack, path)
        problems = []
        for name, sha256 in sorted(told.items()):
            with pack.open(name) as inner:
                if _hash(inner) != sha256:
                    problems.append(_spoiled(path, f"{name} is not what was written"))
        if problems:
            raise BadInput(*problems)
        version, tables = read_book_json(pack.read(_BOOK), str(path))
        photos = tuple(sorted(n.removeprefix(_PHOTOS) for n in told if n.startswith(_PHOTOS)))
        return Backup(version=version, tables=tables, photos=photos)


def unpack_photos(path: Path, folder: Path) -> int:
    """Put the photos of a backup into a photo folder; those that are there stay.

    Returns:
        how many were put there
    """
    count = 0
    with _opened(path) as pack:
        for name in sorted(_contents(pack, path)):
            if not name.startswith(_PHOTOS):
                continue
            target = folder / name.removeprefix(_PHOTOS)
            if not target.is_file():
                target.parent.mkdir(parents=True, exist_ok=True)
                write_whole(target, pack.read(name))
                count += 1
    return count


def _put(pack: zipfile.ZipFile, name: str, data: bytes, squeeze: bool) -> str:
    info = zipfile.ZipInfo(name, _WHEN)
    info.compress_type = zipfile.ZIP_DEFLATED if squeeze else zipfile.ZIP_STORED
    info.external_attr = 0o644 << 16
    pack.writestr(info, data)
    return hashlib.sha256(data).hexdigest()


class _opened:  # noqa: N801  a context, used like a function
    def __init__(self, path: Path) -> None:
        self.path = path

    def __enter__(self) -> zipfile.ZipFile:
        try:
            self.pack = zipfile.ZipFile(self.path)
        except zipfile.BadZipFile as error:
            raise BadInput(_spoiled(self.path, "it is no backup")) from error
        except OSError as error:
            raise FileProblem(
                _spoiled(self.path, f"it can't be read ({error.strerror})")
            ) from error
        return self.pack

    def __exit__(self, kind: object, error: object, trace: object) -> None:
        self.pack.close()
        if isinstance(error, zipfile.BadZipFile | EOFError | NotImplementedError):
            raise BadInput(_spoiled(self.path, f"it is spoiled ({error})")) from error
        if type(error).__module__ == "zlib":
            raise BadInput(_spoiled(self.path, f"it is spoiled ({error})")) from None


def _contents(pack: zipfile.ZipFile, path: Path) -> dict[str, str]:
    """What the backup says it holds; names that would leave the photo folder are refused."""
    import re

    try:
        told = json.loads(pack.read(_CONTENTS))
        names = dict(told["sha256"])
        fine = told["form"] == FORM and _BOOK in names
    except (KeyError, ValueError, TypeError) as error:
        raise BadInput(_spoiled(path, "it is no backup of a job book")) from error
    photo = re.compile(r"photos/[0-9a-f]{2}/[0-9a-f]{64}\.[a-z]{3,4}")
    fine = fine and all(n == _BOOK or photo.fullmatch(n) for n in names)
    if not fine or set(pack.namelist()) != {*names, _CONTENTS}:
        raise BadInput(_spoiled(path, "it doesn't hold what it says"))
    return names


def _hash(file: IO[bytes]) -> str:
    found = hashlib.sha256()
    while chunk := file.read(_CHUNK):
        found.update(chunk)
    return found.hexdigest()


def _spoiled(path: Path, got: str) -> Problem:
    return Problem(
        code="BOOK-100", where=str(path), got=got, fix="Take another backup; nothing was changed"
    )
