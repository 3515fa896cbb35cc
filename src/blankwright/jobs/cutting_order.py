"""The job of an order: files and order sheets for a laser or water-jet service."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from blankwright.base.units import trimmed
from blankwright.files.service_dxf import ServicePart, order_sheet, service_dxf
from blankwright.files.whole import write_whole
from blankwright.jobs.cutting_pack import file_name
from blankwright.jobs.cutting_parts import ToCut, blanks_to_cut
from blankwright.jobs.project import Project


def order_files(
    project: Project, names: Sequence[str], copies: Mapping[str, int]
) -> tuple[Path, ...]:
    """Write one DXF file and one order sheet for each alloy and thickness.

    Args:
        project: where all is
        names: of parts or items; none means all
        copies: how many of an item, where it is not one

    Raises:
        BadInput, NotPossible: as `blanks_to_cut`
        OurBug: when a file fails its proof
    """
    groups: dict[tuple[str, float], list[ToCut]] = {}
    for each in blanks_to_cut(project, names, copies):
        groups.setdefault((each.blank.alloy, each.blank.thickness), []).append(each)
    folder = project.out / "order"
    folder.mkdir(parents=True, exist_ok=True)
    files: list[Path] = []
    for (alloy, thickness), group in sorted(groups.items()):
        parts = [
            ServicePart(
                name=each.name,
                region=each.blank.outline,
                copies=each.copies,
                grain=each.blank.grain,
            )
            for each in group
        ]
        stem = file_name(f"{alloy} {trimmed(thickness, 3).replace('.', '-')} mm")
        drawing = folder / f"{stem}.dxf"
        data = service_dxf(parts, f"{project.title}, {alloy}")
        sheet = order_sheet(parts, project.title, alloy, thickness, drawing.name)
        write_whole(drawing, data)
        write_whole(folder / f"{stem}-order.txt", sheet.encode())
        files += [drawing, folder / f"{stem}-order.txt"]
    return tuple(files)
