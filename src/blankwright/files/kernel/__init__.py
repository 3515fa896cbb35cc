"""The CAD kernel: solids, STEP and views of formed parts. The only package that imports OCP.

The kernel takes half a second to load, so the functions here load it when first called.
"""

from __future__ import annotations

from pathlib import Path

from blankwright.develop.formed import Formed
from blankwright.develop.unfold.result import NotSheet, Unfolded
from blankwright.develop.unfold.unfold import UnfoldWishes
from blankwright.develop.view import View


def formed_step(formed: Formed, name: str, title: str = "") -> bytes:
    """Return the formed part as a proved STEP file (AP242, mm); same input, same bytes.

    Args:
        formed: the formed part, at any state of bending
        name: name of the product
        title: its description

    Raises:
        NotPossible: when the metal is not in one piece
        OurBug: when the file, read back, is not the formed part
    """
    from blankwright.files.kernel.proof import prove_step
    from blankwright.files.kernel.solid import solid_of
    from blankwright.files.kernel.step import write_step

    solid = solid_of(formed)
    data = write_step(solid.shape, name, title or name, list(solid.faces))
    prove_step(data, formed, name)
    return data


def formed_views(formed: Formed) -> tuple[View, ...]:
    """Return front, top, right side and oblique view of a formed part, hidden lines sorted out.

    Args:
        formed: the formed part, at any state of bending

    Raises:
        NotPossible: when the metal is not in one piece
    """
    from blankwright.files.kernel.views import views_of

    return views_of(formed)


def blanks_of_step(path: Path, wishes: UnfoldWishes) -> tuple[Unfolded | NotSheet, ...]:
    """Read a STEP file and unfold every sheet part in it.

    Args:
        path: the file
        wishes: allowance rule, alloy, and choices the solid leaves open

    Returns:
        For each solid, in the order of the file, its blank, or why it is no sheet part.

    Raises:
        FileProblem: when the file can't be read
        BadInput: when it is no STEP file, or holds no solid
    """
    from blankwright.files.kernel.step_read import read_blanks

    return read_blanks(path, wishes)


def blanks_in_step(data: bytes, name: str, wishes: UnfoldWishes) -> tuple[Unfolded | NotSheet, ...]:
    """Unfold every sheet part of a STEP file that is in memory. See `blanks_of_step`.

    Raises:
        BadInput: when it is no STEP file, or holds no solid
    """
    from blankwright.files.kernel.step_read import blanks_in

    return blanks_in(data, name, wishes)
