"""How parts and waste are held to the last, and where the cutter goes in: tabs and entries.

Both need to know of all other cuts: a tab must end in metal that stays, and a way in must not eat
the metal that a tab hangs on.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from blankwright.base.findings import Finding, Level
from blankwright.cutting.job import CutSettings, SheetJob
from blankwright.cutting.machine import Machine
from blankwright.cutting.passes import start_of
from blankwright.cutting.tabs import place_tabs, usual_count
from blankwright.cutting.way import Way
from blankwright.cutting.work import TIGHT, Entry, Profile, Tab
from blankwright.geom import vec
from blankwright.geom.near import EdgeIndex
from blankwright.geom.vec import Point

WEB = 1.0
"""Least metal between a cut with tabs and the next cut, for the tabs to end in [mm]. Our choice."""

LEAST_ENTRY = 0.4
"""A way in goes round a circle of at least this radius [mm]. Our choice."""

ENTRY_SIZES = (1.0, 0.75, 0.5)
"""Radii that are tried for a way in, in cutter radii, the roomiest first [-]. Our choice."""

LOOK_EVERY = 4.0
"""Places for a way in are tried this far apart along the path [mm]."""


def hold_down(
    profiles: Sequence[Profile],
    free: Collection[int],
    job: SheetJob,
    machine: Machine,
    settings: CutSettings,
) -> tuple[tuple[Profile, ...], tuple[Finding, ...]]:
    """Return the profiles with their tabs and ways in, and where there is no room for tabs.

    Args:
        profiles: all loops that are cut
        free: numbers of those that are to have no tabs
        job: of the sheet
        machine: whose clamps' clearance holds for the ways in
        settings: tabs wanted
    """
    holder = _Holder(profiles, job, machine, settings)
    held = [
        profile if number in free else holder.with_tabs(number, profile)
        for number, profile in enumerate(profiles)
    ]
    holder.tabs = [tab for profile in held for tab in profile.tabs]
    return tuple(holder.with_entry(profile) for profile in held), tuple(holder.findings)


class _Holder:
    def __init__(
        self,
        profiles: Sequence[Profile],
        job: SheetJob,
        machine: Machine,
        settings: CutSettings,
    ) -> None:
        self.job = job
        self.machine = machine
        self.settings = settings
        self.findings: list[Finding] = []
        self.tabs: list[Tab] = []
        self.rim = EdgeIndex(job.sheet.region.edges, cell=50.0)
        self.edges = EdgeIndex([e for part in job.parts for e in part.region.edges], cell=20.0)
        self.ways = EdgeIndex([], cell=20.0)
        self.owners: list[int] = []
        self.radii: list[float] = []
        for number, profile in enumerate(profiles):
            for edge in profile.path.edges:
                self.ways.add(edge)
                self.owners.append(number)
                self.radii.append(profile.cutter.radius)
        self.widest = max((profile.cutter.radius for profile in profiles), default=0.0)

    # --- tabs -----------------------------------------------------------------------------------

    def with_tabs(self, number: int, profile: Profile) -> Profile:
        """Return a profile with its tabs."""
        settings, outline, cutter = self.settings, profile.outline, profile.cutter
        count = settings.tab_count
        x0, y0, x1, y1 = outline.box
        if count == 0 or (not profile.outside and max(x1 - x0, y1 - y0) <= settings.loose_size):
            return profile
        wanted = usual_count(outline.length) if count < 0 else count
        half = settings.tab_width / 2 + cutter.radius
        part = next(part for part in self.job.parts if part.name == profile.part)
        loops = [loop for i, loop in enumerate(part.region.loops) if i != profile.loop]
        others = [edge for loop in loops for edge in loop.edges]
        bends = [edge for bend in part.bends for edge in bend.edges]

        def ends_in_metal(p: Point, along: Point) -> bool:
            out = vec.right(along) if profile.outside else vec.left(along)
            half_width = settings.tab_width / 2
            if profile.path.distance(vec.along(p, out, cutter.radius)) > 2 * TIGHT:
                return False  # another way cuts this stretch: that of a hollow
            return all(
                self._solid(number, vec.along(p, along, shift), out, cutter.radius)
                for shift in (0.0, -half_width, half_width)
            )

        tabs = place_tabs(outline.ccw(), wanted, half, cutter.radius, others, bends, ends_in_metal)
        if len(tabs) < wanted:
            self._report(profile, len(tabs), wanted)
        return replace(profile, tabs=tabs)

    def _solid(self, number: int, p: Point, out: Point, radius: float) -> bool:
        """Say whether metal stays beyond the cut, where a tab at p would end."""
        q = vec.along(p, out, 2 * radius + WEB)
        if not self.job.sheet.region.contains(q):
            return False
        if self.edges.distance(q, WEB) < WEB / 2:
            return False
        box = (q[0], q[1], q[0], q[1])
        for i in self.ways.near(box, self.widest + WEB):
            need = radius + WEB if self.owners[i] == number else self.radii[i]
            if self.ways.edges[i].distance(q) < need - 0.05:
                return False
        return True

    def _report(self, profile: Profile, got: int, wanted: int) -> None:
        what = "the part" if profile.outside else f"the waste of opening {profile.loop}"
        room = f"{got} tab" if got == 1 else f"{got} tabs"
        self.findings.append(
            Finding(
                code="CUT-005",
                level=Level.ASK,
                place=profile.part,
                got=f"{what} has room for {room} on straight edges away from bends and holes, "
                "with metal beyond the cut to end in",
                limit=f"{wanted} tabs",
                source="common practice, no source",
                fix="Hold it down by tape or screws, ask for narrower or fewer tabs, or lay the "
                "parts further apart",
            )
        )

    # --- ways in --------------------------------------------------------------------------------

    def with_entry(self, profile: Profile) -> Profile:
        """Return a profile with its way in beside the outline, where there is room for one."""
        circle = profile.path.as_circle
        if circle is not None and circle.radius <= profile.cutter.radius:
            return profile  # a hole so small is a helix itself
        way = Way.of(profile.path, start_of(profile))
        turn = vec.left if _waste_is_left(profile) else vec.right
        for size in ENTRY_SIZES:
            radius = size * profile.cutter.radius
            if radius < LEAST_ENTRY:
                break
            count = max(1, int(way.length / LOOK_EVERY))
            for i in range(count):
                p, along = way.at(way.length * i / count)
                center = vec.along(p, turn(along), radius)
                if self._roomy(profile, center, radius):
                    return replace(profile, entry=Entry(at=p, center=center))
        return profile

    def _roomy(self, profile: Profile, center: Point, radius: float) -> bool:
        """Say whether the cutter may go round a circle there."""
        reach = radius + profile.cutter.radius
        if self.edges.distance(center, reach) < reach - TIGHT - 1e-4:
            return False
        if self.rim.distance(center, reach) < reach or not self.job.sheet.region.contains(center):
            return False
        clear = reach + self.machine.clear_of_clamps
        for clamp in self.job.sheet.clamps:
            if clamp.region.contains(center) or clamp.region.distance_to_edge(center) < clear:
                return False
        return all(
            vec.distance(center, tab.at) >= reach + profile.cutter.radius + tab.half
            for tab in self.tabs
        )


def _waste_is_left(profile: Profile) -> bool:
    """Say whether the waste lies left of travel."""
    around = profile.path.area > 0
    return around != _part_is_inside(profile)


def _part_is_inside(profile: Profile) -> bool:
    """Say whether the part lies inside the path.

    The way round a hollow of an outside is the exception: there the waste is inside.
    """
    p = profile.outline.edges[0].start
    return profile.outside and profile.path.contains(p)
