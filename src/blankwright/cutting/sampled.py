"""The second proof: chains of points against chorded parts, with shapely.

It shares no geometry with the first proof. Parts are polygons, distances are shapely's, coverage
is judged at points along every edge, and whether a corner can be reached is judged by laying the
cutter against it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from blankwright.base.findings import Finding
from blankwright.base.tolerance import PROOF
from blankwright.cutting.machine import Cutter, CutterKind
from blankwright.cutting.motion import Replay
from blankwright.cutting.said import stop
from blankwright.cutting.track import SAG, Track
from blankwright.cutting.work import PointKind, Profile, Work
from blankwright.geom import vec
from blankwright.geom.loop import Loop

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

EVERY = 0.25
"""Edges are looked at this often [mm]."""

SLACK = PROOF + 3 * SAG
"""The proof's tolerance and what chords may add to it [mm]."""

SAME_PLACE = 1e-4
"""Places that both readers find agree within this [mm]."""


def second_proof(
    tracks: Sequence[Track], ended: bool, replay: Replay, work: Work
) -> tuple[Finding, ...]:
    """Return what the second reader finds wrong with a machine file.

    Args:
        tracks: the file as the second reader found it
        ended: whether it found the file's end
        replay: the file as the first reader found it
        work: what the file is for
    """
    found: list[Finding] = []
    if not ended:
        found.append(stop("CUT-119", work.job.name, "the second reader finds no end", "M30"))
    found.extend(_agreement(tracks, replay, work))
    found.extend(_Sampled(tracks, work).findings())
    return tuple(found)


def _agreement(tracks: Sequence[Track], replay: Replay, work: Work) -> Iterator[Finding]:
    import numpy as np

    theirs = np.array([track.points[-1] for track in tracks]).reshape(-1, 3)
    ours = np.array([(*motion.edge.point(1.0), motion.z1) for motion in replay.motions])
    theirs, ours = _stations(theirs), _stations(ours.reshape(-1, 3))
    if len(theirs) != len(ours):
        got = f"one reader finds {len(ours)} motions, the other {len(theirs)}"
        yield stop("CUT-116", work.job.name, got, "the same")
        return
    # Arcs end where the file says in one reader and on their circle in the other.
    off = np.abs(theirs - ours).max(initial=0.0)
    if off > SAME_PLACE + 0.002:
        yield stop("CUT-116", work.job.name, f"the readers differ by {off:.4f} mm", "0.002 mm")


def _stations(places: NDArray[np.float64]) -> NDArray[np.float64]:
    import numpy as np

    if len(places) < 2:
        return places
    moved = np.abs(np.diff(places, axis=0)).max(axis=1) > 0.004
    return places[np.concatenate(([True], moved))]


class _Sampled:
    def __init__(self, tracks: Sequence[Track], work: Work) -> None:
        import numpy as np
        import shapely

        self.np: Any = np
        self.shapely: Any = shapely
        self.work = work
        self.cutters = {cutter.number: cutter for cutter in work.machine.cutters}
        self.tracks = tracks
        # Heights run evenly along a track, so the lowest is at one of its ends.
        ends = [(track.points[0, 2], track.points[-1, 2]) for track in tracks]
        self.low = np.array(ends).reshape(-1, 2).min(axis=1)

    def findings(self) -> Iterator[Finding]:
        yield from self.rapids()
        yield from self.limits()
        yield from self.clamps()
        for number in sorted({track.tool for track in self.tracks}):
            cutter = self.cutters.get(number)
            if cutter is None or cutter.kind is CutterKind.PEN:
                continue
            yield from self.parts(cutter)
        for profile in _one_each(self.work.profiles):
            yield from self.covered(profile)

    def place(self, track: Track) -> str:
        return f"{self.work.job.name}, line {track.line}, second reader"

    def rapids(self) -> Iterator[Finding]:
        for track, low in zip(self.tracks, self.low, strict=True):
            if track.rapid and low < -1e-9:
                rises = track.points[-1, 2] > track.points[0, 2]
                still = self.np.ptp(track.points[:, :2], axis=0).max() < 1e-9
                if not (rises and still):
                    got = f"a rapid move at {low:.3f} mm"
                    yield stop("CUT-105", self.place(track), got, "above the sheet")

    def limits(self) -> Iterator[Finding]:
        np = self.np
        if not self.tracks:
            return
        places = np.concatenate([track.points for track in self.tracks])
        low, high = places.min(axis=0), places.max(axis=0)
        for axis, (least, most) in enumerate(self.work.machine.reach):
            if low[axis] < least - 1e-3 or high[axis] > most + 1e-3:
                got = f"{'xyz'[axis]} goes from {low[axis]:.3f} to {high[axis]:.3f} mm"
                limit = f"{least:.1f} to {most:.1f} mm, the machine's travel"
                yield stop("CUT-106", f"{self.work.job.name}, second reader", got, limit)

    def _lines(self, tracks: Sequence[Track]) -> Any:
        """Return the ways seen from above; straight up and down is a point."""
        ways = []
        for track in tracks:
            plan = track.points[:, :2]
            still = len(plan) == 2 and abs(plan[1] - plan[0]).max() < 1e-9
            ways.append(self.shapely.Point(plan[0]) if still else self.shapely.LineString(plan))
        return ways

    def clamps(self) -> Iterator[Finding]:
        for clamp in self.work.job.sheet.clamps:
            region = _polygon(self.shapely, clamp.region.loops, 0.001)
            near = [t for t, low in zip(self.tracks, self.low, strict=True) if low < clamp.height]
            for track, line in zip(near, self._lines(near), strict=True):
                cutter = self.cutters.get(track.tool)
                limit = self.work.machine.clear_of_clamps + (cutter.radius if cutter else 0.0)
                if self.shapely.distance(line, region) < limit - SLACK:
                    got = f"the cutter comes too near {clamp.name}"
                    yield stop("CUT-104", self.place(track), got, f"{limit:.2f} mm to its axis")

    def parts(self, cutter: Cutter) -> Iterator[Finding]:
        shapely, np = self.shapely, self.np
        mine = [
            (track, float(low))
            for track, low in zip(self.tracks, self.low, strict=True)
            if track.tool == cutter.number and not track.rapid and low < -1e-9
        ]
        mine = [item for item in mine if not self._bend_spot(cutter, item[0], item[1])]
        for radius in sorted({round(cutter.radius_at(-low), 6) for _, low in mine}):
            group = _each_way_once(
                t for t, low in mine if round(cutter.radius_at(-low), 6) == radius
            )
            lines = np.array(self._lines(group))
            ends = np.array([track.points[0, :2] for track in group])
            tree = shapely.STRtree(lines)
            for part in self.work.job.parts:
                polygon = _polygon(shapely, part.region.loops, SAG / 2)
                rings = shapely.get_parts(shapely.boundary(polygon))
                hits = set(tree.query(rings, "dwithin", distance=radius - SLACK)[1].tolist())
                inside = shapely.contains_xy(polygon, ends[:, 0], ends[:, 1])
                hits.update(np.flatnonzero(inside).tolist())
                for number in sorted(hits)[:5]:
                    got = f"the cutter enters {part.name}"
                    yield stop("CUT-101", self.place(group[number]), got, f"{PROOF:.2f} mm")
            sheet = _polygon(shapely, self.work.job.sheet.region.loops, SAG / 2)
            outside = shapely.distance(lines, shapely.boundary(sheet)) < radius - SLACK
            outside |= ~shapely.contains_xy(sheet, ends[:, 0], ends[:, 1])
            for number in np.flatnonzero(outside)[:5].tolist():
                got = "the cutter leaves the sheet"
                yield stop("CUT-107", self.place(group[number]), got, "inside the sheet")

    def _bend_spot(self, cutter: Cutter, track: Track, low: float) -> bool:
        x, y = track.points[0, :2]
        return any(
            point.kind is PointKind.BEND_SPOT
            and point.cutter.number == cutter.number
            and vec.distance(point.at, (x, y)) <= PROOF
            and -low <= point.depth + PROOF
            for point in self.work.points
        )

    def covered(self, profile: Profile) -> Iterator[Finding]:
        np, shapely = self.np, self.shapely
        cutter = profile.cutter
        through = -self.work.job.sheet.thickness + 0.005
        tree = self._through(cutter.number, through)
        points, normals = _along(profile, np)
        reach = cutter.radius + SLACK
        found = np.zeros(len(points), dtype=bool)
        if tree is not None:
            found[tree.query(shapely.points(points), "dwithin", distance=reach)[0]] = True
        for tab in profile.tabs:
            found |= np.hypot(*(points - np.array(tab.at)).T) <= tab.half + 3 * PROOF
        missed = np.flatnonzero(~found)
        if not len(missed):
            return
        # Lay the cutter against the edge there: where it would cut into the part it can't be.
        ring = shapely.linearrings(profile.outline.points(SAG / 4))
        centers = points[missed] + normals[missed] * cutter.radius
        room = shapely.distance(shapely.points(centers), ring) >= cutter.radius - PROOF / 2
        # Across a slit the centre would come to lie in the metal behind it.
        behind = shapely.contains_xy(shapely.Polygon(ring), centers[:, 0], centers[:, 1])
        room &= ~behind if profile.outside else behind
        for number in missed[room][:3].tolist():
            x, y = points[number]
            name = "outside" if profile.outside else f"opening {profile.loop}"
            yield stop(
                "CUT-102",
                f"{profile.part}, {name}, second reader",
                f"the edge stays uncut at ({x:.2f}, {y:.2f}) mm",
                "cut through but for tabs",
            )

    def _through(self, tool: int, z: float) -> Any:
        cache: dict[int, Any] = self.__dict__.setdefault("_trees", {})
        if tool not in cache:
            pieces = [
                track.points[track.points[:, 2] <= z]
                for track in self.tracks
                if track.tool == tool and not track.rapid
            ]
            plans = {p[:, :2].tobytes(): p[:, :2] for p in pieces if len(p) > 1}
            lines = [self.shapely.linestrings(plan) for plan in plans.values()]
            cache[tool] = self.shapely.STRtree(lines) if lines else None
        return cache[tool]


def _each_way_once(tracks: Iterable[Track]) -> list[Track]:
    """Return tracks without those that go, seen from above, where one before them goes."""
    ways: dict[bytes, Track] = {}
    for track in tracks:
        ways.setdefault(track.points[:, :2].tobytes(), track)
    return list(ways.values())


def _one_each(profiles: Sequence[Profile]) -> list[Profile]:
    """Return one profile for each loop, with the tabs of all that cut it."""
    from dataclasses import replace

    groups: dict[tuple[str, int], Profile] = {}
    for profile in profiles:
        key = (profile.part, profile.loop)
        before = groups.get(key)
        groups[key] = replace(before, tabs=(*before.tabs, *profile.tabs)) if before else profile
    return list(groups.values())


def _polygon(shapely: Any, loops: Sequence[Loop], sag: float) -> Any:
    outer, *holes = (loop.points(sag) for loop in loops)
    polygon = shapely.Polygon(outer, holes)
    shapely.prepare(polygon)
    return polygon


def _along(profile: Profile, np: Any) -> tuple[Any, Any]:
    """Return points along a loop, corners left out, and unit vectors to the waste side."""
    loop = profile.outline.ccw()
    points: list[vec.Point] = []
    normals: list[vec.Point] = []
    for edge in loop.edges:
        count = max(1, round(edge.length / EVERY))
        for i in range(count):
            t = (i + 0.5) / count
            points.append(edge.point(t))
            out = vec.right(edge.direction(t))
            normals.append(out if profile.outside else vec.scale(out, -1.0))
    return np.array(points), np.array(normals)
