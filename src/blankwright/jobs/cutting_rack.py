"""What is on the rack, for lists."""

from __future__ import annotations

from blankwright.base.units import fixed
from blankwright.files.rackfile import NAME, read_rack
from blankwright.jobs.project import Project


def rack_rows(project: Project) -> tuple[tuple[str, str, str, str], ...]:
    """Return each entry's name, alloy and thickness, size, and count, offcuts marked.

    Raises:
        BadInput, FileProblem: as `read_rack`
    """
    rows = []
    for sheet in read_rack(project.root / NAME):
        w, h = sheet.size
        alloy = f"{sheet.alloy}, {fixed(sheet.thickness, 3)} mm"
        count = "offcut" if sheet.offcut else str(sheet.count)
        rows.append((sheet.name, alloy, f"{fixed(w, 0)} × {fixed(h, 0)}", count))
    return tuple(rows)
