"""One part on the desk: its text, what is read from it, and the windows that show it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from blankwright.base.errors import BlankwrightError, OurBug, Problem
from blankwright.base.units import MM_PER_INCH
from blankwright.files.whole import write_whole
from blankwright.jobs.edit import (
    add_size,
    add_value,
    hold_up,
    let_pass,
    remove,
    rename,
    set_value,
)
from blankwright.jobs.features import add_feature
from blankwright.jobs.history import FOLDER
from blankwright.jobs.part_state import PartState, state_of_text
from blankwright.jobs.scene import scene_of
from blankwright.page.make import made_json, make_all, part_items
from blankwright.page.part_json import part_json
from blankwright.page.rows import typed_at
from blankwright.page.work import Cancelled, Work

if TYPE_CHECKING:
    from blankwright.page.desk import Desk

Json = dict[str, Any]
Listener = Callable[[Json], None]


class Clash(Exception):
    """Two windows wrote in one place: what stands there now, and what this window typed."""

    def __init__(self, place: str, theirs: str, mine: str) -> None:
        super().__init__(place)
        self.place = place
        self.theirs = theirs
        self.mine = mine


class PartSheet:
    """One part on the desk.

    Args:
        desk: the desk it lies on
        name: the part's name, that of its file
    """

    def __init__(self, desk: Desk, name: str) -> None:
        self.desk = desk
        self.name = name
        self.file = f"parts/{name}.toml"
        self.listeners: list[Listener] = []
        self.text = ""
        self.draft = False
        self.state: PartState | None = None
        self.problems: tuple[Problem, ...] = ()
        self.said = ""
        self._placed: dict[str, str] = {}
        self.by = ""
        self._scene: tuple[PartState, Json] | None = None
        self._work: Work | None = None
        self._begun = ("", 0, 0)
        self._made: tuple[str, Json] | None = None
        desk.history.look(self.file)
        self._take_file()
        self._take_draft()

    # What the windows see

    def json(self) -> Json:
        """Return the whole state for a window."""
        part = part_json(self.text, self.state, self.problems, self.name)
        history = self.desk.history
        part.update(
            file=self.file,
            draft=self.draft,
            by=self.by,
            stale=bool(self.problems) and self.state is not None,
            undo="what is typed and not in the file yet"
            if self.draft
            else history.next_undo(self.file),
            redo="" if self.draft else history.next_redo(self.file),
            gone=history.text(self.file) is None,
            made=self._made_json(),
        )
        return {
            "part": part,
            "scene": self._scene_json(),
            "said": self.said,
            "mm_per_inch": MM_PER_INCH,
        }

    def _made_json(self) -> Json:
        if self._work is not None:
            file, done, of = self._begun
            busy = f"Making {file}" if file else "Getting ready"
            return {"busy": busy, "done": done, "of": of, "files": []}
        text = self.desk.history.text(self.file) or ""
        if self._made is None or self._made[0] != text:
            self._made = (text, made_json(self.desk.project, self.name))
        return self._made[1]

    def _scene_json(self) -> Json | None:
        if self.state is None:
            return None
        if self._scene is None or self._scene[0] is not self.state:
            least, most = self.state.formed.box
            size = [b - a for a, b in zip(least, most, strict=True)]
            self._scene = (self.state, {**scene_of(self.state.blank), "formed": size})
        return self._scene[1]

    def tell(self, said: str = "", by: str = "") -> None:
        """Send the state to every window that shows this part.

        Args:
            said: what a window should say about it
            by: the group of the change, so that a window knows its own
        """
        self.said = said
        self.by = by
        state = self.json()
        for listener in tuple(self.listeners):
            listener(state)

    # What the windows do

    def set(self, place: str, typed: str, seen: str, group: str, label: str = "") -> None:
        """Set the value at a place of the part file.

        Args:
            place: where, such as ``bends.left.angle``
            typed: what was typed
            seen: what stood there when typing began
            group: what is typed in one go

        Raises:
            Clash: when another window has changed that place since
        """
        self.look()
        now = typed_at(self.text, place)
        if now is not None and now != seen and self._placed.get(place) != group:
            raise Clash(place, now, typed)
        text = set_value(self.text, place, typed)
        self._placed[place] = group
        self.put(text, label or f"{place}: {typed}", group)

    def put_text(self, text: str, base: str, group: str) -> None:
        """Take the whole text from the part file's leaf.

        Args:
            text: what it is now
            base: what it was when typing began, or what this window sent last

        Raises:
            Clash: when it was changed elsewhere since
        """
        self.look()
        if base not in (self.text, text):
            raise Clash("", self.text, text)
        self._placed.clear()
        self.put(text, "part file", group)

    def put(self, text: str, label: str, group: str) -> None:
        """Work on a new text: into the file when it reads, else into the draft."""
        self.text = text
        self._read()
        if self.problems:
            self._keep_draft()
        else:
            self.desk.history.write(self.file, text, label, group)
            self._drop_draft()
        self.tell(by=group)

    def undo(self) -> None:
        """Take the last change back; what is not in the file yet goes first."""
        if self.draft:
            self._drop_draft()
            self._take_file()
            self.tell("Taken back: what was not in the file yet")
            return
        done = self.desk.history.undo(self.file)
        self._after(f"Taken back: {done[1]}" if done else "Nothing to take back")

    def redo(self) -> None:
        """Do again what was taken back."""
        done = None if self.draft else self.desk.history.redo(self.file)
        self._after(f"Done again: {done[1]}" if done else "Nothing to do again")

    def look(self) -> None:
        """Notice when the file was changed by someone else."""
        before = self.desk.history.text(self.file)
        self.desk.history.look(self.file)
        if self.desk.history.text(self.file) == before:
            return
        if self.draft:
            self.tell("The file was changed outside. Your text here is not in it yet")
        else:
            self._after("The file was changed outside. Undo takes that back")

    def add_size(self, name: str, typed: str, group: str) -> None:
        """Add a named size to the part file.

        Raises:
            BadInput: when the name will not do or is there already
        """
        self.look()
        self.put(add_size(self.text, name, typed), f"new size {name}", group)

    def change(self, what: str, said: Json, group: str) -> None:
        """Add, rename or take out a line, a size or a feature.

        Args:
            what: ``add``, ``add_line``, ``take_out`` or ``rename``
            said: what the window says about it

        Raises:
            BadInput: when it will not do; the file then stays as it is
        """
        self.look()
        place = str(said.get("place", ""))
        match what:
            case "add" if self.state is not None:
                key, name = str(said["key"]), str(said["name"]).strip()
                fields = {str(k): str(v) for k, v in dict(said["fields"]).items()}
                text = add_feature(self.text, self.state.part, key, name, fields)
                label = f"new {key} {name}"
            case "add_line":
                text = add_value(self.text, place, str(said["typed"]))
                label = f"{place}: {said['typed']}"
            case "take_out":
                text, label = remove(self.text, place), f"{place} taken out"
            case "rename":
                name = str(said["name"]).strip()
                text, label = rename(self.text, place, name), f"{place} renamed {name}"
            case _:
                return
        self._placed.clear()
        self.put(text, label, group)

    def remove(self) -> None:
        """Take the part out of the project; undo in the project view brings it back."""
        self.look()
        self._drop_draft()
        self.desk.history.write(self.file, None, "part removed")
        self._after("This part was removed from the project")

    def let_pass(self, code: str, place: str, reason: str, group: str) -> None:
        """Override a finding with a written reason, in the part file."""
        self.look()
        text = let_pass(self.text, f"{code} {place}", reason)
        self.put(text, f"{code} let pass: {reason}", group)

    def hold_up(self, code: str, place: str, group: str) -> None:
        """Take the override of a finding out of the part file again."""
        self.look()
        text = hold_up(self.text, (f"{code} {place}", code))
        self.put(text, f"{code} held up again", group)

    async def make(self) -> None:
        """Make the files of the part, in a process of its own.

        Raises:
            BlankwrightError: what kept them from being made
        """
        if self._work is not None or self.problems or self.state is None or self.state.blocked:
            return
        project = self.desk.project
        self._work = Work(make_all, project, part_items(project, self.name), tells=True)
        self._begun = ("", 0, 0)
        self.tell()
        said = ""
        try:
            outcomes = await self._work.result(self._begin)
            problems = [p for outcome in outcomes for p in outcome.problems]
            if problems:
                raise BlankwrightError(*problems)
            said = "The files are made and proved"
        except Cancelled:
            said = "Cancelled: the set is not whole, make it again"
        finally:
            self._work = None
            self._made = None
            self.tell(said)

    def _begin(self, file: str, done: int, of: int) -> None:
        self._begun = (file, done, of)
        self.tell(by="make")

    def cancel(self) -> None:
        """End what is being made."""
        if self._work is not None:
            self._work.cancel()

    def reload(self) -> None:
        """Show what the file holds now."""
        self._after("Changed from the project view")

    # Private

    def _after(self, said: str) -> None:
        self._placed.clear()
        self._take_file()
        self.tell(said)

    def _take_file(self) -> None:
        self.text = self.desk.history.text(self.file) or ""
        self._read()

    def _read(self) -> None:
        try:
            self.state = state_of_text(
                self.text,
                self.name,
                self.desk.coupons(),
                folder=self.desk.project.parts_folder,
            )
            self.problems = ()
        except OurBug:
            raise
        except BlankwrightError as error:
            self.problems = error.problems

    @property
    def _draft_path(self) -> Path:
        return self.desk.project.root / FOLDER / "drafts" / f"{self.name}.json"

    def _keep_draft(self) -> None:
        self.draft = True
        path = self._draft_path
        path.parent.mkdir(parents=True, exist_ok=True)
        base = self.desk.history.text(self.file) or ""
        write_whole(path, json.dumps({"base": _mark(base), "text": self.text}).encode())

    def _drop_draft(self) -> None:
        self.draft = False
        self._draft_path.unlink(missing_ok=True)

    def _take_draft(self) -> None:
        try:
            data = json.loads(self._draft_path.read_bytes())
            text = str(data["text"])
        except (OSError, ValueError, KeyError, TypeError):
            return
        if text == self.text:
            self._drop_draft()
            return
        changed = data.get("base") != _mark(self.text)
        self.text, self.draft = text, True
        self._read()
        if not self.problems and not changed:
            self.put(text, "part file", "")
        self.said = (
            "The file was changed outside. Your text here is not in it yet"
            if changed
            else "Here is what you typed before; it is not in the file yet"
        )


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
