"""Single random edits of machine files, and what a file does to the metal, worked out apart.

The second half shares nothing with the proofs but the second reader: it takes the metal away as
polygons, at three heights, and looks at what is left.
"""

import random
import re
from collections.abc import Iterator

import numpy as np
import shapely

from blankwright.cutting.machine import CutterKind

G_AND_M = (
    *("G0", "G1", "G2", "G3", "G4", "G17", "G20", "G21", "G54", "G80", "G81", "G90", "G91"),
    *("G98", "G99", "M0", "M3", "M5", "M6", "M30", "M8", "M99"),
)
LETTERS = "XYZIJFRQSPT"
NUMBER = re.compile(r"(?<=[A-Z])-?\d+\.?\d*")


def _digit(rng, line):
    found = list(NUMBER.finditer(line))
    if not found:
        return line
    m = rng.choice(found)
    at = rng.choice([k for k in range(m.start(), m.end()) if line[k].isdigit()])
    return line[:at] + rng.choice([c for c in "0123456789" if c != line[at]]) + line[at + 1 :]


def _number(rng, line):
    found = [m for m in NUMBER.finditer(line) if "." in m.group()]
    if not found:
        return line
    m = rng.choice(found)
    value = float(m.group()) + rng.choice([-1, 1]) * 10 ** rng.uniform(-2, 1)
    return f"{line[: m.start()]}{value:.4f}{line[m.end() :]}"


def _sign(rng, line):
    found = [m for m in NUMBER.finditer(line) if "." in m.group() and float(m.group())]
    if not found:
        return line
    m = rng.choice(found)
    text = m.group()
    return line[: m.start()] + (text[1:] if text[0] == "-" else "-" + text) + line[m.end() :]


def _code(rng, line):
    m = re.match(r"[GM]\d+", line)
    if m is None:
        return line
    return rng.choice([c for c in G_AND_M if c != m.group()]) + line[m.end() :]


def _letter(rng, line):
    found = list(re.finditer(rf"[{LETTERS}](?=-?\d)", line))
    if not found:
        return line
    m = rng.choice(found)
    return line[: m.start()] + rng.choice([c for c in LETTERS if c != m.group()]) + line[m.end() :]


def _without_word(rng, line):
    words = line.split()
    words.pop(rng.randrange(len(words)))
    return " ".join(words)


def _pace(rng, line):
    m = re.search(r"[FS](\d+\.?\d*)", line)
    if m is None:
        return line
    value = float(m[1]) * rng.choice([0.05, 0.3, 0.9, 1.05, 1.5, 3, 10])
    return f"{line[: m.start(1)]}{value:.0f}{line[m.end(1) :]}"


IN_LINE = {
    "a digit": _digit,
    "a number": _number,
    "a sign": _sign,
    "a code": _code,
    "a letter": _letter,
    "a word left out": _without_word,
    "a feed or speed": _pace,
    "a line made a comment": lambda rng, line: f"({line})",
}
WHOLE = ("a line left out", "a line doubled", "two lines swapped", "a line moved")


def spoiled(text: str, seed: int, count: int) -> Iterator[tuple[str, str]]:
    """Yield so many files with one edit each, and what was done."""
    rng = random.Random(seed)
    lines = text.splitlines()
    code = [i for i, line in enumerate(lines) if not line.startswith("(")]
    kinds = [*IN_LINE, "a digit", "a number", *WHOLE]
    made = 0
    while made < count:
        kind = rng.choice(kinds)
        i = rng.choice(code)
        new = list(lines)
        if kind in IN_LINE:
            new[i] = IN_LINE[kind](rng, lines[i])
        elif kind == "a line left out":
            del new[i]
        elif kind == "a line doubled":
            new.insert(i, lines[i])
        elif kind == "two lines swapped" and i + 1 < len(lines):
            new[i], new[i + 1] = new[i + 1], new[i]
        elif kind == "a line moved":
            new.insert(rng.choice(code), new.pop(i))
        if new != lines:
            made += 1
            yield f"{kind}, line {i + 1}: {lines[i]}", "\n".join([*new, ""])


WIDER = 0.25
"""A bridge as much wider or narrower is no harm [mm].

The proofs judge it at the part's edge, within 0.01 mm: the round end of a cut by a bit of 1/8 in
reaches 0.18 mm further there."""

# --- what it does to the metal ---------------------------------------------------------------


def _removed(tracks, cutters, z):
    """What is cut away at a height: of every way below it, the circle of its cutter."""
    pieces = {}
    for track in tracks:
        cutter = cutters.get(track.tool)
        if track.rapid or cutter is None or cutter.kind is CutterKind.PEN:
            continue
        way = _below(track.points, z)
        if way is None:
            continue
        radius = cutter.radius_at(max(0.0, z - way[:, 2].min()))
        if radius > 0:
            plan = np.ascontiguousarray(way[:, :2])
            pieces[plan.tobytes(), radius] = plan
    lines = [shapely.LineString(plan) for plan in pieces.values()]
    radii = [radius for _, radius in pieces]
    return shapely.union_all(shapely.buffer(lines, radii, quad_segs=32))


def _below(points, z):
    """Return what of a way that runs evenly up or down lies below a height."""
    if points[0, 2] > points[-1, 2]:
        points = points[::-1]
    low = points[points[:, 2] <= z]
    if not len(low):
        return None
    if len(low) == len(points):
        return points
    a, b = points[len(low) - 1], points[len(low)]
    at = a + (b - a) * (z - a[2]) / (b[2] - a[2])
    return np.vstack((low, at))


def harm_done(good, bad, work) -> list[str]:
    """Say what a spoiled file does that the good one does not; nothing when it is harmless.

    Args:
        good: ways of the good file, as the second reader found them
        bad: ways of the spoiled one
        work: what they are for
    """
    said = list(_manners(good, bad, work))
    cutters = {cutter.number: cutter for cutter in work.machine.cutters}
    thickness = work.job.sheet.thickness
    for z in (-0.05, work.tab_z - 0.02, -thickness + 0.006):
        before, after = _removed(good, cutters, z), _removed(bad, cutters, z)
        for part in work.job.parts:
            outer, *holes = (loop.points(0.0005) for loop in part.region.loops)
            metal = shapely.Polygon(outer, holes)
            eaten = after.difference(before).intersection(metal.buffer(-0.012))
            if eaten.area > 1e-6:
                said.append(f"at {z:.3f} mm the part loses {eaten.area:.4f} mm2")
            # A skin beside the edge, thinner than any bridge: is it cut as before?
            skin = metal.buffer(0.6).difference(metal.buffer(0.012))
            left = before.difference(after).intersection(skin).buffer(-WIDER / 2)
            if left.area > 1e-6:
                said.append(f"at {z:.3f} mm {left.area:.4f} mm2 beside the edge stay")
            # And what was a bridge before is one still.
            gone = after.difference(before).intersection(skin).buffer(-WIDER / 2)
            if gone.area > 1e-6:
                said.append(f"at {z:.3f} mm bridges lose {gone.area:.4f} mm2")
    return said


def _manners(good, bad, work):
    """Compare heights, feeds, depths and clamps in the bluntest way."""
    lowest = {
        tool: min(t.points[:, 2].min() for t in good if t.tool == tool) for tool in _tools(good)
    }
    fastest = {tool: max(t.feed for t in good if t.tool == tool) for tool in _tools(good)}
    for track in bad:
        low = track.points[:, 2].min()
        if track.tool not in lowest:
            if low < -1e-9:
                yield f"line {track.line}: another cutter works"
            continue
        if low < lowest[track.tool] - 0.011:
            yield f"line {track.line}: {low:.3f} mm deep"
        flat = np.ptp(track.points[:, :2], axis=0).max() < 1e-9
        if track.rapid and low < 0 and not (flat and track.points[-1, 2] > low):
            yield f"line {track.line}: rapid in the work"
        if low < -1e-9 and not track.rapid:
            if track.feed > fastest[track.tool] + 0.6:
                yield f"line {track.line}: feed {track.feed}"
            if not track.turning and fastest and _turns(good, track.tool):
                yield f"line {track.line}: spindle still"
        for clamp in work.job.sheet.clamps:
            x0, y0, x1, y1 = clamp.region.box
            reach = max(
                (c.radius for c in work.machine.cutters if c.number == track.tool), default=0.0
            )
            box = shapely.box(x0 - reach, y0 - reach, x1 + reach, y1 + reach)
            if low < clamp.height and shapely.LineString(track.points[:, :2]).intersects(box):
                yield f"line {track.line}: {clamp.name}"


def _tools(tracks):
    return {track.tool for track in tracks}


def _turns(tracks, tool):
    return any(t.turning for t in tracks if t.tool == tool)
