"""Stretches of a line that lie in the metal."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from blankwright.base.tolerance import TOUCH
from blankwright.geom.edges import Line, boxes_touch
from blankwright.geom.meet import meetings
from blankwright.geom.region import Region


def stretches(line: Line, regions: Sequence[Region]) -> tuple[Line, ...]:
    """Return what of a line lies inside regions, stretches along their edges left out.

    Args:
        line: the line [mm]
        regions: regions that do not overlap
    """
    marks = {0.0, 1.0}
    for region in regions:
        for edge in region.edges:
            if boxes_touch(edge.box, line.box, TOUCH):
                marks.update(min(1.0, max(0.0, line.share(p))) for p in meetings(edge, line))
    least = TOUCH / max(line.length, TOUCH)
    result: list[Line] = []
    for t0, t1 in itertools.pairwise(sorted(marks)):
        if t1 - t0 <= 4 * least:
            continue
        middle = line.point((t0 + t1) / 2)
        if not any(r.contains(middle) and r.distance_to_edge(middle) > TOUCH for r in regions):
            continue
        piece = line.part(t0, t1)
        if result and abs(line.share(result[-1].end) - t0) <= 4 * least:
            piece = Line(result.pop().start, piece.end)
        result.append(piece)
    return tuple(result)
