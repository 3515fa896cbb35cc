"""Blanks laid out by hand for tests of the formed part, without `develop_blank`.

Bends are laid straight onto the blank: each is stated by its parent's tangent line, travelled with
the parent to the right, so nothing here depends on mold lines, setbacks or allowance tables.
"""

from __future__ import annotations

import math

from blankwright.develop.blank import Blank, BlankBend, BlankFlat
from blankwright.geom import vec
from blankwright.geom.boolean import cut_out, merged
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import Point


class Layout:
    """A blank under construction."""

    def __init__(self, thickness: float, root: Loop, k: float = 0.4) -> None:
        self.thickness = thickness
        self.k = k
        self.flats: dict[str, tuple[Region, Move, str]] = {"root": (Region.of(root), Move(), "")}
        self.bends: dict[str, BlankBend] = {}
        self.cuts: list[Loop] = []

    def bend(
        self,
        name: str,
        start: Point,
        end: Point,
        angle_deg: float,
        radius: float,
        leg: float | Loop,
        *,
        parent: str = "root",
        up: bool = True,
        k: float | None = None,
    ) -> Layout:
        """Add a bend from a tangent line on the blank, and its leg.

        The leg is a rectangle of that height, or a loop in the frame whose x axis is the leg's
        tangent line.
        """
        k = self.k if k is None else k
        angle = math.radians(angle_deg)
        allowance = angle * (radius + k * self.thickness)
        width = vec.distance(start, end)
        place = Move.onto(start, vec.unit(vec.sub(end, start)))
        strip = Region.of(Loop.rectangle(0, 0, width, allowance)).moved(place)
        loop = leg if isinstance(leg, Loop) else Loop.rectangle(0, 0, width, leg)
        on_leg = Move.shift(0, allowance).then(place)
        self.bends[name] = BlankBend(
            name=name,
            parent=parent,
            leg=f"{name} leg",
            angle=angle,
            inside_radius=radius,
            up=up,
            allowance=allowance,
            k=k,
            setback=math.inf
            if angle_deg >= 180
            else math.tan(angle / 2) * (radius + self.thickness),
            width=width,
            place=place,
            regions=(strip,),
        )
        self.flats[f"{name} leg"] = (Region.of(loop).moved(on_leg), on_leg, name)
        return self

    def leg_tangent(self, name: str) -> tuple[Point, Point]:
        """Return the ends of a bend's leg tangent line on the blank [mm]."""
        line = self.bends[name].leg_tangent
        return line.start, line.end

    def beyond(self, name: str, height: float) -> tuple[Point, Point]:
        """Return the far edge of a rectangular leg on the blank [mm]."""
        bend = self.bends[name]
        y = bend.allowance + height
        return bend.place((0, y)), bend.place((bend.width, y))

    def cut(self, *loops: Loop) -> Layout:
        """Cut openings through whatever they meet."""
        self.cuts += loops
        return self

    def blank(self) -> Blank:
        """Return the blank."""
        flats = []
        for name, (region, place, bend) in self.flats.items():
            (left,) = cut_out((region,), self.cuts)
            flats.append(BlankFlat(name=name, region=left, place=place, bend=bend))
        bends = []
        for b in self.bends.values():
            fields = {f: getattr(b, f) for f in b.__dataclass_fields__}
            fields["regions"] = cut_out(b.regions, self.cuts)
            bends.append(BlankBend(**fields))
        cells = [flat.region for flat in flats] + [r for b in bends for r in b.regions]
        (outline,) = merged(cells)
        return Blank(
            thickness=self.thickness,
            alloy="6061-T6",
            outline=outline,
            flats=tuple(flats),
            bends=tuple(bends),
        )


def angle_part(
    thickness: float = 1.0,
    width: float = 40.0,
    legs: tuple[float, float] = (30.0, 20.0),
    angle_deg: float = 90.0,
    radius: float = 3.0,
    up: bool = True,
    k: float = 0.4,
) -> Layout:
    """Return an angle: root 0…legs[0] in x, bend line along y at x = legs[0]."""
    a, b = legs
    layout = Layout(thickness, Loop.rectangle(0, 0, a, width), k)
    return layout.bend("b", (a, width), (a, 0), angle_deg, radius, b, up=up)


def channel(thickness: float = 1.2, radius: float = 2.5, up: bool = True) -> Layout:
    """Return a channel with legs of 25 and 15 on a web of 50 × 80."""
    layout = Layout(thickness, Loop.rectangle(0, 0, 50, 80))
    layout.bend("right", (50, 80), (50, 0), 90, radius, 25, up=up)
    return layout.bend("left", (0, 0), (0, 80), 90, radius, 15, up=up)


def zed(thickness: float = 1.0, radius: float = 2.0) -> Layout:
    """Return a Z: one leg up, the other down."""
    layout = Layout(thickness, Loop.rectangle(0, 0, 40, 60))
    layout.bend("up", (40, 60), (40, 0), 90, radius, 20)
    return layout.bend("down", (0, 0), (0, 60), 90, radius, 20, up=False)


def tray(thickness: float = 1.016, radius: float = 3.175, returns: bool = True) -> Layout:
    """Return a tray of four walls with return flanges; corners open, walls short of them."""
    w, d, wall, lip = 120.0, 90.0, 38.0, 12.0
    layout = Layout(thickness, Loop.rectangle(0, 0, w, d))
    sides = {
        "front": ((w - 6, 0.0), (6.0, 0.0)),
        "right": ((w, d - 6), (w, 6.0)),
        "back": ((6.0, d), (w - 6, d)),
        "left": ((0.0, 6.0), (0.0, d - 6)),
    }
    # The parent lies to the right of travel: go round the outline against its sense.
    sides = {name: (a, b) for name, (a, b) in sides.items()}
    for name, (a, b) in sides.items():
        layout.bend(name, a, b, 90, radius, wall)
        if returns:
            c, e = layout.beyond(name, wall)
            layout.bend(f"{name} lip", c, e, 90, radius, lip, parent=f"{name} leg", up=False)
    return layout
