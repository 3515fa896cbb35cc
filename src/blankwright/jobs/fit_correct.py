"""Corrections after a trial fit: a size measured or changed goes back into the part file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from blankwright.base.errors import BadInput, Problem
from blankwright.base.units import show_mm
from blankwright.develop.blank import Blank
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """A size that a trial fit changed.

    Args:
        size: its name in the part file
        to: its new value as typed, such as ``46.9 mm``
        reason: what was found, such as ``rubs left, aft end, 0.4 mm``
        date: the day, such as ``2026-11-25``
        measured: whether the value was measured at the place; otherwise it was decided
    """

    size: str
    to: str
    reason: str
    date: str
    measured: bool = False


def corrected(text: str, correction: Correction, folder: Path | None = None) -> str:
    """Return a part file's text with a correction in it; what was there before stays in the note.

    Args:
        text: what the part file holds
        correction: the change
        folder: where the part file is, for parts that are taken from a drawing

    Raises:
        BadInput: FIT-050 when the file has no such size or it hangs on others; FIT-051 when date
            or reason is missing; or the problems that the change would bring
    """
    from blankwright.files.partfile import editing, read_part_text

    part = read_part_text(text, "part", folder=folder)
    found = [size for size in part.sizes if size.name == correction.size]
    if not found:
        raise BadInput(
            _problem(
                "FIT-050",
                correction,
                f"the part has no size `{correction.size}`",
                ", ".join(size.name for size in part.sizes),
            )
        )
    if not correction.reason.strip() or not correction.date.strip():
        raise BadInput(
            _problem("FIT-051", correction, "a correction needs a date and a reason", "both")
        )
    try:
        date.fromisoformat(correction.date.strip())
    except ValueError:
        raise BadInput(
            _problem(
                "FIT-051",
                correction,
                f"`{correction.date}` is no day",
                "year-month-day, 2026-11-25",
            )
        ) from None
    size = found[0]
    key = "measured" if correction.measured else "drawn"
    was = size.text
    note = f"{correction.date}: {correction.reason.strip()}, was {was}"
    if size.note:
        note = f"{size.note}; {note}"
    rows = [f"{key} = {_quoted(correction.to)}"]
    if correction.measured and size.origin.value != "measured":
        rows.insert(0, f"drawn = {_quoted(was)}")
    elif size.drawn:
        rows.insert(0, f"drawn = {_quoted(size.drawn)}")
        rows[-1] = f"measured = {_quoted(correction.to)}"
    if size.plus_minus is not None:
        rows.append(f"plus_minus = {_quoted(_plus_minus_as_typed(text, size.name))}")
    rows.append(f"note = {_quoted(note)}")
    return editing.set_value(text, f"sizes.{size.name}", "{ " + ", ".join(rows) + " }")


def correct_file(
    path: Path, correction: Correction, drawing: Path | None = None
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Put a correction into a part file, and draw old and new blank over each other.

    Args:
        path: the part file
        correction: the change
        drawing: where the SVG drawing goes, or nothing

    Returns:
        Width and height of the blank before and after [mm].

    Raises:
        BadInput: as `corrected`
        FileProblem: when a file can't be read or written
        NotPossible: when the part can't be developed any more; nothing is written then
    """
    from blankwright.develop.develop import develop_blank
    from blankwright.files.partfile import editing, read_part_text
    from blankwright.files.partfile.syntax import read_text
    from blankwright.files.whole import write_whole

    old = read_text(path)
    new = corrected(old, correction, path.parent)
    before_part = read_part_text(old, path.stem, folder=path.parent)
    before = develop_blank(before_part)
    after = develop_blank(read_part_text(new, path.stem, folder=path.parent))
    editing.save(path, new, old)
    if drawing is not None:
        size = next(s for s in before_part.sizes if s.name == correction.size)
        words = (
            f"{path.stem}: {correction.size} was {size.text}, is {correction.to}",
            f"{correction.date}: {correction.reason.strip()}",
        )
        write_whole(drawing, old_and_new(before, after, words))
    return before.size, after.size


def _plus_minus_as_typed(text: str, size: str) -> str:
    import tomllib

    return str(tomllib.loads(text)["sizes"][size]["plus_minus"]).strip()


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _problem(code: str, correction: Correction, got: str, allowed: str) -> Problem:
    return Problem(code=code, where=f"sizes.{correction.size}", got=got, allowed=allowed)


def old_and_new(old: Blank, new: Blank, words: Sequence[str]) -> bytes:
    """Return the outlines of two blanks over each other as SVG, full size in mm.

    The old one is dashed and thin, the new one full and heavy; where the edge moved most is marked.

    Args:
        old: the blank before
        new: the blank after
        words: what is written over it, the first line its title
    """
    boxes = (old.outline.box, new.outline.box)
    x0, y0 = min(b[0] for b in boxes) - 14, min(b[1] for b in boxes) - 14
    x1, y1 = max(b[2] for b in boxes) + 14, max(b[3] for b in boxes) + 26
    key = f"old blank dashed, {_size(old)}; new blank full, {_size(new)}; full size"
    wide = max(x1 - x0, 1.9 * max(len(line) for line in (*words, key)) + 10)
    rows = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{y1 - y0:.3f}mm"'
        f' viewBox="{x0:.3f} {-y1:.3f} {wide:.3f} {y1 - y0:.3f}">',
        f"<title>{_plain(words[0])}: old dashed, new full</title>",
    ]
    for k, line in enumerate([*words, key]):
        weight = ' font-weight="700"' if k == 0 else ""
        rows.append(
            f'<text x="{x0 + 4:.3f}" y="{-y1 + 6 + 5 * k:.3f}" font-family="sans-serif"'
            f' font-size="3.6"{weight}>{_plain(line)}</text>'
        )
    for blank, look in (
        (old, 'stroke-width="0.25" stroke-dasharray="3 1.5"'),
        (new, 'stroke-width="0.5"'),
    ):
        edges = [_path(loop) for loop in blank.outline.loops]
        bends = [
            f"M{_p(line.start)}L{_p(line.end)}"
            for bend in blank.bends
            for line in (bend.parent_tangent, bend.leg_tangent)
        ]
        rows.append(f'<path fill="none" stroke="#000" {look} d="{"".join(edges + bends)}"/>')
    rows.extend(_most_moved(old, new))
    return ("\n".join([*rows, "</svg>"]) + "\n").encode()


def _size(blank: Blank) -> str:
    width, height = blank.size
    return f"{show_mm(width)} × {show_mm(height)}"


def _most_moved(old: Blank, new: Blank) -> list[str]:
    """Mark the corner of the new outline that is farthest from the old one, and tell how far."""
    corners = [edge.part(0.0, 0.5).end for loop in new.outline.loops for edge in loop.edges]
    corners += [edge.start for loop in new.outline.loops for edge in loop.edges]
    far, at = max(((old.outline.distance_to_edge(p), p) for p in corners), key=_outermost)
    if far < 0.005:
        return []
    x, y = at[0], -at[1]
    return [
        f'<circle cx="{x:.3f}" cy="{y:.3f}" r="2.2" fill="none" stroke="#000" stroke-width="0.3"/>'
        f'<text x="{x + 3:.3f}" y="{y - 2:.3f}" font-family="sans-serif" font-size="3.6">'
        f"moved {show_mm(far)}</text>"
    ]


def _outermost(found: tuple[float, tuple[float, float]]) -> tuple[float, float]:
    # Of those that moved alike the one farthest right and up, where the figure has room.
    return (round(found[0], 3), found[1][0] + found[1][1])


def _plain(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _path(loop: Loop) -> str:
    steps = [f"M{_p(loop.edges[0].start)}"]
    for edge in loop.edges:
        if isinstance(edge, Line):
            steps.append(f"L{_p(edge.end)}")
            continue
        assert isinstance(edge, Arc)
        # Halves, since SVG can't draw a whole circle as one arc. y is turned over, so is the sense.
        for half in (edge.part(0.0, 0.5), edge.part(0.5, 1.0)):
            sense = 0 if half.sweep > 0 else 1
            large = 1 if abs(half.sweep) > 3.1415926 else 0
            r = f"{half.radius:.4f}"
            steps.append(f"A{r},{r} 0 {large} {sense} {_p(half.point(1.0))}")
    return "".join(steps) + "Z"


def _p(p: tuple[float, float]) -> str:
    return f"{p[0]:.4f},{-p[1] + 0.0:.4f}"
