"""The desk: the open project and its parts, shared by all windows.

Each part is worked on as text. A text that reads goes into the part file at once; a text that
does not read yet is kept as a draft beside it, so that neither a half-typed number nor a crash
costs anything, and the file always holds a part that can be read.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import re
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

from blankwright.base.errors import BadInput, BlankwrightError, OurBug, Problem
from blankwright.jobs.history import History
from blankwright.jobs.project import Project
from blankwright.jobs.shapes import part_name, part_text, shape_by_key
from blankwright.page.shape_picture import shapes_json

if TYPE_CHECKING:
    from blankwright.page.sheet import PartSheet

Json = dict[str, Any]
log = logging.getLogger(__name__)

_TITLE = re.compile(r'^title\s*=\s*"([^"\\\n]+)"', re.MULTILINE)
"""A part's title as nearly every file has it: it stands on the slip until the file is read."""


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
        # What works parts out loads when the first is asked for: the page must be there at once.
        from blankwright.page.sheet import PartSheet

        if name not in self.names() and name not in self._sheets:
            return None
        if name not in self._sheets:
            self._sheets[name] = PartSheet(self, name)
        return self._sheets[name]

    def rack(self) -> Json:
        """Return the project view, with the slips that have been worked out so far."""
        return {
            "title": self.project.title,
            "parts": sorted(
                map(self._slip, self.names()),
                key=lambda slip: (slip["title"].casefold(), slip["name"]),
            ),
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

    def waiting(self) -> tuple[str, ...]:
        """Return the parts whose slip is not worked out yet for what their file holds now."""
        return tuple(
            name
            for name in self.names()
            if name not in self._slips or self._slips[name][0] != self._file_text(name)
        )

    def work_out(self, name: str) -> None:
        """Work a part's slip out. May run in a thread of its own."""
        text = self._file_text(name)
        self._slips[name] = (text, self._make_slip(name, text))

    def _slip(self, name: str) -> Json:
        """Return a part's slip on the rack, as far as it has been worked out."""
        kept = self._slips.get(name)
        if kept is None:
            found = _TITLE.search(self._file_text(name))
            return {"name": name, "title": found[1] if found else name, "waiting": True}
        from blankwright.page.make import rack_word

        return {**kept[1], "out": rack_word(self.project, name)}

    def _file_text(self, name: str) -> str:
        try:
            return (self.project.parts_folder / f"{name}.toml").read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            return ""

    def _make_slip(self, name: str, text: str) -> Json:
        from blankwright.jobs.part_state import state_of_text
        from blankwright.jobs.pictorial import pictorial
        from blankwright.page.part_json import counts

        slip: Json = {"name": name, "title": name, "problems": 0, "stops": 0, "asks": 0}
        try:
            state = state_of_text(text, name, self.coupons(), folder=self.project.parts_folder)
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

    async def bring_in(self, name: str, kind: str, data: bytes, stated: Any, keeps: bool) -> Json:
        """Look at a dropped file, and keep it as new parts once all is stated and it is asked for.

        Args:
            name: the file's name
            kind: its ending, such as ``.step``
            data: what it holds
            stated: what the builder has stated, as `jobs.bring_in_asked.asked_of` takes it
            keeps: whether to keep it

        Returns:
            What was found, and with ``part`` the first new part's name once it is kept.

        Raises:
            BadInput: when it can't be read as a part
        """
        # Readers of drawings load here, when the first is dropped.
        from blankwright.jobs.bring_in import keep, look_at, part_file_text
        from blankwright.jobs.bring_in_asked import asked_of
        from blankwright.page.brought_json import brought_json

        if kind == ".toml":
            title = PurePosixPath(name.replace("\\", "/")).stem
            text = part_file_text(data, name, self.project.parts_folder)
            return {"part": self._add(title, text, f"brought in {title}{kind}")}
        asked = asked_of(stated)
        brought = await asyncio.to_thread(look_at, data, name, asked, coupons=self.coupons())
        said = brought_json(brought)
        if keeps:
            label = f"brought in {brought.file}"

            def write(path: Path, text: str) -> None:
                self.history.write(f"parts/{path.name}", text, label)

            names = keep(self.project, brought, write)
            for one in names:
                self._sheets.pop(one, None)
            said["part"] = names[0]
        return said

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
