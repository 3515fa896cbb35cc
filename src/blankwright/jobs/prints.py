"""How this project's printer is set up, and full-size prints of its parts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from blankwright.base.errors import BadInput, NotPossible, Problem
from blankwright.base.quantities import BadText, read_quantity
from blankwright.base.units import fixed
from blankwright.drawing.paper import PAPERS, PrinterError, PrintSetup, paper_named
from blankwright.files.whole import as_before, write_whole
from blankwright.jobs.items import Item
from blankwright.jobs.project import FILE, Project, open_project

_BAR = 100.0

FOLDER: Final = "prints"
"""Folder under `out` that single prints go into."""

KINDS: Final[Mapping[str, str]] = {
    "full": "Blank, all lines and notes",
    "outline": "Thin outline, to glue on metal and cut",
    "punch": "Centre-punch crosses, to punch through",
    "paper-model": "Paper model, to fold up",
}
"""What can be printed of a part, in a builder's words."""

PAPER_NAMES: Final = tuple(paper.name for paper in PAPERS.values())


def print_setup(project: Project, paper: str = "") -> PrintSetup:
    """Return paper and printer error of a project.

    Args:
        project: whose printer
        paper: another paper than the project's

    Raises:
        BadInput: when there is no such paper, or the printer is off by more than 5 %
    """
    return PrintSetup(
        paper=paper_named(paper or project.paper),
        printer=PrinterError.measured(
            across=(_BAR, project.across_100), along=(_BAR, project.down_100)
        ),
    )


def print_part(project: Project, item: Item, kind: str, paper: str) -> Path:
    """Make one full-size print of a part and keep it under `out`.

    Args:
        project: where
        item: the part, variant and hand
        kind: one of `KINDS`
        paper: name of the paper

    Raises:
        BadInput: with every problem of the part file, or when there is no such kind or paper
        NotPossible: when a check says stop (PAGE-014), or it takes too many pages
        OurBug: when the print fails its proof; nothing is written then
    """
    from blankwright.drawing.blank_drawing import BlankLook, Marking
    from blankwright.files.outputs import blank_pdf, paper_model_pdf
    from blankwright.jobs.part_state import state_of
    from blankwright.jobs.shop_coupons import coupons_of

    if kind not in KINDS:
        raise BadInput(_no_kind(kind))
    setup = print_setup(project, paper)
    state = state_of(item.read(), coupons_of(project))
    if state.blocked:
        raise NotPossible(_stopped(item.name))
    if kind == "paper-model":
        data = paper_model_pdf(state.part, state.blank, setup)
    else:
        marking = {"full": Marking.FULL, "outline": Marking.OUTLINE, "punch": Marking.PUNCH}[kind]
        look = BlankLook(marking=marking, center_lines=False)
        lines = (state.part.drawing,) if state.part.drawing else ()
        title = state.part.title or item.name
        data = blank_pdf(state.blank, title, setup, look=look, lines=lines)
    return _keep(project, f"{item.name}-{kind}-{_word(setup.paper.name)}.pdf", data)


def print_check_sheet(project: Project, paper: str) -> Path:
    """Make the sheet that the printer's own error is measured on, and keep it under `out`.

    Raises:
        BadInput: when there is no such paper
    """
    from blankwright.files.outputs import check_sheet_pdf

    setup = print_setup(project, paper)
    plain = PrintSetup(paper=setup.paper)
    return _keep(project, f"check-sheet-{_word(setup.paper.name)}.pdf", check_sheet_pdf(plain))


def prints_made(project: Project) -> tuple[Path, ...]:
    """Return the prints that are kept, sorted by name."""
    return tuple(sorted((project.out / FOLDER).glob("*.pdf")))


def with_printer(project: Project, measured: Mapping[str, tuple[str, str]]) -> str:
    """Return the text of a project's file with the printer's own error as measured.

    Byte-order mark and line ends are the file's own.

    Args:
        project: whose printer
        measured: ``across`` and ``down``: how long a line should be and how long it is, as typed;
            one whose two texts are both empty stays as it is

    Raises:
        BadInput: when a text is no length, or the printer is off by more than 5 %
    """
    path = project.root / FILE
    before = path.read_bytes()
    text = before.decode("utf-8-sig").replace("\r\n", "\n")
    problems: list[Problem] = []
    for way, (asked, got) in measured.items():
        if not (asked.strip() or got.strip()):
            continue
        lengths = [_length(way, word, problems) for word in (asked, got)]
        if problems:
            continue
        scale = PrinterError.measured(across=(lengths[0], lengths[1]), along=(_BAR, _BAR)).across
        text = _with_bar(text, f"{way}_100", f"{fixed(_BAR * scale, 3)} mm")
    if problems:
        raise BadInput(*problems)
    return as_before(text, before).decode("utf-8")


def keep_printer(project: Project, measured: Mapping[str, tuple[str, str]]) -> None:
    """Write the printer's own error as measured into the project's file. See `with_printer`."""
    write_whole(project.root / FILE, with_printer(project, measured).encode("utf-8"))


def reopened(project: Project) -> Project:
    """Return a project as its file says now. Raises as `open_project`."""
    return open_project(project.root)


def _length(way: str, typed: str, problems: list[Problem]) -> float:
    try:
        quantity = read_quantity(typed)
        if quantity.kind == "length" and quantity.value > 0:
            return quantity.value
    except BadText:
        pass
    problems.append(
        Problem(
            code="PAGE-015",
            where=f"line {way} the paper",
            got=f"{typed!r} is no length" if typed.strip() else "one of the two lengths is missing",
            fix="Write both with their unit, such as 180.0 mm and 179.4 mm",
        )
    )
    return 1.0


def _with_bar(text: str, key: str, value: str) -> str:
    """Return the project file's text with a key of its table `printer` set; comments stay."""
    head = re.search(r"^\[printer\][^\n]*\n", text, flags=re.MULTILINE)
    if head is None:
        return f'{text.rstrip()}\n\n[printer]\n{key} = "{value}"\n'
    begin = head.end()
    following = re.search(r"^\s*\[", text[begin:], flags=re.MULTILINE)
    end = begin + following.start() if following else len(text)
    table = text[begin:end]
    found = re.search(rf"^(\s*{key}\s*=\s*)(\"[^\"\n]*\"|'[^'\n]*')", table, flags=re.MULTILINE)
    if found is None:
        return f'{text[:begin]}{key} = "{value}"\n{text[begin:]}'
    at = (begin + found.start(2), begin + found.end(2))
    return f'{text[: at[0]]}"{value}"{text[at[1] :]}'


def _keep(project: Project, name: str, data: bytes) -> Path:
    path = project.out / FOLDER / name
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, data)
    return path


def _word(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower())


def _no_kind(kind: str) -> Problem:
    return Problem(
        code="PAGE-016", where="print", got=f"there is no print {kind!r}", allowed=", ".join(KINDS)
    )


def _stopped(name: str) -> Problem:
    return Problem(
        code="PAGE-014",
        where=name,
        got="a check says stop, so nothing is printed of it",
        fix="Look at its findings; mend the part, or let the stop pass with a written reason",
    )
