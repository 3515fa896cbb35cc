"""Making files from the page: the same job as on the command line, shown as it goes."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from urllib.parse import quote

from blankwright.jobs.develop_parts import Outcome, develop_one
from blankwright.jobs.items import Item, items_of
from blankwright.jobs.outputs import Tell, kept_outputs
from blankwright.jobs.project import Project

Json = dict[str, Any]


def make_all(project: Project, items: tuple[Item, ...], tell: Tell) -> tuple[Outcome, ...]:
    """Make the files of a part's items, one after the other; how far it is, is told over all."""
    outcomes = []
    for i, item in enumerate(items):

        def tell_all(file: str, done: int, of: int, before: int = i) -> None:
            tell(file, before * of + done, len(items) * of)

        outcomes.append(develop_one(project, item, tell_all))
    return tuple(outcomes)


def part_items(project: Project, name: str) -> tuple[Item, ...]:
    """Return what a part file stands for: the part, its variants, its other hand."""
    return items_of(project.parts_folder / f"{name}.toml")


def made_json(project: Project, name: str) -> Json:
    """Return what has been made of a part, and whether it is what its file says now."""
    files: list[Json] = []
    stale = made = 0
    for item in part_items(project, name):
        folder = project.out / item.name
        kept = kept_outputs(project, item)
        made += kept is not None
        stale += kept is None and (folder / "made.json").is_file()
        for file in kept.files if kept else ():
            path = folder / file
            address = f"/out/{quote(item.name)}/{quote(file)}"
            files.append({"name": file, "address": address, "size": _size(path)})
    word = ""
    if stale:
        word = "The files made before are out of date: the part, its sheet or the shop changed."
    elif not made:
        word = "No files have been made of this part yet."
    return {"files": files, "word": word, "stale": bool(stale)}


def rack_word(project: Project, name: str) -> str:
    """Return how a part's files stand to its file now, in a few words; empty for none."""
    made = made_json(project, name)
    if made["stale"]:
        return "files out of date"
    return "files made" if made["files"] else ""


def _size(path: Path) -> str:
    size = path.stat().st_size
    return f"{size / 1024:.0f} kB" if size >= 1024 else f"{size} bytes"
