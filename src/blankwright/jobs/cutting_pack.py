"""The job of packing: choose stock for parts, lay them on it, keep the layout and its pictures."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from blankwright.base.errors import NotPossible, Problem
from blankwright.base.findings import Finding, Level
from blankwright.base.units import show_mm
from blankwright.cutting.holding import WEB
from blankwright.cutting.offcuts import offcuts_of
from blankwright.cutting.packer import Search, pack
from blankwright.cutting.packing import PackedSheet, Packing, PackPart, PackSettings
from blankwright.cutting.packing_check import check_packing
from blankwright.cutting.sheet_drawing import sheet_drawing, sheet_page
from blankwright.cutting.stock import StockSheet
from blankwright.drawing.pages import Page
from blankwright.drawing.paper import paper_named
from blankwright.files.layoutfile import NAME as LAYOUT
from blankwright.files.layoutfile import laid_of, layout_text, read_layout
from blankwright.files.packing_lib import SpyrrowStrip
from blankwright.files.pdf_out import pages_pdf
from blankwright.files.rackfile import NAME as RACK
from blankwright.files.rackfile import free_names, rack_after, read_rack, write_rack
from blankwright.files.shopfile import NAME as SHOP
from blankwright.files.shopfile import ShopFile, read_shop
from blankwright.files.shopfile_machine import (
    cut_settings_of,
    pack_settings_of,
    usual_gap,
)
from blankwright.files.svg_out import drawing_svg
from blankwright.files.whole import write_whole
from blankwright.jobs.cutting_parts import ToCut, blanks_to_cut, grain_notes, pack_parts
from blankwright.jobs.project import Project


@dataclass(frozen=True, slots=True, kw_only=True)
class PackAsk:
    """What is to be packed, and how long to try.

    Args:
        names: of parts or items; none means all
        copies: how many of an item, where it is not one
        on: name of the only stock to use, whatever its alloy, for templates; empty for all
        seconds: time to try for better packings [s]; 0 takes the first filling
        seed: start of the random numbers; nothing for the shop file's
    """

    names: tuple[str, ...] = ()
    copies: Mapping[str, int]
    on: str = ""
    seconds: float = 20.0
    seed: int | None = None


@dataclass(frozen=True, kw_only=True)
class PackResult:
    """What came of it.

    Args:
        sheets: packed sheets
        offcuts: of each sheet, in the same order
        left: parts without room
        findings: of the check, and notes
        files: what was written
        seed: start of the random numbers [-]
    """

    sheets: tuple[PackedSheet, ...]
    offcuts: tuple[tuple[StockSheet, ...], ...]
    left: tuple[str, ...]
    findings: tuple[Finding, ...]
    files: tuple[Path, ...]
    seed: int


Tell = Callable[[float, Packing, str], None]
"""Told seconds gone, the best packing so far of the stock at hand, and what made it better."""


def sheets_folder(project: Project) -> Path:
    """Where layouts and sheet drawings go."""
    return project.out / "sheets"


def pack_project(
    project: Project,
    ask: PackAsk,
    *,
    tell: Tell = lambda gone, packing, what: None,
    stopped: Callable[[], bool] = lambda: False,
) -> PackResult:
    """Pack the parts of a project on its rack and write the layout.

    Args:
        project: where all is
        ask: what is wanted
        tell: told of each better packing
        stopped: asked often; when it says yes, the best packing so far is kept

    Raises:
        BadInput: when a file is wrong
        NotPossible: when a part's check says stop, or there is no stock for any part
    """
    shop = read_shop(project.root / SHOP)
    settings = pack_settings_of(shop)
    if ask.seed is not None:
        from dataclasses import replace

        settings = replace(settings, seed=ask.seed)
    rack = read_rack(project.root / RACK)
    to_cut = blanks_to_cut(project, ask.names, ask.copies)
    groups = _groups(to_cut, rack, ask.on)
    sheets: list[PackedSheet] = []
    left: list[PackPart] = []
    findings: list[Finding] = []
    begin = time.monotonic()
    for number, (group, stock) in enumerate(groups, start=1):
        parts = [part for part, _ in pack_parts(group)]
        # Each group gets its share of the time, by the clock from the start.
        end = begin + ask.seconds * number / len(groups)

        def over(end: float = end) -> bool:
            return stopped() or time.monotonic() >= end

        strip = SpyrrowStrip(seconds=_slice(ask, groups), stop=over)
        search = Search(
            strip=None if ask.seconds <= 0 else strip,
            stop=over,
            tell=lambda packing, what: tell(time.monotonic() - begin, packing, what),
        )
        packing = pack(parts, stock, settings, search)
        findings.extend(check_packing(packing, parts, settings))
        findings.extend(_complaints(strip))
        sheets.extend(packing.sheets)
        left.extend(packing.left)
    findings.extend(grain_notes(to_cut))
    findings.extend(_narrow_gap(shop, settings))
    files: list[Path] = []
    if not any(finding.blocks for finding in findings):
        files = _write(project, sheets, to_cut, settings)
    return PackResult(
        sheets=tuple(sheets),
        offcuts=tuple(tuple(o for o, _ in offcuts_of(s, settings)) for s in sheets),
        left=tuple(part.name for part in left),
        findings=tuple(findings),
        files=tuple(files),
        seed=settings.seed,
    )


def _complaints(strip: SpyrrowStrip) -> list[Finding]:
    return [
        Finding(
            code="PACK-010",
            level=Level.NOTE,
            place="packing library",
            got=f"it broke off {len(strip.complaints)} times: {strip.complaints[0]}",
            fix="The packing is sound without it; send us this message",
        )
        for _ in strip.complaints[:1]
    ]


def _narrow_gap(shop: ShopFile, settings: PackSettings) -> list[Finding]:
    """Say so when two cuts side by side leave no metal between blanks for tabs to end in."""
    if "machine" not in shop.tables or cut_settings_of(shop).tab_count == 0:
        return []
    need = usual_gap(shop)
    if settings.gap >= need - WEB / 2 - 1e-9:
        return []
    return [
        Finding(
            code="PACK-017",
            level=Level.NOTE if settings.gap >= need / 2 else Level.ASK,
            place="packing",
            got=f"blanks lie {show_mm(settings.gap)} apart",
            limit=f"{show_mm(need)}: two widths of the router bit and a web",
            source="so that tabs between neighbours end in metal; common practice, no source",
            fix="State a larger gap, or expect tabs only where there is waste beyond the cut",
        )
    ]


def _slice(ask: PackAsk, groups: Sequence[object]) -> int:
    return max(1, min(5, round(ask.seconds / 4 / max(1, len(groups)))))


def _groups(
    to_cut: Sequence[ToCut], rack: Sequence[StockSheet], on: str
) -> list[tuple[list[ToCut], list[StockSheet]]]:
    """Sort parts by what they are cut from, each with the stock that fits."""
    if on:
        stock = [sheet for sheet in rack if sheet.name == on]
        if not stock:
            raise NotPossible(_no_stock(f"stock {on}", "the rack has no such entry", rack))
        return [(list(to_cut), stock)]
    groups: list[tuple[list[ToCut], list[StockSheet]]] = []
    problems: list[Problem] = []
    for each in to_cut:
        for group, _ in groups:
            same = group[0].blank
            if same.alloy == each.blank.alloy and same.thickness == each.blank.thickness:
                group.append(each)
                break
        else:
            blank = each.blank
            stock = [sheet for sheet in rack if sheet.fits(blank.alloy, blank.thickness)]
            if not stock:
                got = f"the rack has no {blank.alloy} of {show_mm(blank.thickness, 3)}"
                problems.append(_no_stock(each.name, got, rack))
            groups.append(([each], stock))
    if problems:
        raise NotPossible(*problems)
    return groups


def _no_stock(where: str, got: str, rack: Sequence[StockSheet]) -> Problem:
    has = "; ".join(f"{s.name}: {s.alloy}, {show_mm(s.thickness, 3)}" for s in rack)
    return Problem(
        code="PACK-015",
        where=where,
        got=got,
        allowed=has or "nothing is on the rack yet",
        fix=f"Enter the sheet in {RACK}, or name the stock to lay it on (--on)",
    )


def _write(
    project: Project,
    sheets: Sequence[PackedSheet],
    to_cut: Sequence[ToCut],
    settings: PackSettings,
) -> list[Path]:
    folder = sheets_folder(project)
    folder.mkdir(parents=True, exist_ok=True)
    items = {part.name: item for part, item in pack_parts(to_cut)}
    files: list[Path] = []
    for old in folder.glob("*.svg"):
        old.unlink()  # pictures of an earlier layout
    paper = paper_named("A3" if paper_named(project.paper).is_roll else project.paper)
    pages: list[Page] = []
    for number, packed in enumerate(sheets, start=1):
        offcuts = offcuts_of(packed, settings)
        path = folder / f"{file_name(packed.title)}.svg"
        write_whole(path, drawing_svg(sheet_drawing(packed, offcuts)))
        files.append(path)
        pages.append(sheet_page(packed, offcuts, (paper.width, paper.length), str(number)))
    if pages:
        picture = folder / "sheets.pdf"
        write_whole(picture, pages_pdf(pages, f"{project.title}: sheets to cut"))
        files.append(picture)
    layout = folder / LAYOUT
    write_whole(layout, layout_text([laid_of(packed, items) for packed in sheets]).encode())
    read_layout(layout)
    return [*files, layout]


def file_name(title: str) -> str:
    """Return a title as a file name: letters, digits and hyphens."""
    plain = "".join(c if c.isalnum() else "-" for c in title.lower())
    return "-".join(word for word in plain.split("-") if word) or "sheet"


def take_from_rack(project: Project, titles: Sequence[str]) -> tuple[str, ...]:
    """Take cut sheets off the rack and out of the layout, and put their offcuts on the rack.

    Args:
        project: where all is
        titles: of the sheets that were cut; none means all of the layout

    Returns:
        names of the offcuts that went back

    Raises:
        FileProblem: when there is no layout
        BadInput: when a title is none of the layout's, or a file is wrong
    """
    from blankwright.jobs.cutting_machine import laid_sheets

    settings = pack_settings_of(read_shop(project.root / SHOP))
    path = project.root / RACK
    laid = laid_sheets(project, titles)
    offcuts = [o for sheet in laid for o, _ in offcuts_of(sheet.packed, settings)]
    used: dict[str, int] = {}
    for sheet in laid:
        used[sheet.packed.sheet.name] = used.get(sheet.packed.sheet.name, 0) + 1
    kept = [sheet.name for sheet in read_rack(path) if used.get(sheet.name, 0) < sheet.count]
    named = free_names(offcuts, kept)
    text = rack_after(path.read_text(encoding="utf-8-sig"), tuple(used.items()), named)
    write_rack(path, text)
    layout = sheets_folder(project) / LAYOUT
    rest = [sheet for sheet in read_layout(layout) if titles and sheet.title not in titles]
    write_whole(layout, layout_text(rest).encode())
    return tuple(offcut.name for offcut in named)
