"""A part drawn elsewhere brought in: looked at, asked about, then kept as a part file."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from blankwright.base.errors import BadInput, BlankwrightError, FileProblem, Problem
from blankwright.jobs.bring_in_asked import Asked, Candidate
from blankwright.jobs.bring_in_dxf import look_at_dxf
from blankwright.jobs.bring_in_step import Refused, look_at_step
from blankwright.jobs.part_state import PartState, state_of
from blankwright.jobs.project import Project
from blankwright.jobs.shapes import part_name

if TYPE_CHECKING:
    from blankwright.develop.coupons import Coupons

FOLDER = "drawings"
"""Where a project keeps drawings that were brought in from outside it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtIn:
    """A drawing that was looked at.

    Args:
        file: its name
        kind: ``DXF`` or ``STEP``
        drawing: how part files name it, from the folder that they are in
        data: what it holds
        candidates: parts that may be made from it
        refused: solids that are no sheet parts, and why
    """

    file: str
    kind: str
    drawing: str
    data: bytes
    candidates: tuple[Candidate, ...]
    refused: tuple[Refused, ...] = ()


def read_drawing(path: Path) -> bytes:
    """Return what a drawing holds; one that is too large is not even read.

    Raises:
        FileProblem: when it can't be read
        BadInput: when it is too large
    """
    from blankwright.files.dxf_drawn.opening import MOST_BYTES
    from blankwright.files.dxf_drawn.reading import read_bytes
    from blankwright.files.partfile.source import MOST_STEP_BYTES

    step = path.suffix.lower() in (".step", ".stp")
    return read_bytes(path, MOST_STEP_BYTES if step else MOST_BYTES)


def look_at(
    data: bytes,
    file: str,
    asked: Asked,
    *,
    drawing: str = "",
    coupons: Coupons | None = None,
) -> BroughtIn:
    """Look at a drawing and propose part files; nothing is written.

    Args:
        data: what it holds
        file: its name, for titles and messages
        asked: what the builder states
        drawing: how part files will name it; in the project's folder of drawings when not stated
        coupons: the shop's test strips

    Raises:
        BadInput: when it is no drawing that can be read, or what is stated can't be
    """
    from blankwright.files.dxf_drawn.opening import MOST_BYTES, kind_of, too_large
    from blankwright.files.partfile.source import MOST_STEP_BYTES

    bare = plain_name(file)
    kind = kind_of(data)
    named_step = bare.lower().endswith((".step", ".stp"))
    most = MOST_STEP_BYTES if kind == "step" else MOST_BYTES
    if len(data) > most:
        raise too_large(bare, len(data), most)
    if named_step and kind == "dxf":
        raise BadInput(
            Problem(
                code="BRING-004",
                where=bare,
                got="this is a DXF file, although its name says STEP",
                fix="Give it the ending .dxf and bring it in again",
            )
        )
    where = drawing or f"../{FOLDER}/{bare}"
    title = asked.title or PurePosixPath(bare).stem
    name = asked.name or part_name(title) or "part"
    if part_name(name) != name:
        raise BadInput(
            Problem(
                code="BRING-003",
                where="name",
                got=f"`{name}` can't be the name of a part",
                allowed="small letters, digits and hyphens",
                fix=f"Such as {part_name(name) or 'bracket'}",
            )
        )
    if (kind == "step" and not bare.lower().endswith(".dxf")) or named_step:
        candidates, refused = look_at_step(data, where, name, title, asked)
        kind = "STEP"
    else:
        candidates, refused = (look_at_dxf(data, where, name, title, asked),), ()
        kind = "DXF"
    return BroughtIn(
        file=bare,
        kind=kind,
        drawing=where,
        data=data,
        candidates=tuple(_tried(c, where, data, coupons) for c in candidates),
        refused=refused,
    )


def plain_name(file: str) -> str:
    """Return the name of a file without folders and without signs that file systems dislike."""
    bare = PurePosixPath(file.replace("\\", "/")).name
    stem, ending = PurePosixPath(bare).stem, PurePosixPath(bare).suffix.lower()
    return (re.sub(r"[^\w .()+-]+", "-", stem).strip(" .-") or "drawing") + ending


def _tried(candidate: Candidate, drawing: str, data: bytes, coupons: Coupons | None) -> Candidate:
    """Read a proposed part file as it would be read later, and say what comes of it."""
    if candidate.questions or candidate.problems:
        return candidate
    try:
        state = _state(candidate.text, candidate.name, {drawing: data}, coupons)
    except BlankwrightError as error:
        return replace(candidate, problems=error.problems)
    return replace(candidate, findings=state.findings, blank_size=state.blank.size)


def _state(text: str, name: str, drawings: dict[str, bytes], coupons: Coupons | None) -> PartState:
    from blankwright.files.partfile import read_part_text

    return state_of(read_part_text(text, name, drawings=drawings, coupons=coupons), coupons)


def drawing_for(project: Project, path: Path) -> str:
    """Return how part files name a drawing: where it lies, or where its copy will.

    Args:
        project: the project
        path: the drawing
    """
    full, root = path.resolve(), project.root.resolve()
    if full.is_relative_to(root):
        return f"../{full.relative_to(root).as_posix()}"
    return f"../{FOLDER}/{plain_name(path.name)}"


def _write_part(path: Path, text: str) -> None:
    from blankwright.files.whole import write_whole

    write_whole(path, text.encode("utf-8"))


def keep(
    project: Project,
    brought: BroughtIn,
    write: Callable[[Path, str], object] = _write_part,
) -> tuple[str, ...]:
    """Write part files for what was looked at, and the drawing where it is not in the project yet.

    Args:
        project: the project
        brought: what was looked at, every question answered
        write: writes a part file; the page has its own way, which can be taken back

    Returns:
        The names of the parts.

    Raises:
        BadInput: BRING-001 when something is still to be stated, BRING-002 when there is such a
            part or drawing already; nothing is written then
        FileProblem: when a file can't be written
    """
    from blankwright.files.whole import write_whole

    if not brought.candidates:
        raise BadInput(*(problem for _, problems in brought.refused for problem in problems))
    problems = [problem for c in brought.candidates for problem in c.problems]
    for candidate in brought.candidates:
        for question in candidate.questions:
            problems.append(
                Problem(
                    code="BRING-001",
                    where=f"{brought.file}, {question.key}",
                    got=question.ask.rstrip("?. "),
                    allowed=f"an answer such as {question.example}",
                    fix="State it and bring the drawing in again; it is never guessed",
                )
            )
        path = project.parts_folder / f"{candidate.name}.toml"
        if path.exists():
            problems.append(
                Problem(
                    code="BRING-002",
                    where=str(path),
                    got="there is a part of this name already",
                    fix="Give the new one another name, or take the changed drawing for the old"
                    " one: --again",
                )
            )
    target = (project.parts_folder / brought.drawing).resolve()
    if target.exists() and target.read_bytes() != brought.data:
        problems.append(
            Problem(
                code="BRING-002",
                where=str(target),
                got="there is another drawing of this name already",
                fix="Give the drawing another name, or take it for the old one: --again",
            )
        )
    if problems:
        raise BadInput(*problems)
    project.parts_folder.mkdir(parents=True, exist_ok=True)
    if not target.exists():
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise FileProblem(
                Problem(
                    code="FILE-001",
                    where=str(target.parent),
                    got=f"the folder can't be made ({error.strerror or error})",
                )
            ) from error
        write_whole(target, brought.data)
    for candidate in brought.candidates:
        write(project.parts_folder / f"{candidate.name}.toml", candidate.text)
    return tuple(candidate.name for candidate in brought.candidates)


@dataclass(frozen=True, slots=True, kw_only=True)
class Renewed:
    """A part whose drawing was taken anew.

    Args:
        name: name of the part
        changed: whether the drawing had changed
        state: the part as the drawing has it now; nothing when it can't be made of it
        problems: why not
    """

    name: str
    changed: bool
    state: PartState | None = None
    problems: tuple[Problem, ...] = ()


def bring_again(
    project: Project, path: Path, *, write: bool, coupons: Coupons | None = None
) -> tuple[Renewed, ...]:
    """Take a changed drawing for every part that is taken from it.

    Args:
        project: the project
        path: the drawing, where part files look for it or anywhere with the same name
        write: whether to write; else only what would come of it is told
        coupons: the shop's test strips

    Returns:
        What became of each part. Where one can't be made of the new drawing nothing is written.

    Raises:
        FileProblem: when the drawing can't be read, BRING-005 when no part is taken from it
    """
    from blankwright.files.partfile import editing
    from blankwright.files.whole import write_as_before, write_whole

    data = read_drawing(path)
    mark = hashlib.sha256(data).hexdigest()
    found = list(_taken_from(project, path))
    if not found:
        raise FileProblem(
            Problem(
                code="BRING-005",
                where=str(path),
                got="no part of this project is taken from it",
                fix="Leave out --again to bring it in",
            )
        )
    renewed: list[Renewed] = []
    texts: list[tuple[Path, str, str]] = []
    for part, text, drawing, old in found:
        new = text
        if old != mark:
            new = editing.set_value(text, "source.sha256", mark, checked=False)
        texts.append((part, text, new))
        try:
            state = _state(new, part.stem, {drawing: data}, coupons)
            renewed.append(Renewed(name=part.stem, changed=old != mark, state=state))
        except BlankwrightError as error:
            renewed.append(Renewed(name=part.stem, changed=old != mark, problems=error.problems))
    if write and all(not one.problems for one in renewed):
        for drawing in sorted({drawing for _, _, drawing, _ in found}):
            target = (project.parts_folder / drawing).resolve()
            if not target.exists() or target.read_bytes() != data:
                write_whole(target, data)
        for part, _, new in texts:
            write_as_before(part, new)
    return tuple(renewed)


def _taken_from(project: Project, path: Path) -> Sequence[tuple[Path, str, str, str]]:
    """Return the part files taken from a drawing: path, text, the drawing's name, its old mark."""
    import tomllib

    result: list[tuple[Path, str, str, str]] = []
    for part in project.part_files:
        try:
            text = part.read_text(encoding="utf-8-sig")
            source = tomllib.loads(text).get("source")
        except (OSError, ValueError):
            continue
        if not isinstance(source, dict) or not isinstance(source.get("file"), str):
            continue
        drawing = source["file"]
        there = (part.parent / drawing).resolve()
        if there == path.resolve() or there.name == path.name:
            result.append((part, text, drawing, str(source.get("sha256", ""))))
    return result


def part_file_text(data: bytes, name: str, folder: Path) -> str:
    """Return the text of a part file that is brought in as it is.

    Args:
        data: what it holds
        name: what messages call it
        folder: where it will be

    Raises:
        BadInput: with every problem of it
    """
    from blankwright.files.partfile import read_part_text

    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(
            Problem(
                code="PART-012",
                where=name,
                got=f"byte {data[error.start]:#04x} is no UTF-8 text",
                allowed="a plain text file in UTF-8",
                fix="Save the file as UTF-8 in your editor",
            )
        ) from error
    read_part_text(text, PurePosixPath(name).stem, folder=folder)
    return text
