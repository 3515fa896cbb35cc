"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from blankwright.base.errors import FileProblem, Problem


def write_whole(path: Path, data: bytes) -> None:
    """Write a file beside its place, make sure it is on the disk, then put it in place.

    A crash at any moment leaves the old file or the new one, whole.

    Args:
        path: where it goes; its folder must exist
        data: what it holds

    Raises:
        FileProblem: when it can't be written
    """
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            # mkstemp makes the file private; a part file is as open as its neighbours.
            Path(name).chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
            Path(name).replace(path)
        except BaseException:
            with contextlib.suppress(OSError):
                Path(name).unlink()
            raise
    except OSError as error:
        raise FileProblem(
            Problem(
                code="FILE-001",
                where=str(path),
                got=f"the file can't be written ({error.strerror or error})",
                fix="Check that the folder exists, is not read-only and that the disk is not full",
            )
        ) from error


def as_before(text: str, before: bytes) -> bytes:
    """Return a text as a file holds it that it takes the place of.

    A byte-order mark stays, and so do line ends where most of the file's are CR LF: whoever wrote
    it that way has an editor that likes it so.

    Args:
        text: what it shall hold, lines ended in any way
        before: what the file holds now; empty when there is none
    """
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n")
    if 2 * before.count(b"\r\n") > before.count(b"\n"):
        plain = plain.replace("\n", "\r\n")
    mark = b"\xef\xbb\xbf" if before.startswith(b"\xef\xbb\xbf") else b""
    return mark + plain.encode("utf-8")


def write_as_before(path: Path, text: str) -> None:
    """Write a text over a file, whole, with the file's own line ends and byte-order mark.

    Raises:
        FileProblem: when it can't be written
    """
    try:
        before = path.read_bytes()
    except OSError:
        before = b""
    write_whole(path, as_before(text, before))
