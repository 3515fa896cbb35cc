"""The part file that is proposed for a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from blankwright.base.units import trimmed
from blankwright.jobs.bring_in_asked import UNKNOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class BendText:
    """A bend as it is proposed.

    Args:
        name: its name
        line: the point on its bend line, as the file has it
        angle: as typed, or unknown
        radius: as typed, or unknown
        up: direction; nothing when unknown
        why: where that is from
        width: what says how wide its strip is, as the file has it: key and value
    """

    name: str
    line: str
    angle: str = UNKNOWN
    radius: str = UNKNOWN
    up: bool | None = None
    why: str = ""
    width: tuple[str, str] = ("", "")


def _width(width: tuple[str, str]) -> list[str]:
    key, value = width
    if not key:
        return []
    return [f"{key:<13} = {value if key == 'k' else quoted(value)}"]


def quoted(text: str) -> str:
    """Return a text as a TOML string."""
    plain = "".join(c if c >= " " else " " for c in text)
    if '"' in plain and "'" not in plain:
        return f"'{plain}'"
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def listed(texts: Sequence[str]) -> str:
    """Return texts as a TOML list."""
    return "[" + ", ".join(quoted(text) for text in texts) + "]"


def length_in(value: float, unit: str, scale: float) -> str:
    """Return a length [mm] as it stands in a drawing, with its unit or a question mark.

    Args:
        value: [mm]
        unit: the drawing's unit; empty when it is not known
        scale: one unit of the drawing [mm]
    """
    return f"{trimmed(value / scale, 6)} {unit or UNKNOWN}"


def point_in(p: tuple[float, ...], unit: str, scale: float) -> str:
    """Return a point [mm] as a TOML list of lengths in the drawing's unit."""
    return listed([length_in(x, unit, scale) for x in p])


def part_file(
    *,
    title: str,
    drawing: str,
    source: Sequence[tuple[str, str]],
    alloy: str,
    thickness: str,
    k: str,
    bends: Sequence[BendText],
    notes: Sequence[str] = (),
    widths: Sequence[tuple[str, tuple[str, str]]] = (),
) -> str:
    """Return the text of a part file whose shape is taken from a drawing.

    Args:
        title: title of the part
        drawing: drawing number
        source: keys of `[source]` with their values as TOML
        alloy: alloy and temper, or unknown
        thickness: as typed, or unknown
        k: neutral-axis factor as typed; empty for the empirical formula
        bends: bends of a flat drawing
        notes: lines of comment, such as the bends of a solid
        widths: for bends of a solid what says how wide their strips are
    """
    rows = [f"title   = {quoted(title)}"]
    if drawing:
        rows.append(f"drawing = {quoted(drawing)}")
    rows += ["", "# Flats and bends are taken from this drawing.", "[source]"]
    width = max(len(key) for key, _ in source)
    rows += [f"{key:<{width}} = {value}" for key, value in source]
    rows += ["", "[sheet]", f"alloy     = {quoted(alloy)}", f"thickness = {quoted(thickness)}"]
    if k:
        rows += ["", "[bend_defaults]", 'allowance = "neutral-axis factor"', f"k         = {k}"]
    if notes:
        rows += ["", *(f"# {note}" for note in notes)]
    for bend in bends:
        direction = "up            = true"
        if bend.up is None:
            direction = f"up            = {quoted(UNKNOWN)}"
        elif not bend.up:
            direction = "down          = true"
        rows += ["", f"# {bend.why}"] if bend.why else [""]
        rows += [
            f"[bends.{bend.name}]",
            f"line          = {bend.line}",
            f"angle         = {quoted(bend.angle)}",
            f"inside_radius = {quoted(bend.radius)}",
            direction,
        ]
        rows += _width(bend.width)
    for name, stated in widths:
        rows += ["", f"[bends.{name}]", *_width(stated)]
    return "\n".join(rows) + "\n"
