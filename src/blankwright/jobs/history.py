"""History of a project's files: every change can be taken back, also after a restart or a crash.

One journal, `.blankwright/history.jsonl` in the project folder, one line a change. A change is
written to the journal first, then to the file, and then ticked off. If the program dies in
between, the next start finds the change without its tick and finishes it. A file changed by
someone else is noticed before anything is written over it, and becomes a step like any other.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from blankwright.base.errors import FileProblem, Problem
from blankwright.files.whole import write_whole

FOLDER = ".blankwright"
OUTSIDE = "changed outside"
_KEEP_STEPS = 400
_TIDY_BYTES = 4_000_000


@dataclass(slots=True)
class Step:
    """One change of one file.

    Args:
        number: place in the project's order of changes
        label: what was changed, in a builder's words
        group: changes typed in one go share it, and are taken back as one
        text: the whole file afterwards, or nothing when the change removed it
    """

    number: int
    label: str
    group: str
    text: str | None


@dataclass(slots=True)
class _Track:
    """The changes of one file, and how many of them stand."""

    first: str | None
    steps: list[Step] = field(default_factory=list)
    standing: int = 0

    @property
    def text(self) -> str | None:
        return self.steps[self.standing - 1].text if self.standing else self.first

    @property
    def undoable(self) -> Step | None:
        return self.steps[self.standing - 1] if self.standing else None

    @property
    def redoable(self) -> Step | None:
        return self.steps[self.standing] if self.standing < len(self.steps) else None


class History:
    """The history of the files of one project.

    Args:
        project: the project folder

    Raises:
        FileProblem: when the journal can't be read or written
    """

    def __init__(self, project: Path) -> None:
        self.project = project
        self.journal = project / FOLDER / "history.jsonl"
        self._tracks: dict[str, _Track] = {}
        self._count = 0
        self._read_bytes = 0
        self._open: tuple[str, str | None] | None = None
        """File whose last change was not ticked off, and what it held before."""
        self._read()
        self._finish()
        self._tidy()

    def text(self, file: str) -> str | None:
        """Return what a file holds, as far as the history knows; nothing when it knows none."""
        track = self._tracks.get(file)
        return None if track is None else track.text

    def look(self, file: str) -> bool:
        """Compare a file with the disk. Says whether someone else changed it meanwhile.

        Args:
            file: path under the project folder, with forward slashes
        """
        self._catch_up()
        now = self._disk(file)
        track = self._tracks.get(file)
        if track is None:
            if now is not None:
                self._log({"do": "first", "file": file, "text": now})
            return False
        if track.text == now:
            return False
        self._log({"do": "set", "file": file, "text": now, "label": OUTSIDE, "group": ""})
        return True

    def write(self, file: str, text: str | None, label: str, group: str = "") -> bool:
        """Change a file and remember how to take it back. Says whether anything changed.

        Args:
            file: path under the project folder, with forward slashes
            text: the whole file, or nothing to remove it
            label: what was changed, in a builder's words
            group: changes in a row with the same group are taken back as one
        """
        self.look(file)
        if file not in self._tracks:
            self._log({"do": "first", "file": file, "text": None})
        if self._tracks[file].text == text:
            return False
        self._log({"do": "set", "file": file, "text": text, "label": label, "group": group})
        self._store(file)
        return True

    def undo(self, file: str | None = None) -> tuple[str, str] | None:
        """Take the last change back, of one file or of the whole project.

        Returns:
            The file and what was taken back, or nothing when there is nothing left.
        """
        file = self._last(file, back=True)
        if file is None:
            return None
        self.look(file)
        track = self._tracks[file]
        step = track.undoable
        assert step is not None  # _last found one, and look only adds
        count = 1
        while step.group and track.standing > count:
            if track.steps[track.standing - 1 - count].group != step.group:
                break
            count += 1
        self._log({"do": "undo", "file": file, "count": count})
        self._store(file)
        return file, step.label

    def redo(self, file: str | None = None) -> tuple[str, str] | None:
        """Do again what was last taken back.

        Returns:
            The file and what was done again, or nothing when there is nothing.
        """
        file = self._last(file, back=False)
        if file is None:
            return None
        if self.look(file):
            return None
        track = self._tracks[file]
        step = track.redoable
        assert step is not None
        count = 1
        while step.group and track.standing + count < len(track.steps):
            if track.steps[track.standing + count].group != step.group:
                break
            step = track.steps[track.standing + count]
            count += 1
        self._log({"do": "redo", "file": file, "count": count})
        self._store(file)
        return file, step.label

    def next_undo(self, file: str | None = None) -> str:
        """Return what undo would take back, or an empty text."""
        found = self._last(file, back=True)
        step = self._tracks[found].undoable if found is not None else None
        return step.label if step else ""

    def next_redo(self, file: str | None = None) -> str:
        """Return what redo would do again, or an empty text."""
        found = self._last(file, back=False)
        step = self._tracks[found].redoable if found is not None else None
        return step.label if step else ""

    # Private

    def _last(self, file: str | None, *, back: bool) -> str | None:
        """Return the file of the latest change that stands, or the earliest that does not."""
        found = [
            (step.number, name)
            for name, track in self._tracks.items()
            if file is None or name == file
            if (step := track.undoable if back else track.redoable) is not None
        ]
        if not found:
            return None
        return (max(found) if back else min(found))[1]

    def _path(self, file: str) -> Path:
        path = self.project / file
        root = self.project.resolve()
        if not path.resolve().is_relative_to(root):
            raise FileProblem(
                Problem(
                    code="PAGE-002",
                    where=file,
                    got="the file lies outside the project folder",
                    fix="Keep the project's files inside its folder",
                )
            )
        return path

    def _disk(self, file: str) -> str | None:
        path = self._path(file)
        try:
            return path.read_bytes().decode("utf-8")
        except FileNotFoundError:
            return None
        except (OSError, UnicodeDecodeError) as error:
            raise _unreadable(path, error) from error

    def _store(self, file: str) -> None:
        text = self._tracks[file].text
        path = self._path(file)
        if text is None:
            path.unlink(missing_ok=True)
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, text.encode())
        self._log({"do": "done", "file": file}, sure=False)

    def _log(self, entry: dict[str, Any], *, sure: bool = True) -> None:
        line = (json.dumps(entry, ensure_ascii=False, sort_keys=True) + "\n").encode()
        try:
            self.journal.parent.mkdir(exist_ok=True)
            with self.journal.open("ab") as journal:
                journal.write(line)
                journal.flush()
                if sure:
                    os.fsync(journal.fileno())
        except OSError as error:
            raise FileProblem(
                Problem(
                    code="PAGE-003",
                    where=str(self.journal),
                    got=f"the history can't be written ({error.strerror or error})",
                    fix="Check that the project folder is not read-only and the disk not full",
                )
            ) from error
        self._read_bytes += len(line)
        self._take(entry)

    def _catch_up(self) -> None:
        """Read what another window's program added to the journal."""
        try:
            size = self.journal.stat().st_size
        except FileNotFoundError:
            size = 0
        if size != self._read_bytes:
            self._read()

    def _read(self) -> None:
        try:
            data = self.journal.read_bytes()
        except FileNotFoundError:
            data = b""
        except OSError as error:
            raise _unreadable(self.journal, error) from error
        self._tracks.clear()
        self._count = 0
        self._open = None
        if data and not data.endswith(b"\n"):
            # Killed while writing this line: it was never acted on.
            data = data[: data.rfind(b"\n") + 1]
            write_whole(self.journal, data)
        self._read_bytes = len(data)
        for line in data.splitlines():
            try:
                self._take(json.loads(line))
            except (ValueError, KeyError, TypeError):
                continue  # a damaged line costs one step, not the history

    def _take(self, entry: dict[str, Any]) -> None:
        file = str(entry["file"])
        do = entry["do"]
        if do == "first":
            self._tracks[file] = _Track(first=entry["text"])
            return
        if do == "done":
            self._open = None
            return
        track = self._tracks[file]
        before = track.text
        self._count += 1
        self._open = (file, before)
        if do == "set":
            del track.steps[track.standing :]
            track.steps.append(
                Step(self._count, str(entry["label"]), str(entry["group"]), entry["text"])
            )
            track.standing += 1
            if entry["label"] == OUTSIDE:
                self._open = None  # it is on the disk already
        elif do == "undo":
            track.standing = max(0, track.standing - int(entry["count"]))
        elif do == "redo":
            track.standing = min(len(track.steps), track.standing + int(entry["count"]))

    def _finish(self) -> None:
        """Finish the change that a crash cut short, unless the file was changed since."""
        if self._open is not None:
            file, before = self._open
            if self._disk(file) == before:
                self._store(file)
            else:
                self._log({"do": "done", "file": file}, sure=False)
                self.look(file)

    def _tidy(self) -> None:
        """Write a long journal anew: each go as one step, the oldest steps left out."""
        if self._read_bytes < _TIDY_BYTES:
            return
        entries: list[tuple[int, dict[str, Any]]] = []
        for file, track in self._tracks.items():
            ends = [
                step
                for i, step in enumerate(track.steps[: track.standing])
                if i + 1 == track.standing
                or not step.group
                or track.steps[i + 1].group != step.group
            ]
            dropped = ends[:-_KEEP_STEPS]
            first = dropped[-1].text if dropped else track.first
            entries.append((0, {"do": "first", "file": file, "text": first}))
            entries.extend(
                (
                    step.number,
                    {
                        "do": "set",
                        "file": file,
                        "text": step.text,
                        "label": step.label,
                        "group": "",
                    },
                )
                for step in ends[-_KEEP_STEPS:]
            )
        entries.sort(key=lambda item: item[0])
        lines = [json.dumps(entry, ensure_ascii=False, sort_keys=True) for _, entry in entries]
        lines.append(json.dumps({"do": "done", "file": ""}))
        write_whole(self.journal, ("\n".join(lines) + "\n").encode())
        self._read()


def _unreadable(path: Path, error: Exception) -> FileProblem:
    return FileProblem(
        Problem(
            code="PAGE-011",
            where=str(path),
            got=f"the file can't be read ({getattr(error, 'strerror', None) or error})",
            fix="Check that it exists, is a text file in UTF-8 and may be read",
        )
    )
