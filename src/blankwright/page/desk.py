"""The desk: the open project and its parts, shared by all windows.

Each part is worked on as text. A text that reads goes into the part file at once; a text that
does not read yet is kept as a draft beside it, so that neither a half-typed number nor a crash
costs anything, and the file always holds a part that can be read.
"""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import json
import logging
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from typing import Any

from blankwright.base.errors import BadInput, BlankwrightError, OurBug, Problem
from blankwright.base.units import MM_PER_INCH
from blankwright.files.whole import write_whole
from blankwright.jobs.edit import add_size, brought_in, hold_up, let_pass, set_value
from blankwright.jobs.history import FOLDER, History
from blankwright.jobs.part_state import PartState, state_of_text
from blankwright.jobs.project import Project
from blankwright.jobs.scene import pictorial, scene_of
from blankwright.jobs.shapes import part_name, part_text, shape_by_key
from blankwright.page.make import made_json, make_all, part_items, rack_word
from blankwright.page.part_json import counts, part_json
from blankwright.page.rows import typed_at
from blankwright.page.shape_picture import shapes_json
from blankwright.page.work import Cancelled, Work

Json = dict[str, Any]
Listener = Callable[[Json], None]
log = logging.getLogger(__name__)


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
            return {"busy": f"Making the files of {self.name} …", "files": []}
        text = self.desk.history.text(self.file) or ""
        if self._made is None or self._made[0] != text:
            self._made = (text, made_json(self.desk.project, self.name))
        return self._made[1]

    def _scene_json(self) -> Json | None:
        if self.state is None:
            return None
        if self._scene is None or self._scene[0] is not self.state:
            self._scene = (self.state, scene_of(self.state.blank))
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
        self._work = Work(make_all, project, part_items(project, self.name))
        self.tell()
        said = ""
        try:
            outcomes = await self._work.result()
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
            self.state = state_of_text(self.text, self.name, self.desk.coupons())
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


class Desk:
    """The open project, for all windows.

    Args:
        project: the project
    """

    def __init__(self, project: Project) -> None:
        self.project = project
        self.history = History(project.root)
        self._sheets: dict[str, PartSheet] = {}
        self._coupons: tuple[object, Any] | None = None
        self._slips: dict[str, tuple[str, Json]] = {}

    def names(self) -> tuple[str, ...]:
        """Return the names of the parts, sorted."""
        root = self.project.root.resolve()
        folder = self.project.parts_folder
        return tuple(
            sorted(
                path.stem
                for path in folder.glob("*.toml")
                if path.is_file() and path.resolve().is_relative_to(root)
            )
        )

    def sheet(self, name: str) -> PartSheet | None:
        """Return a part by name, or nothing when the project has none of that name."""
        if name not in self.names() and name not in self._sheets:
            return None
        if name not in self._sheets:
            self._sheets[name] = PartSheet(self, name)
        return self._sheets[name]

    def rack(self) -> Json:
        """Return the project view."""
        return {
            "title": self.project.title,
            "parts": [self._slip(name) for name in self.names()],
            "shapes": shapes_json(),
            "undo": self.history.next_undo(),
            "redo": self.history.next_redo(),
        }

    def rack_mark(self) -> tuple[tuple[str, int], ...]:
        """Return what changes whenever a part comes, goes or changes."""
        folder = self.project.parts_folder
        marks = []
        for name in self.names():
            with contextlib.suppress(OSError):
                marks.append((name, (folder / f"{name}.toml").stat().st_mtime_ns))
        return tuple(marks)

    def _slip(self, name: str) -> Json:
        """Return a part's slip on the rack, worked out anew only when its text has changed."""
        path = self.project.parts_folder / f"{name}.toml"
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            text = ""
        kept = self._slips.get(name)
        if kept is None or kept[0] != text:
            kept = (text, self._make_slip(name, text))
            self._slips[name] = kept
        return {**kept[1], "out": rack_word(self.project, name)}

    def _make_slip(self, name: str, text: str) -> Json:
        slip: Json = {"name": name, "title": name, "problems": 0, "stops": 0, "asks": 0}
        try:
            state = state_of_text(text, name, self.coupons())
        except OurBug:
            raise
        except BlankwrightError as error:
            slip["problems"] = len(error.problems)
            return slip
        found = counts(state.findings)
        facets, box = pictorial(state.formed)
        slip.update(
            title=state.part.title or name,
            drawing=state.part.drawing,
            alloy=state.part.sheet.alloy,
            thickness=state.part.sheet.thickness,
            place=state.part.place,
            size=list(state.blank.size),
            stops=found["stop"],
            asks=found["ask"],
            picture={
                "box": box,
                "facets": [{"d": f.d, "tone": f.tone, "bend": f.bend} for f in facets],
            },
        )
        return slip

    def new_part(self, shape: str, title: str, sizes: dict[str, Any]) -> str:
        """Make a part file from a starting shape.

        Returns:
            The part's name.

        Raises:
            BadInput: when a size can't be read, or there is such a part already
        """
        typed = {str(key): str(value) for key, value in sizes.items()}
        text = part_text(shape_by_key(shape), title.strip(), typed.pop("alloy", ""), typed)
        return self._add(title, text, "new part")

    def _add(self, title: str, text: str, label: str) -> str:
        name = part_name(title)
        if not name or name in self.names():
            raise BadInput(
                Problem(
                    code="PAGE-007",
                    where="new part",
                    got=f"there is a part {name} already" if name else "the part has no name",
                    fix="Give it another name, with letters or digits",
                )
            )
        self.history.write(f"parts/{name}.toml", text, label)
        self._sheets.pop(name, None)
        return name

    async def bring_in(self, name: str, kind: str, data: bytes) -> str:
        """Take a dropped file in as a new part.

        Args:
            name: the file's name, for the part's title only
            kind: its ending, such as ``.step``
            data: what it holds

        Returns:
            The part's name.

        Raises:
            BadInput: when it can't be read as a part
        """
        title = PurePosixPath(name.replace("\\", "/")).stem
        text = await asyncio.to_thread(brought_in, kind, data, title)
        return self._add(title, text, f"brought in {title}{kind}")

    def changed_below(self, file: str) -> None:
        """Show every window a part whose file was changed from the project view."""
        for sheet in self._sheets.values():
            if sheet.file == file:
                sheet.reload()

    def coupons(self) -> Any:
        """Return the shop's test strips, read anew when their file has changed."""
        from blankwright.jobs.shop_coupons import coupons_of

        path = self.project.coupon_file
        mark = path.stat().st_mtime_ns if path.is_file() else None
        if self._coupons is None or self._coupons[0] != mark:
            try:
                self._coupons = (mark, coupons_of(self.project))
            except BlankwrightError as error:
                log.warning("coupons left out: %s", error)
                self._coupons = (mark, None)
        return self._coupons[1]


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
