"""The project folder: one airplane, or one set of parts.

blankwright.toml   title, paper, the printer's own error
parts/*.toml       one part a file
places/*.toml      what parts go into
coupons.toml       the shop's test strips
shop.toml          the shop's tools
out/               what is made, one folder a part
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from blankwright.base.errors import BadInput, FileProblem, Problem
from blankwright.drawing.paper import PAPERS as KNOWN_PAPERS

FILE = "blankwright.toml"
PAPERS = tuple(paper.name for paper in KNOWN_PAPERS.values())

_NEW = """\
# Blankwright project: what holds for every part in this folder.
title = {title}
paper = "{paper}"        # paper of the printer: A4, A3, Letter, Legal, Tabloid, or "roll 24 in"

# The printer's own error. Print any blank, measure its two 100 mm scale bars with a steel rule,
# and enter what they measure; prints are corrected by it from then on.
[printer]
across_100 = "100.0 mm"
down_100 = "100.0 mm"
"""


@dataclass(frozen=True)
class Project:
    """A project folder.

    Args:
        root: the folder
        title: as typed
        paper: paper of the printer
        across_100: what a printed 100 mm bar across the page measures [mm]
        down_100: what a printed 100 mm bar down the page measures [mm]
    """

    root: Path
    title: str
    paper: str = "A4"
    across_100: float = 100.0
    down_100: float = 100.0

    @property
    def parts_folder(self) -> Path:
        """Where part files are."""
        return self.root / "parts"

    @property
    def out(self) -> Path:
        """Where what is made goes."""
        return self.root / "out"

    @property
    def coupon_file(self) -> Path:
        """Where the shop's test strips are written down."""
        return self.root / "coupons.toml"

    @cached_property
    def part_files(self) -> tuple[Path, ...]:
        """Part files, sorted by name."""
        return tuple(sorted(self.parts_folder.glob("*.toml")))


def find_project(start: Path) -> Project:
    """Open the project that a folder or file is in, looking upward.

    Raises:
        FileProblem: when no folder upward has a `blankwright.toml`
        BadInput: when that file is wrong
    """
    folder = start.resolve()
    for candidate in (folder, *folder.parents):
        if (candidate / FILE).is_file():
            return open_project(candidate)
    raise FileProblem(
        Problem(
            code="PROJECT-001",
            where=str(start),
            got=f"neither this folder nor one above it has a {FILE}",
            fix="Go to the project's folder, or make one: blankwright start FOLDER",
        )
    )


def open_project(root: Path) -> Project:
    """Open a project folder.

    Raises:
        BadInput: with every problem of its file
        FileProblem: when the file can't be read
    """
    from blankwright.base.quantities import BadText, read_quantity

    path = root / FILE
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadInput(_wrong(path, f"it is not valid TOML: {error}", "Mend that line")) from error
    except OSError as error:
        raise FileProblem(_wrong(path, f"it can't be read: {error.strerror}", "")) from error
    problems: list[Problem] = []
    printer = data.pop("printer", {})
    title = data.pop("title", root.name)
    paper = data.pop("paper", "A4")
    if paper not in PAPERS:
        problems.append(_wrong(path, f"paper is {paper!r}", f"Write one of {', '.join(PAPERS)}"))
    bars: dict[str, float] = {}
    for key in ("across_100", "down_100"):
        text = printer.pop(key, "100 mm") if isinstance(printer, dict) else None
        try:
            quantity = read_quantity(text)  # type: ignore[arg-type]
            bars[key] = quantity.value
            if quantity.kind != "length" or not 90 <= quantity.value <= 110:
                raise TypeError(text)
        except (BadText, TypeError, AttributeError):
            got = f"printer.{key} is {text!r}"
            problems.append(_wrong(path, got, "Write a length of 90 to 110 mm in quotes"))
    known = ("title, paper, printer", "across_100, down_100")
    for key in data:
        problems.append(_wrong(path, f"{key} is not known here", f"Allowed: {known[0]}"))
    for key in printer if isinstance(printer, dict) else ():
        problems.append(_wrong(path, f"printer.{key} is not known here", f"Allowed: {known[1]}"))
    if problems:
        raise BadInput(*problems)
    return Project(root=root, title=str(title), paper=paper, **bars)


def start_project(root: Path, title: str = "", paper: str = "A4") -> Project:
    """Make a project folder; what is there already is left as it is.

    Raises:
        FileProblem: when the folder is a project already, or can't be made
    """
    from blankwright.files.whole import write_whole

    path = root / FILE
    if path.exists():
        raise FileProblem(
            _wrong(path, "this folder is a project already", "Open it: blankwright page")
        )
    try:
        for folder in (root / "parts", root / "places"):
            folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileProblem(
            _wrong(root, f"the folder can't be made: {error.strerror}", "Choose another place")
        ) from error
    # A JSON text is a TOML text too: quotes and backslashes of the title come back as typed.
    title_text = json.dumps(title or root.resolve().name, ensure_ascii=False)
    text = _NEW.format(title=title_text, paper=paper)
    write_whole(path, text.encode("utf-8"))
    return open_project(root)


def _wrong(path: Path, got: str, fix: str) -> Problem:
    return Problem(code="PROJECT-003", where=str(path), got=got, fix=fix)
