"""The files of one part: made, proved and kept as a set, or not at all."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

from blankwright.base.findings import Finding, Level
from blankwright.files.whole import write_whole
from blankwright.jobs.items import Item, drawing_of
from blankwright.jobs.part_state import PartState, state_of
from blankwright.jobs.project import Project
from blankwright.jobs.shop_coupons import coupons_of

LIST = "made.json"
"""The list of what is in a part's folder; written last, so that a folder without it is stale."""

KEPT_BACK = "not-made.txt"
"""Says why there are no files, when a check says stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What became of one item.

    Args:
        name: name of the item
        folder: where its files are
        files: names of its files
        unchanged: whether they were there already and nothing had changed
        findings: what the checks found, now or when its unchanged files were made
        blocked: whether a `stop` kept the files from being written
    """

    name: str
    folder: Path
    files: tuple[str, ...]
    unchanged: bool = False
    findings: tuple[Finding, ...] = ()
    blocked: bool = False


Tell = Callable[[str, int, int], None]
"""Told the name of each file as it is begun, how many are done, and how many there are."""


def _quiet(file: str, done: int, of: int) -> None:
    """Tell nobody."""


def make_outputs(project: Project, item: Item, tell: Tell = _quiet) -> Made:
    """Make all files of one item, unless nothing has changed since they were made.

    Every file is proved in memory before the first is written.

    Args:
        project: where
        item: what
        tell: told the name of each file as it is begun

    Raises:
        BadInput: with every problem of the part file
        NotPossible: when the part can't be developed
        FileProblem: when a file can't be read or written
        OurBug: when a file fails its proof; nothing is written then
    """
    folder = project.out / item.name
    key = input_key(project, item)
    kept = _kept(folder, key)
    if kept is not None:
        return kept
    state = state_of(item.read(), coupons_of(project))
    if state.blocked:
        _keep_back(folder, state)
        return Made(name=item.name, folder=folder, files=(), findings=state.findings, blocked=True)
    files = files_of(project, item, state, tell)
    write_set(folder, key, files, state.findings)
    return Made(name=item.name, folder=folder, files=tuple(files), findings=state.findings)


def files_of(
    project: Project, item: Item, state: PartState, tell: Tell = _quiet
) -> dict[str, bytes]:
    """Return the proved files of one item by name; nothing is written.

    Raises:
        OurBug: when a file fails its proof
    """
    # Kernel and print libraries load here, when they are first needed.
    from blankwright.files.glb import formed_glb
    from blankwright.files.kernel import formed_step, formed_views
    from blankwright.files.outputs import blank_dxf, blank_pdf, blank_svg, paper_model_pdf
    from blankwright.files.traveler import traveler_pdf
    from blankwright.jobs.holes_rows import hole_sections
    from blankwright.jobs.prints import print_setup
    from blankwright.jobs.result import result_json

    part, blank, name = state.part, state.blank, item.name
    title = part.title or name
    setup = print_setup(project)
    lines = (part.drawing,) if part.drawing else ()
    makers: dict[str, Callable[[], bytes]] = {
        f"{name}-blank.dxf": lambda: blank_dxf(blank, title),
        f"{name}-blank.svg": lambda: blank_svg(blank, title),
        f"{name}-blank.pdf": lambda: blank_pdf(blank, title, setup, lines=lines),
        f"{name}-paper-model.pdf": lambda: paper_model_pdf(part, blank, setup),
        f"{name}-formed.step": lambda: formed_step(state.formed, name, title),
        f"{name}-formed.glb": lambda: formed_glb(state.formed, name),
        f"{name}-result.json": lambda: result_json(state),
        f"{name}-traveler.pdf": lambda: traveler_pdf(
            part,
            blank,
            state.formed,
            state.findings,
            state.trail,
            formed_views(state.formed),
            setup,
            hole_sections(state, project),
        ),
    }
    files: dict[str, bytes] = {}
    for done, (file, make) in enumerate(makers.items()):
        tell(file, done, len(makers))
        files[file] = make()
    return files


def write_set(
    folder: Path, key: str, files: Mapping[str, bytes], findings: Sequence[Finding]
) -> None:
    """Put a set of files in place of the one before; the list goes last.

    Files that are not on the list of the set before are someone else's: they stay.

    Raises:
        FileProblem: when one can't be written; the folder then has no list and counts as stale
    """
    folder.mkdir(parents=True, exist_ok=True)
    _clear(folder, keep=files)
    for name, data in files.items():
        write_whole(folder / name, data)
    made = {
        "input": key,
        "files": {name: hashlib.sha256(data).hexdigest() for name, data in files.items()},
        "sizes": {name: len(data) for name, data in files.items()},
        "findings": [asdict(f) | {"level": f.level.value} for f in findings],
    }
    write_whole(folder / LIST, (json.dumps(made, indent=1) + "\n").encode("utf-8"))


def kept_outputs(project: Project, item: Item) -> Made | None:
    """Return an item's files when they are those that its part file makes now, else nothing."""
    return _kept(project.out / item.name, input_key(project, item))


def input_key(project: Project, item: Item) -> str:
    """Return a mark of everything an item's files depend on: part, coupons, project, program."""
    mark = hashlib.sha256(program_mark().encode())
    drawing = drawing_of(item.path)
    # The shop's drills are on the travelers of riveted parts; templates take holes from parts.
    inputs = [
        item.path,
        project.coupon_file,
        project.root / "blankwright.toml",
        project.root / "shop.toml",
        *(project.part_files if item.is_template else ()),
    ]
    for path in inputs if drawing is None else [*inputs, drawing]:
        data = path.read_bytes() if path.is_file() else b""
        mark.update(len(data).to_bytes(8, "big") + data)
    mark.update(f"{item.variant}/{item.hand}".encode())
    return mark.hexdigest()


@cache
def program_mark() -> str:
    """Return a mark of the program itself: of every source file and table in the package."""
    root = Path(__file__).parent.parent
    mark = hashlib.sha256()
    for path in sorted(p for p in root.rglob("*") if p.suffix in (".py", ".toml")):
        mark.update(path.read_bytes())
    return mark.hexdigest()


def _kept(folder: Path, key: str) -> Made | None:
    try:
        made = json.loads((folder / LIST).read_text(encoding="utf-8"))
        listed = (folder / LIST).stat().st_mtime_ns
        sizes: dict[str, int] = made["sizes"]
        if made["input"] != key:
            return None
        for name, size in sizes.items():
            state = (folder / name).stat()
            if state.st_size != size:
                return None
            # The list is written last: a file touched after it is looked at in full.
            if state.st_mtime_ns > listed and _mark(folder / name) != made["files"][name]:
                return None
        findings = tuple(_finding(row) for row in made["findings"])
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return Made(
        name=folder.name, folder=folder, files=tuple(sizes), unchanged=True, findings=findings
    )


def _mark(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _finding(row: dict[str, Any]) -> Finding:
    at = row.pop("at")
    level = Level(row.pop("level"))
    return Finding(**row, level=level, at=None if at is None else (at[0], at[1]))


def _keep_back(folder: Path, state: PartState) -> None:
    """Take away files that no longer are what the part file says, and say why."""
    folder.mkdir(parents=True, exist_ok=True)
    _clear(folder, keep={})
    stops = "\n\n".join(str(f) for f in state.findings if f.blocks)
    text = (
        f"No files were made of {state.part.name}: a check says stop.\n\n{stops}\n\n"
        "Mend the part file, or let a stop pass by a written reason in it:\n\n"
        f'[overrides]\n"{next(f.code for f in state.findings if f.blocks)}" = "why it is safe"\n'
    )
    write_whole(folder / KEPT_BACK, text.encode("utf-8"))


def _clear(folder: Path, keep: Mapping[str, bytes]) -> None:
    """Remove the list and those files of ours that will not be written again."""
    try:
        ours = json.loads((folder / LIST).read_text(encoding="utf-8"))["sizes"]
    except (OSError, ValueError, KeyError):
        ours = {}
    for name in (LIST, KEPT_BACK, *(n for n in ours if n not in keep)):
        (folder / Path(name).name).unlink(missing_ok=True)
