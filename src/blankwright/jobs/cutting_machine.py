"""The job of machine files: from the layout to files that have been replayed and proved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from blankwright.base.errors import BadInput, BlankwrightError, NotPossible, OurBug, Problem
from blankwright.base.findings import Finding, worst_first
from blankwright.base.trail import TrailStep
from blankwright.cutting.feeds import Feeds
from blankwright.cutting.job import CutSettings, SheetJob, part_of_blank
from blankwright.cutting.machine import Machine
from blankwright.cutting.packing import PackedSheet, PackPart, Placement
from blankwright.cutting.planner import plan_work
from blankwright.cutting.program import program_for
from blankwright.cutting.proof import prove, prove_dry_run
from blankwright.cutting.sampled import second_proof
from blankwright.cutting.steps import dry_run
from blankwright.cutting.work import Work
from blankwright.develop.blank import Blank
from blankwright.files.gcode_out import machine_text
from blankwright.files.gcode_read import read_machine_file
from blankwright.files.gcode_second import read_tracks
from blankwright.files.layoutfile import NAME as LAYOUT
from blankwright.files.layoutfile import LaidSheet, fingerprint, read_layout
from blankwright.files.rackfile import NAME as RACK
from blankwright.files.rackfile import read_rack
from blankwright.files.shopfile import NAME as SHOP
from blankwright.files.shopfile import read_shop
from blankwright.files.shopfile_machine import cut_settings_of, machine_of
from blankwright.files.whole import write_whole
from blankwright.jobs.cutting_parts import metal_of, stops_of
from blankwright.jobs.items import chosen
from blankwright.jobs.part_state import state_of
from blankwright.jobs.project import Project
from blankwright.jobs.shop_coupons import coupons_of


@dataclass(frozen=True, kw_only=True)
class LaidOut:
    """A sheet of the layout with its blanks.

    Args:
        packed: sheet and placements
        blanks: blank of each placement, in the same order
    """

    packed: PackedSheet
    blanks: tuple[Blank, ...]


@dataclass(frozen=True, kw_only=True)
class MachineFile:
    """A machine file that has passed its proofs, or what keeps it from being written.

    Args:
        title: of the sheet
        text: the file; empty when it is not to be written
        dry: its dry run; empty likewise
        findings: the worst first
        trail: where speeds and feeds come from
        work: what the file does
    """

    title: str
    text: str
    dry: str
    findings: tuple[Finding, ...]
    trail: tuple[TrailStep, ...]
    work: Work

    @property
    def blocked(self) -> bool:
        """Whether it is not to be written."""
        return any(finding.blocks for finding in self.findings)


def make_machine_file(job: SheetJob, machine: Machine, settings: CutSettings) -> MachineFile:
    """Plan, write and prove the machine file of one sheet; nothing is put on the disk.

    Args:
        job: what is cut out of the sheet
        machine: on what
        settings: how

    Raises:
        NotPossible: when the machine has no cutter for it, or feeds are not known
    """
    work = plan_work(job, machine, settings)
    program, feeds, notes = program_for(work)
    findings = [*work.findings, *notes]
    text = dry = ""
    if not any(finding.blocks for finding in findings):
        text = machine_text(program, machine)
        deepest = min([work.bottom, *(-point.depth for point in work.points)])
        safe, top = work.machine.safe_height, work.machine.reach[2][1]
        dry = machine_text(dry_run(program, deepest, safe, top), machine)
        findings += prove_texts(text, dry, work, feeds)
    blocked = any(finding.blocks for finding in findings)
    return MachineFile(
        title=job.name,
        text="" if blocked else text,
        dry="" if blocked else dry,
        findings=worst_first(findings),
        trail=tuple(step for number in sorted(feeds) for step in feeds[number].trail),
        work=work,
    )


def prove_texts(text: str, dry: str, work: Work, feeds: dict[int, Feeds]) -> list[Finding]:
    """Return what both readers find wrong with a machine file and its dry run.

    Raises:
        OurBug: when a file can't even be read
    """
    try:
        replay = read_machine_file(text, work.job.name)
        tracks, ended = read_tracks(text, work.job.name)
        shown = read_machine_file(dry, f"{work.job.name}, dry run")
    except BlankwrightError as error:
        raise OurBug(*error.problems) from error
    return [
        *prove(replay, work, feeds),
        *second_proof(tracks, ended, replay, work),
        *prove_dry_run(shown, replay, work),
    ]


# --- the layout ----------------------------------------------------------------------------------


def laid_sheets(project: Project, titles: Sequence[str] = ()) -> tuple[LaidOut, ...]:
    """Read the layout and lay today's blanks on it.

    Args:
        project: where all is
        titles: of the sheets wanted; none means all

    Raises:
        FileProblem: when there is no layout
        BadInput: when a sheet or part is gone, or a blank has changed since it was packed
        NotPossible: when a check of a part says stop since it was packed
    """
    laid = read_layout(project.out / "sheets" / LAYOUT)
    rack = {sheet.name: sheet for sheet in read_rack(project.root / RACK)}
    problems: list[Problem] = []
    for title in titles:
        if title not in {sheet.title for sheet in laid}:
            allowed = ", ".join(sheet.title for sheet in laid)
            problems.append(_stale(title, "the layout has no such sheet", allowed))
    wanted = [sheet for sheet in laid if not titles or sheet.title in titles]
    blanks = _blanks(project, wanted)
    out: list[LaidOut] = []
    for sheet in wanted:
        stock = rack.get(sheet.stock)
        if stock is None:
            problems.append(_stale(sheet.title, f"the rack has no {sheet.stock} any more"))
            continue
        placements: list[Placement] = []
        for part in sheet.parts:
            blank = blanks[part.item]
            metal = metal_of(blank)
            if fingerprint(blank.outline, metal) != part.mark:
                got = "its blank, alloy or thickness has changed since it was packed"
                problems.append(_stale(part.name, got))
            packed = PackPart(name=part.name, region=blank.outline, grain=blank.grain, metal=metal)
            placements.append(Placement(part=packed, move=part.move))
        packed_sheet = PackedSheet(sheet=stock, number=sheet.number, placements=tuple(placements))
        out.append(
            LaidOut(packed=packed_sheet, blanks=tuple(blanks[part.item] for part in sheet.parts))
        )
    if problems:
        raise BadInput.of(problems)
    return tuple(out)


def _blanks(project: Project, sheets: Sequence[LaidSheet]) -> dict[str, Blank]:
    names = sorted({part.item for sheet in sheets for part in sheet.parts})
    if not names:
        return {}
    coupons = coupons_of(project)
    blanks: dict[str, Blank] = {}
    stops: list[Problem] = []
    for item in chosen(project, names):
        if item.name in names:
            state = state_of(item.read(), coupons)
            stops.extend(stops_of(item, state))
            blanks[item.name] = state.blank
    if stops:
        raise NotPossible(*stops)
    return blanks


def _stale(where: str, got: str, allowed: str = "") -> Problem:
    return Problem(
        code="PACK-016", where=where, got=got, allowed=allowed, fix="Run `blankwright pack` again"
    )


def sheet_job(laid: LaidOut, settings: CutSettings) -> SheetJob:
    """Return what is cut out of a laid sheet."""
    parts = tuple(
        part_of_blank(blank, placement.part.name, placement.move, settings.bend_line)
        for blank, placement in zip(laid.blanks, laid.packed.placements, strict=True)
    )
    return SheetJob(name=laid.packed.title, sheet=laid.packed.sheet, parts=parts)


def machine_files(
    project: Project, titles: Sequence[str] = ()
) -> tuple[tuple[MachineFile, tuple[Path, ...]], ...]:
    """Make, prove and write the machine files of the layout's sheets.

    Args:
        project: where all is
        titles: of the sheets wanted; none means all

    Returns:
        each file with where it and its dry run were written; nowhere when it is blocked

    Raises:
        BadInput, FileProblem, NotPossible: as its steps do
    """
    shop = read_shop(project.root / SHOP)
    machine, settings = machine_of(shop), cut_settings_of(shop)
    made: list[tuple[MachineFile, tuple[Path, ...]]] = []
    for laid in laid_sheets(project, titles):
        file = make_machine_file(sheet_job(laid, settings), machine, settings)
        made.append((file, () if file.blocked else _write(project, file)))
    return tuple(made)


def _write(project: Project, file: MachineFile) -> tuple[Path, ...]:
    from blankwright.jobs.cutting_pack import file_name

    folder = project.out / "machine"
    folder.mkdir(parents=True, exist_ok=True)
    name = file_name(file.title)
    paths = (folder / f"{name}-dry-run.nc", folder / f"{name}.nc")
    write_whole(paths[0], file.dry.encode("ascii"))
    write_whole(paths[1], file.text.encode("ascii"))
    return paths
